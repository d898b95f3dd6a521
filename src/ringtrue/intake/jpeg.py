"""
JPEG pictures: recognised, walked through to their end, and written without what cameras put beside the picture.

The picture itself is not touched: its coded data stay to the byte. What follows its end is cut off: phones put a second
picture or a film there.

References
----------
ITU-T T.81 (1992), B.1 and table B.1: markers and segments. From memory.
"""

from __future__ import annotations

import struct
from collections.abc import Iterator
from dataclasses import dataclass

from ringtrue.intake.metadata import UPRIGHT, Bare, NotWhole, exif_of, is_of_colour, orientation_in

START = b"\xff\xd8\xff"
_APP0, _APP1, _APP2, _APP14 = 0xE0, 0xE1, 0xE2, 0xEE
_SOS, _EOI = 0xDA, 0xD9
_FRAMES = {0xC0, 0xC1, 0xC2}
_PROGRESSIVE = 0xC2
_OTHER_FRAMES = {0xC3, 0xC5, 0xC6, 0xC7, 0xC9, 0xCA, 0xCB, 0xCD, 0xCE, 0xCF, 0xDC}
_TABLES = {0xC4, 0xDB, 0xDD}  # Huffman, quantisation, restart interval
_RESTARTS = range(0xD0, 0xD8)
_MOST_SCANS = 64
_EXIF = b"Exif\0\0"
_PROFILE = b"ICC_PROFILE\0\x01\x01"  # the first piece of one
_JFIF = 12
_CUT_OFF = "the file ends before the picture does"
_NO_PHOTOGRAPH = "its parts do not follow one another as in a photograph"
_RARE = "it is stored in a way that few programs can show"


def bare(raw: bytes) -> Bare:
    """
    Return a JPEG picture without what its camera wrote beside it.

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
    parts: list[bytes] = []
    frame: _Frame | None = None
    up, scans = UPRIGHT, 0
    for marker, body, scan in _parts(raw):
        if marker in _FRAMES:
            if frame is not None:
                raise NotWhole("it holds two pictures in one")
            frame = _frame(marker, body)
        if marker == _SOS:
            scans += 1
            if frame is None or scans > _MOST_SCANS:
                raise NotWhole(_NO_PHOTOGRAPH)
        if marker == _APP1 and body.startswith(_EXIF) and up == UPRIGHT:
            up = orientation_in(body.removeprefix(_EXIF))
        kept = _kept(marker, body)
        if kept:
            parts.append(_written(marker, kept) + scan)
    if frame is None or not scans:
        raise NotWhole("there is no picture in it")
    first = 1 if parts[0][1] == _APP0 else 0
    if up != UPRIGHT:
        parts.insert(first, _written(_APP1, _EXIF + exif_of(up)))
    return Bare(b"".join((b"\xff\xd8", *parts, b"\xff\xd9")), frame.width, frame.height, frame.in_passes)


@dataclass(frozen=True, slots=True)
class _Frame:
    width: int
    height: int
    in_passes: bool


def _kept(marker: int, body: bytes) -> bytes:
    """Return what is kept of a segment; nothing of one that is no part of the picture."""
    if marker == _APP0:
        # What a reader needs of it, and no second, smaller picture.
        return body[:12] + b"\0\0" if body.startswith(b"JFIF\0") and len(body) >= _JFIF else b""
    is_profile = marker == _APP2 and body.startswith(_PROFILE)
    is_colour = is_profile and is_of_colour(body.removeprefix(_PROFILE))
    is_adobe = marker == _APP14 and body.startswith(b"Adobe")
    return body if marker in _FRAMES | _TABLES | {_SOS} or is_colour or is_adobe else b""


def _written(marker: int, body: bytes) -> bytes:
    return bytes((0xFF, marker)) + struct.pack(">H", 2 + len(body)) + body


def _parts(raw: bytes) -> Iterator[tuple[int, bytes, bytes]]:
    """Yield every segment up to the end of the picture: its marker, its body, and the coded data that follow it."""
    at = 2
    while True:
        marker, at = _marker(raw, at)
        if marker == _EOI:
            return
        if marker in _OTHER_FRAMES or marker in _RESTARTS:
            raise NotWhole(_RARE)
        body = _segment(raw, at)
        at += 2 + len(body)
        end = _end_of_scan(raw, at) if marker == _SOS else at
        yield marker, body, raw[at:end]
        at = end


def _marker(raw: bytes, at: int) -> tuple[int, int]:
    if at >= len(raw):
        raise NotWhole(_CUT_OFF)
    if raw[at] != 0xFF:  # noqa: PLR2004 - every marker begins with it
        raise NotWhole(_NO_PHOTOGRAPH)
    while at < len(raw) and raw[at] == 0xFF:  # noqa: PLR2004
        at += 1
    if at >= len(raw):
        raise NotWhole(_CUT_OFF)
    if raw[at] in {0x00, 0x01, 0xD8}:
        raise NotWhole(_NO_PHOTOGRAPH)
    return raw[at], at + 1


def _segment(raw: bytes, at: int) -> bytes:
    if at + 2 > len(raw):
        raise NotWhole(_CUT_OFF)
    (length,) = struct.unpack_from(">H", raw, at)
    if length < 2 or at + length > len(raw):  # noqa: PLR2004 - it counts its own two bytes
        raise NotWhole(_CUT_OFF)
    return raw[at + 2 : at + length]


def _frame(marker: int, body: bytes) -> _Frame:
    if len(body) < 6:  # noqa: PLR2004 - precision, height, width, components
        raise NotWhole(_CUT_OFF)
    precision, height, width, components = struct.unpack_from(">BHHB", body)
    if precision != 8 or components not in {1, 3, 4} or not width or not height:  # noqa: PLR2004 - bits a sample
        raise NotWhole(_RARE)
    return _Frame(width, height, marker == _PROGRESSIVE)


def _end_of_scan(raw: bytes, at: int) -> int:
    while True:
        at = raw.find(b"\xff", at)
        if at < 0 or at + 1 >= len(raw):
            raise NotWhole(_CUT_OFF)
        if raw[at + 1] != 0 and raw[at + 1] not in _RESTARTS:
            return at
        at += 2
