"""The conversation of ``ringtrue pull``: checklists, one cylinder after another, what was found, putting back."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import TYPE_CHECKING

from ringtrue import wording
from ringtrue.cli import show
from ringtrue.cli.ask import NO, YES, ask, ask_until, ask_yes
from ringtrue.compression import Kind
from ringtrue.errors import BookUnusable, InputRefused
from ringtrue.shop.typed import Typed, cylinder_typed, otherwise_typed, parse_typed, why_left_out
from ringtrue.shop.with_oil import DRY_FIRST, LEAKDOWN_INSTEAD, OIL_IS_WRONG, SOME_OIL, too_much_oil
from ringtrue.units import DecimalMark, Dimension, Unit, parse_measured

if TYPE_CHECKING:
    from ringtrue.engine import BuildSheet
    from ringtrue.quantities import Measured
    from ringtrue.shop.pulling import Session

HELP = """\
95 150          the first reading and the final one
95 150 6        the same, after 6 compression strokes
- 150           nobody saw the first
s 150           the first was spoiled: the pull began part-way up compression
s60 150         the same, with what it showed
skip WHY        leave this cylinder out
again 3         pull cylinder 3 once more, as a declared repeat
wet 3 5 cc      pull cylinder 3 with 5 cc of oil
correct 3       put the last pull of cylinder 3 right; correct 3 wet for the wet one
correct drift   put the pull at the end right
back            at a question of again, wet or correct: leave it, nothing is written
show            figures so far
stop            leave; ringtrue pull goes on where it was
done            the readings are complete"""

GO_BACK = {"back", "undo"}
"""Leaves a question that was asked by mistake."""
ALL_DONE = {*YES, "", "done", "all done", "ok"}
"""Answers to a list of which nothing is otherwise."""


class _LeftAlone(Exception):
    """The builder leaves a question that he asked for."""


def checklists(sheet: BuildSheet | None, order: Sequence[str]) -> str:
    """
    Go through preparation and safety before anything is cranked.

    Parameters
    ----------
    sheet : BuildSheet or None
        The engine.
    order : sequence of str
        The cylinders in the order of the test.

    Returns
    -------
    str
        What the builder said that is otherwise; empty when all is done.
    """
    notes = []
    for title, items in (("Make it comparable", wording.preparation(sheet)), ("Make it safe", wording.safety(sheet))):
        show.heading(title)
        show.bullets((item.text for item in items), mark="[ ]")
        said = ask_until("All of it done? Type yes, or what is otherwise:", otherwise_typed)
        while said.casefold() in NO:
            said = ask_until("What is otherwise? A few words, or yes when it is done:", otherwise_typed)
        if said.casefold() not in ALL_DONE:
            notes.append(f"{title}: {said}")
    show.heading("How to pull")
    show.bullets(item.text for item in wording.pulling(sheet, order))
    show.sentences([wording.deferral()])
    return "; ".join(notes)


class Talk:
    """
    One test at the terminal.

    Parameters
    ----------
    session : Session
        The test, open in the book.
    unit : Unit
        The unit of the gauge.
    mark : DecimalMark
        What the decimal mark is.
    """

    def __init__(self, session: Session, unit: Unit, mark: DecimalMark) -> None:
        self._session = session
        self._unit = unit
        self._mark = mark

    def run(self) -> None:
        """Go through the test until the builder is done, or has to stop."""
        session = self._session
        show.heading(f"Test {session.test_id}, {session.recorded.header.engine_name or session.recorded.header.engine}")
        show.sentences(["Type help to see what can be typed."])
        while (cylinder := session.next_cylinder) is not None:
            number = session.order.index(cylinder) + 1
            prompt = f"Cylinder {cylinder} ({number} of {len(session.order)}), first and final [{self._unit.name}]:"
            if not self._line(prompt, lambda text, name=cylinder: self._take(text, name)):  # type: ignore[misc]
                return
        if session.drift_cylinder is not None and not self._drift():
            return
        if self._line("More? again, wet, correct, show, or done:", self._nothing):
            self._end()

    def _drift(self) -> bool:
        name = self._session.drift_cylinder
        show.sentences([wording.drift_asked(name or "")])
        return self._line(f"Cylinder {name} again, first and final [{self._unit.name}] (or skip):", self._take_drift)

    def _line(self, prompt: str, otherwise: Callable[[str], bool]) -> bool:
        """Ask until the answer moves the test on; False when the builder leaves."""
        while True:
            text = ask(prompt)
            word, _, rest = text.partition(" ")
            word = word.casefold()
            try:
                if word == "done":
                    if self._session.next_cylinder is None or ask_yes(
                        "Not every cylinder was read. Done all the same?"
                    ):
                        return self._finish_from(otherwise)
                elif word in GO_BACK:
                    raise InputRefused.of(f"read “{text}”", "what is saved stays", "type correct and the cylinder")
                elif word in {"help", "again", "wet", "correct", "show"}:
                    getattr(self, f"_{word}")(rest.strip())
                elif otherwise(text):
                    return True
            except _LeftAlone:
                show.line("  Nothing was written.")
            except InputRefused as error:
                show.bullets(str(error).splitlines(), mark="!")
            except BookUnusable as error:
                raise error.at(f"“{text}” was not acknowledged") from None

    def _finish_from(self, otherwise: Callable[[str], bool]) -> bool:
        if otherwise != self._nothing:
            self._end()
            return False
        return True

    def _nothing(self, text: str) -> bool:
        raise InputRefused.of(f"read “{text}”", "there is nothing more to pull", "type done, or help")

    def _take(self, text: str, cylinder: str) -> bool:
        word, _, rest = text.partition(" ")
        if word.casefold() == "skip":
            self._session.skip(cylinder, why_left_out(rest, cylinder, self._session.order))
            show.line(f"  Cylinder {cylinder} is left out.")
            return True
        typed = self._typed(text)
        if typed is None:
            return False
        self._session.take(cylinder, typed)
        self._saved(cylinder, typed)
        return True

    def _take_drift(self, text: str) -> bool:
        name = self._session.drift_cylinder
        if name is None:
            return True
        word, _, rest = text.partition(" ")
        if word.casefold() == "skip":
            self._session.skip(name, why_left_out(rest, name, self._session.order), drift=True)
            show.line("  The day's drift is left out. Type correct drift if you pull it after all.")
            return True
        typed = self._typed(text)
        if typed is None:
            return False
        self._session.take(name, typed, drift=True)
        series = self._session.so_far().dry
        drift = None if series is None else series.drift
        told = "" if drift is None else f" The day's drift is {100 * drift.fraction:+.1f} %."
        show.line(f"  Saved.{' No drift was seen.' if drift and not drift.fraction else told}")
        return True

    def _typed(self, text: str) -> Typed | None:
        typed = parse_typed(text, self._unit, self._mark)
        doubt = self._session.doubt(typed)
        if doubt:
            show.sentences([f"  {typed.final}: {doubt}"])
            if not ask_yes("Is it meant as it is?"):
                return None
        return typed

    def _saved(self, cylinder: str, typed: Typed, kind: Kind = Kind.DRY) -> None:
        first = "spoiled" if typed.spoiled else "not seen" if typed.first is None else f"{typed.first}"
        show.line(f"  Saved: cylinder {cylinder}, first {first}, final {typed.final}.")
        judgement = self._session.so_far()
        if kind is Kind.WET:
            oil = [each for each in judgement.wet_over_dry if each.cylinder == cylinder]
            show.sentences(f"  {wording.oil_sentence(each)}" for each in oil)
        elif judgement.dry is not None and judgement.dry.running:
            last = judgement.dry.running[-1]
            show.line(
                f"  So far: mean {wording.pressure(last.mean, self._unit)}, "
                f"mean deviation {wording.pressure(last.mean_deviation, self._unit, decimals=self._unit.decimals + 1)} "
                f"({wording.percent(last.mean_deviation_percent, decimals=2)} of the mean)."
            )
            if judgement.dry.correction is not None:
                show.line(f"  Corrected {wording.corrected_by(judgement.dry.correction, self._unit)}.")

    def _help(self, _: str) -> None:
        show.line(HELP)

    def _show(self, _: str) -> None:
        series = self._session.so_far().dry
        if series is None:
            show.line("  Nothing was read yet.")
        else:
            show.running(series, self._unit)

    def _again(self, rest: str) -> None:
        session = self._session
        cylinder, more = cylinder_typed(rest, session.order)
        self._alone("again", cylinder, more)
        if not session.has_row(cylinder):
            raise InputRefused.of(
                f"again {rest}", "that cylinder was not pulled yet", "type again and a cylinder that was"
            )
        oily = f"Cylinder {cylinder} was pulled with oil, which raises a dry reading. Go on, yes or no?"
        if session.has_row(cylinder, Kind.WET) and not ask_yes(oily):
            return
        typed = self._ask_pull(f"Cylinder {cylinder} again, first and final [{self._unit.name}]:")
        session.take(cylinder, typed)
        self._saved(cylinder, typed)

    def _alone(self, word: str, cylinder: str, more: str) -> None:
        if more:
            why = "the figures are asked for on a line of their own"
            raise InputRefused.of(f"{word} {cylinder} {more}", why, f"type {word} {cylinder}")

    def _wet(self, rest: str) -> None:
        if self._session.wet_is_wrong:
            raise InputRefused.of("wet", OIL_IS_WRONG, LEAKDOWN_INSTEAD)
        cylinder, dose = cylinder_typed(rest, self._session.order) if rest else ("", "")
        if not dose:
            show.bullets(item.text for item in wording.wet_test(self._session.sheet))
            raise InputRefused.of(
                f"wet {rest}".strip(), "the cylinder and the volume of oil are needed", "type for example wet 3 5 cc"
            )
        oil: Measured = parse_measured(dose, Dimension.VOLUME)
        if oil.value <= 0:
            raise InputRefused.of(f"wet {rest}", SOME_OIL, "type for example wet 3 5 cc")
        if not self._session.has_row(cylinder):
            raise InputRefused.of(f"wet {rest}", DRY_FIRST, f"pull cylinder {cylinder} dry first, or skip it")
        if not self._oil_is_meant(cylinder, oil):
            return
        show.bullets(item.text for item in wording.wet_test(self._session.sheet))
        typed = self._ask_pull(f"Cylinder {cylinder} with {oil} of oil, first and final [{self._unit.name}]:")
        self._session.take(cylinder, typed, kind=Kind.WET, oil=oil)
        self._saved(cylinder, typed, Kind.WET)

    def _oil_is_meant(self, cylinder: str, oil: Measured) -> bool:
        much = too_much_oil(self._session.sheet, cylinder, oil)
        return not much or ask_yes(f"{much}. Go on, yes or no?")

    def _correct(self, rest: str) -> None:
        session = self._session
        if drift := rest.casefold() == "drift":
            cylinder, kind = session.drift_pulled, ""
        else:
            cylinder, kind = cylinder_typed(rest, session.order)
        if kind.casefold() not in {"", "dry", "wet"}:
            why = "a pull is dry or wet, and its figures are asked for on a line of their own"
            raise InputRefused.of(f"correct {rest}", why, f"type correct {cylinder}, or correct {cylinder} wet")
        which = Kind.WET if kind.casefold() == "wet" else Kind.DRY
        before = session.last(cylinder, which, drift=drift)
        spoiled = " (spoiled)" if before.first_spoiled else ""
        show.line(f"  In the book: first {before.first or 'not seen'}{spoiled}, final {before.final or 'not read'}.")
        typed = self._ask_pull(f"Cylinder {cylinder} as it should be, first and final [{self._unit.name}]:")
        why = ""
        while not why:
            why = self._ask_or_back("Why? A few words:")
        session.correct(cylinder, typed, why, kind=which, drift=drift)
        show.line("  Corrected. What was written before stays in the book beside it.")

    def _ask_or_back(self, prompt: str) -> str:
        answer = ask(prompt)
        if answer.casefold() in GO_BACK:
            raise _LeftAlone
        return answer

    def _ask_pull(self, prompt: str) -> Typed:
        while True:
            answer = self._ask_or_back(prompt)
            try:
                typed = self._typed(answer)
            except InputRefused as error:
                show.bullets(str(error).splitlines(), mark="!")
                continue
            if typed is not None:
                return typed

    def _end(self) -> None:
        self._session.finish()
        show.judged(self._session.judged())
        show.heading("Put it back")
        show.bullets((item.text for item in wording.putting_back(self._session.sheet)), mark="[ ]")
        name = self._session.test_id
        show.line(f"\nThe test is in the book as {name}. The hand-over sheet: ringtrue report {name} -o sheet.pdf")
