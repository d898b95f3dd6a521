"""Test files and gauges, from TOML and from what was typed: every field, and every way in which one cannot be used."""

from __future__ import annotations

import pytest

from ringtrue.compression import CheckValve, Conditions, Gauge
from ringtrue.errors import GaugeRefused, InputRefused
from ringtrue.intake import Day, parse_day, parse_gauge, parse_run

WHOLE = """
[test]
date = 2026-05-14
by = "R. T."
run_since_build = "500 mile"

[gauge]
name = "shop gauge"
range = "300 psi"
resolution = "2 psi"
grade = "B"
check_valve = "plug end"
adapter_volume = "2 cc"
hose_volume = "20 cc"
opening_pressure = "3 psi"
repeatability = "0.6 %"

[conditions]
altitude = "120 m"
barometer = "1003 hPa"
inlet_air = "18 C"
oil = "80 C"
cranking_speed = "190 rpm"
battery = "12.4 V"
"""


def refused(text: str) -> list[str]:
    """Return the faults of a test file, as they are told."""
    with pytest.raises(GaugeRefused) as refusal:
        parse_day(text)
    return [str(fault) for fault in refusal.value.faults]


# If this failed, the day, the gauge or the conditions would come out other than they were written. SI worked by hand.
def test_every_field() -> None:
    day = parse_day(WHOLE)
    assert (day.date, day.by) == ("2026-05-14", "R. T.")
    assert str(day.run_since_build) == "500 mile"
    assert day.run_since_build is not None
    assert day.run_since_build.value == pytest.approx(804_672)
    gauge = day.gauge
    assert gauge is not None
    assert (gauge.name, gauge.grade, gauge.check_valve) == ("shop gauge", "B", CheckValve.PLUG_END)
    assert gauge.repeatability == pytest.approx(0.006)
    figures = [gauge.range, gauge.resolution, gauge.adapter_volume, gauge.hose_volume, gauge.opening_pressure]
    assert [str(figure) for figure in figures] == ["300 psi", "2 psi", "2 cc", "20 cc", "3 psi"]
    si = [figure.value for figure in figures if figure is not None]
    assert si == pytest.approx([2_068_427.2, 13_789.51, 2e-6, 20e-6, 20_684.27], rel=1e-6)
    conditions = day.conditions
    figures = [conditions.altitude, conditions.barometer, conditions.inlet_air, conditions.oil]
    figures += [conditions.cranking_speed, conditions.battery]
    assert [str(each) for each in figures] == ["120 m", "1003 hPa", "18 C", "80 C", "190 rpm", "12.4 V"]
    si = [figure.value for figure in figures if figure is not None]
    assert si == pytest.approx([120, 100_300, 291.15, 353.15, 19.89675, 12.4], rel=1e-6)


# If this failed, a day of which nothing is known could not be tested on, or a gauge would be made up.
@pytest.mark.parametrize("text", ["", "[test]", "[conditions]\n[test]\n"])
def test_everything_may_be_left_out(text: str) -> None:
    assert parse_day(text) == Day(conditions=Conditions())
    assert parse_day("[gauge]").gauge == Gauge("gauge")


# If this failed, a date, a grade or a share would depend on how TOML happens to hold it.
@pytest.mark.parametrize(
    ("line", "field", "value"),
    [
        ("date = 2026-05-14", "date", "2026-05-14"),
        ('date = "2026-05-14"', "date", "2026-05-14"),
        ('date = "20260514"', "date", "2026-05-14"),
    ],
)
def test_dates(line: str, field: str, value: str) -> None:
    assert getattr(parse_day(f"[test]\n{line}"), field) == value


# If this failed, the same gauge would be another one for the way its grade or repeatability is written.
@pytest.mark.parametrize(
    ("line", "field", "value"),
    [
        ("grade = 1.6", "grade", "1.6"),
        ('grade = " 1A "', "grade", "1A"),
        ('grade = ""', "grade", ""),
        ("repeatability = 0.006", "repeatability", 0.006),
        ('repeatability = "0.6%"', "repeatability", 0.006),
        ('repeatability = "0,6 %"', "repeatability", 0.006),
        ('check_valve = "Gauge End"', "check_valve", CheckValve.GAUGE_END),
    ],
)
def test_gauge_fields(line: str, field: str, value: object) -> None:
    gauge = parse_day(f'[gauge]\nrange = "20 bar"\n{line}').gauge
    assert getattr(gauge, field) == (pytest.approx(value) if isinstance(value, float) else value)


