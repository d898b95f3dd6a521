"""What a plan says that the test will see: by hand, beside what a test then finds, and what it rests on."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import replace

import pytest
from tests.pulled import gauge, pulls, sheet, si

from ringtrue.compression import Gauge, Study
from ringtrue.engine import Limits
from ringtrue.history import Sight, pulls_to_see, sight_of_one
from ringtrue.measure.gauges import GaugeError
from ringtrue.quantities import PaGauge
from ringtrue.records import Book, Header
from ringtrue.shop.foreseeing import before_test, foresee

PSI = si(1.0, "psi")
FACE = replace(gauge(300, 2, "B"), name="face")
SIX = sheet(6)


@pytest.fixture(scope="module")
def book(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Book]:
    """Yield a book with an engine of six that was pulled once."""
    with Book.open(tmp_path_factory.mktemp("book") / "book.db") as made:
        _enter(made, "2026-05-14", FACE)
        yield made


def _enter(book: Book, date: str, used: Gauge | None, engine: str = "invented") -> str:
    header = Header(engine, engine, date=date, gauge=used, plan_order=SIX.cylinders)
    return book.enter(header, pulls([150.0] * 6), sheet_text="", key=f"{engine}-{date}", who="a", device="b")


# If this failed, a builder would be told that his gauge sees less, or more, than it does. By hand: between a test and a
# baseline of as many pulls there is root 2 of the scatter of one test alone, so one test sees 1 / root 2 of what
# test_the_smallest_loss_that_is_seen of the trend works out by hand, 2.37 % and 3.05 %.
def test_one_test_sees_a_root_of_two_less_than_a_change() -> None:
    error = GaugeError(None, 0.0, 0.0, 0.009, ())
    found = sight_of_one(error, 3, pressure=150 * PSI, cylinders=8)
    assert found is not None
    assert found.looks == pytest.approx(1 - math.exp(-0.0237 / math.sqrt(2)), rel=0.02)
    assert found.lower == pytest.approx(1 - math.exp(-0.0305 / math.sqrt(2)), rel=0.02)


# If this failed, a builder would pull once too often, or once too seldom. By hand: what is seen falls with the root of
# the pulls, so 4 % with one pull is 2 % with four; 0.5 % would take 64, more than anybody pulls.
def test_how_many_pulls_it_takes() -> None:
    def sees(count: int) -> Sight:
        return Sight(count, 0.04 / math.sqrt(count), 0.05)

    assert [pulls_to_see(share, sees) for share in (0.05, 0.02, 0.005)] == [1, 4, None]


# If this failed, a plan would not hold the coming test against the baseline that the engine has, or would not say that
# the baseline's single pull limits what any number of pulls can find.
def test_an_engine_with_a_baseline(book: Book) -> None:
    first, takes, rests = foresee(before_test(book, SIX), FACE)
    assert "a loss in one cylinder since the baseline, test" in first
    assert "of 2026-05-14, is found 9 times in 10 from" in first
    assert "of 1 % is not found even with 20 pulls of each, since the baseline has 1 pull of each" in takes
    assert "assumed to be 0.6 % of the reading, for there is no study of it" in rests


# If this failed, a plan would say of an engine without a baseline that it will see a change, or hide what it assumed.
def test_an_engine_without_a_baseline(book: Book) -> None:
    new = replace(SIX, name="new one", limits=Limits(minimum=PaGauge(120 * PSI)))
    known = replace(FACE, repeatability=0.004, study=Study("2026-02-01", 4, 1, 3))
    first, takes, none, rests = foresee(before_test(book, new), known)
    assert "a cylinder that reads low beside its siblings is found" in first
    assert "A difference of 3 % takes 1 pull of each" in takes
    assert "the engine has no finished test" in none
    assert "is 0.40 % of the reading, by the study of 2026-02-01" in rests
    assert "finals of about 120 psi are meant (the minimum of the build sheet)" in rests
    without_sheet_figures = foresee(before_test(None, SIX), known)
    assert "finals of about 145 psi are meant (assumed)" in without_sheet_figures[-1]


# If this failed, work that made another engine of it would be forgotten, and a worn engine's baseline be promised.
def test_work_that_made_a_new_baseline(book: Book) -> None:
    engine = replace(SIX, name="reworked")
    _enter(book, "2026-04-01", FACE, "reworked")
    book.add_event("reworked", "valve job", date="2026-06-01", new_baseline=True, key="valves", who="a", device="b")
    sentences = foresee(before_test(book, engine), FACE)
    assert "“valve job” made a new one, and no test was taken since" in sentences[2]
    assert "150 psi are meant (as in test" in sentences[3]


# If this failed, a number would be made up for a gauge of which nothing is known, for one cylinder, or for no gauge.
def test_where_nothing_can_be_said(book: Book) -> None:
    before = before_test(book, SIX)
    assert foresee(before, Gauge("bare"))[0].startswith("How gauge bare errs is not known")
    assert foresee(before_test(None, SIX), None)[0].startswith("How small a change")
    assert foresee(before_test(None, sheet(1)), FACE)[0].startswith("One cylinder has no siblings")
    assert foresee(before, None) == foresee(before, FACE)
    _enter(book, "2026-03-01", None, "unknown gauge")
    unknown = foresee(before_test(book, replace(SIX, name="unknown gauge")), FACE)
    assert "how the gauge of test" in unknown[2]
