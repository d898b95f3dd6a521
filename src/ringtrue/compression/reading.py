"""One pressure, read off a gauge."""

from __future__ import annotations

from dataclasses import dataclass

from ringtrue.quantities import PaGauge


@dataclass(frozen=True, slots=True)
class Reading:
    """
    One pressure read off a gauge.

    Parameters
    ----------
    pressure : PaGauge
        The figure in SI. [Pa gauge]
    written : str
        The number as it was written.
    unit : str
        The unit in which it was written, in the spelling of ``ringtrue.units``.
    """

    pressure: PaGauge
    written: str
    unit: str

    def __str__(self) -> str:
        """Return the reading as it was written, with its unit."""
        return f"{self.written} {self.unit}".strip()
