"""The fields of a build sheet, each explained: what it is, how it is measured, and why it matters."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from types import MappingProxyType

from ringtrue.shop.sheets import QUESTIONS, Question

GROUPS: Mapping[str, str] = MappingProxyType(
    {
        "engine": "The engine",
        "geometry": "Sizes",
        "camshaft": "Camshaft, from the cam card",
        "rings": "Rings",
        "gasket": "Head gasket",
        "limits": "Limits of the engine's own service data",
    }
)
"""Tables of a sheet, with what stands above their fields."""


@dataclass(frozen=True, slots=True)
class SheetField:
    """
    One field of the form.

    Parameters
    ----------
    name : str
        Of the field.
    question : Question
        The table and key it fills, and how its answer is written.
    label : str
        What it is called.
    how : str
        What it is, and how it is measured.
    why : str
        What it is good for.
    example : str
        What one could type.
    options : tuple of (str, str)
        Value and words of each choice; empty where it is typed.
    more : bool
        Few sheets have it.
    """

    name: str
    question: Question
    label: str
    how: str
    why: str
    example: str = ""
    options: tuple[tuple[str, str], ...] = ()
    more: bool = False

    @property
    def help(self) -> str:
        """What stands under the label."""
        return " ".join(filter(None, (self.how, self.why)))


_ASKED = {(each.table, each.key): each for each in QUESTIONS}


def _field(  # noqa: PLR0913 - a field has as many words
    table: str,
    key: str,
    label: str,
    how: str,
    why: str = "",
    example: str = "",
    *,
    form: str = "text",
    options: tuple[tuple[str, str], ...] = (),
    more: bool = False,
    name: str = "",
) -> SheetField:
    question = _ASKED.get((table, key)) or Question(table, key, f"{label}?", form)
    return SheetField(name or key, question, label, how, why, example, options, more)


def _engine() -> Iterator[SheetField]:
    yield _field("engine", "name", "Name", "What you call this engine.", "It heads every sheet.", "Launch six")
    yield _field(
        "engine",
        "reference",
        "Your reference",
        "Your own number for it, such as a job number.",
        "The book files the engine under it.",
        "0417",
    )
    yield _field(
        "engine",
        "family",
        "Family",
        "What you call engines of this kind.",
        "Your builds are followed family by family.",
        "small diesels",
        more=True,
    )
    yield _field(
        "engine",
        "layout",
        "Layout",
        "How the cylinders stand.",
        "The engine is drawn by it.",
        options=(
            ("single", "single"),
            ("inline", "inline"),
            ("V", "V"),
            ("flat", "flat"),
            ("radial", "radial"),
        ),
    )
    yield _field(
        "engine",
        "cylinders",
        "Cylinders",
        "How many, or their names in the numbering you use, parted by blanks or commas.",
        "",
        "6",
    )
    yield _field(
        "engine",
        "banks",
        "Banks",
        "Each bank from front to rear, banks parted by a stroke (/); of a radial engine its rows.",
        "Cylinders beside one another share a gasket, and the test goes down one bank and then the other.",
        "1 3 5 / 2 4 6",
    )
    yield _field(
        "engine",
        "cycle",
        "Strokes of a cycle",
        "",
        "A two-stroke is judged, but the model of what an engine should show does not know it.",
        options=(("", "not said: 4"), ("4", "4, four-stroke"), ("2", "2, two-stroke")),
    )
    yield _field(
        "engine",
        "ignition",
        "Ignition",
        "",
        "It decides the cautions, which pressures can be believed, and whether oil may be put in.",
        options=(("", "not said"), ("spark", "spark"), ("compression", "compression")),
    )
    yield _field(
        "engine",
        "firing_order",
        "Firing order",
        "From the service data or the distributor; every cylinder once.",
        "The crank is turned by it in a leak-down test, and companions follow from it.",
        "1 5 3 6 2 4",
    )
    yield _field(
        "engine",
        "firing_intervals",
        "Firing intervals",
        "Crank degrees after each cylinder of the firing order.",
        "Leave it empty for an engine that fires evenly.",
        "90 180 90 360",
        more=True,
    )
    yield _field(
        "engine",
        "heads",
        "Heads",
        "Whether the cylinders of a bank share head and gasket.",
        "With a head each, no gasket can leak from one to the next.",
        options=(("", "not said"), ("shared", "shared"), ("separate", "separate")),
    )
    yield _field(
        "engine",
        "cooling",
        "Cooling",
        "",
        "An air-cooled engine has no coolant to leak into.",
        options=(("", "not said"), ("liquid", "liquid"), ("air", "air")),
    )
    yield _field(
        "engine",
        "hazards",
        "Hazards",
        "What can hurt on this engine beyond the usual, parted by commas: direct injection, hybrid, decompressor.",
        "Each adds its caution to every checklist.",
        "direct injection",
    )


def _geometry() -> Iterator[SheetField]:
    yield _field(
        "geometry",
        "bore",
        "Bore",
        "Across the cylinder below the ring travel, with its unit.",
        "It makes the swept volume.",
        "92 mm",
    )
    yield _field(
        "geometry", "stroke", "Stroke", "Twice the crank throw.", "It makes the swept volume with the bore.", "98 mm"
    )
    yield _field(
        "geometry",
        "rod",
        "Connecting rod",
        "Between the centres of its eyes.",
        "With the cam it says how much air is trapped.",
        "175 mm",
    )
    yield _field(
        "geometry",
        "compression_ratio",
        "Compression ratio",
        "As built; or leave it out and give the volumes below that make it.",
        "The level of all readings hangs on it.",
        "8.4",
    )
    yield _field(
        "geometry",
        "chamber",
        "Chamber in the head",
        "Filled from a burette, valves and plug in.",
        "One of the volumes that make the ratio.",
        "71 cc",
    )
    yield _field(
        "geometry",
        "deck_clearance",
        "Deck clearance",
        "Piston below the deck at top dead centre is positive, above it negative.",
        "",
        "0.4 mm",
    )
    yield _field("geometry", "gasket_thickness", "Gasket, thickness", "When crushed.", "", "1.2 mm")
    yield _field("geometry", "gasket_bore", "Gasket, bore", "", "", "94 mm")
    yield _field("geometry", "piston_dish", "Piston dish", "Its volume; a dome is negative.", "", "6 cc")


def _camshaft() -> Iterator[SheetField]:
    yield _field(
        "camshaft",
        "quoted_at_lift",
        "Angles quoted at a lift of",
        "The lift at which the cam card gives its angles.",
        "Among the largest causes of a wrong level: the same cam has other angles at another lift.",
        "0.050 in",
    )
    yield _field(
        "camshaft",
        "quoted_at",
        "That lift is measured at the",
        "",
        "",
        options=(("", "not said"), ("tappet", "tappet"), ("valve", "valve")),
    )
    yield _field("camshaft", "intake_opens", "Intake opens", "", "", "8 deg before TDC")
    yield _field(
        "camshaft",
        "intake_closes",
        "Intake closes",
        "",
        "Compression begins here: it moves the level of all readings.",
        "44 deg after BDC",
    )
    yield _field("camshaft", "exhaust_opens", "Exhaust opens", "", "", "46 deg before BDC")
    yield _field("camshaft", "exhaust_closes", "Exhaust closes", "", "", "6 deg after TDC")
    yield _field("camshaft", "intake_lift", "Intake lift at the valve", "", "", "10.5 mm")
    yield _field(
        "camshaft",
        "rocker_ratio",
        "Rocker ratio",
        "",
        "It turns a lift at the tappet into one at the valve.",
        "1.5",
        form="number",
        more=True,
    )
    yield _field("camshaft", "lash", "Valve lash", "", "", "0.30 mm", more=True)
    yield _field("camshaft", "intake_valve_diameter", "Intake valve, head diameter", "", "", "44 mm", more=True)
    yield _field(
        "camshaft",
        "intake_duration",
        "Intake duration",
        "Where the card gives durations instead of opening and closing.",
        "",
        "232 deg",
        more=True,
    )
    yield _field("camshaft", "exhaust_duration", "Exhaust duration", "", "", "232 deg", more=True)
    yield _field(
        "camshaft",
        "lobe_separation",
        "Lobe separation",
        "In camshaft degrees, as cards give it.",
        "",
        "110 deg",
        more=True,
    )
    yield _field(
        "camshaft", "advance", "Advance", "How far the camshaft is set ahead, in crank degrees.", "", "4 deg", more=True
    )


def _rest() -> Iterator[SheetField]:
    yield _field(
        "rings",
        "kind",
        "Top rings",
        "",
        "Rings without a gap show more of the final on the first stroke.",
        options=(("", "not said"), ("gapped", "gapped"), ("gapless", "gapless")),
        name="rings",
    )
    yield _field("rings", "top_gap", "End gap of the top ring", "Measured in the bore.", "", "0.40 mm")
    yield _field(
        "gasket",
        "kind",
        "Kind of head gasket",
        "In your own words: copper, composite, several layers of steel.",
        "Your builds are compared by it.",
        "copper",
        name="gasket",
    )
    yield _field(
        "limits",
        "minimum",
        "Least compression",
        "Of any cylinder.",
        "The engine's own service data win over every general rule.",
        "120 psi",
    )
    yield _field("limits", "spread", "Largest difference between cylinders", "", "", "15 psi")
    yield _field("limits", "lowest_over_highest", "Lowest over highest, at least", "As a fraction.", "", "0.80")
    yield _field(
        "limits",
        "adopt",
        "Rules of particular engines to adopt",
        "Parted by commas: CT-04, CT-05, CT-07, DT-03. They hold only where a sheet adopts them.",
        "",
        "CT-04",
        form="word list",
        more=True,
    )


FIELDS: Mapping[str, SheetField] = MappingProxyType(
    {each.name: each for make in (_engine, _geometry, _camshaft, _rest) for each in make()}
)
"""Every field but the measured chambers, by its name, in the order of the form."""
