"""Build sheets, from TOML to the engine: every field, and every way in which one cannot be used. Words frozen."""

from __future__ import annotations

import math
from pathlib import Path

import pytest

from ringtrue.engine import BuildSheet, Cooling, Geometry, Heads, Ignition, Layout
from ringtrue.errors import SheetRefused
from ringtrue.intake import parse_sheet, read_sheet

WHOLE = """
[engine]
name = "Launch six"
reference = "0417"
layout = "inline"
cycle = 4
ignition = "spark"
cylinders = ["1", "2", "3", "4", "5", "6"]
banks = [["1", "2", "3", "4", "5", "6"]]
firing_order = ["1", "5", "3", "6", "2", "4"]
firing_intervals = [120, 120.0, 120, 120, 120, 120]
heads = "shared"
cooling = "liquid"
hazards = ["direct injection"]

[geometry]
bore = "92 mm"
stroke = "3.5 in"
rod = "17,5 cm"
compression_ratio = 8.2
chamber = "5 in3"
deck_clearance = "-0.4 mm"
gasket_thickness = "48 thou"
gasket_bore = "94 mm"
piston_dish = "-6 cc"

[measured."3"]
chamber = "80 ml"

[camshaft]
quoted_at_lift = "0.050 in"
quoted_at = "tappet"
rocker_ratio = 1.5
lash = "0 mm"
intake_opens = "8 deg before TDC"
intake_closes = "44° ABDC"
exhaust_opens = "46 deg before BDC"
exhaust_closes = "6 deg after TDC"
intake_duration = "232 deg"
exhaust_duration = "232 deg"
lobe_separation = "108 deg"
advance = "0 deg"
intake_lift = "10.5 mm"
intake_valve_diameter = "44 mm"

[rings]
kind = "gapped"
top_gap = "0.40 mm"

[limits]
minimum = "120 psi"
spread = "1 bar"
lowest_over_highest = 0.80
adopt = ["CT-04"]
"""
SMALL = '[engine]\nname = "x"\nlayout = "inline"\ncylinders = ["1", "2"]\n'


def refused(text: str) -> list[str]:
    """Return the faults of a sheet, as they are told."""
    with pytest.raises(SheetRefused) as refusal:
        parse_sheet(text)
    return [str(fault) for fault in refusal.value.faults]


# If this failed, something that a builder wrote on his sheet would come out as something else. The figures in SI are
# worked by hand; the inch is 25.4 mm and the psi 6894.757 Pa by definition.
def test_every_field() -> None:
    sheet = parse_sheet(WHOLE)
    assert (sheet.name, sheet.reference, sheet.key) == ("Launch six", "0417", "0417")
    assert (sheet.layout, sheet.cycle, sheet.ignition) == (Layout.INLINE, 4, Ignition.SPARK)
    assert sheet.cylinders == tuple("123456")
    assert sheet.banks == (tuple("123456"),)
    assert sheet.firing_order == tuple("153624")
    assert sheet.firing_intervals == (120.0,) * 6
    assert (sheet.heads, sheet.cooling, sheet.hazards) == (Heads.SHARED, Cooling.LIQUID, ("direct injection",))
    size = sheet.geometry
    assert (size.bore, size.stroke, size.rod) == pytest.approx((0.092, 0.0889, 0.175), rel=1e-12)
    assert (size.compression_ratio, size.chamber) == pytest.approx((8.2, 5 * 16.387064e-6), rel=1e-12)
    assert (size.deck_clearance, size.gasket_thickness) == pytest.approx((-0.0004, 0.0012192), rel=1e-12)
    assert (size.gasket_bore, size.piston_dish) == pytest.approx((0.094, -6e-6), rel=1e-12)
    assert dict(sheet.measured) == {"3": Geometry(chamber=80 * 1e-6)}
    cam = sheet.camshaft
    assert (cam.quoted_at, cam.rocker_ratio, cam.lash) == ("tappet", 1.5, 0.0)
    assert (cam.quoted_at_lift, cam.intake_lift) == pytest.approx((0.00127, 0.0105), rel=1e-12)
    assert cam.intake_valve_diameter == pytest.approx(0.044, rel=1e-12)
    events = [cam.intake_opens, cam.intake_closes, cam.exhaust_opens, cam.exhaust_closes]
    lengths = [cam.intake_duration, cam.exhaust_duration, cam.lobe_separation, cam.advance]
    turned = [math.nan if angle is None else math.degrees(angle) for angle in events + lengths]
    assert turned == pytest.approx([8, 44, 46, 6, 232, 232, 108, 0])
    assert sheet.rings.kind == "gapped"
    assert sheet.rings.top_gap == pytest.approx(0.0004)
    assert sheet.limits.minimum == pytest.approx(827370.9, abs=0.1)
    assert sheet.limits.spread == 1e5
    assert (sheet.limits.lowest_over_highest, sheet.limits.adopt) == (0.8, ("CT-04",))


