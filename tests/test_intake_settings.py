"""The shop's settings: what they say, what they may not say, and one setting changed while the rest stays."""

from __future__ import annotations

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from ringtrue.errors import SettingsRefused
from ringtrue.intake import FIELDS, Settings, parse_settings, with_setting

WHOLE = """# ours
[shop]
name = "Harbour Lane Engines"   # on the door
builder = "R. T."

[units]
pressure = "kgf/cm²"

[sheet]
paper = "letter"

[book]
where = "shop book.db"

[limits]
mean_deviation_target = 1.5
"""


def refused(text: str) -> list[str]:
    """Return the faults of settings, as they are told."""
    with pytest.raises(SettingsRefused) as refusal:
        parse_settings(text)
    return [str(fault) for fault in refusal.value.faults]


# If this failed, the shop would find another name, unit, paper or threshold on its sheets than it settled.
def test_every_field() -> None:
    assert parse_settings(WHOLE) == Settings(
        shop="Harbour Lane Engines",
        builder="R. T.",
        pressure="kg/cm2",
        paper="Letter",
        book="shop book.db",
        limits={"mean_deviation_target": 1.5},
    )
    assert parse_settings("") == Settings()


# If this failed, a slip in the settings would be taken for a setting. Words frozen.
@pytest.mark.parametrize(
    ("text", "message"),
    [
        (
            '[units]\npressure = "mm"',
            (
                '[units] pressure: read "mm": The unit mm is one of length, and a pressure is wanted here. '
                "Write psi, kPa, bar, kg/cm2 or MPa."
            ),
        ),
        (
            '[sheet]\npaper = "A5"',
            '[sheet] paper: “A5”: Sheets are printed on A4 or Letter. Write "A4" or "Letter".',
        ),
        ("[shop]\nnam = 1", "[shop]: “nam”: There is no such field here. Did you mean name?"),
        ("[shops]", "“shops”: There is no such table here. Did you mean [shop]?"),
        (
            "[limits]\nmean_deviation_target = 0",
            (
                "[limits]: mean_deviation_target = 0: This limit is a percentage above 0 and up to 100. "
                "Write for instance 1, which is the general limit."
            ),
        ),
        (
            "[limits]\nlowest_over_highest = 75",
            (
                "[limits]: lowest_over_highest = 75: This limit is a fraction above 0 and up to 1. "
                "Write for instance 0.75, which is the general limit."
            ),
        ),
        (
            "[limits]\nmean_deviation_target = true",
            '[limits] mean_deviation_target: read "true": Yes or no is no number. Type the number that was read.',
        ),
        ("[[shop]]", "[shop]: [{}]: This is a table of its own. Write a line [shop] and its fields below it."),
    ],
    ids=lambda value: value.partition(":")[0],
)
def test_what_cannot_be_used(text: str, message: str) -> None:
    assert refused(text) == [message]


# If this failed, a shop could change the engine's own limits, or the builder would be told one fault at a time.
def test_all_faults_are_told_at_once() -> None:
    text = '[sheet]\npaper = "A5"\n[limits]\nsheet_minimum = 1\nlowest_over_highest = 7\n[units]\npressure = "x"'
    found = refused(text)
    assert [message.partition(": ")[0] for message in found] == [
        "[units] pressure",
        "[sheet] paper",
        "[limits]",
        "[limits]",
    ]
    assert "“sheet_minimum”: There is no such rule whose limit a shop may set. Use one of: mean_" in found[2]


# If this failed, what else a shop wrote into its file, remarks included, would be lost with every change.
def test_the_rest_stays_as_it_is() -> None:
    made = with_setting(WHOLE, "sheet.paper", "A4")
    assert made == WHOLE.replace('paper = "letter"', 'paper = "A4"')
    assert with_setting(WHOLE, "shop.builder", "") == WHOLE.replace('builder = "R. T."\n', "")
    assert with_setting(WHOLE, "limits.lowest_over_highest", "0,8") == WHOLE.replace(
        "[limits]\n", "[limits]\nlowest_over_highest = 0.8\n"
    )
    windows = WHOLE.replace("\n", "\r\n")
    assert with_setting(windows, "units.pressure", "bar").count("\r\n") == windows.count("\r\n") - 1


# If this failed, a first setting, or one in a table with a remark behind its name, could not be made.
@pytest.mark.parametrize(
    ("text", "made"),
    [
        ("", '[shop]\nname = "x"\n'),
        ("# ours\n\n", '# ours\n\n[shop]\nname = "x"\n'),
        ("[ shop ]  # us", '[ shop ]  # us\nname = "x"'),
        ("[shop]\nnames = 1", None),
        ('[book]\nwhere = "y"', '[book]\nwhere = "y"\n\n[shop]\nname = "x"\n'),
    ],
)
def test_where_a_setting_goes(text: str, made: str | None) -> None:
    if made is None:
        with pytest.raises(SettingsRefused, match="There is no such field here"):
            with_setting(text, "shop.name", "x")
    else:
        assert with_setting(text, "shop.name", "x") == made