# If this failed, what cannot be would be used, or the builder would not be told what to write instead. Words frozen.
@pytest.mark.parametrize(
    ("text", "message"),
    [
        (
            "[test]\ndate = 2026-05-14T10:00:00",
            "[test] date: 2026-05-14T10:00:00: This is a day. Write year, month, day, for example date = 2026-05-14.",
        ),
        (
            '[test]\ndate = "14.5.2026"',
            "[test] date: “14.5.2026”: This is a day. Write year, month, day, for example date = 2026-05-14.",
        ),
        (
            "[test]\ndate = 20260514",
            "[test] date: 20260514: This is a day. Write year, month, day, for example date = 2026-05-14.",
        ),
        (
            "[test]\nby = 7",
            '[test] by: 7: This is a line of text. Write it in quotes, for example by = "initials".',
        ),
        (
            '[test]\nrun_since_build = "500"',
            (
                '[test] run_since_build: read "500": What an engine has run is a distance or a running time, with its '
                'unit. Type for example "500 mile", "800 km" or "25 h".'
            ),
        ),
        (
            "[test]\nrun_since_build = 500",
            (
                '[test] run_since_build: read "500": What an engine has run is a distance or a running time, with its '
                'unit. Type for example "500 mile", "800 km" or "25 h".'
            ),
        ),
        ('[test]\ndat = "x"', "[test]: “dat”: There is no such field here. Did you mean date?"),
        ("[tests]", "“tests”: There is no such table here. Did you mean [test]?"),
        (
            '[gauge]\nrange = "0 psi"',
            "[gauge] range: 0 psi: Range is above zero. Read it off the dial.",
        ),
        (
            '[gauge]\nrange = "300 psi"\nresolution = "200 psi"',
            "[gauge] resolution: 200 psi: No dial of 300 psi has such steps. Write the smallest step you can read.",
        ),
        (
            '[gauge]\nhose_volume = "-20 cc"',
            "[gauge] hose_volume: -20 cc: Hose volume is not below zero. Correct it, or leave the line out.",
        ),
        (
            '[gauge]\ngrade = "B"',
            (
                "[gauge] range: A grade is a share of the range, and the range is missing. "
                'Add for example range = "300 psi".'
            ),
        ),
        (
            '[gauge]\nrange = "300 psi"\ngrade = true',
            (
                "[gauge] grade: true: No ASME B40.100 grade or EN 837-1 class has that name. "
                "Write one of 4A, 3A, 2A, 1A, A, B, C, D or one of 0.1, 0.25, 0.6, 1, 1.6, 2.5, 4, "
                "as it stands on the gauge's face, or leave it out."
            ),
        ),
        (
            '[gauge]\ncheck_valve = "plug"',
            '[gauge] check_valve: “plug”: Check valve is one of "plug end", "gauge end". Did you mean plug end?',
        ),
        *(
            (
                f"[gauge]\nrepeatability = {written}",
                (
                    f"[gauge] repeatability: {shown}: This is a share of the reading above 0 and below 20 %. "
                    'Write for example "0.6 %".'
                ),
            )
            for written, shown in [
                ("0.6", "0.6"),
                ('"0 %"', "“0 %”"),
                ('"20 %"', "“20 %”"),
                ("true", "true"),
                ('"a %"', "“a %”"),
                ("-0.01", "-0.01"),
                ("nan", "NaN"),
                ("[1]", "[1]"),
            ]
        ),
        (
            '[conditions]\nbarometer = "30 psi"',
            (
                "[conditions] barometer: 30 psi: No barometer shows that on the spot. "
                'Write the air pressure as it is there, for example "1003 hPa".'
            ),
        ),
        (
            '[conditions]\naltitude = "12000 m"',
            (
                "[conditions] altitude: 12000 m: No engine is cranked at that height. "
                'Write how far above the sea it stands, for example "120 m" or "400 ft".'
            ),
        ),
        (
            '[conditions]\ncranking_speed = "0 rpm"',
            "[conditions] cranking_speed: 0 rpm: Cranking speed is above zero. Correct it, or leave the line out.",
        ),
        (
            "[conditions]\noil = 80",
            (
                "[conditions] oil: 80: A temperature needs its unit. "
                'Write it in quotes with its unit, oil = "80 C" or oil = "80 F".'
            ),
        ),
        (
            '[conditions]\ninlet_air = "-300 C"',
            ('[conditions] inlet_air: read "-300 C": Nothing is below absolute zero. Type the figure that was read.'),
        ),
    ],
    ids=lambda value: value.partition("\n")[2] or value.partition(":")[0],
)
def test_what_cannot_be_used(text: str, message: str) -> None:
    assert refused(text) == [message]


