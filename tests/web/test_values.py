"""
Figures as they come from phones and programs: one parser of numbers for all ways in.

The table (tests/data/numbers.json) is derived by hand; tests/test_numbers.py says how, tests/test_intake_numbers.py
asks it of files. A reading is not below zero, and a text of nothing but blanks is a reading that nobody saw.
"""

from __future__ import annotations

import json
from typing import Any
from urllib.parse import urlencode

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.served import EIGHT, SIX, Served, key
from tests.test_intake_numbers import TABLE

from ringtrue.compression import Pull
from ringtrue.units import Dimension, find_unit, from_si, to_si

# What is no number is a reading where a number stands before its unit.
WITH_UNIT = {"151psi": (151, "psi"), "151 psi": (151, "psi"), "151 kPa": (151, "kPa"), "1,5 bar": (1.5, "bar")}
PSI = find_unit("psi", Dimension.PRESSURE)


# If this failed, a phone would take a number that a file does not, or the other way round, or another number, or fall
# over what somebody typed.
def test_the_table_as_json(busy: Served, soaking: bool) -> None:
    assert len(TABLE) >= 300
    phone, wrong = busy.phone(), []
    test = busy.test()
    for number, (text, expected, _, _) in enumerate(TABLE):
        if not soaking and number % 3:
            continue
        if number % 60 == 0:
            test = busy.test()
        answer = phone.pull(test, "1", text, confirmed=True, repeat=True)
        value, unit = WITH_UNIT.get(text, (expected, "psi"))
        good = not isinstance(value, str) and value >= 0
        if answer.status != (201 if good else 422):
            wrong.append((text, answer.status, answer.body[:120]))
        elif good:
            row = busy.book.test(test).test.taken[-1]
            si = to_si(float(value), find_unit(unit, Dimension.PRESSURE))
            assert row.final is not None  # type: ignore[union-attr]
            assert row.final.pressure == pytest.approx(si, rel=1e-15), text  # type: ignore[union-attr]
        else:
            assert [fault["where"] for fault in answer.json["faults"]] == ["final"], text
            assert all(fault["why"].isprintable() and fault["instead"] for fault in answer.json["faults"]), text
    assert wrong == []


# If this failed, a form would be read by another parser than a file or a phone, or fall over what somebody typed.
def test_the_table_in_a_form(busy: Served, soaking: bool) -> None:
    phone, wrong = busy.phone(), []
    test = busy.test()
    for number, (text, expected, _, _) in enumerate(TABLE):
        if not soaking and number % 4:
            continue
        if number % 60 == 0:
            test = busy.test()
        said = {"key": key(), "cylinder": "1", "supply": "80 psi", "held": text, "restrictor": "0.040 in"}
        answer = phone.ask(
            "POST",
            f"/tests/{test}/leakdown",
            urlencode(said).encode(),
            content_type="application/x-www-form-urlencoded",
            accept="text/html",
        )
        # A cylinder holds no more than it is given; 151 kPa and 1.5 bar are less than 80 psi.
        value, unit = WITH_UNIT.get(text, (expected, "psi"))
        good = not isinstance(value, str) and 0 <= to_si(value, find_unit(unit, Dimension.PRESSURE)) <= to_si(80, PSI)
        if answer.status != (303 if good else 422):
            wrong.append((text, answer.status))
        elif good:
            row = busy.book.test(test).test.taken[-1]
            si = to_si(float(value), find_unit(unit, Dimension.PRESSURE))
            assert row.held.pressure == pytest.approx(si, rel=1e-15), text  # type: ignore[union-attr]
        else:
            assert b'id="held-fault1"' in answer.body, text
    assert wrong == []


# If this failed, JSON's own kinds of value would become a reading: true would be 1 psi, a list its first figure.
@pytest.mark.parametrize("field", ["first", "final", "strokes"])
@pytest.mark.parametrize(
    "value", ["true", "false", "null", "NaN", "Infinity", "-Infinity", "[150]", '{"psi": 150}', "1e999", "-1", "1e300"]
)
def test_what_is_no_figure(busy: Served, field: str, value: str) -> None:
    said = {"key": key(), "cylinder": "1", "unit": "psi", "final": "150", "confirmed": True}
    raw = json.dumps({**said, field: "@"}).replace('"@"', value)
    test = busy.test()
    answer = busy.phone().post(f"/api/tests/{test}/readings", raw.encode())
    assert answer.status == 422, answer.body
    # What cannot be read at all has no place; everything else names the field.
    places = [fault["where"] for fault in answer.json["faults"]]
    assert places == ([""] if value in {"NaN", "Infinity", "-Infinity"} else [field])
    assert busy.book.test(test).test.taken == ()


