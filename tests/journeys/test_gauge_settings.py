"""The register of gauges and the shop's settings: described, listed, used, taken back."""

from __future__ import annotations

import json
import tomllib
from pathlib import Path
from typing import Any

import pytest
from tests.journeys.conftest import Types


def told(types: Types, command: str) -> Any:  # noqa: ANN401 - JSON is of any form
    said = types(f"{command} --json")
    assert said.code == 0, said.err
    return json.loads(said.out)


# If this failed, a gauge would not be kept as it was described, or one described anew would stand twice.
def test_the_register(types: Types) -> None:
    assert "no gauge in the register" in types("gauge list").out
    assert told(types, "gauge list") == []
    types('gauge add face-1 --range "300 psi" --resolution "5 psi"')
    said = types(
        'gauge add face-1 --range "300 psi" --resolution "2 psi" --grade B --check-valve "plug end" '
        '--adapter-volume "2 cc" --hose-volume "20 cc" --repeatability "0.8 %"'
    )
    assert (said.code, said.err) == (0, "")
    types('gauge add "long hose" --range "25 bar"')
    first, second = told(types, "gauge list")
    assert first == {
        "name": "face-1",
        "range": "300 psi",
        "resolution": "2 psi",
        "grade": "B",
        "check_valve": "plug end",
        "adapter_volume": "2 cc",
        "hose_volume": "20 cc",
        "repeatability": "0.8 %",
        "calibrated": "",
        "due": "",
        "studied": "",
    }
    assert (second["name"], second["range"], second["resolution"]) == ("long hose", "25 bar", "")
    assert "long hose" in types("gauge list").out


# If this failed, a shop would learn only at the judgement that its gauge says nothing about how sure a reading is.
def test_what_a_gauge_lacks_is_said(types: Types) -> None:
    said = types("gauge add bare")
    assert said.code == 0
    for word in ("resolution", "grade", "repeatability"):
        assert word in said.err
    assert len(told(types, "gauge add bare")["missing"]) == 3
    assert told(types, "judge june.csv --gauge bare")["gauge_known"] is False


# If this failed, a better gauge would make nothing surer.
def test_a_better_gauge_is_surer(types: Types) -> None:
    types('gauge add good --range "300 psi" --resolution "1 psi" --grade 2A')
    types('gauge add poor --range "300 psi" --resolution "10 psi" --grade D')
    ends = [told(types, f"judge june.csv --gauge {name}")["cylinders"][0]["interval"] for name in ("good", "poor")]
    good, poor = (end["high"] - end["low"] for end in ends)
    assert 0 < good < poor


# If this failed, a test would forget with which gauge it was taken when the gauge is described anew.
def test_a_test_keeps_its_gauge(types: Types) -> None:
    types('gauge add face-1 --range "300 psi" --resolution "2 psi" --grade B')
    test = types("enter june.csv --sheet launch-six.toml --gauge face-1").out.strip()
    before = told(types, f"judge {test}")["cylinders"][0]["interval"]
    types('gauge add face-1 --range "300 psi" --resolution "20 psi" --grade D')
    assert told(types, f"judge {test}")["cylinders"][0]["interval"] == before
    types("pull --sheet launch-six.toml --gauge face-1", "yes\nyes\n95 150\nstop\n")
    assert told(types, "book list")[-1]["readings"] == 1


# If this failed, what a shop has settled would not be shown, or not where it stands.
def test_settings_are_shown(types: Types, tmp_path: Path) -> None:
    empty = told(types, "settings")
    assert empty["path"] == str(tmp_path / "settings.toml")
    assert empty["settings"]["book.where"] == str(tmp_path / "book.db")
    assert empty["limits"]["mean_deviation_target"] == 1.0
    assert not (tmp_path / "settings.toml").exists()
    for key, value in (("shop.name", "Alder & Quay, „Söhne“"), ("shop.builder", "J. Alder"), ("sheet.paper", "Letter")):
        assert told(types, f"settings set {key} '{value}'") | {"setting": key, "value": value}
    shown = types("settings").out
    for word in ("Alder & Quay, „Söhne“", "J. Alder", "Letter", "as published", "limits.below_mean"):
        assert word in shown
    assert tomllib.loads((tmp_path / "settings.toml").read_text("utf-8"))["shop"]["name"] == "Alder & Quay, „Söhne“"


# If this failed, a comment or a setting of another table would be lost when one is set.
def test_what_else_stands_in_the_file_stays(types: Types, tmp_path: Path) -> None:
    (tmp_path / "settings.toml").write_text('# ours\n[shop]\nname = "Pier"\n\n[limits]\nbelow_mean = 15\n', "utf-8")
    assert types("settings set units.pressure kPa").code == 0
    assert types("settings set shop.name Quay").code == 0
    settings = tomllib.loads((tmp_path / "settings.toml").read_text("utf-8"))
    assert settings == {"shop": {"name": "Quay"}, "limits": {"below_mean": 15}, "units": {"pressure": "kPa"}}
    assert "# ours" in (tmp_path / "settings.toml").read_text("utf-8")


