"""
Engines tested twice, on days whose truth is known: does the change of the whole engine hold what it promises?

Finals come from the model of the cranked cylinder, with barometer, temperatures, cranking speed, gauge and engine drawn
as uncertain as they are said to be; the tool is told the day as a person would write it, and never the truth. What this
tries is the arithmetic of factors and of what two days share, not the model, which is on both sides.
"""

from __future__ import annotations

import math
from dataclasses import replace
from random import Random

import numpy as np
from scipy.stats import binom
from tests.pulled import gauge, pulled, pulls

from ringtrue.compression import Conditions
from ringtrue.engine import BuildSheet
from ringtrue.intake import parse_conditions, parse_sheet
from ringtrue.physics.cylinders import vectors
from ringtrue.physics.expecting import needle, values_at
from ringtrue.physics.inputs import inputs_of
from ringtrue.shop.carried import STANDARD, OneTest, carry_together

PSI = 6894.757
OF_A_DAY = {"barometer", "inlet_air", "wall", "speed"}


def engine(random: Random) -> tuple[BuildSheet, str]:
    """Return an invented engine of four, as its sheet tells it."""
    text = (
        "[engine]\nname = 'invented'\nlayout = 'inline'\ncylinders = ['1', '2', '3', '4']\n[geometry]\n"
        f"bore = '{random.uniform(70, 105):.1f} mm'\nstroke = '{random.uniform(70, 100):.1f} mm'\n"
        f"compression_ratio = {random.uniform(7.5, 10.5):.2f}\n"
    )
    return parse_sheet(text), text


def day(random: Random) -> Conditions:
    """Return a day as somebody wrote it down, some of it left out."""
    said = {
        "altitude": f"{random.choice([0, 120, 600, 1500])} m",
        "inlet_air": f"{random.randint(0, 32)} C",
        "oil": f"{random.randint(40, 95)} C",
        "cranking_speed": f"{random.randint(160, 240)} rpm",
    }
    left_out = random.sample(sorted(said), random.randint(0, 2))
    return parse_conditions({key: text for key, text in said.items() if key not in left_out})


def compared(random: Random, same_gauge: bool) -> tuple[bool, float]:
    """Return whether the interval of a change holds the true one, and how wide it is."""
    (sheet, text), worn = engine(random), random.uniform(0.92, 1.0)
    first = gauge(300, 1, "1.6", 0.006)
    second = first if same_gauge else replace(first, name="another")
    own = {True: random.uniform(-1, 1), False: random.uniform(-1, 1)}
    scores: dict[tuple[str, object], float] = {}
    tests = []
    for number, (with_gauge, wear) in enumerate(((first, 1.0), (second, worn))):
        conditions = day(random)
        inputs = inputs_of(sheet, with_gauge, conditions)
        row = []
        for item in inputs:
            key = (item.key, number if item.key in OF_A_DAY else with_gauge.name if _of_a_gauge(item.key) else None)
            row.append(scores.setdefault(key, random.gauss(0, 1)))
        final = needle(vectors(sheet, values_at(inputs, np.array([row]))))[0, -1] / PSI * wear
        shift = own[with_gauge.name == first.name] * 0.016 * 300
        read = [round(random.gauss(final, 0.006 * final) + shift) for _ in range(4)]
        test = replace(pulled(*pulls(read), gauge=with_gauge), conditions=conditions)
        tests.append(OneTest(f"{number}", test, sheet, text))
    found = carry_together(tests, first, STANDARD).change(0, 1).engine
    assert found is not None
    return found.low <= worn <= found.high, math.log(found.high / found.low)


def _of_a_gauge(key: str) -> bool:
    return key in {"check_valve", "adapter_volume", "hose_volume", "opening_pressure", "check_area", "hose_heat"}


# If this failed, the 95 % interval of what became of a whole engine would hold it more or less often than it says: read
# with one gauge both times, 93 to 97 % of 1,000 engines (--soak; of fewer, with what chance makes of it). Of another
# gauge nothing is known here but its face, so that its volumes, which are spread unevenly, make most of the width: at
# least 90 %.
def test_the_change_of_an_engine_between_two_days(soaking: bool) -> None:
    count, random = (2000 if soaking else 40), Random(31)
    held = [compared(random, same_gauge=n % 2 == 0)[0] for n in range(count)]
    one, other = (sum(each) / len(each) for each in (held[::2], held[1::2]))
    low, high = (0.93, 0.97) if soaking else (binom.ppf(0.001, count // 2, 0.93) / (count // 2), 1.0)
    assert low <= one <= high
    assert other >= (0.90 if soaking else binom.ppf(0.001, count // 2, 0.90) / (count // 2))
