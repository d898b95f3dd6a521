"""Photographs are told by what is in them, keep their picture to the bit, and lose what tells of place and camera."""

from __future__ import annotations

import hashlib
import io
import struct
import zlib
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from PIL import Image, ImageCms
from tests.photographed import SECRETS, chunk, drawn, photograph, png_of

from ringtrue.errors import InputRefused
from ringtrue.intake.photographs import LARGEST, read_photograph, smaller

KINDS = ("JPEG", "PNG", "WEBP")


def opened(data: bytes) -> Image.Image:
    """Return a picture, unfolded by another program than the one that is tested."""
    picture = Image.open(io.BytesIO(data))
    picture.load()
    return picture


# If this failed, an owner could read off his sheet where the builder lives, or which phone he has.
@pytest.mark.parametrize("kind", KINDS)
def test_place_time_and_camera_are_left_behind(kind: str) -> None:
    raw = photograph(kind, orientation=6)
    assert all(secret in raw for secret in SECRETS)
    kept = read_photograph(raw)
    assert not [secret for secret in SECRETS if secret in kept.data]
    assert dict(opened(kept.data).getexif()) == {0x0112: 6}


# If this failed, the colour of a plug, which is the evidence, would be another than the camera saw.
@pytest.mark.parametrize(("kind", "more"), [("JPEG", {}), ("JPEG", {"progressive": True}), ("PNG", {}), ("WEBP", {})])
def test_the_picture_is_kept_to_the_bit(kind: str, more: dict[str, Any]) -> None:
    raw = photograph(kind, **more)
    kept = read_photograph(raw)
    assert opened(kept.data).tobytes() == opened(raw).tobytes()
    assert (kept.width, kept.height) == (640, 480)
    assert kept.sha256 == hashlib.sha256(kept.data).hexdigest()


# If this failed, the same photograph sent again after a lost line would be another one.
@pytest.mark.parametrize("kind", KINDS)
def test_reading_again_changes_nothing(kind: str) -> None:
    kept = read_photograph(photograph(kind, orientation=8))
    assert read_photograph(photograph(kind, orientation=8)) == kept
    assert read_photograph(kept.data) == kept


# If this failed, a film or a web page hidden behind a picture would be kept, and given out again, with it.
@pytest.mark.parametrize("kind", KINDS)
def test_what_follows_the_picture_is_cut_off(kind: str) -> None:
    raw = photograph(kind)
    behind = b"<script>alert(1)</script>PK\x03\x04 SERIAL-0417-99 ftypmp42"
    assert read_photograph(raw + behind) == read_photograph(raw)


# If this failed, a script in a comment of a picture would lie in the shop's folder, waiting for a careless program.
def test_comments_and_unknown_parts_go() -> None:
    raw = photograph()
    hidden = b"<script>alert(1)</script>"
    for marker in (0xFE, 0xE1, 0xE5, 0xED):
        part = bytes((0xFF, marker)) + struct.pack(">H", 2 + len(hidden)) + hidden
        kept = read_photograph(raw[:2] + part + raw[2:])
        assert hidden not in kept.data
    text = chunk(b"tEXt", b"Comment\0" + hidden) + chunk(b"zTXt", b"Comment\0\0" + zlib.compress(hidden))
    png = photograph("PNG")
    assert hidden not in read_photograph(png[:33] + text + png[33:]).data


# If this failed, a picture taken on its side would lie on its side on the sheet. Where each corner comes to lie is
# EXIF's table of orientations (CIPA DC-008, 4.6.4), from memory: 1 as it is, 3 half a turn, 6 and 8 a quarter.
@pytest.mark.parametrize(("orientation", "dark_at"), [(1, (0, 0)), (3, (1, 1)), (6, (1, 0)), (8, (0, 1))])
@pytest.mark.parametrize("kind", KINDS)
def test_a_photograph_is_turned_upright(kind: str, orientation: int, dark_at: tuple[int, int]) -> None:
    kept = read_photograph(photograph(kind, orientation))
    small = smaller(kept.data, kept.media_type, 320)
    assert (small.width, small.height) == ((320, 240) if orientation in {1, 3} else (240, 320))
    picture = opened(small.data).convert("L")
    corners = {
        (x, y): picture.getpixel((10 + x * (small.width - 20), 10 + y * (small.height - 20)))
        for x in (0, 1)
        for y in (0, 1)
    }
    assert min(corners, key=lambda at: float(corners[at] or 0)) == dark_at  # type: ignore[arg-type]
    assert not dict(opened(small.data).getexif())


# If this failed, one sheet printed twice would be two different files.
def test_the_same_photograph_is_made_smaller_to_the_same_bytes() -> None:
    kept = read_photograph(photograph(size=(1600, 1200)))
    assert smaller(kept.data, kept.media_type, 900) == smaller(kept.data, kept.media_type, 900)


# If this failed, a small photograph would be blown up and look as if it showed what it does not.
def test_a_small_photograph_stays_small() -> None:
    kept = read_photograph(photograph(size=(200, 100)))
    small = smaller(kept.data, kept.media_type, 900)
    assert (small.width, small.height) == (200, 100)