# If this failed, a builder who knows three things of his engine could not begin.
def test_what_may_be_left_out() -> None:
    assert parse_sheet(SMALL) == BuildSheet(name="x", layout=Layout.INLINE, cylinders=("1", "2"))
    assert parse_sheet(SMALL).banks == (("1", "2"),)


# If this failed, an even-firing engine would have to write out what every one of them has.
@pytest.mark.parametrize(("cycle", "apart"), [(4, 360.0), (2, 180.0)])
def test_even_firing_goes_without_saying(cycle: int, apart: float) -> None:
    sheet = parse_sheet(f'{SMALL}cycle = {cycle}\nfiring_order = ["2", "1"]\n')
    assert sheet.firing_intervals == (apart, apart)


# If this failed, a sheet would depend on capitals, blanks or quotes that mean nothing.
@pytest.mark.parametrize(
    "text",
    [
        '[engine]\nname = " x "\nlayout = "INLINE"\ncylinders = [1, 2]\n',
        '\ufeff[engine]\r\nname = "x"\r\nlayout = " Inline "\r\ncylinders = [" 1", "2 "]\r\n',
    ],
)
def test_what_does_not_matter(text: str, tmp_path: Path) -> None:
    path = tmp_path / "sheet ü.toml"
    path.write_text(text, "utf-8", newline="")
    assert read_sheet(path)[0] == parse_sheet(SMALL)


# If this failed, a valve that opens after the dead centre it is usually counted before would be read the wrong way.
def test_the_other_side_of_a_dead_centre_is_negative() -> None:
    cam = parse_sheet(SMALL + '[camshaft]\nintake_opens = "2 deg after TDC"\nintake_closes = "10 BBDC"\n').camshaft
    assert (cam.intake_opens, cam.intake_closes) == pytest.approx((math.radians(-2), math.radians(-10)))


