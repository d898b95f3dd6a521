"""``ringtrue leakdown``: one leak-down reading, and the order in which the cylinders come to the top."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

from cyclopts import Parameter

from ringtrue.cli import options

if TYPE_CHECKING:
    from ringtrue.shop.leakdown import Asked, Engine, Weighed
    from ringtrue.shop.leakdown_kept import Kept
    from ringtrue.shop.workplace import Workplace

NEW = "new"
"""What is typed for a test of its own."""


def leakdown(
    *,
    supply: Annotated[options.Given, Parameter(help='What the regulator gives, for example "80 psi".')] = None,
    held: Annotated[options.Given, Parameter(help='What the cylinder holds, for example "64 psi".')] = None,
    restrictor: Annotated[options.Given, Parameter(help='Bore of the restrictor, for example "0.040 in".')] = None,
    cylinder: Annotated[options.Given, Parameter(help="Which cylinder; with --order the one to begin with.")] = None,
    heard: Annotated[
        tuple[str, ...],
        Parameter(
            help="Where the air comes out: crankcase, intake, exhaust, coolant, cylinder N, nothing; several words.",
            consume_multiple=True,
            negative=(),
        ),
    ] = (),
    cd: Annotated[options.Given, Parameter(help="Discharge coefficient of the restrictor; 0.8 if left out.")] = None,
    order: Annotated[
        bool,
        Parameter(help="List the cylinders as they come to top dead centre, and how far to turn.", negative=()),
    ] = False,
    into: Annotated[
        options.Given, Parameter(help="Keep the reading in the book: the id of its test, or new for a test of its own.")
    ] = None,
    sheet: options.Sheet = None,
    test: options.TestFile = None,
    unit: options.UnitName = None,
    decimal: options.Decimal = "ask",
    confirm_unit: options.ConfirmUnit = False,
    by: options.Person = "",
    json: options.AsJson = False,
    exit_code: options.ExitCode = False,
    book: options.BookPlace = None,
) -> int:
    """
    Judge one leak-down reading, and tell how large the leak is.

    With --order: how far to turn the crank from cylinder to cylinder.
    """
    from ringtrue.errors import InputRefused
    from ringtrue.shop.leakdown import Asked
    from ringtrue.shop.workplace import workplace

    if order:
        if supply or held or restrictor or heard or into:
            why = "this is the order of turning or a reading, not both"
            raise InputRefused.of("--order", why, "leave --order out, or everything but --sheet and --cylinder")
        _order(sheet, cylinder or "", json=json)
        return 0
    if supply is None or held is None:
        missing = "--supply" if supply is None else "--held"
        why = "a reading is what is supplied and what the cylinder holds"
        example = 'for example --supply "80 psi" --held "64 psi" --restrictor "0.040 in"'
        raise InputRefused.of(missing, f"it is missing: {why}", f"type it, {example}")
    asked = Asked(supply, held, restrictor or "", cylinder or "", heard, cd or "")
    call = _Call(asked, sheet, test, unit or "", decimal, into or "", by, confirm_unit)
    weighed, kept = call.answered(workplace(book))
    if json:
        from ringtrue.cli import show
        from ringtrue.shop.leakdown import as_json

        show.as_json(as_json(weighed, kept))
    else:
        _show(weighed, kept)
    return int(exit_code and weighed.judged.breaks_a_limit)


@dataclass(frozen=True, slots=True)
class _Call:
    """What was typed, beside the reading."""

    asked: Asked
    sheet: str | None
    test: str | None
    unit: str
    decimal: str
    into: str
    by: str
    confirmed: bool

    def answered(self, place: Workplace) -> tuple[Weighed, Kept | None]:
        """Read, judge and size the reading; keep it where that was asked for."""
        from ringtrue.cli import show
        from ringtrue.shop.leakdown_kept import engine_of_test, keep, keep_new
        from ringtrue.shop.workplace import this_device, this_person

        who, device = this_person(place.settings, self.by), this_device()
        if not self.into:
            return self._weighed(place, self._engine()[0]), None
        if self.into.casefold() == NEW:
            engine, text = self._engine()
            weighed = self._weighed(place, engine)
            by = self.by or place.settings.builder
            with place.open_book() as opened:
                return weighed, keep_new(opened, engine, text, weighed.reading, by=by, who=who, device=device)
        with place.open_book(create=False) as opened:
            engine = engine_of_test(opened, self.into)
            if self.sheet or self.test:
                show.warnings(["the test keeps the sheet and the day with which it was begun"])
            weighed = self._weighed(place, engine)
            return weighed, keep(opened, self.into, weighed.reading, who=who, device=device)

    def _engine(self) -> tuple[Engine, str]:
        from ringtrue.intake import Day, read_day, read_sheet
        from ringtrue.shop.leakdown import Engine

        known, text = read_sheet(Path(self.sheet)) if self.sheet else (None, "")
        day = read_day(Path(self.test), confirmed=self.confirmed) if self.test else Day()
        return Engine(known, known.cylinders if known else (), day), text

    def _weighed(self, place: Workplace, engine: Engine) -> Weighed:
        from ringtrue.physics import cranking_loss
        from ringtrue.shop.leakdown import coefficient_of, read_asked, weigh
        from ringtrue.shop.typed import decimal_mark
        from ringtrue.units import Dimension, find_unit

        name, mark = self.unit or place.settings.pressure, decimal_mark(self.decimal)
        usual = find_unit(name, Dimension.PRESSURE) if name else None
        coefficient = coefficient_of(self.asked.coefficient, mark)
        reading = read_asked(self.asked, engine, usual, mark)
        return weigh(reading, engine, place.settings.limits, coefficient, cranking_loss)


def _show(weighed: Weighed, kept: Kept | None) -> None:
    from ringtrue import wording
    from ringtrue.cli import show

    found, leak, reading, sheet = weighed.figures, weighed.leak, weighed.reading, weighed.judged.sheet
    show.heading("Before the air is opened")
    show.bullets(wording.leakdown_cautions(sheet))
    show.heading(f"Leak-down, cylinder {found.cylinder}" if found.cylinder else "Leak-down")
    restrictor = f"through a restrictor of {reading.restrictor}" if reading.restrictor else "restrictor not known"
    show.bullets(
        filter(
            None,
            (
                f"Read: {reading.held} held of {reading.supply}, {restrictor}.",
                wording.leakdown_sentence(found, weighed.unit),
                wording.area_sentence(leak.area, leak.ratio, found.restrictor, leak.coefficient),
                wording.elsewhere_sentence(leak.through),
                wording.cost_sentence(weighed.cost, weighed.why_no_cost, weighed.unit) if leak.ratio else "",
                wording.path_sentence(found.heard, sheet),
                wording.again_sentence(found),
            ),
        )
    )
    if kept is not None:
        again = f", as repeat {kept.repeat} of cylinder {found.cylinder}" if kept.repeat else ""
        show.line(f"\nIn the book: entry {kept.seq} of test {kept.test_id}{again}.")
        show.remark(f"Next: ringtrue judge {kept.test_id}, or ringtrue report {kept.test_id} -o sheet.pdf")
    show.line()
    show.sentences([wording.deferral()])


def _order(sheet: str | None, first: str, *, json: bool) -> None:
    from ringtrue import wording
    from ringtrue.cli import show
    from ringtrue.engine import turning
    from ringtrue.errors import InputRefused
    from ringtrue.intake import read_sheet
    from ringtrue.shop.leakdown import one_cylinder
    from ringtrue.shop.sheets import turning_as_json

    if sheet is None:
        why = "the order of turning is that of an engine"
        raise InputRefused.of("--order", why, "say --sheet and the engine's build sheet")
    engine, _ = read_sheet(Path(sheet))
    begin = one_cylinder(first, engine.cylinders) if first else ""
    stops = turning(engine, begin)
    if not stops:
        raise InputRefused.of(
            "--order",
            wording.no_order(engine),
            'write it on the sheet, for example firing_order = ["1", "3", "4", "2"]',
        )
    if json:
        show.as_json({"engine": engine.key, "turning": turning_as_json(stops), "cycle_deg": engine.cycle_angle})
        return
    show.heading("Before the crank is turned")
    show.bullets(wording.turning_cautions(engine))
    show.turning(engine, stops)
    show.line()
    show.sentences([wording.deferral()])