# If this failed, a file that another editor saved in its own encoding could be read and not changed.
@pytest.mark.parametrize("encoding", ["utf-8-sig", "utf-16"])
def test_settings_in_another_encoding(types: Types, tmp_path: Path, encoding: str) -> None:
    (tmp_path / "settings.toml").write_text('[shop]\r\nname = "Größe"\r\n', encoding)
    assert types("settings set units.pressure kPa").code == 0
    settings = told(types, "settings")["settings"]
    assert (settings["shop.name"], settings["units.pressure"]) == ("Größe", "kPa")


# If this failed, a threshold of the shop would not be used, not be told as its own, or could not be taken back.
def test_a_threshold_of_the_shop(types: Types) -> None:
    assert types("settings set limits.mean_deviation_target 0.3").code == 0
    rule = told(types, "judge june.csv")["rules"][0]
    assert (rule["limit"], rule["outcome"], rule["source"]) == (0.3, "not met", "shop settings")
    assert "this shop" in types("settings").out
    assert types('settings set limits.mean_deviation_target ""').code == 0
    rule = told(types, "judge june.csv")["rules"][0]
    assert (rule["limit"], rule["outcome"], rule["source"]) == (1.0, "met", "common practice")
    assert types("settings set limits.leakdown_suspect 0.1").code == 0


# If this failed, the engine's own service data would not win over what a shop has settled.
def test_the_sheet_wins(types: Types, tmp_path: Path) -> None:
    types("settings set limits.lowest_over_highest 0.5")
    (tmp_path / "r.csv").write_text("cylinder,final [psi]\n1,150\n2,110\n3,150\n4,150\n5,150\n6,150\n", "utf-8")
    outcomes = {r["rule"]: r["outcome"] for r in told(types, "judge r.csv --sheet launch-six.toml")["rules"]}
    assert (outcomes["lowest_over_highest"], outcomes["sheet_minimum"]) == ("met", "not met")


# If this failed, the builder's name and the shop's unit would not be taken from the settings.
def test_names_and_unit_of_the_shop(types: Types) -> None:
    types('settings set shop.builder "J. Alder"')
    types("settings set units.pressure kPa")
    types("pull --sheet launch-six.toml", "yes\nyes\n650 1030\nstop\n")
    (row,) = told(types, "book list")
    shown = types(f"book show {row['test']}").out
    assert "J. Alder" in shown
    assert "1030 kPa" in shown
    types("pull --sheet launch-six.toml --new --by Quay", "yes\nyes\n650 1030\nstop\n")
    assert "Quay" in types(f"book show {told(types, 'book list')[-1]['test']}").out


# If this failed, another book than the named one would be written: the option, then the environment, then the settings.
def test_which_book(types: Types, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    settled = tmp_path / "a folder" / "größer.db"
    types(f"settings set book.where '{settled}'")
    enter = "enter june.csv --sheet launch-six.toml"
    assert types(f"{enter} --book named.db").code == 0
    assert types(enter).code == 0
    monkeypatch.delenv("RINGTRUE_BOOK")
    assert types(enter).code == 0
    assert all(path.exists() for path in (tmp_path / "named.db", tmp_path / "book.db", settled))
    assert told(types, "settings")["settings"]["book.where"] == str(settled)


# If this failed, settings that cannot be used would stop the program with a page of Python, or be passed over.
@pytest.mark.parametrize(
    ("text", "mentions"),
    [
        ('[units]\npressure = "parsec"\n', "parsec"),
        ('[shop]\nnome = "x"\n', "Did you mean name?"),
        ("[shop\n", "settings.toml"),
        ("shop = 4\n", "shop"),
        ('[sheet]\npaper = "A3"\n', "A3"),
        ("[limits]\nmean_deviation_target = true\n", "mean_deviation_target"),
        ("[limits]\nmean_deviation_target = -1\n", "-1"),
        ("[limits]\nnobody = 1\n", "nobody"),
        ("\xc3\x28", "settings.toml"),
    ],
)
@pytest.mark.parametrize("command", ["judge june.csv", "settings", "settings set shop.name x", "book list"])
def test_broken_settings(types: Types, tmp_path: Path, command: str, text: str, mentions: str) -> None:
    path = tmp_path / "settings.toml"
    path.write_text(text, "latin-1")
    said = types(command)
    assert (said.code, said.out) == (2, "")
    assert mentions in said.err
    assert path.read_text("latin-1") == text


# If this failed, a settings file that may not be read or written, or a folder in its place, would stop with Python.
def test_settings_that_cannot_be_reached(types: Types, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    (tmp_path / "settings.toml").mkdir()
    assert types("settings set shop.name x").code == 2
    assert types("judge june.csv").code == 2
    (tmp_path / "settings.toml").rmdir()
    (tmp_path / "file").write_text("", "utf-8")
    monkeypatch.setenv("RINGTRUE_SETTINGS", str(tmp_path / "file" / "settings.toml"))
    said = types("settings set shop.name x")
    assert said.code == 2
    assert "settings.toml" in said.err
