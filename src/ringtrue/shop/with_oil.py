"""What is asked before a pull with oil is kept: oil can lock an engine, and no later reading of the cylinder is dry."""

from __future__ import annotations

from typing import TYPE_CHECKING

from ringtrue.compression import Kind
from ringtrue.engine import Ignition
from ringtrue.errors import Fault, InputRefused
from ringtrue.measure.limits import OIL_SHARE_WARNING

if TYPE_CHECKING:
    from ringtrue.compression import CompressionTest, Pull
    from ringtrue.engine import BuildSheet
    from ringtrue.quantities import Measured

OIL_IS_WRONG = "oil in a compression-ignition engine can lock or bend it"
LEAKDOWN_INSTEAD = "go on with a leak-down test instead"
SOME_OIL = "a wet pull has some oil"
DRY_FIRST = "oil stays in a cylinder and would raise its dry reading"


def wet_is_wrong(sheet: BuildSheet | None) -> bool:
    """
    Tell whether oil in this engine could lock or bend it.

    Parameters
    ----------
    sheet : BuildSheet or None
        The engine; None when not known.

    Returns
    -------
    bool
        True for compression ignition.
    """
    return sheet is not None and sheet.ignition is Ignition.COMPRESSION


def too_much_oil(sheet: BuildSheet | None, cylinder: str, oil: Measured) -> str:
    """
    Say that oil fills more of a cylinder than it should.

    Parameters
    ----------
    sheet : BuildSheet or None
        The engine.
    cylinder : str
        Its name.
    oil : Measured
        The oil. [m3]

    Returns
    -------
    str
        Not a whole sentence; empty where it is little enough, and where the clearance volume is not known.
    """
    clearance = sheet.clearance_volume(cylinder) if sheet else None
    if clearance is None or oil.value <= OIL_SHARE_WARNING * clearance:
        return ""
    share = 100 * oil.value / clearance
    most = 100 * OIL_SHARE_WARNING
    return f"{oil} is {share:.0f} % of the clearance volume; above {most:.0f} % it can lock the engine"


def check_oil(pull: Pull, test: CompressionTest, sheet: BuildSheet | None) -> Fault | None:
    """
    Look at a wet pull before it is kept.

    Parameters
    ----------
    pull : Pull
        The pull; a dry one passes.
    test : CompressionTest
        What was taken before it.
    sheet : BuildSheet or None
        The engine.

    Returns
    -------
    Fault or None
        What is to be asked: whether so much oil is meant.

    Raises
    ------
    InputRefused
        Oil is wrong in this engine, none was put in, or the cylinder was not pulled dry before.
    """
    if pull.kind is not Kind.WET or pull.final is None:
        return None
    return check_dose(pull.cylinder, pull.oil, test, sheet)


def check_dose(cylinder: str, oil: Measured | None, test: CompressionTest, sheet: BuildSheet | None) -> Fault | None:
    """
    Look at a dose of oil before anybody cranks on it.

    Parameters
    ----------
    cylinder : str
        The cylinder that it goes into.
    oil : Measured or None
        The oil. [m3]
    test : CompressionTest
        What was taken before it.
    sheet : BuildSheet or None
        The engine.

    Returns
    -------
    Fault or None
        What is to be asked: whether so much oil is meant.

    Raises
    ------
    InputRefused
        Oil is wrong in this engine, none was put in, or the cylinder was not pulled dry before.
    """
    if wet_is_wrong(sheet):
        raise InputRefused.of("a wet pull", OIL_IS_WRONG, LEAKDOWN_INSTEAD, "kind")
    if oil is None or oil.value <= 0:
        raise InputRefused.of(f"oil “{oil or ''}”", SOME_OIL, "write for example 5 cc", "oil")
    dry = test.series(Kind.DRY)
    if dry is None or not dry.of(cylinder):
        pulled_dry = f"pull cylinder {cylinder} dry first, or leave it out"
        raise InputRefused.of("a wet pull", DRY_FIRST, pulled_dry, "kind")
    much = too_much_oil(sheet, cylinder, oil)
    return Fault(str(oil), much, "put in less; say that it is meant if it is", "oil") if much else None
