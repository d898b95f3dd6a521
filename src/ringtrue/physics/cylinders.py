"""From a build sheet and drawn inputs to the vectors that the kernels take."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping

import numpy as np
from numpy.typing import NDArray

from ringtrue.compression import Conditions, Gauge
from ringtrue.engine import BuildSheet, swept_volume
from ringtrue.errors import CannotExpect, Fault, InputRefused, SheetRefused
from ringtrue.quantities import Measured

Values = Mapping[str, NDArray[np.float64]]
"""Drawn values of every input, by its key. [SI]"""

LEAST_RATIO, MOST_RATIO = 4.0, 30.0
"""Compression ratios that the model is made for. [-]"""

_BEHIND_GAUGE_END = 2e-6
"""What is left behind a check valve that sits at the gauge. [m3]"""
_HOSE_FILM = 40.0 * 4.0 / 0.006
"""Heat a hose of 6 mm bore loses for its volume: 40 W/(m2 K) over its wall (assumed). [W/(m3 K)]"""
_WIDEST = 0.35
"""Area of a check valve over the hose behind it from which a wider one shows nothing more: the hose fills within one
stroke either way. [1/m]"""
_EXHAUST_VALVE = 0.85
_EXHAUST_OPENS, _EXHAUST_CLOSES = math.radians(50), math.radians(15)
_INTAKE_OPENS = math.radians(15)
_HIGHEST_SHARE = 0.9
_SLOWEST, _FASTEST = 40 * math.pi / 30, 600 * math.pi / 30
"""No starter turns slower (common practice), and an answer for slower cranking would take minutes. [rad/s]"""
_HOTTEST_AIR, _COLDEST, _HOTTEST_OIL = 333.15, 223.15, 433.15
_LEAST_AIR, _MOST_AIR = 45e3, 110e3
_LARGEST_GAUGE = 500e-6
_LEFT_TO_COMPRESS = math.radians(65)
"""No cam that runs closes its intake valve nearer to the top than this, at the lift that its card quotes. [rad]"""
_SMALLEST, _LARGEST = 0.02, 0.3


def check(sheet: BuildSheet, gauge: Gauge | None, conditions: Conditions) -> None:
    """
    Refuse what the model cannot be asked.

    Parameters
    ----------
    sheet : BuildSheet
        The engine.
    gauge : Gauge or None
        The gauge.
    conditions : Conditions
        The day.

    Raises
    ------
    CannotExpect
        The engine is a two-stroke, or the sheet lacks what the model cannot do without.
    SheetRefused
        The sheet holds what no engine has.
    InputRefused
        Gauge or conditions hold what no gauge and no day has.
    """
    if sheet.cycle != 4:  # noqa: PLR2004 - a four-stroke
        raise CannotExpect.of(
            "a two-stroke engine",
            "its ports open and close with the piston, and the model is that of four strokes and valves",
            "judge it by its own service data; judging and recording work without an expectation",
        )
    if missing := tuple(_missing(sheet)):
        raise CannotExpect(*missing)
    if wrong := tuple(_wrong_sheet(sheet)):
        raise SheetRefused(*wrong)
    if wrong := (*_wrong_day(conditions), *_wrong_gauge(gauge)):
        raise InputRefused(*wrong)


def _missing(sheet: BuildSheet) -> Iterator[Fault]:
    wanted = (
        ("bore", 'bore = "92 mm"', [sheet.dimensions(name).bore for name in sheet.cylinders]),
        ("stroke", 'stroke = "98 mm"', [sheet.dimensions(name).stroke for name in sheet.cylinders]),
        (
            "compression ratio",
            "compression_ratio = 8.4, or chamber, deck_clearance, gasket_thickness and piston_dish",
            [sheet.compression_ratio(name) for name in sheet.cylinders],
        ),
    )
    for what, line, found in wanted:
        if any(each is None for each in found):
            yield Fault(f"no {what}", "without it no pressure can be worked out", f"add {line}", "[geometry]")


def _wrong_sheet(sheet: BuildSheet) -> Iterator[Fault]:
    for key in ("bore", "stroke"):
        sizes = {getattr(sheet.dimensions(name), key) or 0.0 for name in sheet.cylinders}
        if wrong := [size for size in sorted(sizes) if not _SMALLEST <= size <= _LARGEST]:
            yield Fault(
                f"a {key} of {wrong[-1] * 1e3:g} mm",
                "engines that a starter cranks have 20 to 300 mm",
                "check the number and its unit",
                f"[geometry] {key}",
            )
    for name in sheet.cylinders:
        ratio = sheet.compression_ratio(name) or 0.0
        if not LEAST_RATIO <= ratio <= MOST_RATIO:
            yield Fault(
                f"a compression ratio of {ratio:.2f} in cylinder {name}",
                f"the model is made for {LEAST_RATIO:g} to {MOST_RATIO:g}",
                "check the volumes and their units, or the ratio",
                "[geometry]",
            )
            break
    cam = sheet.camshaft
    closing = cam.intake_closing
    if closing is not None:
        opens = math.pi - (_EXHAUST_OPENS if cam.exhaust_opens is None else cam.exhaust_opens)
        if closing - math.pi > min(opens, -_LEFT_TO_COMPRESS):
            yield Fault(
                f"an intake valve that closes {math.degrees(closing):.0f} deg after bottom dead centre",
                "hardly anything is left to compress",
                "check the angle, and whether it is after bottom or before top dead centre",
                "[camshaft]",
            )
        elif closing < -math.pi / 2:
            yield Fault(
                f"an intake valve that closes {-math.degrees(closing):.0f} deg before bottom dead centre",
                "the cylinder would hardly fill",
                "check the angle; after bottom dead centre is usual",
                "[camshaft]",
            )
        opened = _INTAKE_OPENS if cam.intake_opens is None else cam.intake_opens
        if closing + opened + math.pi <= 0:
            yield Fault(
                "an intake valve that closes before it opens",
                "it has to be open for a while",
                "check both angles",
                "[camshaft]",
            )


def _wrong_day(conditions: Conditions) -> Iterator[Fault]:
    speed, air, oil, outside = conditions.cranking_speed, conditions.inlet_air, conditions.oil, conditions.barometer
    asked = (
        ("cranking_speed", speed, _SLOWEST, _FASTEST, "the model is good for 40 to 600 rpm", '"190 rpm"'),
        ("inlet_air", air, _COLDEST, _HOTTEST_AIR, "air is drawn in at -50 to 60 C", '"18 C" or "64 F"'),
        ("oil", oil, _COLDEST, _HOTTEST_OIL, "oil is at -50 to 160 C", '"80 C" or "176 F"'),
        ("barometer", outside, _LEAST_AIR, _MOST_AIR, "air has 450 to 1100 hPa", '"1003 hPa"'),
    )
    for key, given, low, high, why, example in asked:
        if given is not None and not low <= given.value <= high:
            yield Fault(str(given), why, f"check the number and its unit, for example {example}", f"[conditions] {key}")


def _wrong_gauge(gauge: Gauge | None) -> Iterator[Fault]:
    if gauge is None:
        return
    volumes: tuple[tuple[str, Measured | None], ...] = (
        ("adapter_volume", gauge.adapter_volume),
        ("hose_volume", gauge.hose_volume),
    )
    for key, given in volumes:
        if given is not None and not 0 <= given.value <= _LARGEST_GAUGE:
            yield Fault(
                str(given),
                "adapter and hose of a gauge hold up to 500 cc",
                'check the unit, for example "20 cc"',
                f"[gauge] {key}",
            )


def seat_angles(
    opens: NDArray[np.float64], closes: NDArray[np.float64], share: NDArray[np.float64], exponent: NDArray[np.float64]
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    r"""
    Angles at which a valve leaves and meets its seat, from those at which it has a certain lift.

    With :math:`L = L_{max} \sin^q(\pi u)` a share s of the lift is passed at
    :math:`u_s = \arcsin(s^{1/q}) / \pi` of the time that the valve is open.

    Parameters
    ----------
    opens, closes : ndarray, shape (n,)
        As quoted. [rad]
    share : ndarray, shape (n,)
        Lift at which they are quoted, over the peak lift; above 0.9 it is taken as 0.9. [-]
    exponent : ndarray, shape (n,)
        q. [-]

    Returns
    -------
    tuple of ndarray
        Seat angles. [rad]
    """
    passed = np.arcsin(np.clip(share, 0.0, _HIGHEST_SHARE) ** (1.0 / exponent)) / math.pi
    ramp = (closes - opens) * passed / (1.0 - 2.0 * passed)
    return opens - ramp, closes + ramp


def vectors(sheet: BuildSheet, values: Values) -> NDArray[np.float64]:
    """
    Put drawn values into the places of the kernels: the mean cylinder of an engine.

    Parameters
    ----------
    sheet : BuildSheet
        The engine.
    values : mapping of str to ndarray, shape (n,)
        A value of every input for each draw.

    Returns
    -------
    ndarray, shape (n, COUNT)
        A cylinder a row.
    """
    from ringtrue.physics import _kernels as k

    draws = len(values["speed"])
    q = np.zeros((draws, k.COUNT))
    sizes = [sheet.dimensions(name) for name in sheet.cylinders]
    q[:, k.BORE] = sum(size.bore or 0.0 for size in sizes) / len(sizes)
    q[:, k.STROKE] = sum(size.stroke or 0.0 for size in sizes) / len(sizes)
    q[:, k.ROD] = np.maximum(values["rod"], 0.55 * q[:, k.STROKE])
    swept = swept_volume(q[0, k.BORE], q[0, k.STROKE])
    q[:, k.CLEARANCE] = swept / (np.maximum(values["compression_ratio"], 0.5 + LEAST_RATIO / 2) - 1.0)
    _put_gauge(q, values)
    q[:, k.AMBIENT] = q[:, k.MANIFOLD] = values["barometer"]
    q[:, k.INLET_AIR], q[:, k.WALL] = values["inlet_air"], values["wall"]
    q[:, k.SPEED], q[:, k.RUN_UP], q[:, k.START] = values["speed"], values["run_up"], values["start"]
    q[:, k.HEAT_MODEL], q[:, k.HEAT_FACTOR] = values["heat_law"], values["heat_factor"]
    q[:, k.LEAK_RINGS] = values["ring_leak"]
    _put_valves(q, sheet, values)
    return q


def _put_gauge(q: NDArray[np.float64], values: Values) -> None:
    from ringtrue.physics import _kernels as k

    at_gauge = values["check_valve"] > 0.5  # noqa: PLR2004 - 0 or 1
    hose = values["hose_volume"]
    q[:, k.ADAPTER] = values["adapter_volume"] + np.where(at_gauge, hose, 0.0)
    q[:, k.HOSE] = np.maximum(np.where(at_gauge, _BEHIND_GAUGE_END, hose), 0.5e-6)
    q[:, k.OPENING] = values["opening_pressure"]
    q[:, k.CHECK_AREA] = np.minimum(values["check_area"], _WIDEST * q[:, k.HOSE])
    q[:, k.HOSE_CONDUCTANCE] = values["hose_heat"] * _HOSE_FILM * q[:, k.HOSE]


def _put_valves(q: NDArray[np.float64], sheet: BuildSheet, values: Values) -> None:
    from ringtrue.physics import _kernels as k

    cam, exponent, lift = sheet.camshaft, values["lobe_shape"], values["intake_lift"]
    share = values["quoted_lift"] / lift if "quoted_lift" in values else np.zeros_like(lift)
    before = cam.intake_opens
    if before is None:
        duration, closing = cam.intake_duration, cam.intake_closing
        before_top = _INTAKE_OPENS if duration is None or closing is None else duration - closing - math.pi
    else:
        before_top = float(before)
    opens = np.full_like(lift, -2 * math.pi - before_top)
    q[:, k.INTAKE_OPENS], q[:, k.INTAKE_CLOSES] = seat_angles(
        opens, values["intake_closing"] - math.pi, share, exponent
    )
    out = _EXHAUST_OPENS if cam.exhaust_opens is None else float(cam.exhaust_opens)
    shut = _EXHAUST_CLOSES if cam.exhaust_closes is None else float(cam.exhaust_closes)
    known = cam.exhaust_opens is not None
    q[:, k.EXHAUST_OPENS], q[:, k.EXHAUST_CLOSES] = seat_angles(
        np.full_like(lift, math.pi - out), np.full_like(lift, 2 * math.pi + shut), share * known, exponent
    )
    q[:, k.INTAKE_LIFT], q[:, k.INTAKE_DIAMETER], q[:, k.INTAKE_CD] = lift, values["intake_valve"], values["valve_flow"]
    q[:, k.EXHAUST_LIFT], q[:, k.EXHAUST_CD] = lift, values["valve_flow"]
    q[:, k.EXHAUST_DIAMETER] = _EXHAUST_VALVE * values["intake_valve"]
    q[:, k.LIFT_EXPONENT] = exponent