# If this failed, what cannot be used would be used, or the builder would not be told which field, why, and what to
# write instead.
@pytest.mark.parametrize(
    ("added", "message"),
    [
        # Bare numbers, wrong kinds of figure, figures that could be two.
        (
            "[geometry]\nbore = 92",
            (
                "[geometry] bore: 92: A length needs its unit. "
                'Write it in quotes with its unit, bore = "92 mm" or bore = "92 in".'
            ),
        ),
        (
            "[limits]\nminimum = 8.5",
            (
                "[limits] minimum: 8.5: A pressure needs its unit. "
                'Write it in quotes with its unit, minimum = "8.5 psi" '
                'or minimum = "8.5 kPa".'
            ),
        ),
        (
            '[geometry]\nbore = "92"',
            '[geometry] bore: read "92": A length needs its unit. Type 92 mm or 92 in or 92 thou.',
        ),
        (
            '[geometry]\nchamber = "71 mm"',
            (
                '[geometry] chamber: read "mm": The unit mm is one of length, and a volume is wanted here. '
                "Write cc, ml, in3 or L."
            ),
        ),
        (
            '[geometry]\nbore = "1,234 mm"',
            '[geometry] bore: read "1,234": This can be 1234 or 1.234. Type 1234 or 1.234.',
        ),
        ("[geometry]\nbore = true", "[geometry] bore: true: A length needs a number and a unit. Type it as 92 mm."),
        ("[geometry]\nbore = [92]", "[geometry] bore: [92]: A length needs a number and a unit. Type it as 92 mm."),
        (
            '[geometry]\nbore = ""',
            "[geometry] bore: nothing was written: A length needs a number and a unit. Type it as 92 mm.",
        ),
        (
            "[geometry]\nbore = nan",
            (
                "[geometry] bore: NaN: This is not a number. "
                "Type the number that was read, or leave the place blank if nobody saw it."
            ),
        ),
        (
            "[geometry]\ncompression_ratio = [8.4]",
            ("[geometry] compression_ratio: [8.4]: This is a number. Write for example compression_ratio = 8.4."),
        ),
        (
            "[geometry]\ncompression_ratio = true",
            ('[geometry] compression_ratio: read "true": Yes or no is no number. Type the number that was read.'),
        ),
        (
            '[geometry]\ncompression_ratio = "8.4:1"',
            (
                '[geometry] compression_ratio: read "8.4:1": '
                "A number is digits with at most one decimal point. Type the number that was read, such as 151."
            ),
        ),
        (
            '[limits]\nminimum = "120 psia"',
            (
                '[limits] minimum: read "120 psia": The unit psia is counted from vacuum, '
                "and the barometer of the day is not known. Give the barometer in the "
                "conditions of the test, or type what a gauge shows, in psi."
            ),
        ),
        # Words and lists.
        ('heads = "sharde"', '[engine] heads: “sharde”: Heads is one of "shared", "separate". Did you mean shared?'),
        ("cooling = 4", '[engine] cooling: 4: Cooling is one of "liquid", "air". Write one of these words in quotes.'),
        (
            'cycle = "4"',
            "[engine] cycle: “4”: An engine here has 2 or 4 strokes a cycle. Write cycle = 4 or cycle = 2.",
        ),
        (
            "cycle = true",
            "[engine] cycle: true: An engine here has 2 or 4 strokes a cycle. Write cycle = 4 or cycle = 2.",
        ),
        (
            "reference = 417",
            ('[engine] reference: 417: This is a line of text. Write it in quotes, for example reference = "0417".'),
        ),
        (
            'reference = "a\\nb"',
            (
                r"[engine] reference: “a\nb”: This is a line of text. "
                'Write it in quotes, for example reference = "0417".'
            ),
        ),
        (
            'hazards = "hybrid"',
            ('[engine] hazards: “hybrid”: This is a list of names. Write for example hazards = ["1", "2"].'),
        ),
        (
            "firing_order = [1, 2.5]",
            ('[engine] firing_order: [1, 2.5]: This is a list of names. Write for example firing_order = ["1", "2"].'),
        ),
        (
            'banks = ["1", "2"]',
            (
                '[engine] banks: ["1", "2"]: This is a list of lists. '
                'Write for example banks = [["1", "2"], ["3", "4"]].'
            ),
        ),
        (
            "banks = [[true]]",
            ('[engine] banks: [true]: This is a list of names. Write for example banks = ["1", "2"].'),
        ),
        (
            'firing_intervals = ["360", 360]',
            (
                '[engine] firing_intervals: ["360", 360]: This is a list of crank degrees. '
                "Write for example [90, 180, 90, 360]."
            ),
        ),
        (
            "firing_intervals = [1e9, 360]",
            (
                "[engine] firing_intervals: [1000000000.0, 360]: This is a list of crank "
                "degrees. Write for example [90, 180, 90, 360]."
            ),
        ),
        # Fields and tables that are not there.
        ('ignitoin = "spark"', "[engine]: “ignitoin”: There is no such field here. Did you mean ignition?"),
        ('[geometry]\nstrok = "3 mm"', "[geometry]: “strok”: There is no such field here. Did you mean stroke?"),
        (
            '[rings]\ncolour = "red"',
            "[rings]: “colour”: There is no such field here. The fields here are kind, top_gap.",
        ),
        ("[camshafts]", "“camshafts”: There is no such table here. Did you mean [camshaft]?"),
        (
            "[gearbox]",
            (
                "“gearbox”: There is no such table here. "
                "The tables here are [engine], [geometry], [measured], [camshaft], [rings], [gasket], [limits]."
            ),
        ),
        (
            "[[geometry]]",
            "[geometry]: [{}]: This is a table of its own. Write a line [geometry] and its fields below it.",
        ),
        (
            "[measured]\n2 = 70",
            ('[measured."2"]: 70: This is a table of its own. Write a line [measured."2"] and its fields below it.'),
        ),
        ('[measured."2"]\nbor = "1 mm"', '[measured."2"]: “bor”: There is no such field here. Did you mean bore?'),
        # Cam and rings.
        (
            '[camshaft]\nintake_closes = "44 deg after TDC"',
            (
                "[camshaft] intake_closes: “44 deg after TDC”: Intake closes is "
                'counted after BDC (or before BDC). Write for example intake_closes = "40 deg after BDC".'
            ),
        ),
        (
            "[camshaft]\nintake_closes = 44",
            (
                "[camshaft] intake_closes: 44: A valve opens or closes so many degrees before "
                'or after a dead centre. Write for example intake_closes = "40 deg after BDC".'
            ),
        ),
        (
            '[camshaft]\nintake_closes = "44"',
            (
                '[camshaft] intake_closes: read "44": A valve event is so many crank degrees '
                "before or after a dead centre. Type it as 8 deg before TDC, or 44 deg after BDC."
            ),
        ),
        (
            '[camshaft]\nquoted_at = "lobe"',
            (
                "[camshaft] quoted_at: “lobe”: The lift is quoted at the tappet or at the valve. "
                'Write "tappet" or "valve".'
            ),
        ),
        (
            '[camshaft]\nlash = "-1 mm"',
            ("[camshaft] lash: a negative figure: Lash is not below zero. Correct it, or leave the line out."),
        ),
        ('[rings]\nkind = "none"', '[rings] kind: “none”: Rings are gapped or gapless. Write "gapped" or "gapless".'),
        (
            '[rings]\ntop_gap = "-0.1 mm"',
            ("[rings] top_gap: a negative gap: A gap is not below zero. Correct it, or leave the line out."),
        ),
    ],
    ids=lambda value: value.partition(":")[0],
)
def test_what_cannot_be_used(added: str, message: str) -> None:
    assert refused(SMALL + added) == [message]