# If this failed, removing what is not there would change the file.
def test_removing_nothing_changes_nothing() -> None:
    assert with_setting(WHOLE, "limits.below_mean", "") == WHOLE
    assert with_setting("", "shop.name", "") == ""


# If this failed, a setting that cannot be would be written, and the next start would be refused.
@pytest.mark.parametrize(
    ("key", "value", "told"),
    [
        ("shop.color", "red", "“shop.color”: There is no such setting. Set one of shop.name, shop.builder, units"),
        ("limits.a b", "1", "“limits.a b”: There is no such setting."),
        ("limits.below_mean\n", "1", "There is no such setting."),
        ("", "1", "“”: There is no such setting."),
        ("shop.name", "a\nb", r"shop.name: “a\nb”: This is a line of text. Leave out what cannot be printed."),
        ("shop.name", "\ud800", r"shop.name: “\ud800”: This is a line of text."),
        (
            "limits.below_mean",
            "1 pct",
            'limits.below_mean: read "1 pct": A number has no letters in it.',
        ),
        ("limits.below_mean", "1,234", 'limits.below_mean: read "1,234": This can be 1234 or 1.234.'),
        ("limits.below_mean", "0", "[limits]: below_mean = 0: This limit is a percentage above 0 and up to 100."),
        ("limits.nothing", "1", "[limits]: “nothing”: There is no such rule whose limit a shop may set."),
        ("units.pressure", "mm", '[units] pressure: read "mm": The unit mm is one of length'),
        ("sheet.paper", "A5", "[sheet] paper: “A5”: Sheets are printed on A4 or Letter."),
    ],
)
def test_what_cannot_be_set(key: str, value: str, told: str) -> None:
    with pytest.raises(SettingsRefused) as refusal:
        with_setting(WHOLE, key, value)
    assert told in str(refusal.value)


TEXTS = st.text(max_size=30).filter(lambda text: text.isprintable() and text.strip() and text == text.strip())
ANY = {"units.pressure": st.sampled_from(["psi", "bar", "kPa"]), "sheet.paper": st.sampled_from(["A4", "Letter"])}
CHANGES = st.one_of(
    *(st.tuples(st.just(key), ANY.get(key, TEXTS)) for key in FIELDS),
    st.tuples(st.just("limits.below_mean"), st.floats(0.001, 100).map(lambda value: f"{value:.3f}")),
)
PLACES = {"shop.name": "shop", "shop.builder": "builder", "units.pressure": "pressure", "sheet.paper": "paper"}


def said(settings: Settings, key: str) -> str:
    """Return what the settings say under a key."""
    if key.startswith("limits."):
        return f"{settings.limits['below_mean']:.3f}"
    return str(getattr(settings, PLACES.get(key, "book")))


# If this failed, some name, path or number could not be settled, or one setting would change another, or come back
# as another text than was typed.
@given(st.lists(CHANGES, max_size=8), st.sampled_from(["", WHOLE, "# ä\u2028ö\x85\n[shop]\n"]))
@example([("shop.name", 'quote " and \\ backslash')], "")
@example([("book.where", "C:\\books\\new.db")], WHOLE)
def test_settings_come_back_as_they_were_set(changes: list[tuple[str, str]], text: str) -> None:
    last: dict[str, str] = {}
    before = text.split("\n", maxsplit=1)[0]
    for key, value in changes:
        text = with_setting(text, key, value)
        last[key] = value
    settings = parse_settings(text)
    assert {key: said(settings, key) for key in last} == last
    assert text.startswith(before)
    for key in last:
        text = with_setting(text, key, "")
    assert all(said(parse_settings(text), key) in {"", "A4"} for key in last if not key.startswith("limits."))


# If this failed, a limit typed with its per cent sign would be a hundred times another, or refused without a reason.
@pytest.mark.parametrize(
    ("key", "typed", "kept"),
    [
        ("limits.leakdown_suspect", "25%", 0.25),
        ("limits.leakdown_suspect", "0,25", 0.25),
        ("limits.lowest_over_highest", "80 %", 0.8),
        ("limits.mean_deviation_target", "2 %", 2.0),
        ("limits.mean_deviation_target", "2", 2.0),
    ],
)
def test_a_limit_with_its_sign(key: str, typed: str, kept: float) -> None:
    assert parse_settings(with_setting("", key, typed)).limits == {key.partition(".")[2]: kept}