# If this failed, of two figures under one name the last would win without a word, or a slip in a name be passed over.
@pytest.mark.parametrize(
    ("raw", "where"),
    [
        ('"final": "150", "final": "180"', "final"),
        ('"final": "150", "Final": "180"', ""),
        ('"final": "150", "finall": "150"', ""),
        ('"final": "150", "unit": "psi"', "unit"),
    ],
)
def test_names_that_stand_twice_or_are_unknown(busy: Served, raw: str, where: str) -> None:
    test = busy.test()
    body = f'{{"key": "{key()}", "cylinder": "1", "unit": "psi", {raw}}}'
    answer = busy.phone().post(f"/api/tests/{test}/readings", body.encode())
    assert answer.status == 422
    assert [fault["where"] for fault in answer.json["faults"]] == [where]
    assert busy.book.test(test).test.taken == ()


# If this failed, what is no JSON at all would stop the server.
@pytest.mark.parametrize(
    "raw",
    [
        b"",
        b"{",
        b"[]",
        b"null",
        b'"x"',
        b"\xff\xfe{}",
        b"\xef\xbb\xbf{}",
        b"[" * 50_000,
        b'{"a":' * 10_000,
        b"{" + b" " * 70_000 + b"}",
        b'{"key": "\\ud800"}',
        b"1" * 60_000,
    ],
)
def test_bodies_that_are_none(busy: Served, raw: bytes) -> None:
    test, phone = busy.test(), busy.phone()
    for path in (
        "/api/tests",
        f"/api/tests/{test}/readings",
        f"/api/tests/{test}/readings/1/correct",
        f"/api/tests/{test}/readings/1/take-back",
        f"/api/tests/{test}/choose",
        f"/api/tests/{test}/finish",
    ):
        assert phone.post(path, raw).status in {413, 422}, path


# If this failed, bar typed where psi is set would be judged: a whole engine, or its first cylinder. What sound engines
# show, in bar and kg/cm2: 6 to 17 (common practice).
@pytest.mark.parametrize("final", ["6", "8.5", "10", "10.4", "11", "12.5", "13", "15", "17"])
def test_bar_typed_as_psi_is_questioned(busy: Served, final: str) -> None:
    test, phone = busy.test(), busy.phone()
    said = {"key": key(), "cylinder": "1", "unit": "psi", "final": final}
    answer = phone.post(f"/api/tests/{test}/readings", said)
    assert (answer.status, answer.json["doubtful"]) == (422, True)
    assert [fault["where"] for fault in answer.json["faults"]] == ["final"]
    assert busy.book.test(test).test.taken == ()
    assert phone.post(f"/api/tests/{test}/readings", {**said, "confirmed": True}).status == 201


# If this failed, a dead cylinder among sound ones, the very one that is looked for, would be asked about.
def test_a_dead_cylinder_is_believed(busy: Served) -> None:
    test, phone = busy.test(), busy.phone()
    for cylinder, final in (("1", 150), ("2", 151), ("3", 0), ("4", 4)):
        assert phone.pull(test, cylinder, final).status == 201
    # 12 bar would be in line with the others: that is asked, once.
    asked = phone.pull(test, "5", 12)
    assert (asked.status, asked.json["doubtful"]) == (422, True)
    assert phone.pull(test, "5", 12, confirmed=True).status == 201


def places(state: Any) -> dict[str, tuple[str, str]]:  # noqa: ANN401 - a LiveTest, as JSON
    """Return what is said of each cylinder."""
    return {each["name"]: (each["place"], each["off"]) for each in state["cylinders"]}