# If this failed, the serial number of a screen would travel in a profile of colours, or plain profiles would be lost.
def test_a_profile_of_colours_alone_is_kept() -> None:
    profile = ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes()
    out = io.BytesIO()
    drawn().save(out, "JPEG", icc_profile=profile)
    assert opened(read_photograph(out.getvalue()).data).info["icc_profile"] == profile
    with_serial = profile.replace(b"cprt", b"mmod", 1)
    out = io.BytesIO()
    drawn().save(out, "JPEG", icc_profile=with_serial)
    assert "icc_profile" not in opened(read_photograph(out.getvalue()).data).info


def cut(raw: bytes) -> bytes:
    """Return a file whose second half was lost on its way."""
    return raw[: len(raw) // 2]


def moving() -> bytes:
    """Return a WebP that moves."""
    out = io.BytesIO()
    drawn().save(out, "WEBP", save_all=True, append_images=[drawn(tint=(0, 0, 0))])
    return out.getvalue()


def wide_jpeg() -> bytes:
    """Return a JPEG whose frame says 65,000 x 65,000: 4 thousand million pixels in a few hundred bytes."""
    raw = photograph(size=(64, 64))
    at = raw.index(b"\xff\xc0")
    return raw[: at + 5] + struct.pack(">HH", 65_000, 65_000) + raw[at + 9 :]


# If this failed, a file that is no photograph would be kept as one, or a bomb would fill the shop PC's memory.
@pytest.mark.parametrize(
    ("raw", "says"),
    [
        (b"", "he file is empty"),
        (b"\xff\xd8\xff", "ends before the picture does"),
        (b'<svg xmlns="http://www.w3.org/2000/svg" onload="alert(1)"/>', "neither JPEG nor PNG nor WebP"),
        (b"<!doctype html><script>alert(1)</script>", "neither JPEG nor PNG nor WebP"),
        (b"GIF89a" + b"\0" * 100, "neither JPEG nor PNG nor WebP"),
        (b"BM" + b"\0" * 100, "neither JPEG nor PNG nor WebP"),
        (b"\0\0\0\x18ftypheic" + b"\0" * 100, "most compatible"),
        (b"PK\x03\x04" + b"\0" * 100, "neither JPEG nor PNG nor WebP"),
        (b"RIFF\x24\0\0\0WAVEfmt ", "neither JPEG nor PNG nor WebP"),
        (b"RIFF\xff\xff\xff\x7fWEBP", "ends before the picture does"),
        (cut(photograph()), "ends before the picture does"),
        (cut(photograph("PNG")), "ends before the picture does"),
        (cut(photograph("WEBP")), "ends before the picture does"),
        (moving(), "t moves, and a photograph does not"),
        (png_of(60_000, 60_000), "60000 x 60000 pixels"),
        (png_of(1, 2**31 - 1), "pixels"),
        (png_of(16_000, 3_000), "25 million"),
        (wide_jpeg(), "65000 x 65000 pixels"),
        (png_of(0, 10), "no picture in it"),
        (png_of(640, 480, chunk(b"JUNK", b"")), "few programs can show"),
        (png_of(640, 480, b"\0\0\0\x01abcdx\0\0\0\0"), "damaged on its way"),
        (b"\xff\xd8\xff\xe0\0\x02\xff\xd9", "no picture in it"),
        (b"\xff\xd8\xff\xe0\0\x02\xff\xd8", "do not follow one another"),
        (b"\xff\xd8\xff\xc3\0\x0b\x08\0\x10\0\x10\x01\x01\x11\0", "few programs can show"),
    ],
)
def test_what_is_no_photograph_is_refused(raw: bytes, says: str) -> None:
    with pytest.raises(InputRefused, match=says):
        read_photograph(raw)


# If this failed, a long file would be worked on before it is found to be too long.
def test_a_file_that_is_too_long_is_refused() -> None:
    with pytest.raises(InputRefused, match="16 MB at most"):
        read_photograph(photograph() + b"\0" * LARGEST)


# If this failed, a picture of a thousand passes would keep the shop PC busy for minutes.
def test_a_picture_of_very_many_passes_is_refused() -> None:
    raw = photograph(progressive=True)
    first = raw.index(b"\xff\xda")
    second = raw.index(b"\xff", first + 2 + 10)
    while raw[second + 1] in {0, *range(0xD0, 0xD8)}:
        second = raw.index(b"\xff", second + 2)
    with pytest.raises(InputRefused, match="do not follow one another"):
        read_photograph(raw[:second] + raw[first:second] * 80 + raw[second:])


# If this failed, one damaged file would stop the server with an error that nobody wrote.
@settings(max_examples=150, deadline=None)
@given(data=st.data(), kind=st.sampled_from(KINDS))
def test_damage_is_refused_or_harmless(data: st.DataObject, kind: str) -> None:
    raw = bytearray(_SAMPLES[kind])
    for at in data.draw(st.lists(st.integers(0, len(raw) - 1), min_size=1, max_size=6)):
        raw[at] = data.draw(st.integers(0, 255))
    length = data.draw(st.integers(0, len(raw)))
    for tried in (bytes(raw), bytes(raw[:length])):
        try:
            kept = read_photograph(tried)
        except InputRefused:
            continue
        assert not [secret for secret in SECRETS if secret in kept.data]


_SAMPLES = {kind: photograph(kind, orientation=3, size=(64, 48)) for kind in KINDS}
