"""What the model takes in, how well each of it is known, and what is assumed where the builder did not say."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace
from enum import StrEnum
from typing import TYPE_CHECKING

import numpy as np

from ringtrue.compression import CheckValve, Conditions, Gauge
from ringtrue.engine import BuildSheet
from ringtrue.physics import _gas
from ringtrue.physics.atmosphere import standard_pressure
from ringtrue.quantities import Measured

if TYPE_CHECKING:
    from numpy.typing import NDArray

END = 1.6448536269514722
"""Standard deviations from the middle to either end of a 90 % range. [-]"""

_GIVEN, _NOT_GIVEN = True, False
_ASSUMED, _PRACTICE = "assumed", "common practice"
_RPM = math.pi / 30
_DEGREE = math.pi / 180

_USUAL_RATIO_OF_ROD = 1.75
_USUAL_CLOSING = 60 * _DEGREE
_LARGEST_CARD_LIFT = 1.9e-3
_SMALLEST_CARD_LIFT = 0.1e-3
_USUAL_LEAK = 0.3e-6
_USUAL_BORE = 0.1
_USUAL_GAP = 0.0035
_GAPLESS = 0.5
_RESTED_BATTERY = 12.4
_SPEED_PER_VOLT = 45 * _RPM
_SLOWEST_GUESS = 120 * _RPM


class Form(StrEnum):
    """How an input is spread."""

    NORMAL = "normal"
    LOGNORMAL = "lognormal"
    CHOICE = "choice"
    UNIFORM = "uniform"


@dataclass(frozen=True, slots=True)
class Input:
    """
    One uncertain input.

    Parameters
    ----------
    key : str
        Its name.
    known : bool
        The builder gave it.
    form : Form
        How it is spread.
    middle : float
        Its median. [SI]
    reach : float
        From the middle to the upper end of the 90 % range: a difference, or a factor for a lognormal one. [SI or -]
    source : str
        Who says so: a key of ``ringtrue.sources``.
    options : tuple of float
        The kinds to choose among, equally likely unless one stands there twice; of a uniform one, its two ends.
    measured : float or None
        The reach once somebody has measured it; None where a builder cannot.
    """

    key: str
    known: bool
    form: Form
    middle: float
    reach: float
    source: str
    options: tuple[float, ...] = ()
    measured: float | None = None

    def at(self, scores: NDArray[np.float64]) -> NDArray[np.float64]:
        """
        Turn standard scores into values.

        Parameters
        ----------
        scores : ndarray, shape (n,)
            Standard normal: 0 is the median. [-]

        Returns
        -------
        ndarray, shape (n,)
            Values. [SI]
        """
        if self.form is Form.NORMAL:
            return self.middle + self.reach / END * scores
        if self.form is Form.LOGNORMAL:
            return np.asarray(self.middle * np.exp(math.log(self.reach) / END * scores))
        # The logistic curve is within 0.01 of the normal one: close enough to share options out.
        share = np.asarray(1.0 / (1.0 + np.exp(-1.702 * scores)))
        if self.form is Form.UNIFORM:
            return self.options[0] + (self.options[1] - self.options[0]) * share
        ends = np.arange(1, len(self.options)) / len(self.options)
        return np.asarray(self.options)[np.searchsorted(ends, share)]

    @property
    def left(self) -> float:
        """Share of its spread that is left once it has been measured; 1 where it cannot or need not be. [-]."""
        if self.measured is None:
            return 1.0
        if self.form is Form.NORMAL:
            return min(self.measured / self.reach, 1.0)
        if self.form is Form.LOGNORMAL:
            return min(math.log(self.measured) / math.log(self.reach), 1.0)
        return self.measured


def inputs_of(sheet: BuildSheet, gauge: Gauge | None, conditions: Conditions) -> tuple[Input, ...]:
    """
    List what the model takes in, as well as it is known.

    Parameters
    ----------
    sheet : BuildSheet
        The engine; bore, stroke and compression ratio are there.
    gauge : Gauge or None
        The gauge; what is not known of it is assumed.
    conditions : Conditions
        The day; what is not known of it is assumed.

    Returns
    -------
    tuple of Input
        Each with its 90 % range.

    Notes
    -----
    The ranges are this program's own assumptions, or common practice where they say so: no published ones were found
    for a cranked engine. They are stated with every expectation, so that a builder can see what rests on them.
    """
    return (*_heat(), *_engine(sheet), *_cam(sheet), *_gauge(gauge), *_day(conditions), *_starter(conditions))


def narrowed(item: Input) -> Input:
    """
    Return an input as it would be known once measured.

    Parameters
    ----------
    item : Input
        As it is known now.

    Returns
    -------
    Input
        With the smaller reach; the same one where it cannot be measured.
    """
    return item if item.measured is None else replace(item, reach=item.measured)


def _heat() -> Iterator[Input]:
    laws = (float(_gas.WOSCHNI), float(_gas.ANNAND), float(_gas.HOHENBERG))
    yield Input("heat_law", _NOT_GIVEN, Form.CHOICE, laws[1], 0.0, "GA-08 to GA-10", laws)
    yield Input("heat_factor", _NOT_GIVEN, Form.LOGNORMAL, 1.0, 1.5, _ASSUMED)


def _engine(sheet: BuildSheet) -> Iterator[Input]:
    size = sheet.geometry
    ratios = [ratio for name in sheet.cylinders if (ratio := sheet.compression_ratio(name)) is not None]
    from_volumes = size.chamber is not None or all(name in sheet.measured for name in sheet.cylinders)
    yield Input(
        "compression_ratio",
        _GIVEN,
        Form.NORMAL,
        sum(ratios) / len(ratios),
        0.12 if from_volumes else 0.3,
        _PRACTICE,
        measured=0.12,
    )
    bore = _mean_of(sheet, "bore")
    rod = size.rod or _USUAL_RATIO_OF_ROD * _mean_of(sheet, "stroke")
    yield Input("rod", size.rod is not None, Form.NORMAL, rod, (0.002 if size.rod else 0.1) * rod, _PRACTICE)
    gap = sheet.rings.top_gap
    leak = _USUAL_LEAK * bore / _USUAL_BORE
    if gap is not None:
        leak *= gap / (_USUAL_GAP * bore)
    leak *= _GAPLESS if sheet.rings.kind == "gapless" else 1.0
    yield Input("ring_leak", _NOT_GIVEN, Form.LOGNORMAL, leak, 2.0, _PRACTICE, measured=1.25)


def _mean_of(sheet: BuildSheet, key: str) -> float:
    sizes = [getattr(sheet.dimensions(name), key) for name in sheet.cylinders]
    return float(sum(sizes)) / len(sizes)


def _cam(sheet: BuildSheet) -> Iterator[Input]:
    cam = sheet.camshaft
    closing = cam.intake_closing
    if closing is None:
        yield Input(
            "intake_closing", _NOT_GIVEN, Form.NORMAL, _USUAL_CLOSING, 18 * _DEGREE, _ASSUMED, measured=3 * _DEGREE
        )
    else:
        yield Input("intake_closing", _GIVEN, Form.NORMAL, closing, 5 * _DEGREE, _PRACTICE, measured=3 * _DEGREE)
        yield from _card_lift(sheet)
    yield Input("lobe_shape", _NOT_GIVEN, Form.NORMAL, 1.35, 0.25, _ASSUMED)
    bore = _mean_of(sheet, "bore")
    valve = cam.intake_valve_diameter or 0.46 * bore
    known = cam.intake_valve_diameter is not None
    yield Input("intake_valve", known, Form.NORMAL, valve, (0.02 if known else 0.08) * valve, _PRACTICE)
    lift = cam.intake_lift or 0.23 * valve
    known = cam.intake_lift is not None
    yield Input("intake_lift", known, Form.NORMAL, lift, (0.03 if known else 0.15) * lift, _PRACTICE)
    yield Input("valve_flow", _NOT_GIVEN, Form.NORMAL, 0.65, 0.1, _ASSUMED)


def _card_lift(sheet: BuildSheet) -> Iterator[Input]:
    cam = sheet.camshaft
    quoted = cam.quoted_at_lift
    if quoted is None:
        ends = (_SMALLEST_CARD_LIFT, _LARGEST_CARD_LIFT)
        yield Input("quoted_lift", _NOT_GIVEN, Form.UNIFORM, sum(ends) / 2, 0.0, _ASSUMED, ends, measured=0.05)
        return
    lash = cam.lash or 0.0
    at_tappet = max(quoted * (cam.rocker_ratio or 1.3) - lash, 0.0)
    if quoted == 0.0:
        return
    if cam.quoted_at == "tappet":
        known = cam.rocker_ratio is not None
        yield Input("quoted_lift", known, Form.NORMAL, at_tappet, (0.05 if known else 0.2) * quoted, _PRACTICE)
    elif cam.quoted_at == "valve":
        yield Input("quoted_lift", _GIVEN, Form.NORMAL, quoted, 0.05 * quoted, _PRACTICE)
    else:
        ends = (quoted, max(quoted * (cam.rocker_ratio or 1.6) - lash, 1.001 * quoted))
        yield Input("quoted_lift", _NOT_GIVEN, Form.UNIFORM, sum(ends) / 2, 0.0, _ASSUMED, ends, measured=0.05)


def _gauge(gauge: Gauge | None) -> Iterator[Input]:
    valve = None if gauge is None else gauge.check_valve
    kinds = (0.0, 0.0, 0.0, 1.0) if valve is None else (float(valve is CheckValve.GAUGE_END),)
    yield Input("check_valve", valve is not None, Form.CHOICE, kinds[0], 0.0, _ASSUMED, kinds, measured=0.0)
    yield _volume("adapter_volume", None if gauge is None else gauge.adapter_volume, 2.5e-6, 3.2)
    yield _volume("hose_volume", None if gauge is None else gauge.hose_volume, 15e-6, 2.2)
    opening = None if gauge is None else gauge.opening_pressure
    if opening is not None and opening.value > 0:
        yield Input("opening_pressure", _GIVEN, Form.LOGNORMAL, opening.value, 1.2, _PRACTICE)
    else:
        yield Input("opening_pressure", _NOT_GIVEN, Form.LOGNORMAL, 7e3, 3.5, _ASSUMED)
    yield Input("check_area", _NOT_GIVEN, Form.LOGNORMAL, 2.5e-6, 3.0, _ASSUMED)
    yield Input("hose_heat", _NOT_GIVEN, Form.LOGNORMAL, 1.0, 2.0, _ASSUMED)


def _volume(key: str, given: Measured | None, usual: float, factor: float) -> Input:
    if given is not None and given.value > 0:
        return Input(key, _GIVEN, Form.LOGNORMAL, given.value, 1.2, _PRACTICE, measured=1.1)
    if given is not None:
        return Input(key, _GIVEN, Form.NORMAL, 0.0, 0.0, _PRACTICE)
    return Input(key, _NOT_GIVEN, Form.LOGNORMAL, usual, factor, _ASSUMED, measured=1.1)


def _day(conditions: Conditions) -> Iterator[Input]:
    if conditions.barometer is not None:
        yield Input("barometer", _GIVEN, Form.NORMAL, conditions.barometer.value, 300.0, _PRACTICE)
    elif conditions.altitude is not None:
        air = standard_pressure(conditions.altitude.value)
        yield Input("barometer", _GIVEN, Form.NORMAL, air, 2e3, _ASSUMED, measured=300.0)
    else:
        yield Input("barometer", _NOT_GIVEN, Form.NORMAL, 98e3, 4.5e3, _ASSUMED, measured=300.0)
    yield _temperature("inlet_air", conditions.inlet_air, 293.15, 15.0, 3.0)
    yield _temperature("wall", conditions.oil, 343.15, 20.0, 12.0)


def _temperature(key: str, given: Measured | None, usual: float, wide: float, close: float) -> Input:
    if given is not None:
        return Input(key, _GIVEN, Form.NORMAL, given.value, close, _PRACTICE)
    return Input(key, _NOT_GIVEN, Form.NORMAL, usual, wide, _ASSUMED, measured=close)


def _starter(conditions: Conditions) -> Iterator[Input]:
    if conditions.cranking_speed is not None:
        yield Input("speed", _GIVEN, Form.LOGNORMAL, conditions.cranking_speed.value, 1.06, _PRACTICE, measured=1.06)
    elif conditions.battery is not None:
        off = (conditions.battery.value - _RESTED_BATTERY) * _SPEED_PER_VOLT
        # A 24-volt set turns an engine no faster than a 12-volt one that is made for it.
        middle = max(200 * _RPM + off, _SLOWEST_GUESS) if abs(off) < 2 * _SPEED_PER_VOLT else 200 * _RPM
        yield Input("speed", _NOT_GIVEN, Form.LOGNORMAL, middle, 1.25, _ASSUMED, measured=1.06)
    else:
        yield Input("speed", _NOT_GIVEN, Form.LOGNORMAL, 200 * _RPM, 1.35, _ASSUMED, measured=1.06)
    yield Input("run_up", _NOT_GIVEN, Form.LOGNORMAL, 2.0, 2.5, _ASSUMED)
    yield Input("start", _NOT_GIVEN, Form.UNIFORM, 7.0, 0.0, _PRACTICE, (2.6, 12.0))
