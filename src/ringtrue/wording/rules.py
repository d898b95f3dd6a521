"""Rules in words: what each asks, and what became of it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

from ringtrue.measure import Dimension, Interval, Outcome, RuleOutcome
from ringtrue.sources import source
from ringtrue.units import Unit, from_si
from ringtrue.wording.names import capital
from ringtrue.wording.numbers import figure, figure_and_limit


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
            "Mean deviation, limit", "the mean deviation of all cylinders", "the mean deviation is {value}", _UNDER
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
        **{
            key: _Words(f"Spread, rule {key}", "highest less lowest final", "highest less lowest is {value}", _AT_MOST)
            for key in ("CT-04", "CT-05", "CT-07")
        },
    }
)

_LEAKDOWN_TITLES = {"leakdown_suspect": "Leak-down loss", "DT-03": "Leak-down loss, rule DT-03"}

_PERCENT_DIGITS = 1
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
    return str(found) if found.status in {"practice", "own"} else f"{found.key}: {found}"


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
    if rule.value is None:
        return ""
    digits, ending, scale = _form(rule.dimension, unit)
    edge = None if rule.limit is None else _scaled(rule.limit, scale)
    return figure(_scaled(rule.value, scale), digits, limit=edge) + ending


def limit_text(rule: RuleOutcome, unit: Unit) -> str:
    """
    Write the limit of a rule, with as many digits as its figure shows.

    Parameters
    ----------
    rule : RuleOutcome
        The rule.
    unit : Unit
        Unit of pressures.

    Returns
    -------
    str
        Limit and unit; empty where there is none.
    """
    if rule.limit is None:
        return ""
    digits, ending, scale = _form(rule.dimension, unit)
    edge = _scaled(rule.limit, scale)
    value = edge if rule.value is None else _scaled(rule.value, scale)
    return figure_and_limit(value, edge, digits)[1] + ending


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
    limit = f"{words.side} {limit_text(rule, unit)}"
    origin = f"({source_text(rule.source)})"
    if rule.value is None or rule.limit is None:
        return f"{outcome}: {rule.reason or 'nothing to compare'}. {asks(rule, unit)[:-1]} {origin}."
    cylinder = "the worst cylinder" if rule.cylinder is None else f"cylinder {rule.cylinder}"
    found = words.found.format(cylinder=cylinder, value=value_text(rule, unit))
    reason = f" {capital(rule.reason)}." if rule.reason else ""
    if rule.outcome is Outcome.NOT_JUDGED:
        return f"{outcome}: {rule.reason}. As read, {found}; asked is {limit} {origin}."
    if rule.outcome is Outcome.TOO_CLOSE and rule.interval is not None:
        ends = _ends(rule.interval, rule, unit)
        return f"{outcome}: {found} as read, and may be anywhere from {ends}; asked is {limit} {origin}.{reason}"
    return f"{outcome}: {found}; asked is {limit} {origin}.{reason}"


def _ends(found: Interval, rule: RuleOutcome, unit: Unit) -> str:
    digits, ending, scale = _form(rule.dimension, unit)
    edge = None if rule.limit is None else _scaled(rule.limit, scale)
    low, high = (figure(_scaled(end, scale), digits, limit=edge) for end in (found.low, found.high))
    return f"{low} to {high}{ending}"


def _form(dimension: Dimension, unit: Unit) -> tuple[int, str, Unit | None]:
    if dimension == "pressure":
        return unit.decimals, f" {unit.name}", unit
    return (_PERCENT_DIGITS, " %", None) if dimension == "percent" else (_FRACTION_DIGITS, "", None)


def _scaled(value: float, unit: Unit | None) -> float:
    return value if unit is None else from_si(value, unit)
