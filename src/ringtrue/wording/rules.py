"""Rules in words: what each asks, and what became of it."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from types import MappingProxyType

from ringtrue.measure import Outcome, RuleOutcome
from ringtrue.measure.limits import SLACK
from ringtrue.sources import source
from ringtrue.units import Unit, from_si
from ringtrue.wording.bands import outward
from ringtrue.wording.names import capital
from ringtrue.wording.numbers import figure, figure_and_limit, percent_digits, shortest


@dataclass(frozen=True, slots=True)
class _Words:
    """How one rule is told: its title, what is compared (with {cylinder} where it is about one), and which way."""

    title: str
    about: str
    found: str
    side: str


_UNDER, _AT_MOST, _AT_LEAST = "under", "at most", "at least"

_RULES: Mapping[str, _Words] = MappingProxyType(
    {
        "mean_deviation_target": _Words(
            "Mean deviation, target", "the mean deviation of all cylinders", "the mean deviation is {value}", _UNDER
        ),
        "mean_deviation_limit": _Words(
            "Mean deviation", "the mean deviation of all cylinders", "the mean deviation is {value}", _UNDER
        ),
        "cylinder_deviation_limit": _Words(
            "Each cylinder from the mean",
            "the distance of every cylinder from the mean",
            "{cylinder} is {value} from the mean",
            _UNDER,
        ),
        "first_stroke_half": _Words(
            "First stroke over final",
            "the first stroke of every cylinder, over its final,",
            "the first stroke of {cylinder} is {value} of its final",
            _AT_LEAST,
        ),
        "lowest_over_highest": _Words(
            "Lowest over highest", "the lowest final over the highest", "lowest over highest is {value}", _AT_LEAST
        ),
        "below_mean": _Words(
            "Lowest below the mean",
            "the distance of the lowest cylinder below the mean of all",
            "{cylinder} is {value} below the mean",
            _UNDER,
        ),
        "sheet_minimum": _Words(
            "Least final, build sheet", "every final", "the lowest, {cylinder}, is {value}", _AT_LEAST
        ),
        "sheet_spread": _Words(
            "Spread, build sheet", "highest less lowest final", "highest less lowest is {value}", _AT_MOST
        ),
        "sheet_lowest_over_highest": _Words(
            "Lowest over highest, build sheet",
            "the lowest final over the highest",
            "lowest over highest is {value}",
            _AT_LEAST,
        ),
        "whole_engine_low": _Words(
            "Whole engine low", "the middle of all finals", "the middle of all finals is {value}", _AT_LEAST
        ),
        "whole_engine_high": _Words(
            "Whole engine high", "the middle of all finals", "the middle of all finals is {value}", _AT_MOST
        ),
        **{
            key: _Words(f"Spread, rule {key}", "highest less lowest final", "highest less lowest is {value}", _AT_MOST)
            for key in ("CT-04", "CT-05", "CT-07")
        },
    }
)

_LEAKDOWN_TITLES = {"leakdown_suspect": "Leak-down loss", "DT-03": "Leak-down loss, rule DT-03"}

_FRACTION_DIGITS = 2


def title(rule: str) -> str:
    """
    Return the short title of a rule.

    Parameters
    ----------
    rule : str
        Its key.

    Returns
    -------
    str
        A few words, for the head of a row.

    Examples
    --------
    >>> title("below_mean")
    'Lowest below the mean'
    """
    return _LEAKDOWN_TITLES.get(rule) or _RULES[rule].title


def source_text(key: str) -> str:
    """
    Say who made a limit.

    Parameters
    ----------
    key : str
        Key of `ringtrue.sources.SOURCES`.

    Returns
    -------
    str
        Title and place of the source; its key in front where it has one of its own.

    Examples
    --------
    >>> source_text("CT-01")
    'CT-01: US Army TM 5-4210-230-14&P-1, addendum 2, compression and cylinder leakage tests'
    """
    found = source(key)
    return found.title if found.status in {"practice", "own", "assumed"} else f"{found.key}: {found}"


def value_text(rule: RuleOutcome, unit: Unit) -> str:
    """
    Write the figure that a rule compared, on its own side of the limit.

    Parameters
    ----------
    rule : RuleOutcome
        The rule.
    unit : Unit
        Unit of pressures.

    Returns
    -------
    str
        Figure and unit; empty where nothing was compared.
    """
    return "" if rule.value is None else _beside_limit([rule.value], rule, unit)


def limit_text(rule: RuleOutcome, unit: Unit) -> str:
    """
    Write the limit of a rule.

    Parameters
    ----------
    rule : RuleOutcome
        The rule.
    unit : Unit
        Unit of pressures.

    Returns
    -------
    str
        Limit and unit; empty where there is none. A limit that is not a round figure in this unit has as many digits as
        the figure beside it.
    """
    if rule.limit is None:
        return ""
    edge = _scaled(rule.limit, rule, unit)
    if rule.level == "expectation":
        digits, ending = _form(edge, rule, unit)
        return outward(edge, digits, up=rule.rule == "whole_engine_high") + ending
    value = edge if rule.value is None else _scaled(rule.value, rule, unit)
    digits, ending = _form(value, rule, unit)
    exact = shortest(edge, digits)
    if math.isclose(float(exact), edge, rel_tol=SLACK):
        return exact + ending
    return figure_and_limit(value, edge, digits)[1] + ending


def asked_text(rule: RuleOutcome, unit: Unit) -> str:
    """
    Write what a rule asks of its figure, in short.

    Parameters
    ----------
    rule : RuleOutcome
        The rule.
    unit : Unit
        Unit of pressures.

    Returns
    -------
    str
        The side and the limit, for example "under 10 %" or "at least 0.75".
    """
    return f"{_RULES[rule.rule].side} {limit_text(rule, unit)}".strip()


def asks(rule: RuleOutcome, unit: Unit) -> str:
    """
    Say what a rule asks.

    Parameters
    ----------
    rule : RuleOutcome
        The rule.
    unit : Unit
        Unit of pressures.

    Returns
    -------
    str
        One sentence, with the limit.
    """
    words = _RULES[rule.rule]
    limit = f"{words.side} {limit_text(rule, unit)}" if rule.limit is not None else words.side
    return capital(f"{words.about} is to be {limit}.")


def rule_sentence(rule: RuleOutcome, unit: Unit) -> str:
    """
    Say what became of a rule: the outcome, the figure, the limit, the reason and the source.

    Parameters
    ----------
    rule : RuleOutcome
        The rule, held against a series.
    unit : Unit
        Unit of pressures.

    Returns
    -------
    str
        One or more sentences.
    """
    words = _RULES[rule.rule]
    outcome = capital(str(rule.outcome))
    limit = asked_text(rule, unit)
    origin = f"({source_text(rule.source)})"
    if rule.value is None or rule.limit is None:
        return f"{outcome}: {rule.reason or 'nothing to compare'}. {asks(rule, unit)[:-1]} {origin}."
    cylinder = "the worst cylinder" if rule.cylinder is None else f"cylinder {rule.cylinder}"
    found = words.found.format(cylinder=cylinder, value=value_text(rule, unit))
    reason = f" {capital(rule.reason)}." if rule.reason else ""
    if rule.outcome is Outcome.NOT_JUDGED:
        return f"{outcome}: {rule.reason}. As read, {found}; asked is {limit} {origin}."
    if rule.outcome is Outcome.TOO_CLOSE and rule.interval is not None:
        ends = _beside_limit((rule.interval.low, rule.interval.high), rule, unit)
        return f"{outcome}: {found} as read, and may be anywhere from {ends}; asked is {limit} {origin}.{reason}"
    return f"{outcome}: {found}; asked is {limit} {origin}.{reason}"


def _beside_limit(values: Sequence[float], rule: RuleOutcome, unit: Unit) -> str:
    """Write figures of a rule, each on its own side of the limit, with the same digits and one unit."""
    edge = None if rule.limit is None else _scaled(rule.limit, rule, unit)
    scaled = [_scaled(value, rule, unit) for value in values]
    digits, ending = max(_form(value, rule, unit) for value in scaled)
    shown = [figure(value, digits, limit=edge) for value in scaled]
    if len({len(text.partition(".")[2]) for text in shown}) > 1:
        shown = [figure(value, digits + 1, limit=edge) for value in scaled]
    return " to ".join(shown) + ending


def _form(value: float, rule: RuleOutcome, unit: Unit) -> tuple[int, str]:
    if rule.dimension == "pressure":
        # Where a level should be is not known to the last digit of a gauge.
        coarser = rule.level == "expectation" and unit.decimals > 0
        return unit.decimals - coarser, f" {unit.name}"
    return (percent_digits(value), " %") if rule.dimension == "percent" else (_FRACTION_DIGITS, "")


def _scaled(value: float, rule: RuleOutcome, unit: Unit) -> float:
    return from_si(value, unit) if rule.dimension == "pressure" else value
