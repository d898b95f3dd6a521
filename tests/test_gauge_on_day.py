"""A gauge as it was on the day of a test: which calibration, which dial, and what is said of it. Invented gauges."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest
from tests.calibrated import PSI, calibration, gauge, points

from ringtrue.compression import Calibration, Gauge, Study
from ringtrue.quantities import Measured
from ringtrue.records import Book, GaugeRevision, Header, _chain
from ringtrue.shop.calibrating import keep
from ringtrue.shop.entering import enter_file
from ringtrue.shop.gauge_on_day import GaugeOverTime, over_time
from ringtrue.shop.heading import change_heading, heading_of
from ringtrue.shop.judging import FileAndWords, judge_test
from ringtrue.shop.pull_said import Stamped

STORY = Path(__file__).parents[1] / "src" / "ringtrue" / "cli" / "story"
BARE = replace(gauge(), calibration=None)
OLD = calibration(points([(0, 0), (150, 152), (300, 304)], []), date="2025-03-01", due="2026-03-01")
NEW = calibration(date="2026-03-01", due="2027-03-01")
WHO = {"who": "a", "device": "b"}


@pytest.fixture
def book(tmp_path: Path) -> Iterator[Book]:
    """Yield a book whose gauge was calibrated twice, the older calibration put in late."""
    with Book.open(tmp_path / "book.db") as made:
        made.add_gauge(BARE, key="bare", **WHO)
        keep(made, replace(BARE, calibration=NEW), key="new", **WHO)
        keep(made, replace(BARE, calibration=OLD), key="old", **WHO)
        yield made


def said(*described: tuple[str, Gauge]) -> GaugeOverTime:
    """Return a gauge that was described so on these days."""
    return GaugeOverTime(tuple(GaugeRevision(each, "a", f"{day}T08:00:00Z") for day, each in described))


def made_on(found: Calibration | None) -> str:
    return found.date if found else "none"


# If this failed, a test of last year would be corrected by a calibration of this one, and one of a day before any
# calibration by a correction that nobody knows to hold.
def test_the_calibration_in_force_on_the_day(book: Book) -> None:
    known = over_time(book, "face-1")
    taken = {day: made_on(known.on(day).gauge.calibration) for day in ("2024-12-31", "2025-03-01", "2026-02-28", "")}
    assert taken == {"2024-12-31": "none", "2025-03-01": "2025-03-01", "2026-02-28": "2025-03-01", "": "2026-03-01"}
    assert known.on("2026-03-01").gauge == known.now
    assert known.on("2026-03-01").says == ""
    assert known.on("2025-06-20").says == "gauge face-1 is taken with its calibration of 2025-03-01, in force that day"
    assert "the first that is known, of 2025-03-01, was made later" in known.on("2024-12-31").says


# If this failed, a test that is entered late would not be judged as it would have been on its day, or nobody be told.
def test_a_test_that_is_entered_late(book: Book) -> None:
    words = FileAndWords(
        readings=STORY / "june.csv",
        sheet=STORY / "launch-six.toml",
        test=STORY / "june.toml",
        gauge=over_time(book, "face-1"),
    )
    entered = enter_file(book, words, who="a", device="b")
    kept = book.test(entered.test_id)
    assert kept.header.date == "2025-06-20"
    assert kept.header.gauge is not None
    assert made_on(kept.header.gauge.calibration) == "2025-03-01"
    assert "gauge face-1 is taken with its calibration of 2025-03-01, in force that day" in entered.warnings
    found = judge_test(kept.test, None, {}).judgement.dry
    assert found is not None
    assert any("calibration of 2025-03-01" in each for each in found.uncertainty_notes)
    # Later knowledge leaves it as it was judged, and the same file is still the same test.
    keep(book, replace(BARE, calibration=replace(OLD, date="2025-06-01")), key="between", **WHO)
    assert book.test(entered.test_id).header.gauge == kept.header.gauge


# If this failed, putting another gauge to a test of the book would give it the gauge of today.
def test_a_gauge_that_is_put_right_in_the_book(book: Book) -> None:
    header = Header("0417", "Launch six", date="2025-06-20", gauge=Gauge("wrong one"), plan_order=("1",))
    test_id = book.start(header, sheet_text=None, key="start", **WHO)
    heading = {**heading_of(header), "gauge": "face-1"}
    change_heading(book, test_id, heading, "it was the other", Stamped("a", "b", "change"))
    changed = book.test(test_id).header.gauge
    assert changed is not None
    assert made_on(changed.calibration) == "2025-03-01"


# If this failed, a crash between two lines would leave an older calibration in force for every test to come.
def test_an_older_calibration_is_kept_whole_or_not_at_all(book: Book, monkeypatch: pytest.MonkeyPatch) -> None:
    before, append, written = book.gauge_history("face-1"), _chain.append, []

    def stops(*args: object) -> object:
        written.append(args)
        if len(written) > 1:
            raise KeyboardInterrupt
        return append(*args)  # type: ignore[arg-type]

    late = replace(BARE, calibration=replace(OLD, date="2025-01-01"))
    with monkeypatch.context() as patch:
        patch.setattr(_chain, "append", stops)
        with pytest.raises(KeyboardInterrupt):
            keep(book, late, key="late", **WHO)
    assert len(written) == 2
    assert book.gauge_history("face-1") == before
    for _ in range(2):
        keep(book, late, key="late", **WHO)
    after = book.gauge_history("face-1")
    assert [made_on(each.gauge.calibration) for each in after[len(before) :]] == ["2025-01-01", "2026-03-01"]


# If this failed, a dial that was put in the place of another would be given to tests that were read with the old one.
def test_another_dial_of_the_same_name() -> None:
    small = replace(gauge(OLD), range=Measured(160 * PSI, "160", "psi"))
    studied = replace(small, repeatability=0.004, study=Study("2025-08-01", 4, 1, 3))
    large = replace(BARE, grade="A")
    known = said(("2025-01-05", small), ("2025-08-02", studied), ("2026-05-01", large))
    assert known.on("2025-06-20").gauge == studied
    assert known.on("2025-06-20").says.startswith(
        "gauge face-1 is taken with the dial that it had that day, 0 to 160 psi"
    )
    assert known.on("2024-06-20").gauge == replace(studied, calibration=None)
    assert known.on("2026-06-20").gauge == large


# If this failed, a calibration that was put right would not take the place of the one with the mistake.
def test_a_calibration_that_was_put_right() -> None:
    mistaken = replace(BARE, calibration=replace(NEW, months=24))
    known = said(("2026-03-01", mistaken), ("2026-03-02", gauge(NEW)))
    assert known.on("2026-03-05").gauge.calibration == NEW