# If this failed, a sheet without its three needful lines would be taken, or refused without saying what to add.
@pytest.mark.parametrize(
    ("text", "messages"),
    [
        ("", ["[engine]: The table is missing. Write a line [engine] and its fields below it."]),
        ("engine = 6", ["[engine]: 6: This is a table of its own. Write a line [engine] and its fields below it."]),
        (
            "[engine]",
            [
                '[engine] name: Name is missing. Add a line name = "Launch six".',
                (
                    "[engine] layout: Layout is missing. "
                    'Add a line layout = "single", or another of "inline", "V", "flat", "radial".'
                ),
                '[engine] cylinders: The cylinders are missing. Add a line cylinders = ["1", "2", "3", "4"].',
            ],
        ),
        (
            '[engine]\nname = ""\nlayout = "V"\ncylinders = []',
            [
                '[engine] name: Name is missing. Add a line name = "Launch six".',
                '[engine] cylinders: The cylinders are missing. Add a line cylinders = ["1", "2", "3", "4"].',
            ],
        ),
        (
            '[engine]\nname = "x"\nlayout = "V"\ncylinders = 6',
            ['[engine] cylinders: 6: This is a list of names. Write for example cylinders = ["1", "2"].'],
        ),
    ],
)
def test_what_is_needed(text: str, messages: list[str]) -> None:
    assert refused(text) == messages


