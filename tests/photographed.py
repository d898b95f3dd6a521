"""Photographs for tests, drawn here: an invented plug on a bench, with what cameras write beside a picture."""

from __future__ import annotations

import io
import struct
import zlib
from typing import Any

from PIL import Image, ImageDraw

SECRETS = (b"SERIAL-0417-99", b"Invented Camera Works", b"2026:05:14 14:05:31")
"""What a camera writes and a builder would not hand over: a serial number, a maker, a time."""


def drawn(width: int = 640, height: int = 480, tint: tuple[int, int, int] = (188, 170, 140)) -> Image.Image:
    """Return a picture in which up, down, left and right can be told apart: its top left corner is dark."""
    picture = Image.new("RGB", (width, height), tint)
    pen = ImageDraw.Draw(picture)
    for across in range(0, width, 40):
        pen.line((across, 0, across, height), fill=(120, 120, 120))
    pen.ellipse((width // 3, height // 3, 2 * width // 3, 2 * height // 3), fill=(60, 50, 45))
    pen.rectangle((0, 0, width // 4, height // 4), fill=(10, 10, 10))
    return picture


def camera_exif(orientation: int = 1) -> Image.Exif:
    """Return what a phone writes beside a picture: maker, serial number, time, place."""
    exif = Image.Exif()
    exif[0x0112] = orientation
    exif[0x010F] = SECRETS[1].decode()
    exif[0x0132] = SECRETS[2].decode()
    exif.get_ifd(0x8769)[0xA431] = SECRETS[0].decode()
    place = exif.get_ifd(0x8825)
    place[1], place[2], place[3], place[4] = "N", (12.0, 34.0, 56.0), "E", (7.0, 8.0, 9.0)
    return exif


def photograph(kind: str = "JPEG", orientation: int = 1, size: tuple[int, int] = (640, 480), **more: Any) -> bytes:  # noqa: ANN401 - of the writer
    """Return a file as a phone makes it."""
    out = io.BytesIO()
    drawn(*size).save(out, kind, exif=camera_exif(orientation), **more)
    return out.getvalue()


def chunk(name: bytes, body: bytes) -> bytes:
    """Return a part of a PNG file."""
    return struct.pack(">I", len(body)) + name + body + struct.pack(">I", zlib.crc32(name + body))


def png_of(width: int, height: int, *more: bytes) -> bytes:
    """Return a PNG that says it is this large and holds a few bytes of picture."""
    head = chunk(b"IHDR", struct.pack(">IIBBBBB", width, height, 8, 2, 0, 0, 0))
    packed = chunk(b"IDAT", zlib.compress(b"\0" * 100_000, 9))
    return b"\x89PNG\r\n\x1a\n" + head + b"".join(more) + packed + chunk(b"IEND", b"")
