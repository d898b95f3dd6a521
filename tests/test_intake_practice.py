"""How often causes are met and how long checks take: a shop's own figures, and what they may not be."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from ringtrue.diagnosis.causes import CAUSES, COSTS, ENGINE_CAUSES, BankCause, Cause, Check, EngineCause, Practice
from ringtrue.errors import SettingsRefused
from ringtrue.intake import PRACTICE, Settings, parse_settings, practice_of, usual_practice, with_setting

WHOLE = """
[causes]
rings = 0.04
misread = 0

[engine_causes]
throttle = 0.1

[bank_causes]
gasket = 0.01

[minutes]
leak_down = 10
take_apart = 9999.5
"""


def refused(text: str) -> list[str]:
    """Return the faults of settings, as they are told."""
    with pytest.raises(SettingsRefused) as refusal:
        parse_settings(text)
    return [str(fault) for fault in refusal.value.faults]


# If this failed, a shop's own figures would be used for something else, or change those that it left alone.
def test_a_shops_own_figures() -> None:
    practice = practice_of(parse_settings(WHOLE).practice)
    assert practice.causes[Cause.RINGS] == 0.04
    assert practice.causes[Cause.MISREAD] == 0
    assert practice.causes[Cause.EXHAUST_VALVE] == CAUSES[Cause.EXHAUST_VALVE]
    assert practice.engine[EngineCause.THROTTLE] == 0.1
    assert practice.engine[EngineCause.GAUGE] == ENGINE_CAUSES[EngineCause.GAUGE]
    assert practice.banks[BankCause.GASKET] == 0.01
    assert practice.costs[Check.LEAK_DOWN].minutes == 10
    assert practice.costs[Check.LEAK_DOWN].risk == COSTS[Check.LEAK_DOWN].risk
    assert practice.costs[Check.TAKE_APART].minutes == 9999.5
    assert practice.costs[Check.WET_PULL] == COSTS[Check.WET_PULL]


# If this failed, a shop that settled nothing would not get what is usual.
def test_nothing_settled_is_what_is_usual() -> None:
    assert practice_of(parse_settings("").practice) == Practice()
    assert parse_settings("[causes]\n") == Settings(practice={"causes": {}})
    assert set(usual_practice()) == set(PRACTICE)
    assert "sound" not in usual_practice()["causes"]
    assert "none" not in usual_practice()["engine_causes"]


# If this failed, figures that are none would weigh causes and checks: a certainty, a check that takes no time. Words
# frozen.
@pytest.mark.parametrize(
    ("text", "message"),
    [
        (
            "[causes]\nrings = 0.6",
            (
                "[causes]: rings = 0.6: How often a cause is met is a fraction from 0 to 0.5. "
                "Write for instance 0.02, which is assumed otherwise."
            ),
        ),
        (
            "[engine_causes]\ngauge = -0.1",
            (
                "[engine_causes]: gauge = -0.1: How often a cause is met is a fraction from 0 to 0.5. "
                "Write for instance 0.02, which is assumed otherwise."
            ),
        ),
        (
            "[minutes]\nleak_down = 0",
            (
                "[minutes]: leak_down = 0: The minutes of a check are above 0 and up to 10,000. "
                "Write for instance 15, which is usual."
            ),
        ),
        (
            "[minutes]\ntake_apart = 10000.5",
            (
                "[minutes]: take_apart = 10000.5: The minutes of a check are above 0 and up to 10,000. "
                "Write for instance 480, which is usual."
            ),
        ),
        (
            "[bank_causes]\nvalve = 0.1",
            "[bank_causes]: “valve”: There is no such key here. Use one of: cam_timing, gasket.",
        ),
        (
            "[causes]\nrings = true",
            '[causes] rings: read "true": Yes or no is no number. Type the number that was read.',
        ),
        ("[causes]\nrings = []", "[causes] rings: []: This is a number. Write for example rings = 8.4."),
    ],
    ids=lambda value: value.partition(":")[0],
)
def test_what_cannot_be_used(text: str, message: str) -> None:
    assert refused(text) == [message]


# If this failed, causes could be so often together that no cylinder is ever sound: by hand, 0.089 - 0.026 + 1 = 1.063.
def test_something_is_left_for_nothing_wrong() -> None:
    (said,) = refused("[causes]\nrings = 0.5\nmisread = 0.5")
    assert said == (
        "[causes]: all together 1.063: What is left of 1 is the share with nothing wrong, and nothing is left. "
        "Make some of them smaller."
    )


# If this failed, sound could be set to something else than what the others leave.
@pytest.mark.parametrize(("table", "key"), [("causes", "sound"), ("engine_causes", "none")])
def test_what_is_left_cannot_be_set(table: str, key: str) -> None:
    assert refused(f"[{table}]\n{key} = 0.1")[0].startswith(f"[{table}]: “{key}”: There is no such key here.")


KEYS = [(table, key) for table, figures in usual_practice().items() for key in figures]


# If this failed, a figure would come back as another than was set, or stay after it was taken back.
@given(st.sampled_from(KEYS), st.floats(0.0001, 0.4).map(lambda value: f"{value:.4f}"))
def test_a_figure_comes_back_as_it_was_set(where: tuple[str, str], value: str) -> None:
    table, key = where
    text = with_setting("# ours\n", f"{table}.{key}", value)
    assert parse_settings(text).practice[table][key] == float(value)
    assert practice_of(parse_settings(with_setting(text, f"{table}.{key}", "")).practice) == Practice()


# If this failed, a setting that is none would be written.
@pytest.mark.parametrize(
    ("key", "value", "told"),
    [
        ("causes.rings", "9", "[causes]: rings = 9: How often a cause is met"),
        ("minutes.leakdown", "9", "[minutes]: “leakdown”: There is no such key here. Did you mean leak_down?"),
        ("minutes.tea", "9", "[minutes]: “tea”: There is no such key here. Use one of: repeat_pull"),
        ("cause.rings", "0.1", "“cause.rings”: There is no such setting. Set one of shop.name"),
        ("causes.rings", "2 pct", 'causes.rings: read "2 pct": A number has no letters'),
        ("minutes.leak_down", "9 %", 'minutes.leak_down: read "9 %": A number is digits'),
    ],
)
def test_what_cannot_be_set(key: str, value: str, told: str) -> None:
    with pytest.raises(SettingsRefused) as refusal:
        with_setting("", key, value)
    assert told in str(refusal.value)
