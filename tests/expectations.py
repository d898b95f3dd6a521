"""A hand-made expectation: a V8 that should show 184 psi, 157 to 205. No figure of it was worked out by anything."""

from __future__ import annotations

import math

from ringtrue.compression import (
    Band,
    ChangeEffect,
    CylinderExpectation,
    Expectation,
    InputEffect,
    Narrowing,
)

PSI = 6894.757293168
RPM = math.pi / 30
DEGREE = math.pi / 180


def psi(median: float, low: float, high: float) -> Band:
    """Return a level."""
    return Band(median * PSI, low * PSI, high * PSI)


def effect(
    key: str, at: tuple[float, float], finals: tuple[float, float], *, known: bool = False, source: str = "assumed"
) -> InputEffect:
    """Return what an input does, its finals in psi."""
    return InputEffect(key, known, at[0], at[1], finals[0] * PSI, finals[1] * PSI, 0.1, source)


STROKES = ((92, 58, 128), (131, 102, 160), (158, 130, 181), (171, 144, 194), (178, 151, 200), (184, 157, 205))
INPUTS = (
    effect("quoted_lift", (0.1e-3, 1.9e-3), (204, 164)),
    effect("heat_law", (0, 0), (184, 208), source="GA-08 to GA-10"),
    effect("heat_factor", (1 / 1.5, 1.5), (196, 172)),
    effect("adapter_volume", (2e-6, 8e-6), (193.4, 175)),
    effect("intake_closing", (35 * DEGREE, 45 * DEGREE), (192, 176), known=True, source="common practice"),
    effect("compression_ratio", (8.7, 9.3), (177, 191), known=True, source="common practice"),
    effect("ring_leak", (0.15e-6, 0.6e-6), (187.2, 177), source="common practice"),
    effect("barometer", (96e3, 100e3), (180, 188)),
    effect("speed", (170 * RPM, 230 * RPM), (180, 188), known=True, source="common practice"),
    effect("inlet_air", (278.15, 308.15), (187, 181)),
    effect("wall", (333.15, 373.15), (183, 185)),
    effect("check_valve", (0, 0), (184, 184), known=True),
    effect("hose_volume", (15e-6, 25e-6), (184.3, 183.6)),
    effect("rod", (0.15, 0.151), (184.1, 183.9), known=True),
)
CHANGES = (
    ChangeEffect("compression_ratio", 1.0, Band(1.1250, 1.1172, 1.1328)),
    ChangeEffect("intake_closing", 10 * DEGREE, Band(0.907, 0.894, 0.920)),
    ChangeEffect("altitude", 1500.0, Band(0.826, 0.8227, 0.8293)),
    ChangeEffect("speed", -50 * RPM, Band(0.955, 0.937, 0.973)),
    ChangeEffect("leak", 0.6e-6, Band(0.928, 0.9165, 0.9395)),
)
NAMES = ("L1", "L2", "L3", "L4", "R1", "R2", "R3", "R4")
FINAL = psi(184, 157, 205)


def alike() -> tuple[CylinderExpectation, ...]:
    """Return eight cylinders of which none was measured."""
    return tuple(CylinderExpectation(name, 9.0, FINAL, Band(1.0, 1.0, 1.0)) for name in NAMES)


def apart(by: float) -> tuple[CylinderExpectation, ...]:
    """Return eight cylinders, half of them above the mean by a share, half below."""
    made = []
    for number, name in enumerate(NAMES):
        ratio = 1 + by if number < 4 else 1 - by
        level = Band(FINAL.median * ratio, FINAL.low * ratio, FINAL.high * ratio)
        made.append(CylinderExpectation(name, 9.0, level, Band(ratio, ratio - 0.004, ratio + 0.004)))
    return tuple(made)


V8 = Expectation(
    strokes=tuple(psi(*each) for each in STROKES),
    final=FINAL,
    first_over_final=Band(0.50, 0.334, 0.663),
    inputs=INPUTS,
    changes=CHANGES,
    cylinders=alike(),
    narrowing=Narrowing("quoted_lift", psi(184, 162.4, 200.6)),
    measured=False,
)
