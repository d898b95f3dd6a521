"""Where a test of the past came from."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class BroughtIn:
    """
    Where a test of the past stood before the book had it. By whom and when it was brought in, its entries say.

    Parameters
    ----------
    file : str
        The file's name.
    sha256 : str
        Of its bytes, 64 hexadecimal digits.
    rows : str
        Where it stands in it, such as "row 14" or "sheet 2019, rows 3 to 8".
    """

    file: str
    sha256: str
    rows: str