# If this failed, what a phone sends in the unit of its gauge would be judged otherwise there than in psi, or be kept in
# another unit, text or pressure than was read. (tests/test_unit_changes_nothing.py asks it of files, 10,000 times.)
def test_the_unit_changes_nothing(busy: Served, soaking: bool) -> None:
    @settings(max_examples=300 if soaking else 10)
    @given(
        finals=st.lists(st.integers(100, 200), min_size=6, max_size=6), unit=st.sampled_from(["kPa", "bar", "kg/cm2"])
    )
    def changes_nothing(finals: list[int], unit: str) -> None:
        phone, found = busy.phone(), []
        other = find_unit(unit, Dimension.PRESSURE)
        for name in ("psi", unit):
            test = busy.test()
            figures = [str(final) if name == "psi" else f"{from_si(to_si(final, PSI), other):.12f}" for final in finals]
            for number, figure in enumerate(figures, 1):
                assert phone.pull(test, str(number), figure, unit=name).status == 201
            taken = busy.book.test(test).test.taken
            kept = [row.final for row in taken if isinstance(row, Pull) and row.final is not None]
            assert [(each.written, each.unit) for each in kept] == [(figure, name) for figure in figures]
            assert [each.pressure for each in kept] == pytest.approx([to_si(final, PSI) for final in finals], rel=1e-9)
            found.append(places(phone.state(test)))
        # What is shown is rounded: a figure in the middle of two may fall to either side.
        for name, (place, off) in found[0].items():
            assert place == found[1][name][0]
            assert _shown(off) == pytest.approx(_shown(found[1][name][1]), abs=0.1001)

    changes_nothing()


def _shown(off: str) -> float:
    return float(off.removesuffix("%").replace("\N{MINUS SIGN}", "-") or 0.0)


# If this failed, the verdict would depend on which cylinder was pulled first.
@given(
    finals=st.lists(st.integers(100, 200), min_size=8, max_size=8), order=st.permutations([str(n) for n in range(1, 9)])
)
@settings(max_examples=10)
def test_the_order_of_entry_changes_nothing(busy: Served, finals: list[int], order: list[str]) -> None:
    phone, found = busy.phone(), []
    for names in ([str(n) for n in range(1, 9)], order):
        test = busy.test(EIGHT)
        for name in names:
            assert phone.pull(test, name, finals[int(name) - 1]).status == 201
        state = phone.state(test)
        found.append((places(state), state["figures"], state["says"], state["rules"]))
    assert found[0] == found[1]


# If this failed, two cylinders that were taken for each other could be put right without a trace, or not at all.
def test_a_swap_is_two_corrections_that_stay_in_the_record(busy: Served) -> None:
    test, phone = busy.test(), busy.phone(person="a builder", device="left phone")
    one, two = (phone.pull(test, name, final).json["entry"] for name, final in (("1", 150), ("2", 120)))
    for entry, final, cylinder in ((one, "150", "2"), (two, "120", "1")):
        said = {"key": key(), "why": "hoses swapped", "final": final, "unit": "psi", "cylinder": cylinder}
        assert phone.post(f"/api/tests/{test}/readings/{entry}/correct", said).status == 201
    recorded = busy.book.test(test)
    assert [(row.cylinder, row.final.written) for row in recorded.test.taken if row.final] == [  # type: ignore[union-attr]
        ("2", "150"),
        ("1", "120"),
    ]
    assert [(each.why, each.who, each.device) for each in recorded.corrections] == [
        ("hoses swapped", "a builder", "left phone")
    ] * 2
    assert not any(each["conflict"] for each in phone.state(test)["cylinders"])
    said = {"key": key(), "why": " ", "final": "1", "unit": "psi"}
    answer = phone.post(f"/api/tests/{test}/readings/{one}/correct", said)
    assert (answer.status, answer.json["faults"][0]["where"]) == (422, "why")


# If this failed, an engine of which a cylinder was not read would be called sound.
def test_with_a_cylinder_missing_the_whole_is_not_judged(busy: Served) -> None:
    test, phone = busy.test(SIX), busy.phone()
    for name in "12345":
        phone.pull(test, name, 150)
    rules = phone.state(test)["rules"]
    assert len(rules) > 5
    assert all(rule.startswith("Not judged") for rule in rules)
