"""Causes by their trade names: each once, for the inside of a sentence and, shorter, for a drawing."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

from ringtrue.diagnosis.causes import BankCause, Cause, EngineCause
from ringtrue.diagnosis.explanation import Says, Unsure

_CAUSES: Mapping[Cause, tuple[str, str]] = MappingProxyType(
    {
        Cause.SOUND: ("nothing wrong with it", "sound"),
        Cause.RINGS: ("rings or bore", "rings"),
        Cause.INTAKE_VALVE: ("intake valve or its seat", "intake valve"),
        Cause.EXHAUST_VALVE: ("exhaust valve or its seat", "exhaust valve"),
        Cause.GASKET_NEIGHBOUR: ("head gasket or a crack to its neighbour", "gasket, neighbour"),
        Cause.GASKET_COOLANT: ("head gasket or a crack to the coolant", "gasket, coolant"),
        Cause.NOT_FILLING: ("not filling (lobe, lifter, pushrod or lash)", "not filling"),
        Cause.LATE_CLOSING: ("intake valve closing late (lash or lobe)", "closing late"),
        Cause.CARBON: ("carbon or oil in the chamber, or a smaller chamber", "carbon or oil"),
        Cause.SLOW_CRANKING: ("slower cranking on that pull", "slow pull"),
        Cause.GAUGE_OR_FITTING: ("gauge, check valve or fitting on that pull", "gauge or fitting"),
        Cause.MISREAD: ("misread or written down wrong", "misread"),
    }
)
"""Name, and the short one."""

_UNSURE: Mapping[Unsure, tuple[str, str]] = MappingProxyType(
    {
        Unsure.LEAK_PATH_UNKNOWN: ("a leak, path unknown", "leak, where?"),
        Unsure.CHARGE_OR_TIMING: ("charge or timing, cannot tell which", "charge/timing"),
        Unsure.UNDECIDED: ("undecided", "undecided"),
    }
)

_ENGINE: Mapping[EngineCause, str] = MappingProxyType(
    {
        EngineCause.NONE: "nothing that all cylinders share",
        EngineCause.CAM_TIMING: "cam timing",
        EngineCause.SLOW_OR_COLD_CRANKING: "slow or cold cranking",
        EngineCause.THROTTLE: "throttle or choke not wide open",
        EngineCause.GENERAL_WEAR: "general wear",
        EngineCause.FUEL_WASHED: "fuel-washed bores",
        EngineCause.DECOMPRESSION: "a decompression device at work",
        EngineCause.CHAMBER_VOLUME: "chambers of another volume than the sheet says",
        EngineCause.GAUGE: "the gauge",
    }
)

_BANKS: Mapping[BankCause, str] = MappingProxyType(
    {
        BankCause.CAM_TIMING: "its own cam timing",
        BankCause.GASKET: "its head gasket",
    }
)


def cause_name(cause: Cause, partner: str = "") -> str:
    """
    Name a cause.

    Parameters
    ----------
    cause : Cause
        Which.
    partner : str
        The neighbour with which a gasket leak may be shared; empty where it is not known.

    Returns
    -------
    str
        For the inside of a sentence.

    Examples
    --------
    >>> cause_name(Cause.GASKET_NEIGHBOUR, "4")
    'head gasket or a crack to cylinder 4'
    """
    name = _CAUSES[cause][0]
    return name.replace("its neighbour", f"cylinder {partner}") if partner else name


def cause_label(says: Says) -> str:
    """
    Name a cause, or an answer that names none, in a drawing.

    Parameters
    ----------
    says : Cause or Unsure
        Which.

    Returns
    -------
    str
        One to three words.
    """
    return _UNSURE[says][1] if isinstance(says, Unsure) else _CAUSES[says][1]


def answer_name(says: Says | EngineCause, partner: str = "") -> str:
    """
    Name what an answer says.

    Parameters
    ----------
    says : Cause, Unsure or EngineCause
        The answer.
    partner : str
        As for `cause_name`.

    Returns
    -------
    str
        For the inside of a sentence.

    Examples
    --------
    >>> answer_name(Unsure.LEAK_PATH_UNKNOWN)
    'a leak, path unknown'
    """
    if isinstance(says, Unsure):
        return _UNSURE[says][0]
    return _ENGINE[says] if isinstance(says, EngineCause) else cause_name(says, partner)


def engine_cause_name(cause: EngineCause) -> str:
    """
    Name a cause of the whole engine.

    Parameters
    ----------
    cause : EngineCause
        Which.

    Returns
    -------
    str
        For the inside of a sentence.
    """
    return _ENGINE[cause]


def bank_cause_name(cause: BankCause) -> str:
    """
    Name a cause of one whole bank.

    Parameters
    ----------
    cause : BankCause
        Which.

    Returns
    -------
    str
        For the inside of a sentence.
    """
    return _BANKS[cause]
