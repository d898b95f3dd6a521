"""
WebP pictures: recognised, and written without what is beside the picture.

References
----------
RFC 9649 (2024), 2 (container) and 3.4 (lossless header); RFC 6386 (2011), 9.1 (frame header). From memory.
"""

from __future__ import annotations

import struct

from ringtrue.intake.metadata import UPRIGHT, Bare, NotWhole, exif_of, is_of_colour, orientation_in

START = b"RIFF"
KIND = b"WEBP"
_ALPHA, _EXIF, _ICC, _MOVES = 0x10, 0x08, 0x20, 0x02
_CUT_OFF = "the file ends before the picture does"


def bare(raw: bytes) -> Bare:
    """
    Return a WebP picture without what is beside it.

    Parameters
    ----------
    raw : bytes
        The file; it begins with `START`, a length and `KIND`.

    Returns
    -------
    Bare
        The picture, and which way is up.

    Notes
    -----
    Stopped by `NotWhole`.
    """
    found = _chunks(raw)
    if b"ANIM" in found or b"ANMF" in found:
        raise NotWhole("it moves, and a photograph does not")
    name = b"VP8 " if b"VP8 " in found else b"VP8L"
    if name not in found:
        raise NotWhole("there is no picture in it")
    size = _size(name, found[name])
    up = orientation_in(found.get(b"EXIF", b"").removeprefix(b"Exif\0\0"))
    alpha = b"ALPH" in found or (name == b"VP8L" and _flags(found) & _ALPHA)
    icc = found.get(b"ICCP", b"")
    parts = [
        (b"ICCP", icc if is_of_colour(icc) else b""),
        (b"ALPH", found.get(b"ALPH", b"") if name == b"VP8 " else b""),
        (name, found[name]),
        (b"EXIF", exif_of(up) if up != UPRIGHT else b""),
    ]
    parts = [(each, body) for each, body in parts if body]
    if len(parts) > 1 or alpha:
        names = {each for each, _ in parts}
        flags = (_ALPHA if alpha else 0) | (_EXIF if b"EXIF" in names else 0) | (_ICC if b"ICCP" in names else 0)
        wide, high = (struct.pack("<I", length - 1)[:3] for length in size)
        parts.insert(0, (b"VP8X", bytes((flags, 0, 0, 0)) + wide + high))
    body = KIND + b"".join(each + struct.pack("<I", len(text)) + text + b"\0" * (len(text) % 2) for each, text in parts)
    return Bare(START + struct.pack("<I", len(body)) + body, *size)


def _chunks(raw: bytes) -> dict[bytes, bytes]:
    (length,) = struct.unpack_from("<I", raw, 4)
    end = 8 + length
    if end > len(raw) or raw[8:12] != KIND:
        raise NotWhole(_CUT_OFF)
    found: dict[bytes, bytes] = {}
    at = 12
    while at + 8 <= end:
        name, size = struct.unpack_from("<4sI", raw, at)
        if at + 8 + size > end:
            raise NotWhole(_CUT_OFF)
        found.setdefault(name, raw[at + 8 : at + 8 + size])
        at += 8 + size + size % 2
    return found


def _flags(found: dict[bytes, bytes]) -> int:
    extended = found.get(b"VP8X", b"")
    return extended[0] if extended else 0


def _size(name: bytes, body: bytes) -> tuple[int, int]:
    if len(body) < 10:  # noqa: PLR2004 - what both headers take
        raise NotWhole(_CUT_OFF)
    if name == b"VP8L":
        if body[0] != 0x2F:  # noqa: PLR2004 - its signature
            raise NotWhole("there is no picture in it")
        (bits,) = struct.unpack_from("<I", body, 1)
        return 1 + (bits & 0x3FFF), 1 + (bits >> 14 & 0x3FFF)
    if body[3:6] != b"\x9d\x01\x2a":
        raise NotWhole("there is no picture in it")
    width, height = (each & 0x3FFF for each in struct.unpack_from("<HH", body, 6))
    if not width or not height:
        raise NotWhole("there is no picture in it")
    return width, height