# If this failed, what is not TOML would stop the program, or the builder would have to search for the line.
@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("[engine]\nname = x\n", "line 2: “name = x”: It is not written as TOML (invalid value)."),
        ("[geometry]\n\nbore = 92 mm", "line 3: “bore = 92 mm”: It is not written as TOML (expected newline"),
        ('name = "x"\nname = "y"\n', 'line 2: “name = "y"”: It is not written as TOML (cannot overwrite a value).'),
        ("[engine", "at its end: It is not written as TOML (expected ']' at the end of a table declaration)."),
        ('name = "', "at its end: It is not written as TOML (unterminated string)."),
        ("[" * 5000, "It is not written as TOML ("),
        (f"a = {'[' * 50_000}", "It is not written as TOML (maximum recursion"),
        (f"bore = {'9' * 5_000}", "It is not written as TOML (exceeds the limit"),
        ("date = 2026-13-45", "It is not written as TOML ("),
    ],
)
def test_what_is_not_toml(text: str, told: str) -> None:
    (message,) = refused(text)
    assert message.startswith(told) or f": {told}" in message
    assert message.endswith('Text stands in quotes, a field is written as name = "value".')


# If this failed, figures too large for the program, or letters that steer a terminal, would come through a sheet.
def test_figures_and_letters_that_nobody_means() -> None:
    huge = "0x" + "F" * 5_000
    assert refused(
        f"{SMALL}cycle = {huge}\nfiring_intervals = [{huge}]\nbanks = [[{huge}]]\n[geometry]\nbore = {huge}"
    ) == [
        (
            "[engine] cycle: a number of too many figures: An engine here has 2 or 4 strokes a cycle. "
            "Write cycle = 4 or cycle = 2."
        ),
        (
            "[engine] banks: a number of too many figures: This is a list of names. "
            'Write for example banks = ["1", "2"].'
        ),
        (
            "[engine] firing_intervals: a number of too many figures: This is a list of crank degrees. "
            "Write for example [90, 180, 90, 360]."
        ),
        "[geometry] bore: a number of too many figures: No gauge shows such a number. Type the number that was read.",
    ]
    escapes = refused(f'{SMALL}hazards = ["\\u001b[2J"]\n"\\u001b[2J" = 1\n[measured."\\u001b[2J"]\n"{"x" * 1000}" = 1')
    assert len(escapes) == 3
    assert all(message.isprintable() and len(message) < 300 for message in escapes)


# If this failed, the builder would mend one fault only to be told the next.
def test_all_faults_are_told_at_once() -> None:
    text = SMALL + 'firing_order = ["1", "3"]\n[geometry]\nbore = 92\nstroke = "-1 mm"\n[limits]\nadopt = ["CT-99"]'
    assert [message.partition(":")[0] for message in refused(text)] == [
        "[geometry] bore",
        "[engine] firing_order",
        "[geometry] stroke",
        "[limits] adopt",
    ]


# If this failed, what the shop calls its engines and its gaskets, or a ring gap that was measured, would be lost, or be
# taken for a size of the chamber.
def test_family_gasket_and_measured_gaps() -> None:
    more = (
        '[engine]\nname = "x"\nfamily = "small diesels"\nlayout = "inline"\ncylinders = ["1", "2"]\n'
        '[gasket]\nkind = "copper"\n[measured."1"]\ntop_gap = "0.42 mm"\n[measured."2"]\nchamber = "70 cc"\n'
    )
    sheet = parse_sheet(more)
    assert (sheet.family, sheet.gasket) == ("small diesels", "copper")
    assert dict(sheet.measured_gaps) == {"1": pytest.approx(0.42e-3)}
    assert list(sheet.measured) == ["2"]
    with pytest.raises(SheetRefused, match="A gap is not below zero"):
        parse_sheet(more.replace("0.42 mm", "-0.42 mm"))
    with pytest.raises(SheetRefused, match="3"):
        parse_sheet(more.replace('[measured."1"]', '[measured."3"]'))