# If this failed, a day would be refused that shops have.
@pytest.mark.parametrize(
    "line",
    [
        'barometer = "700 mbar"',
        'barometer = "400 hPa"',
        'barometer = "1150 hPa"',
        'altitude = "7000 m"',
        'barometer = "29.9 inHg"',
        'altitude = "-400 m"',
        'altitude = "14000 ft"',
        'oil = "-5 C"',
    ],
)
def test_days_as_there_are(line: str) -> None:
    assert parse_day(f"[conditions]\n{line}").conditions != Conditions()


# If this failed, a slip of the finger in the day would set every expectation wrong without a word (the limits are
# common practice, from memory), or a figure on its limit would be asked about in one unit and not in another.
@pytest.mark.parametrize(
    ("line", "said", "believed"),
    [
        ('cranking_speed = "19 rpm"', "19 rpm: A starter turns an engine at 50 to 600 rpm", "50 rpm"),
        ('cranking_speed = "1900 rpm"', "1900 rpm: A starter turns", "600 rpm"),
        ('inlet_air = "180 C"', "180 C: The air where an engine is cranked is at -40 to 60 C", "140 F"),
        ('oil = "800 F"', "800 F: The oil of an engine is at -40 to 150 C", "302 F"),
        ('battery = "124 V"', "124 V: A battery that turns a starter shows 4 to 32 V", "32 V"),
    ],
)
def test_a_day_that_is_hard_to_believe_is_asked_about(line: str, said: str, believed: str) -> None:
    key = line.partition(" ")[0]
    (message,) = refused(f"[conditions]\n{line}")
    assert message.startswith(f"[conditions] {key}: {said}")
    assert message.endswith("Check the figure and its unit; say --confirm-unit if it is meant.")
    assert parse_day(f"[conditions]\n{line}", confirmed=True).conditions != Conditions()
    assert parse_day(f'[conditions]\n{key} = "{believed}"').conditions != Conditions()


# If this failed, the builder would mend one fault only to be told the next.
def test_all_faults_are_told_at_once() -> None:
    text = (
        '[test]\ndate = "x"\n[gauge]\nrange = 300\nresolution = "-1 psi"\ngrade = "Z"\n[conditions]\noil = "80"\n[more]'
    )
    assert [message.partition(": ")[0] for message in refused(text)] == [
        "“more”",
        "[test] date",
        "[gauge] range",
        "[gauge] resolution",
        "[gauge] grade",
        "[conditions] oil",
    ]


# If this failed, a running time would be taken for a distance, or a distance below nothing would be taken.
@pytest.mark.parametrize(
    ("text", "value"), [("500 mile", 804_672), ("800 km", 800_000), ("25 h", 90_000), ("0 h", 0), ("90 min", 5_400)]
)
def test_what_an_engine_has_run(text: str, value: float) -> None:
    run = parse_run(text)
    assert run.value == pytest.approx(value)
    assert str(run) == text


# If this failed, what is neither would be written into the engine's log.
@pytest.mark.parametrize("text", ["", "500", "-5 h", "-500 mile", "12 psi", "many"])
def test_what_no_engine_has_run(text: str) -> None:
    with pytest.raises(InputRefused, match="What an engine has run is a distance or a running time"):
        parse_run(text)


# If this failed, a gauge typed at the terminal would be another one than the same gauge in a test file.
def test_a_gauge_as_it_is_typed() -> None:
    typed = {"name": "shop gauge", "range": "300 psi", "resolution": "2 psi", "grade": "B", "hose_volume": ""}
    assert parse_gauge(typed) == Gauge(
        "shop gauge",
        range=parse_gauge({"name": "x", "range": "300 psi"}).range,
        resolution=parse_gauge({"name": "x", "resolution": "2 psi"}).resolution,
        grade="B",
    )


# If this failed, a gauge without a name, or with faults, would enter the register; or a fault would be told twice.
@pytest.mark.parametrize(
    ("fields", "places"),
    [
        ({"range": "300 psi"}, ["name"]),
        ({"name": "a\x1b[2J", "range": "300"}, ["name", "range"]),
        ({"name": "x", "colour": "red"}, [""]),
    ],
)
def test_a_gauge_that_cannot_be_used(fields: dict[str, str], places: list[str]) -> None:
    with pytest.raises(GaugeRefused) as refusal:
        parse_gauge(fields)
    assert [fault.where for fault in refusal.value.faults] == places
    assert str(refusal.value).replace("\n", "").isprintable()
