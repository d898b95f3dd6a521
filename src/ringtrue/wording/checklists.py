"""The job as ordered checklists, adapted to the engine."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from ringtrue.diagnosis import OIL_DOSE, TABLESPOON, TEASPOON, oil_dose
from ringtrue.engine import BuildSheet, Cooling, Ignition, Layout
from ringtrue.measure import OIL_SHARE_WARNING
from ringtrue.measure.leakdown import LARGE_BORE
from ringtrue.units import Dimension, find_unit, written
from ringtrue.wording.dangers import DECOMPRESSOR, DIRECT_INJECTION, HYBRID, has_hazard
from ringtrue.wording.numbers import percent
from ringtrue.wording.turning import turning_line

_CC = find_unit("cc", Dimension.VOLUME)
_FOUR_STROKE = 4
_MANY = 6
"""Cylinders from which a battery does not last the test without its charger: common practice."""


@dataclass(frozen=True, slots=True)
class Item:
    """
    One thing to do.

    Parameters
    ----------
    key : str
        A name that stays, so that a tick can be kept.
    text : str
        What to do, as a sentence.
    source : str
        Key of `ringtrue.sources.SOURCES`; "common practice" where no single source says so.
    """

    key: str
    text: str
    source: str = "common practice"


def preparation(sheet: BuildSheet | None = None) -> tuple[Item, ...]:
    """
    Return what makes the readings comparable.

    Parameters
    ----------
    sheet : BuildSheet or None
        The engine, or None.

    Returns
    -------
    tuple of Item
        In the order of doing.
    """
    return tuple(_preparation(sheet))


def safety(sheet: BuildSheet | None = None) -> tuple[Item, ...]:
    """
    Return what makes the test safe.

    Parameters
    ----------
    sheet : BuildSheet or None
        The engine, or None.

    Returns
    -------
    tuple of Item
        In the order of doing.
    """
    return tuple(_safety(sheet))


def pulling(sheet: BuildSheet | None = None, order: Sequence[str] = ()) -> tuple[Item, ...]:
    """
    Return how to pull the cylinders.

    Parameters
    ----------
    sheet : BuildSheet or None
        The engine, or None.
    order : sequence of str
        The cylinders in the order of the test, where it is not the usual one.

    Returns
    -------
    tuple of Item
        In the order of doing.
    """
    return tuple(_pulling(sheet, order))


def wet_test(sheet: BuildSheet | None = None) -> tuple[Item, ...]:
    """
    Return how to do a wet test.

    Parameters
    ----------
    sheet : BuildSheet or None
        The engine, or None.

    Returns
    -------
    tuple of Item
        In the order of doing; empty for compression ignition, whose clearance oil can lock.
    """
    return tuple(_wet_test(sheet))


def leakdown(sheet: BuildSheet | None = None) -> tuple[Item, ...]:
    """
    Return how to do a leak-down test.

    Parameters
    ----------
    sheet : BuildSheet or None
        The engine, or None.

    Returns
    -------
    tuple of Item
        In the order of doing.
    """
    return tuple(_leakdown(sheet))


def putting_back(sheet: BuildSheet | None = None) -> tuple[Item, ...]:
    """
    Return how to put the engine back in order.

    Parameters
    ----------
    sheet : BuildSheet or None
        The engine, or None.

    Returns
    -------
    tuple of Item
        In the order of doing.
    """
    return tuple(_putting_back(sheet))


def _spark_possible(sheet: BuildSheet | None) -> bool:
    return sheet is None or sheet.ignition is not Ignition.COMPRESSION


def _compression_possible(sheet: BuildSheet | None) -> bool:
    return sheet is None or sheet.ignition is not Ignition.SPARK


def _plugs(sheet: BuildSheet | None) -> str:
    """Name what is taken out of the holes."""
    if not _compression_possible(sheet):
        return "plugs"
    return "plugs (or glow plugs or injectors)" if _spark_possible(sheet) else "glow plugs or injectors"


def _preparation(sheet: BuildSheet | None) -> Iterator[Item]:
    yield Item("service_data", "Read the engine's own service data: its limits and its way of testing come first.")
    yield Item("run_in", "Look up the break-in log: distance or hours, heat cycles, oil changes, re-torque.")
    coolant = "oil" if sheet is not None and sheet.cooling is Cooling.AIR else "oil and coolant"
    yield Item("warm", f"Bring {coolant} to running temperature, or write down that the engine is cold.", "CT-02")
    many = sheet is None or len(sheet.cylinders) >= _MANY
    charger = ", and leave it on a charger, with air around it" if many else ""
    yield Item("battery", f"Charge the battery{charger}.")
    if sheet is None or sheet.cycle == _FOUR_STROKE:
        lash = sheet.camshaft.lash if sheet else None
        if lash is None:
            yield Item("lash", "Set the valve lash where it is adjustable.")
        elif lash > 0:
            size = written(lash, find_unit("mm", Dimension.LENGTH))
            yield Item("lash", f"Set the valve lash to {size}, as the build sheet says.")
    if has_hazard(sheet, DECOMPRESSOR):
        yield Item(
            "decompressor", "Find out whether the decompression device acts at cranking speed, and write it down."
        )
    yield Item(
        "gauge",
        "Choose one gauge for all cylinders; write down its range, resolution, grade, and where its check valve sits.",
    )
    if _compression_possible(sheet):
        which = "On compression ignition take" if _spark_possible(sheet) else "Take"
        yield Item("gauge_range", f"{which} a gauge that reads well above the expected final.")
    yield Item(
        "conditions",
        "Write down barometer or altitude, inlet air, oil temperature, cranking speed and battery voltage.",
    )


def _safety(sheet: BuildSheet | None) -> Iterator[Item]:
    yield Item("chocked", "Chock the vehicle, take it out of gear, set the brake.")
    yield Item("air", "Open the doors or run the exhaust extraction if the engine has been run.")
    yield Item("no_flame", "No naked flame and no smoking: plug holes blow fuel mist.")
    yield Item("clothing", "Wear eye protection; no loose clothing, hair or jewellery; hands away from belts and fan.")
    yield Item("hot", "Let what you must touch cool down, or wear gloves: exhaust, coolant, oil.")
    if has_hazard(sheet, HYBRID):
        yield Item(
            "high_voltage",
            "Have the high voltage made safe as the service data say, by somebody licensed for it; no cranking by hand "
            "tools.",
        )
    if _spark_possible(sheet):
        yield Item(
            "ignition_off", "Disable the ignition at its supply, not by letting leads hang: they spark.", "CT-02"
        )
    if has_hazard(sheet, DIRECT_INJECTION):
        yield Item(
            "injectors_off",
            "Unplug every coil and every injector: those of the other cylinders stay live. Leave the high-pressure "
            "side of the fuel closed.",
        )
    yield Item("fuel_off", "Disable the fuel: pump, injectors or cock.")
    if _compression_possible(sheet):
        yield Item(
            "glow_off", "Compression ignition: shut the fuel off at the pump or rail, and switch the glow plugs off."
        )
    yield Item("clear_of_liquid", "Make sure that no cylinder holds oil, fuel or coolant: liquid locks the engine.")
    yield Item("one_at_starter", "One person works the starter, sees everybody, and calls before cranking.")


def _pulling(sheet: BuildSheet | None, order: Sequence[str]) -> Iterator[Item]:
    usual = sheet.pull_order if sheet else ()
    yield Item("wells_clean", "Blow the plug wells clean before anything is unscrewed.")
    yield Item("plugs_out", f"Take all {_plugs(sheet)} out; keep them, and their leads, in cylinder order.", "CT-02")
    yield Item("plugs_look", "Look at each plug, and write it down: dry, oily, sooty, white, wet with fuel.")
    if _spark_possible(sheet):
        yield Item("throttle", "Hold throttle and choke wide open.", "CT-02")
    else:
        yield Item("throttle", "Hold any flap in the intake open.")
    if len(order) > 1 and tuple(order) != usual:
        yield Item("order", f"Go in this order: {', '.join(order)}.")
    elif sheet is None:
        yield Item("order", "Go down one bank, then the other.")
    elif len(sheet.cylinders) > 1:
        way = "Go down one bank, then the other" if len(sheet.banks) > 1 else "Go from front to rear"
        if sheet.layout is Layout.RADIAL:
            way = "Go round the engine"
        yield Item("order", f"{way}: {', '.join(sheet.pull_order)}.")
    yield Item("gauge_fit", "Fit the gauge: right thread and reach, hand tight on its O-ring, never forced.")
    yield Item(
        "strokes",
        "Crank until the needle stops rising: five compression strokes or more, counted, the same number on every "
        "cylinder.",
        "CT-02",
    )
    yield Item(
        "first",
        "Note the pressure after the first compression stroke. Not seen: leave it blank. Begun part-way up the stroke: "
        "mark it spoiled.",
    )
    yield Item("final", "Note the final, where the needle stopped, as the gauge shows it.")
    yield Item("vent", "Vent the gauge, rest the starter, move to the next cylinder.")
    yield Item("running", "Look at the running mean, the mean deviation, and what it is of the mean.")
    again = f"cylinder {(order or usual)[0]}" if order or usual else "the first cylinder"
    yield Item("again", f"At the end pull {again} once more, as drift: the difference is what the day did.")


def _wet_test(sheet: BuildSheet | None) -> Iterator[Item]:
    if not _spark_possible(sheet):
        return
    if _compression_possible(sheet):
        yield Item(
            "spark_only",
            "Make sure that this is spark ignition. On compression ignition no wet test: oil can lock or bend it.",
        )
    yield Item("dry_first", "Finish the dry series first.")
    yield from _dose(sheet)
    yield Item("one_sound", "Do the low cylinders, and one that is in line to compare with; the same dose in each.")
    if sheet is not None and sheet.layout in {Layout.FLAT, Layout.RADIAL}:
        yield Item("lies_low", "In a cylinder that lies or hangs the oil runs to one side: it says less there.")
    yield Item(
        "turn_slowly", "Turn the crank slowly first, nothing over the plug hole but a rag, nobody in front of it."
    )
    yield Item("pull_wet", "Pull as in the dry series, with the same number of compression strokes.", "CT-02")


def _dose(sheet: BuildSheet | None) -> Iterator[Item]:
    """Say how much oil: in cc, in spoons, and what it does to the reading by itself."""
    enough, limit = f"about {100 * OIL_DOSE:.0f} % of the clearance volume", f"{100 * OIL_SHARE_WARNING:.0f} %"
    found = oil_dose(sheet)
    if found is None:
        yield Item("dose", f"Measure the oil: {enough}; never more than {limit}. Write it down.")
        yield Item(
            "tablespoon",
            f"The tablespoon of CT-02 (15 cc) is {limit} of a clearance of 100 cc, and more of a smaller one: with "
            "bore, stroke and compression ratio on the build sheet the dose is worked out.",
            "CT-02",
        )
        return
    yield Item(
        "dose",
        f"Measure the oil: {enough}, here {oil_text(found.dose)}; never more than {limit}, here "
        f"{written(found.most, _CC)}. Write it down.",
    )
    share = percent(100 * found.tablespoon_share, limit=100 * OIL_SHARE_WARNING)
    judged = f"more than {limit}, too much here" if found.tablespoon_is_too_much else "more than is needed"
    if found.tablespoon_share <= OIL_DOSE:
        judged = "less than is needed here"
    yield Item("tablespoon", f"The tablespoon of CT-02 (15 cc) would be {share} of the clearance: {judged}.", "CT-02")
    if found.rise is not None:
        yield Item(
            "own_volume",
            f"That dose raises a reading by about {100 * (found.rise - 1):.0f} % by its volume alone; it is taken out "
            "before anything is said.",
            "GA-07",
        )


def dose_line(sheet: BuildSheet | None) -> str:
    """
    Tell the oil of a wet test in one line, for paper.

    Parameters
    ----------
    sheet : BuildSheet or None
        The engine.

    Returns
    -------
    str
        A sentence; empty where the clearance volume is not known, and for compression ignition.
    """
    found = oil_dose(sheet)
    return "" if found is None else f"Oil: {oil_text(found.dose)}, never more than {written(found.most, _CC)}."


def oil_text(volume: float) -> str:
    """
    Write a volume of oil, in cc and in the trade's spoons.

    Parameters
    ----------
    volume : float
        [m3]

    Returns
    -------
    str
        Teaspoons of 5 cc; from a tablespoon on, tablespoons of 15 cc (common practice).

    Examples
    --------
    >>> oil_text(4.4e-6), oil_text(22e-6)
    ('4.4 cc (0.9 teaspoon of 5 cc)', '22.0 cc (1.5 tablespoons of 15 cc)')
    """
    name, size = ("tablespoon", TABLESPOON) if volume >= TABLESPOON else ("teaspoon", TEASPOON)
    count = f"{volume / size:.1f}"
    more = "s" if float(count) > 1 else ""
    return f"{written(volume, _CC)} ({count} {name}{more} of {written(size, _CC, decimals=0)})"


def _leakdown(sheet: BuildSheet | None) -> Iterator[Item]:
    yield Item("warm_leakdown", "Test a warm engine, soon after it was shut down.", "DT-06")
    yield Item("starter_off", "Disconnect the battery: nobody can work the starter while a bar is on the crank.")
    bore = sheet.geometry.bore if sheet else None
    if bore is None:
        size = "0.040 in for bores below 5.00 in, 0.060 in from 5.00 in on"
    else:
        size = "0.060 in for this bore" if bore >= LARGE_BORE else "0.040 in for this bore"
    yield Item(
        "restrictor", f"Write down the restrictor ({size}): another one reads the same leak differently.", "DT-02"
    )
    four = sheet is None or sheet.cycle == _FOUR_STROKE
    stroke = "on its compression stroke, both valves shut" if four else "with its ports covered"
    if has_hazard(sheet, HYBRID):
        yield Item("turning", "Hybrid: no hand tools on the crank; turn it only as the service data say.")
    yield Item(
        "top_dead_centre",
        f"Turn the crank in its running direction until the piston stands at top dead centre, {stroke}. Gone past it: "
        "back at least half a turn, and up again.",
        "DT-05",
    )
    if sheet is not None and (line := turning_line(sheet)):
        yield Item("firing_order", line)
    yield Item("hold", "Hold the crank with a bar or flywheel lock and keep out of its way: air turns it.", "DT-06")
    yield Item("slowly", "Regulator shut, connect, and open the valve slowly: 20 psi first.", "DT-05")
    yield Item("settle", "At 20 psi find the place where the air does not push the crank either way.")
    yield Item("supply", "Then set 80 psi, and read supply and held together (shop air 100 to 120 psi).", "DT-05")
    yield Item("listen", f"Listen: {where_to_listen(sheet)}. Write down where, or that nothing was heard.")
    yield Item("shut", "Shut the air and let it out before bar, lock or fitting is touched.")
    yield Item(
        "repeat_leakdown",
        "Suspect: run the engine at least 3 min and repeat the reading before anything is taken apart.",
        "DT-05",
    )


def where_to_listen(sheet: BuildSheet | None = None) -> str:
    """
    Say where to listen in a leak-down test, and what leaks where the air is heard.

    Parameters
    ----------
    sheet : BuildSheet or None
        The engine, or None.

    Returns
    -------
    str
        For the inside of a sentence.
    """
    places = ["oil filler or dipstick (rings)", "intake (intake valve)", "tailpipe (exhaust valve)"]
    if sheet is not None and sheet.cycle != _FOUR_STROKE:
        places = ["crankcase and intake (rings)", "tailpipe (rings, or an exhaust valve where there is one)"]
    if sheet is None or sheet.cooling is not Cooling.AIR:
        places.append("coolant, cap taken off cold (gasket or crack)")
    if sheet is None or any(sheet.bridge_neighbours(name) for name in sheet.cylinders):
        places.append("the next plug hole (gasket or crack)")
    return "; ".join(places)


def _putting_back(sheet: BuildSheet | None) -> Iterator[Item]:
    yield Item("tools_off", "Take bar, flywheel lock, gauge, adapters and rags away, and count them.")
    if _spark_possible(sheet):
        yield Item(
            "oil_cleared",
            "After a wet test crank with the plugs out until no oil comes, nobody in front of the holes.",
        )
        yield Item("plugs_back", "Plugs gapped, and torqued by the service data.")
        order = f" {'-'.join(sheet.firing_order)}" if sheet is not None and len(sheet.firing_order) > 1 else ""
        yield Item("leads", f"Leads in firing order{order}.")
    if _compression_possible(sheet):
        which = "Compression ignition: glow plugs" if _spark_possible(sheet) else "Glow plugs"
        yield Item("injectors_back", f"{which} or injectors with new seals, torqued by the service data.")
    if has_hazard(sheet, DECOMPRESSOR):
        yield Item("decompressor_back", "Decompression device back as it was.")
    yield Item("fuel_on", "Enable the fuel, and look for leaks.")
    if _spark_possible(sheet):
        yield Item("ignition_on", "Enable the ignition.")
    if has_hazard(sheet, HYBRID):
        yield Item("high_voltage_on", "Have the high voltage put back in order by somebody licensed for it.")
    yield Item("throttle_free", "Throttle, choke or flap free and closing.")
    yield Item(
        "write_up",
        "Write it up: engine, run since the build, gauge, conditions, readings, judgement, what to do next.",
    )
