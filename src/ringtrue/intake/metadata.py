"""
What a photograph says beside its picture: which way is up, and its colours. All else is left behind.

Cameras write where a picture was taken, and their own serial numbers, into EXIF, XMP and makers' own segments. Of all
that one number is kept, the orientation, and a colour profile when nothing but colours stands in it.
"""

from __future__ import annotations

import struct
from dataclasses import dataclass

UPRIGHT = 1
_ORIENTATION = 0x0112
_SHORT = 3
_IFD_ENTRY = 12
_MOST_ENTRIES = 200
_LARGEST_PROFILE = 64 * 1024
_PROFILE_HEADER = 128
_TAGS_OF_COLOUR = frozenset(
    b"desc cprt chrm wtpt bkpt rXYZ gXYZ bXYZ rTRC gTRC bTRC kTRC chad cicp lumi view meas tech "
    b"A2B0 A2B1 A2B2 B2A0 B2A1 B2A2 gamt".split(b" ")
)


class NotWhole(Exception):
    """
    A file is not the whole picture that it begins as, or holds what no photograph does.

    Parameters
    ----------
    says : str
        What is wrong, without its full stop.
    """

    def __init__(self, says: str) -> None:
        super().__init__(says)
        self.says = says


@dataclass(frozen=True, slots=True)
class Bare:
    """
    A picture and nothing else.

    Parameters
    ----------
    data : bytes
        The file without what told of place, time and camera.
    width, height : int
        As stored. [pixel]
    in_passes : bool
        It is stored coarse first, then finer (progressive), so that showing it takes all of it in memory.
    """

    data: bytes
    width: int
    height: int
    in_passes: bool = False


def orientation_in(tiff: bytes) -> int:
    """
    Read which way is up out of an EXIF block.

    Parameters
    ----------
    tiff : bytes
        From its byte order mark on.

    Returns
    -------
    int
        1 to 8 as EXIF counts; 1, upright, where it does not say.
    """
    order = {b"II*\0": "<", b"MM\0*": ">"}.get(tiff[:4])
    if order is None:
        return UPRIGHT
    try:
        (start,) = struct.unpack_from(f"{order}I", tiff, 4)
        (count,) = struct.unpack_from(f"{order}H", tiff, start)
        for number in range(min(count, _MOST_ENTRIES)):
            tag, kind, _, value = struct.unpack_from(f"{order}HHIH", tiff, start + 2 + number * _IFD_ENTRY)
            if (tag, kind) == (_ORIENTATION, _SHORT):
                return value if value in range(1, 9) else UPRIGHT
    except struct.error:
        pass
    return UPRIGHT


def exif_of(orientation: int) -> bytes:
    """
    Return an EXIF block that says which way is up, and nothing else.

    Parameters
    ----------
    orientation : int
        1 to 8.

    Returns
    -------
    bytes
        From its byte order mark on.
    """
    return b"II*\0" + struct.pack("<IHHHIHHI", 8, 1, _ORIENTATION, _SHORT, 1, orientation, 0, 0)


def is_of_colour(profile: bytes) -> bool:
    """
    Tell whether a colour profile holds colours alone: some hold the serial number of a screen.

    Parameters
    ----------
    profile : bytes
        An ICC profile.

    Returns
    -------
    bool
        True when every tag of it is one of colour.
    """
    if not _PROFILE_HEADER + 4 <= len(profile) <= _LARGEST_PROFILE or profile[36:40] != b"acsp":
        return False
    (count,) = struct.unpack_from(">I", profile, _PROFILE_HEADER)
    first = _PROFILE_HEADER + 4
    if not 0 < count <= _MOST_ENTRIES or first + count * _IFD_ENTRY > len(profile):
        return False
    tags = {profile[first + n * _IFD_ENTRY : first + n * _IFD_ENTRY + 4] for n in range(count)}
    return tags <= _TAGS_OF_COLOUR
