"""What a build sheet contradicts itself in."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterator
from dataclasses import replace

from ringtrue.engine import geometry
from ringtrue.engine.parts import RULES_TO_ADOPT, Geometry, Heads, Layout
from ringtrue.engine.sheet import BuildSheet
from ringtrue.errors import Fault

MOST_CYLINDERS = 24
LONGEST_NAME = 20
RATIO_TOLERANCE = 0.02
"""A compression ratio may differ from the one its volumes make by this share; beyond it one of them is wrong."""
LEAST_MINIMUM = 138e3
"""Service data ask for more than 20 psi of any engine (common practice). [Pa gauge]"""
LARGEST_RATIO = 40.0
LARGEST_DIMENSION = 2.0
"""No bore, stroke or rod of an engine that is cranked by a starter is longer. [m]"""


ROD_OVER_STROKE = (1.0, 6.0)
"""Rods are longer than the stroke, mostly 1.5 to 2 of it, and never as long as six (common practice). [-]"""


def faults(sheet: BuildSheet) -> tuple[Fault, ...]:
    """
    Find everything in a build sheet that cannot be.

    Parameters
    ----------
    sheet : BuildSheet
        The sheet.

    Returns
    -------
    tuple of Fault
        Each with its field as place; empty for a sheet that holds together.
    """
    return (*_cylinders(sheet), *_firing(sheet), *_dimensions(sheet), *_limits(sheet))


def doubts(sheet: BuildSheet) -> tuple[str, ...]:
    """
    Find what can be, and is more likely mistyped.

    Parameters
    ----------
    sheet : BuildSheet
        The sheet.

    Returns
    -------
    tuple of str
        Sentences without their full stop; empty for a sheet that raises no question.
    """
    sizes = {"[geometry]": sheet.geometry}
    for name, own in sheet.measured.items():
        if own.rod is not None or own.stroke is not None:
            sizes[f'[measured."{name}"]'] = own.over(sheet.geometry)
    low, high = ROD_OVER_STROKE
    found = []
    for table, size in sizes.items():
        if size.rod is None or size.stroke is None or low <= size.rod / size.stroke <= high:
            continue
        than = "shorter than the stroke" if size.rod < low * size.stroke else f"longer than {high:g} strokes"
        rod, stroke = f"a rod of {size.rod * 1e3:g} mm", f"(stroke {size.stroke * 1e3:g} mm)"
        why = f"{rod} is {than} {stroke}, which no usual engine has (common practice)"
        found.append(f"{table} rod: {why}: check its figure and its unit")
    return tuple(found)


def name_fault(name: str) -> Fault | None:
    """
    Find what is wrong with the name of a cylinder.

    Parameters
    ----------
    name : str
        The name.

    Returns
    -------
    Fault or None
        None for 1 to 20 printable characters without a semicolon, which parts names from one another.
    """
    if name.strip() and len(name) <= LONGEST_NAME and name.isprintable() and ";" not in name:
        return None
    shown = name if name.isprintable() else ascii(name)[1:-1]
    return Fault(
        f"“{shown}”" if len(shown) <= 2 * LONGEST_NAME else f"“{shown[: 2 * LONGEST_NAME]}...”",
        f"a cylinder's name is 1 to {LONGEST_NAME} printable characters without a semicolon",
        'type for example "1" or "L3"',
    )


def _off(names: tuple[str, ...], cylinders: tuple[str, ...]) -> str:
    """Say in what a list of names is not that of the cylinders; empty when it is, or when those are at fault."""
    if Counter(names) == Counter(cylinders) or len(set(cylinders)) < len(cylinders):
        return ""
    parts = {
        "without": [name for name in cylinders if name not in names],
        "with unknown": [name for name in dict.fromkeys(names) if name not in cylinders],
        "more than once": [name for name, times in Counter(names).items() if times > 1],
    }
    return "; ".join(f"{words} {_listed(tuple(found))}" for words, found in parts.items() if found)


def _listed(names: tuple[str, ...]) -> str:
    return ", ".join(names) if names else "none"


def _cylinders(sheet: BuildSheet) -> Iterator[Fault]:
    where = "[engine] cylinders"
    count = len(sheet.cylinders)
    if not 1 <= count <= MOST_CYLINDERS:
        yield Fault(f"{count} cylinders", f"an engine here has 1 to {MOST_CYLINDERS}", "list each cylinder once", where)
    for name, times in Counter(sheet.cylinders).items():
        if times > 1:
            yield Fault(
                f"cylinder “{name}” {times} times", "each cylinder has its own name", "rename or remove one", where
            )
        if (fault := name_fault(name)) is not None:
            yield fault.at(where)
    if sheet.layout is Layout.SINGLE and count > 1:
        yield Fault(
            f"{count} cylinders", "a single has one cylinder", 'write layout = "inline", "V", "flat" or "radial"', where
        )
    yield from _banks(sheet)
    for name in dict.fromkeys([*sheet.measured, *sheet.measured_gaps]):
        if name not in sheet.cylinders:
            yield Fault(
                f"cylinder “{name}”",
                "the sheet does not list it",
                f"measure one of {_listed(sheet.cylinders)}",
                f'[measured."{name}"]',
            )
    if sheet.layout is Layout.RADIAL and sheet.heads is Heads.SHARED:
        yield Fault(
            '"shared"',
            "the cylinders of a radial engine have a head each",
            'write heads = "separate"',
            "[engine] heads",
        )


def _banks(sheet: BuildSheet) -> Iterator[Fault]:
    where = "[engine] banks"
    if off := _off(tuple(name for bank in sheet.banks for name in bank), sheet.cylinders):
        yield Fault(off, "every cylinder stands in one bank, once", "list each bank front to rear", where)
    if sheet.cylinders and any(not bank for bank in sheet.banks):
        yield Fault("an empty bank", "a bank has at least one cylinder", "remove it", where)
    if sheet.layout in {Layout.INLINE, Layout.SINGLE} and len(sheet.banks) > 1:
        yield Fault(
            f"{len(sheet.banks)} banks",
            f'a layout "{sheet.layout}" has one',
            'write layout = "V" or "flat", or one bank',
            where,
        )
    if sheet.layout is Layout.FLAT and len(sheet.banks) > 2:  # noqa: PLR2004 - left and right
        yield Fault(f"{len(sheet.banks)} banks", "a flat engine has two", "list the left and the right bank", where)


def _firing(sheet: BuildSheet) -> Iterator[Fault]:
    if sheet.cycle not in {2, 4}:
        yield Fault(
            str(sheet.cycle),
            "an engine here has 2 or 4 strokes a cycle",
            "write cycle = 4 or cycle = 2",
            "[engine] cycle",
        )
        return
    where = "[engine] firing_order"
    if sheet.firing_order and (off := _off(sheet.firing_order, sheet.cylinders)):
        yield Fault(
            off,
            "a firing order names every cylinder once",
            f"list {_listed(sheet.cylinders)} in the order they fire, or leave the line out",
            where,
        )
    where = "[engine] firing_intervals"
    intervals = sheet.firing_intervals
    if intervals and not sheet.firing_order:
        yield Fault(
            f"{len(intervals)} intervals", "there is no firing order they could follow", "add firing_order", where
        )
    elif intervals and len(intervals) != len(sheet.firing_order):
        yield Fault(
            f"{len(intervals)} intervals for {len(sheet.firing_order)} cylinders",
            "there is one after each cylinder in firing order",
            "add or remove some, or leave the line out for even firing",
            where,
        )
    elif intervals and (
        any(step < 0 for step in intervals) or not math.isclose(sum(intervals), sheet.cycle_angle, abs_tol=0.5)
    ):
        yield Fault(
            f"intervals that sum to {sum(intervals):g} deg",
            f"a {sheet.cycle}-stroke cycle is {sheet.cycle_angle:g} deg, and no interval is negative",
            "correct them, or leave the line out for even firing",
            where,
        )


def _dimensions(sheet: BuildSheet) -> Iterator[Fault]:
    nominal = sheet.geometry
    yield from _lengths(nominal, "[geometry]")
    yield from _ratio(nominal.compression_ratio, "[geometry]")
    yield from _volumes(nominal, "[geometry]")
    for name, own in sheet.measured.items():
        where = f'[measured."{name}"]'
        # A cylinder may differ from the nominal ratio: that is why it was measured. It has to agree with its own.
        size = replace(own.over(nominal), compression_ratio=own.compression_ratio)
        known = {fault.given for fault in _lengths(nominal, where)}
        found = [fault for fault in _lengths(size, where) if fault.given not in known]
        found += _ratio(own.compression_ratio, where)
        if any(getattr(own, part) is not None for part in geometry.PARTS):
            found += _volumes(size, where)
        yield from found
        if found or known or name not in sheet.cylinders or any(_ratio(nominal.compression_ratio, where)):
            continue
        clearance = sheet.clearance_volume(name)
        if clearance is not None and clearance <= 0:
            yield Fault(
                f"a clearance of {clearance * 1e6:.1f} cc",
                "nothing is left above the piston at top dead centre",
                "check the measured volumes",
                where,
            )


def _lengths(size: Geometry, table: str) -> Iterator[Fault]:
    for name in ("bore", "stroke", "rod", "gasket_bore", "chamber"):
        value = getattr(size, name)
        if value is None:
            continue
        shown = f"{name} {value * 1e6:g} cc" if name == "chamber" else f"{name} {value * 1e3:g} mm"
        if value <= 0:
            yield Fault(shown, "it is more than nothing", "measure it again, or leave the line out", f"{table} {name}")
        elif value > LARGEST_DIMENSION:
            yield Fault(shown, "no engine here is that large", "check the unit", f"{table} {name}")
    if size.gasket_thickness is not None and size.gasket_thickness < 0:
        yield Fault(
            f"gasket_thickness {size.gasket_thickness * 1e3:g} mm",
            "a gasket has some thickness",
            "write it as it is when crushed",
            f"{table} gasket_thickness",
        )
    if size.stroke is not None and size.rod is not None and 0 < size.rod <= size.stroke / 2:
        yield Fault(
            f"rod {size.rod * 1e3:g} mm",
            f"a rod is longer than half the stroke, here {size.stroke * 500:g} mm",
            "measure it between the centres of its eyes, or leave the line out",
            f"{table} rod",
        )


def _ratio(ratio: float | None, table: str) -> Iterator[Fault]:
    if ratio is not None and not 1 < ratio <= LARGEST_RATIO:
        yield Fault(
            f"compression ratio {ratio:g}",
            f"a ratio is above 1, and of {LARGEST_RATIO:g} at most",
            "write volume at bottom over volume at top dead centre, for example 9.2",
            f"{table} compression_ratio",
        )


def _volumes(size: Geometry, table: str) -> Iterator[Fault]:
    clearance = geometry.clearance_from_parts(size)
    if clearance is None:
        return
    if clearance <= 0:
        yield Fault(
            f"a clearance of {clearance * 1e6:.1f} cc",
            "chamber, deck, gasket and dish leave nothing above the piston",
            "check their signs: a dome is negative, a piston above deck is negative",
            table,
        )
        return
    ratio = size.compression_ratio
    if size.bore is None or size.stroke is None or ratio is None or any(_ratio(ratio, table)):
        return
    made = 1 + geometry.swept_volume(size.bore, size.stroke) / clearance
    if abs(made / ratio - 1) > RATIO_TOLERANCE:
        yield Fault(
            f"compression ratio {ratio:g}",
            f"the volumes on the sheet make {made:.2f}",
            "correct the volumes, or leave the ratio out and let the volumes make it",
            f"{table} compression_ratio",
        )


def _limits(sheet: BuildSheet) -> Iterator[Fault]:
    limits = sheet.limits
    for name in ("minimum", "spread"):
        value = getattr(limits, name)
        if value is not None and value <= 0:
            yield Fault(
                f"{name} of {value:g} Pa",
                "a limit is above zero",
                "copy it from the service data, or leave it out",
                f"[limits] {name}",
            )
    if limits.minimum is not None and 0 < limits.minimum < LEAST_MINIMUM:
        yield Fault(
            f"minimum of {limits.minimum / 1e5:.3g} bar",
            "no service data allow an engine so little on the starter",
            "check the unit: 8.5 bar is 123 psi",
            "[limits] minimum",
        )
    ratio = limits.lowest_over_highest
    if ratio is not None and not 0 < ratio <= 1:
        yield Fault(
            f"{ratio:g}",
            "lowest over highest is a fraction between 0 and 1",
            "write for example 0.80",
            "[limits] lowest_over_highest",
        )
    for rule in limits.adopt:
        if rule not in RULES_TO_ADOPT:
            yield Fault(
                f"“{rule}”",
                "there is no such rule to adopt",
                f"choose among {', '.join(RULES_TO_ADOPT)}",
                "[limits] adopt",
            )
