"""Cautions and checklists: what every plan, screen and sheet carries, and what belongs to which engine."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import replace

import pytest
from tests.pulled import si

from ringtrue.diagnosis import oil_dose
from ringtrue.engine import BuildSheet, Camshaft, Cooling, Geometry, Heads, Ignition, Layout
from ringtrue.sources import SOURCES
from ringtrue.units import Dimension
from ringtrue.wording import (
    Item,
    cautions,
    deferral,
    dose_line,
    leakdown,
    preparation,
    pulling,
    putting_back,
    safety,
    wet_test,
)

SPARK = BuildSheet(
    name="invented",
    layout=Layout.V,
    cylinders=tuple("123456"),
    banks=(tuple("135"), tuple("246")),
    firing_order=tuple("145236"),
    firing_intervals=(120.0,) * 6,
    ignition=Ignition.SPARK,
)
COMPRESSION = replace(SPARK, ignition=Ignition.COMPRESSION)
LISTS = (preparation, safety, pulling, wet_test, leakdown, putting_back)
SHEETS = (
    None,
    SPARK,
    COMPRESSION,
    replace(SPARK, ignition=None),
    replace(SPARK, hazards=("hybrid", "direct injection", "decompressor")),
    BuildSheet(name="single", layout=Layout.SINGLE, cylinders=("1",), banks=(("1",),), cycle=2, cooling=Cooling.AIR),
    replace(SPARK, layout=Layout.RADIAL, heads=Heads.SEPARATE, banks=(tuple("123456"),)),
)


def keys(items: tuple[Item, ...]) -> list[str]:
    """Return the keys of a checklist."""
    return [item.key for item in items]


def text(items: tuple[Item, ...], key: str) -> str:
    """Return the text of one item."""
    return next(item.text for item in items if item.key == key)


# If this failed, a person would be hurt by something that the trade warns of, and the sheet did not.
# Common practice: the hazards that every plan, screen and report names.
@pytest.mark.parametrize("sheet", SHEETS)
def test_every_engine_carries_the_whole_set_of_cautions(sheet: BuildSheet | None) -> None:
    carried = {each.key for each in cautions(sheet)}
    always = {"rotating", "fuel", "hot", "air", "eyes", "battery", "movement", "hydraulic_lock"}
    always |= {"high_voltage", "live_injectors", "decompression"}
    assert always <= carried
    ignition = sheet.ignition if sheet else None
    assert ("ignition" in carried) is (ignition is not Ignition.COMPRESSION)
    assert ("compression_ignition" in carried) is (ignition is not Ignition.SPARK)


# If this failed, the hazard that the builder wrote on his sheet would be lost among the others, or lost.
def test_what_the_sheet_names_comes_first() -> None:
    named = cautions(replace(COMPRESSION, hazards=("Decompressor", "HYBRID", "tilted on its stand")))
    assert [each.key for each in named[:4]] == [
        "high_voltage",
        "decompression",
        "compression_ignition",
        "hazard: tilted on its stand",
    ]
    assert named[3].text == "The build sheet names a hazard: tilted on its stand. Read the service data about it first."


# If this failed, a caution would have no short form for a phone, or be no sentence.
@pytest.mark.parametrize("sheet", SHEETS)
def test_cautions_are_sentences_with_a_short_form(sheet: BuildSheet | None) -> None:
    carried = cautions(sheet)
    assert len({each.key for each in carried}) == len(carried)
    for each in carried:
        assert len(each.short) <= 40
        assert each.text.endswith(".")


# If this failed, the tool would set itself above those who answer for the engine.
def test_the_deferral() -> None:
    assert deferral() == (
        "ringtrue advises; it does not certify. The engine's own service data, local codes and a licensed "
        "mechanic come first; for aircraft, the authority's rules and a licensed engineer."
    )


# If this failed, oil would be poured into an engine that it can lock or bend.
def test_no_wet_test_on_compression_ignition() -> None:
    assert wet_test(COMPRESSION) == ()
    assert keys(wet_test(replace(SPARK, ignition=None)))[0] == "spark_only"
    assert "spark_only" not in keys(wet_test(SPARK))


# If this failed, the dose would be another than the twentieth that common practice names, or of another cylinder.
def test_the_dose_of_oil() -> None:
    # Bore 92, stroke 98 mm: 651.47 cc; over 8 a clearance of 81.43 cc; 5 % is 4.07 cc, 15 % 12.2 cc, by hand.
    size = Geometry(bore=si(92, "mm", Dimension.LENGTH), stroke=si(98, "mm", Dimension.LENGTH), compression_ratio=9.0)
    wet = wet_test(replace(SPARK, geometry=size))
    assert text(wet, "dose") == (
        "Measure the oil: about 5 % of the clearance volume, here 4.1 cc (0.8 teaspoon of 5 cc); never more than 15 %, "
        "here 12.2 cc. Write it down."
    )
    # By hand: 15 of 81.43 cc is 18.42 %; (729.3 / 733.4 / 0.95) to the power of 1.3 is 1.061, from bottom dead centre.
    assert text(wet, "tablespoon") == (
        "The tablespoon of CT-02 (15 cc) would be 18.4 % of the clearance: more than 15 %, too much here."
    )
    assert text(wet, "own_volume").startswith("That dose raises a reading by about 6 % by its volume alone")
    assert text(wet_test(SPARK), "dose") == (
        "Measure the oil: about 5 % of the clearance volume; never more than 15 %. Write it down."
    )
    assert "15 % of a clearance of 100 cc" in text(wet_test(SPARK), "tablespoon")


# If this failed, a spoon would be held against the wrong clearance: a teaspoon in a big cylinder is enough, and the
# tablespoon is 15 % of a clearance of 100 cc (common practice; by hand).
@pytest.mark.parametrize(
    ("swept_cc", "says"),
    [
        (700, "15.0 % of the clearance: more than is needed"),
        (690, "15.2 % of the clearance: more than 15 %, too much here"),
        (2200, "4.8 % of the clearance: less than is needed here"),
    ],
)
def test_the_tablespoon_of_print(swept_cc: float, says: str) -> None:
    size = Geometry(bore=0.1, stroke=swept_cc * 1e-6 / (math.pi / 4 * 0.1**2), compression_ratio=8.0)
    assert says in text(wet_test(replace(SPARK, geometry=size)), "tablespoon")


# If this failed, the smallest chamber would get more oil than it bears, or a dose be made of volumes nobody knows.
def test_the_smallest_chamber_sets_the_dose() -> None:
    size = Geometry(bore=0.092, stroke=0.098, compression_ratio=9.0)
    uneven = replace(SPARK, geometry=size, measured={"2": Geometry(compression_ratio=11.0)})
    found = oil_dose(uneven)
    assert found is not None
    assert found.clearance == pytest.approx(65.147e-6, rel=1e-4)
    assert found.dose == pytest.approx(0.05 * found.clearance)
    assert oil_dose(replace(uneven, ignition=Ignition.COMPRESSION)) is None
    assert (oil_dose(SPARK), oil_dose(None)) == (None, None)
    assert dose_line(uneven) == "Oil: 3.3 cc (0.7 teaspoon of 5 cc), never more than 9.8 cc."
    assert dose_line(replace(uneven, ignition=Ignition.COMPRESSION)) == ""


# If this failed, the steps that can hurt would come after those they protect.
def test_the_order_of_a_leakdown() -> None:
    done = keys(leakdown(SPARK))
    order = ["starter_off", "top_dead_centre", "hold", "slowly", "supply", "listen", "shut", "repeat_leakdown"]
    assert [key for key in done if key in order] == order


# If this failed, a leak-down would be done with other pressures than print gives. DT-05, DT-06: FAA AC 43.13-1B (read).
def test_figures_of_a_leakdown() -> None:
    items = leakdown(SPARK)
    assert text(items, "slowly") == "Regulator shut, connect, and open the valve slowly: 20 psi first."
    assert text(items, "supply") == ("Then set 80 psi, and read supply and held together (shop air 100 to 120 psi).")
    assert text(items, "top_dead_centre").endswith("Gone past it: back at least half a turn, and up again.")
    assert text(items, "repeat_leakdown").startswith("Suspect: run the engine at least 3 min")
    assert {item.key: item.source for item in items if item.source != "common practice"} == {
        "warm_leakdown": "DT-06",
        "restrictor": "DT-02",
        "top_dead_centre": "DT-05",
        "hold": "DT-06",
        "slowly": "DT-05",
        "supply": "DT-05",
        "repeat_leakdown": "DT-05",
    }


# If this failed, a large bore would be tested through the small restrictor. DT-01, DT-02: FAA AC 43.13-1B (read).
@pytest.mark.parametrize(
    ("bore", "size"),
    [
        (None, "0.040 in for bores below 5.00 in, 0.060 in from 5.00 in on"),
        (4.99, "0.040 in for this bore"),
        (5.00, "0.060 in for this bore"),
    ],
)
def test_the_restrictor_belongs_to_the_bore(bore: float | None, size: str) -> None:
    geometry = Geometry(bore=None if bore is None else si(bore, "in", Dimension.LENGTH))
    assert f"({size})" in text(leakdown(replace(SPARK, geometry=geometry)), "restrictor")


# If this failed, a plan would name cylinders in an order that nobody pulls or fires them in.
def test_orders_are_those_of_the_sheet() -> None:
    assert text(pulling(SPARK), "order") == "Go down one bank, then the other: 1, 3, 5, 2, 4, 6."
    assert text(pulling(SPARK), "again").startswith("At the end pull cylinder 1 once more")
    assert text(leakdown(SPARK), "firing_order") == (
        "Top dead centres in firing order 1-4-5-2-3-6, 120 deg (1/3 turn) apart."
    )
    uneven = replace(SPARK, firing_intervals=(90.0, 150.0) * 3)
    assert text(leakdown(uneven), "firing_order").endswith("crank degrees between them: 90, 150, 90, 150 and 90.")
    unknown = replace(SPARK, firing_order=(), firing_intervals=())
    assert "gives no firing order: with firing_order on it" in text(leakdown(unknown), "firing_order")
    assert text(putting_back(SPARK), "leads") == "Leads in firing order 1-4-5-2-3-6."


# If this failed, fewer strokes than print asks for would be cranked. CT-02: US Army TM 5-4210-230-14&P-1 (read).
def test_five_strokes_or_more() -> None:
    item = next(item for item in pulling(SPARK) if item.key == "strokes")
    assert "five compression strokes or more" in item.text
    assert item.source == "CT-02"


# If this failed, an engine would be told to do what it has no parts for.
def test_each_engine_has_its_own_items() -> None:
    single = SHEETS[5]
    assert "lash" not in keys(preparation(single))
    assert "order" not in keys(pulling(single))
    assert "coolant" not in text(preparation(single), "warm")
    assert "next plug hole" not in text(leakdown(single), "listen")
    assert "plugs_back" not in keys(putting_back(COMPRESSION))
    assert "injectors_back" in keys(putting_back(COMPRESSION))
    assert "gauge_range" in keys(preparation(COMPRESSION))
    assert "ignition_off" not in keys(safety(COMPRESSION))
    hazardous = SHEETS[4]
    assert {"high_voltage", "injectors_off"} <= set(keys(safety(hazardous)))
    assert "decompressor" in keys(preparation(hazardous))
    assert {"high_voltage_on", "decompressor_back"} <= set(keys(putting_back(hazardous)))
    assert "turning" in keys(leakdown(hazardous))


# If this failed, the lash on the sheet would not be the one the plan asks for.
@pytest.mark.parametrize(
    ("lash", "expected"),
    [
        (None, ["Set the valve lash where it is adjustable."]),
        (0.25e-3, ["Set the valve lash to 0.25 mm, as the build sheet says."]),
        (0.0, []),
    ],
)
def test_lash(lash: float | None, expected: list[str]) -> None:
    items = preparation(replace(SPARK, camshaft=Camshaft(lash=lash)))
    assert [item.text for item in items if item.key == "lash"] == expected


# If this failed, a tick could not be kept, a sentence would be none, or a source unknown.
@pytest.mark.parametrize("sheet", SHEETS)
@pytest.mark.parametrize("items", LISTS)
def test_items_have_keys_sentences_and_sources(
    items: Callable[[BuildSheet | None], tuple[Item, ...]], sheet: BuildSheet | None
) -> None:
    made = items(sheet)
    assert len(set(keys(made))) == len(made)
    for item in made:
        assert item.text.endswith(".")
        assert item.text[0].isupper()
        assert item.source in SOURCES
