"""What one row of a readings file says, what it may not say, and how rows go together. Words frozen."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from tests.written import as_csv, lines, read, refused

from ringtrue.compression import Kind, LeakdownReading, Pull
from ringtrue.engine import BuildSheet, Layout

FOUR = BuildSheet(name="Launch four", layout=Layout.INLINE, cylinders=("1", "2", "3", "L4"))
PULLS = "cylinder,first [psi],final [psi]"
LEAKS = "cylinder,kind,supply [psi],held [psi],restrictor [in],heard"


def pulls(raw: bytes) -> list[Pull]:
    """Return the pulls of a file."""
    return [taken for taken in read(raw).taken if isinstance(taken, Pull)]


# If this failed, the order of the rows, in which the battery sags, would be lost.
@given(st.permutations([str(number) for number in range(1, 13)]))
def test_rows_keep_their_order(order: list[str]) -> None:
    raw = as_csv([("cylinder", "final [psi]"), *((name, 150) for name in order)])
    assert [taken.cylinder for taken in read(raw).taken] == order


# If this failed, a kind would be read as another one.
@pytest.mark.parametrize(
    ("written", "kind"),
    [
        ("", Kind.DRY),
        ("dry", Kind.DRY),
        ("DRY", Kind.DRY),
        ("Wet", Kind.WET),
        ("leak-down", Kind.LEAKDOWN),
        ("Leak down", Kind.LEAKDOWN),
    ],
)
def test_kinds(written: str, kind: Kind) -> None:
    (taken,) = read(lines("cylinder,kind,final [psi]", f"1,{written},{'' if kind is Kind.LEAKDOWN else 150}")).taken
    assert taken.kind is kind


# If this failed, yes would be taken for no.
@pytest.mark.parametrize(
    ("written", "flag"),
    [
        ("yes", True),
        ("Y", True),
        ("TRUE", True),
        ("1", True),
        ("x", True),
        ("", False),
        ("no", False),
        ("N", False),
        ("false", False),
        ("0", False),
    ],
)
def test_yes_and_no(written: str, flag: bool) -> None:
    (pull,) = pulls(lines(f"{PULLS},first_spoiled", f"1,95,150,{written}"))
    assert pull.first_spoiled is flag
    assert str(pull.first) == "95 psi"


# If this failed, a pull that nobody saw the end of would be refused, or would be a zero.
def test_what_was_not_seen() -> None:
    one, two, three = pulls(lines(PULLS, "1,,150", "2,95,", "3,,"))
    assert [str(figure) for figure in (one.first, one.final)] == ["None", "150 psi"]
    assert [str(figure) for figure in (two.first, two.final)] == ["95 psi", "None"]
    assert (three.first, three.final) == (None, None)


# If this failed, a needle that stayed where the first stroke put it, or a cylinder that lets nothing go, would be
# refused, or the last digit of a conversion would decide: 150 psi is 10.34213594 bar, 80 psi 551.5805835 kPa.
@pytest.mark.parametrize(
    "rows",
    [
        [PULLS, "1,150,150"],
        ["cylinder,first [psi],final [bar]", "1,150,10.342135935"],
        [LEAKS, "1,leakdown,80,80,0.040,"],
        ["cylinder,kind,supply [kPa],held [psi]", "1,leakdown,551.580583,80"],
    ],
)
def test_as_much_as_can_be(rows: list[str]) -> None:
    assert len(read(lines(*rows)).taken) == 1


# If this failed, what was heard, and where, would be lost or garbled.
@pytest.mark.parametrize(
    ("written", "heard"),
    [
        ("", ()),
        ("crankcase", ("crankcase",)),
        ("Intake; EXHAUST ;coolant;", ("intake", "exhaust", "coolant")),
        ("cylinder 3", ("cylinder 3",)),
        ("Cylinder   L4; intake; intake", ("cylinder L4", "intake")),
        ("nothing", ("nothing",)),
    ],
)
def test_where_air_is_heard(written: str, heard: tuple[str, ...]) -> None:
    (taken,) = read(lines(LEAKS, f"1,leakdown,80,70,0.040,{written}"), sheet=FOUR).taken
    assert isinstance(taken, LeakdownReading)
    assert taken.heard == heard


NEEDLE = (
    "The needle holds the highest, so the final is never below the first. "
    "Check whether the two were swapped, or one was misread."
)
OF_A_LEAKDOWN = "This belongs to a leak-down reading. Write kind leakdown, or clear the cell."
OF_A_PULL = "This belongs to a pull, not to a leak-down reading. Clear the cell."
HEARD = "Air is heard at crankcase, intake, exhaust, coolant, nothing or cylinder N. Type these, parted by “;”."
NAME = 'A cylinder\'s name is 1 to 20 printable characters without a semicolon. Type for example "1" or "L3".'
AGAIN = (
    "There is already such a row, and nothing says which one counts. Number declared repeats 1, 2, 3 in a column "
    "“repeat”, mark the last check as drift, or remove one."
)
DRIFT = (
    "It repeats a cylinder that was pulled before, and there is no such pull above. "
    "Put it below that pull, or clear the cell."
)


# If this failed, a row that cannot be would be judged, or refused without its place, its reason and a way out.
@pytest.mark.parametrize(
    ("rows", "messages"),
    [
        ([PULLS, "1,160,150"], [f"row 2, column first [psi]: first 160 psi above final 150 psi: {NEEDLE}"]),
        (
            ["cylinder,first [psi],final [bar]", "1,160,10.4"],
            [f"row 2, column first [psi]: first 160 psi above final 10.4 bar: {NEEDLE}"],
        ),
        ([PULLS, ",95,150"], ["row 2, column cylinder: The cylinder is missing. Write its name, or remove the row."]),
        ([PULLS, f"{'x' * 21},95,150"], [f"row 2, column cylinder: “{'x' * 21}”: {NAME}"]),
        ([PULLS, "1;2,95,150"], [f"row 2, column cylinder: “1;2”: {NAME}"]),
        (
            [PULLS, "1,-5,150"],
            [
                (
                    'row 2, column first [psi]: read "-5": A compression gauge shows nothing below zero. '
                    "Type the figure that was read."
                )
            ],
        ),
        (
            [f"{PULLS},kind", "1,95,x,damp"],
            [
                'row 2, column kind: read "damp": A reading is dry, wet or leakdown. Type one of these words.',
                (
                    'row 2, column final [psi]: read "x": A number has no letters in it. Type the digits alone, '
                    "such as 151."
                ),
            ],
        ),
        (
            [f"{PULLS},drift", "1,95,150,maybe"],
            ['row 2, column drift: read "maybe": This is yes or no. Type yes, no, or leave it blank.'],
        ),
        *(
            (
                [f"{PULLS},{column}", f"1,95,150,{text}"],
                [
                    (
                        f'row 2, column {column}: read "{text}": This is a whole number from 1 to {most}. '
                        "Type for example 2, or leave it blank."
                    )
                ],
            )
            for column, most in (("strokes", 200), ("repeat", 50))
            for text in ("0", "-1", "2.5", "1_0", "many", str(most + 1), "1e1", "\u0662")
        ),
        (
            [f"{PULLS},oil", "1,95,150,5 cc"],
            ['row 2, column oil: read "5 cc": Oil belongs to a wet pull. Write kind wet, or clear the cell.'],
        ),
        (
            [f"{PULLS},supply [psi],held [psi],restrictor [in],heard", "1,95,150,80,70,0.04,intake"],
            [
                f'row 2, column supply [psi]: read "80": {OF_A_LEAKDOWN}',
                f'row 2, column held [psi]: read "70": {OF_A_LEAKDOWN}',
                f'row 2, column restrictor [in]: read "0.04": {OF_A_LEAKDOWN}',
                f'row 2, column heard: read "intake": {OF_A_LEAKDOWN}',
            ],
        ),
        (
            [f"{LEAKS},first [psi],final [psi],oil,strokes,drift", "1,leakdown,80,70,0.04,,9,9,5 cc,5,yes"],
            [
                f'row 2, column first [psi]: read "9": {OF_A_PULL}',
                f'row 2, column final [psi]: read "9": {OF_A_PULL}',
                f'row 2, column oil: read "5 cc": {OF_A_PULL}',
                f'row 2, column strokes: read "5": {OF_A_PULL}',
                f'row 2, column drift: read "yes": {OF_A_PULL}',
            ],
        ),
        (
            [LEAKS, "1,leakdown,80,85,0.040,"],
            [
                (
                    "row 2, column held [psi]: 85 psi of 80 psi: A cylinder cannot hold more than it is given. "
                    "Check whether the two were swapped."
                )
            ],
        ),
        (
            [LEAKS, "1,leakdown,0,0,0.040,"],
            [
                (
                    "row 2, column supply [psi]: 0 psi: A cylinder cannot be tested without pressure. "
                    "Write the regulated supply, often 80 psi."
                )
            ],
        ),
        ([LEAKS, "1,leakdown,80,70,0.04,intake; window"], [f'row 2, column heard: read "window": {HEARD}']),
        (
            [LEAKS, "1,leakdown,80,70,0.04,nothing; intake"],
            [
                (
                    'row 2, column heard: read "nothing; intake": Nothing and something cannot both be heard. Keep '
                    "one of them."
                )
            ],
        ),
        # Rows together.
        ([PULLS, "1,95,150", "1,96,151"], [f"row 3, column cylinder: cylinder 1 dry again: {AGAIN}"]),
        (
            [f"{PULLS},repeat", "1,95,150,2", "1,96,151,2"],
            [f"row 3, column cylinder: cylinder 1 dry again, repeat 2: {AGAIN}"],
        ),
        (
            [f"{PULLS},repeat", "1,95,150,", "1,96,151,1"],
            [f"row 3, column cylinder: cylinder 1 dry again, repeat 1: {AGAIN}"],
        ),
        (
            [LEAKS, "1,leakdown,80,70,0.04,", "1,leakdown,80,71,0.04,"],
            [f"row 3, column cylinder: cylinder 1 leakdown again: {AGAIN}"],
        ),
        ([f"{PULLS},drift", "1,95,150,yes"], [f"row 2, column drift: drift on cylinder 1: {DRIFT}"]),
        ([f"{PULLS},drift", "1,,,", "1,95,150,yes"], [f"row 3, column drift: drift on cylinder 1: {DRIFT}"]),
        (
            [f"{PULLS},drift,kind", "1,95,150,,dry", "1,95,150,yes,wet"],
            [f"row 3, column drift: drift on cylinder 1: {DRIFT}"],
        ),
    ],
    ids=lambda value: "|".join(value)[:60] if isinstance(value, list) else "",
)
def test_rows_that_cannot_be(rows: list[str], messages: list[str]) -> None:
    assert refused(lines(*rows)) == messages


# If this failed, declared repeats, other kinds, or the day's last check would be taken for slips.
def test_rows_that_go_together() -> None:
    header = f"{PULLS},kind,repeat,drift"
    rows = [
        "1,95,150,,,",
        "1,95,151,,2,",
        "1,96,152,dry,3,",
        "1,,160,wet,,",
        "2,95,150,,1,",
        "1,94,149,,,yes",
        "1,94,148,,,yes",
    ]
    taken = pulls(lines(header, *rows))
    assert [(pull.kind.value, pull.repeat, pull.drift) for pull in taken] == [
        ("dry", None, False),
        ("dry", 2, False),
        ("dry", 3, False),
        ("wet", None, False),
        ("dry", 1, False),
        ("dry", None, True),
        ("dry", None, True),
    ]


# If this failed, a cylinder of another engine would be judged with this one's, or the builder would not see his slip.
@pytest.mark.parametrize(
    ("rows", "message"),
    [
        (
            [PULLS, "5,95,150"],
            (
                "row 2, column cylinder: cylinder “5”: The build sheet of Launch four does not have it. "
                "Write one of 1, 2, 3, L4."
            ),
        ),
        (
            [PULLS, "l4,95,150"],
            (
                "row 2, column cylinder: cylinder “l4”: The build sheet of Launch four does not have it. "
                "Did you mean L4?"
            ),
        ),
        (
            [LEAKS, "1,leakdown,80,70,0.04,cylinder 9"],
            (
                "row 2, column heard: cylinder “9”: The build sheet of Launch four "
                "does not have it. Write one of 1, 2, 3, L4."
            ),
        ),
    ],
)
def test_cylinders_that_the_sheet_does_not_have(rows: list[str], message: str) -> None:
    assert refused(lines(*rows), sheet=FOUR) == [message]
    assert len(read(lines(*rows)).taken) == 1


# If this failed, a file could not be judged until every cylinder was read.
def test_a_cylinder_may_be_missing() -> None:
    assert len(read(lines(PULLS, "1,95,150", "3,,"), sheet=FOUR).taken) == 2


# If this failed, the builder would mend one fault only to be told the next, or mend what is not broken: a drift row
# below a faulty pull has its pull above it.
def test_every_fault_is_told_at_once_and_once() -> None:
    raw = lines(
        "cylinder,first [psi],final [psi],strokes,drift,note [x],lenght",
        "1,xx,1_50,0,,,",
        "2,160,150,6,,,",
        ",95,150,6,,,",
        "9,95,1600,6,,,",
        "2,95,150,6,,,",
        "1,95,150,6,yes,,",
        "3,95,150,6,yes,,",
    )
    assert [message.partition(": ")[0] for message in refused(raw, sheet=FOUR)] == [
        "row 2, column first [psi]",
        "row 2, column final [psi]",
        "row 2, column strokes",
        "row 3, column first [psi]",
        "row 4, column cylinder",
        "row 5, column final [psi]",
        "row 5, column cylinder",
        "row 6, column cylinder",
        "row 8, column drift",
    ]
