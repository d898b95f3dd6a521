"""
PNG pictures: recognised, every part checked, and written without texts, times and whatever else is beside the picture.

References
----------
W3C Portable Network Graphics, third edition, 5 (structure) and 11 (chunks). From memory.
"""

from __future__ import annotations

import struct
import zlib
from collections.abc import Iterator

from ringtrue.intake.metadata import UPRIGHT, Bare, NotWhole, exif_of, orientation_in

START = b"\x89PNG\r\n\x1a\n"
_KEPT = {b"IHDR", b"PLTE", b"tRNS", b"sRGB", b"gAMA", b"cHRM", b"IDAT", b"IEND"}
_SMALL = 64 * 1024
_CUT_OFF = "the file ends before the picture does"


def bare(raw: bytes) -> Bare:
    """
    Return a PNG picture without anything beside it.

    Parameters
    ----------
    raw : bytes
        The file; it begins with `START`.

    Returns
    -------
    Bare
        The picture, and which way is up.

    Notes
    -----
    Stopped by `NotWhole`.
    """
    chunks = list(_chunks(raw))
    if chunks[0][0] != b"IHDR" or [name for name, _ in chunks].count(b"IHDR") > 1:
        raise NotWhole("its parts do not follow one another as in a picture")
    up = next((orientation_in(body) for name, body in chunks if name == b"eXIf"), UPRIGHT)
    kept = [(name, body) for name, body in chunks if name in _KEPT and (name == b"IDAT" or len(body) <= _SMALL)]
    first = next((at for at, (name, _) in enumerate(kept) if name == b"IDAT"), 0)
    if not first:
        raise NotWhole("there is no picture in it")
    if up != UPRIGHT:
        kept.insert(first, (b"eXIf", exif_of(up)))
    return Bare(START + b"".join(_written(name, body) for name, body in kept), *_size(chunks[0][1]))


def _chunks(raw: bytes) -> Iterator[tuple[bytes, bytes]]:
    """Yield every part up to the end of the picture."""
    at = len(START)
    name = b""
    while name != b"IEND":
        name, body = _chunk(raw, at)
        at += 12 + len(body)
        if name not in _KEPT and not name[0] & 0x20:  # a capital: who does not know it cannot show the picture
            raise NotWhole("it is stored in a way that few programs can show")
        yield name, body


def _chunk(raw: bytes, at: int) -> tuple[bytes, bytes]:
    if at + 12 > len(raw):
        raise NotWhole(_CUT_OFF)
    length, name = struct.unpack_from(">I4s", raw, at)
    if at + 12 + length > len(raw):
        raise NotWhole(_CUT_OFF)
    body = raw[at + 8 : at + 8 + length]
    (sealed,) = struct.unpack_from(">I", raw, at + 8 + length)
    if zlib.crc32(name + body) != sealed or not name.isalpha():
        raise NotWhole("a part of it was damaged on its way")
    return name, body


def _written(name: bytes, body: bytes) -> bytes:
    return struct.pack(">I", len(body)) + name + body + struct.pack(">I", zlib.crc32(name + body))


def _size(body: bytes) -> tuple[int, int]:
    if len(body) != 13:  # noqa: PLR2004 - width, height and five bytes
        raise NotWhole("its parts do not follow one another as in a picture")
    width, height = struct.unpack_from(">II", body)
    if not width or not height:
        raise NotWhole("there is no picture in it")
    return width, height
