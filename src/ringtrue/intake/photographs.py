"""Photographs: told by what is in them, not by their name; measured before they are unfolded; made smaller to show."""

from __future__ import annotations

import hashlib
import io
import threading
from dataclasses import dataclass
from typing import TYPE_CHECKING

from ringtrue.errors import InputRefused
from ringtrue.intake import jpeg, png, webp
from ringtrue.intake.metadata import Bare, NotWhole

if TYPE_CHECKING:
    from collections.abc import Callable

    from PIL.Image import Image

LARGEST = 15 * 1024 * 1024
"""No photograph is longer. [byte]"""
MOST_PIXELS = 64_000_000
MOST_PIXELS_AT_ONCE = 25_000_000
"""Of one that has to be unfolded whole to be shown: a PNG, a WebP, a JPEG that is stored in passes."""
LONGEST_EDGE = 16_384
"""[pixel]"""

JPEG, PNG, WEBP = "image/jpeg", "image/png", "image/webp"
_WAYS: dict[str, tuple[str, Callable[[bytes], Bare]]] = {
    JPEG: ("JPEG", jpeg.bare),
    PNG: ("PNG", png.bare),
    WEBP: ("WEBP", webp.bare),
}
_ONE_AT_A_TIME = threading.Lock()
"""An unfolded picture takes a hundred megabytes: never two of them."""


@dataclass(frozen=True, slots=True)
class Photo:
    """
    A photograph as it is kept: the picture to the byte, and nothing that tells of place, time or camera.

    Parameters
    ----------
    data : bytes
        The file.
    sha256 : str
        Its hash, 64 hexadecimal digits.
    media_type : str
        "image/jpeg", "image/png" or "image/webp".
    width, height : int
        As stored, before it is turned upright. [pixel]
    """

    data: bytes
    sha256: str
    media_type: str
    width: int
    height: int


@dataclass(frozen=True, slots=True)
class Small:
    """
    A photograph made smaller, upright, in plain colours, as a JPEG.

    Parameters
    ----------
    data : bytes
        The file; the same for the same photograph.
    width, height : int
        [pixel]
    """

    data: bytes
    width: int
    height: int


def read_photograph(raw: bytes) -> Photo:
    """
    Read a photograph, and leave behind what its camera wrote beside the picture.

    Parameters
    ----------
    raw : bytes
        The file, whatever it is called.

    Returns
    -------
    Photo
        As it is to be kept; the same for the same file.

    Raises
    ------
    InputRefused
        It is no JPEG, PNG or WebP, is not whole, cannot be shown, or is too large.
    """
    if not raw:
        raise InputRefused.of("", "the file is empty", "take the picture again", "photograph")
    if len(raw) > LARGEST:
        raise _too_large(f"{len(raw) / 1e6:.0f} MB", f"a photograph has {LARGEST / 1e6:.0f} MB at most")
    media_type = kind_of(raw)
    if media_type is None:
        raise InputRefused.of(
            "",
            "whatever its name says, inside it is neither JPEG nor PNG nor WebP, and only those are kept",
            "let the phone take pictures as JPEG (its camera may call that most compatible), or send a smaller copy",
            "photograph",
        )
    name, without = _WAYS[media_type]
    try:
        found = without(raw)
    except NotWhole as error:
        raise InputRefused.of(f"a {name}", error.says, "send it again, or take it again", "photograph") from None
    _not_too_large(found, media_type)
    try:
        _opened(found.data, media_type, 64)
    except NotWhole as error:
        raise InputRefused.of(f"a {name}", error.says, "send it again, or take it again", "photograph") from None
    digest = hashlib.sha256(found.data).hexdigest()
    return Photo(found.data, digest, media_type, found.width, found.height)


def kind_of(raw: bytes) -> str | None:
    """
    Tell what a file is by how it begins.

    Parameters
    ----------
    raw : bytes
        The file, or its beginning.

    Returns
    -------
    str or None
        Its media type; None when it is no picture that is kept.
    """
    if raw.startswith(jpeg.START):
        return JPEG
    if raw.startswith(png.START):
        return PNG
    return WEBP if raw.startswith(webp.START) and raw[8:12] == webp.KIND else None


def _not_too_large(found: Bare, media_type: str) -> None:
    pixels = found.width * found.height
    at_once = media_type != JPEG or found.in_passes
    most = MOST_PIXELS_AT_ONCE if at_once else MOST_PIXELS
    if pixels > most or max(found.width, found.height) > LONGEST_EDGE:
        edge = f"{found.width} x {found.height} pixels"
        kind = "one that is stored in this way" if at_once else "a photograph"
        raise _too_large(edge, f"{kind} has {most // 1_000_000} million of them at most, {LONGEST_EDGE} in a row")


def _too_large(given: str, why: str) -> InputRefused:
    return InputRefused.of(given, why, "send a smaller copy", "photograph")


def smaller(data: bytes, media_type: str, longest: int) -> Small:
    """
    Make a photograph smaller.

    Parameters
    ----------
    data : bytes
        A file as it is kept.
    media_type : str
        What it is.
    longest : int
        Its longer edge afterwards; a smaller one is left as large as it is. [pixel]

    Returns
    -------
    Small
        Upright, on white where it was transparent.

    Raises
    ------
    InputRefused
        It cannot be shown.
    """
    try:
        picture = _opened(data, media_type, longest)
    except NotWhole as error:
        raise InputRefused.of("", error.says, "take it off the sheet", "photograph") from None
    made = io.BytesIO()
    picture.save(made, "JPEG", quality=82, optimize=True)
    return Small(made.getvalue(), picture.width, picture.height)


def _opened(data: bytes, media_type: str, longest: int) -> Image:
    """Unfold a picture no larger than it has to be, turn it upright and give it plain colours."""
    from PIL import Image, ImageOps, UnidentifiedImageError

    name, _ = _WAYS[media_type]
    with _ONE_AT_A_TIME:
        try:
            with Image.open(io.BytesIO(data), formats=[name]) as picture:
                picture.draft("RGB", (longest, longest))
                picture.load()
                upright = ImageOps.exif_transpose(picture)
        except (
            OSError,
            SyntaxError,
            ValueError,
            EOFError,
            UnidentifiedImageError,
            Image.DecompressionBombError,
        ) as error:
            raise NotWhole(f"it cannot be shown ({error})") from None
        plain = _in_plain_colours(upright)
        plain.thumbnail((longest, longest), Image.Resampling.LANCZOS)
        return plain


def _in_plain_colours(picture: Image) -> Image:
    from PIL import Image

    if picture.mode in {"RGBA", "LA", "PA"} or "transparency" in picture.info:
        over = picture.convert("RGBA")
        white = Image.new("RGBA", over.size, "white")
        return Image.alpha_composite(white, over).convert("RGB")
    profile = picture.info.get("icc_profile")
    if profile and picture.mode == "RGB":
        return _from_profile(picture, profile)
    plain = picture.convert("RGB")
    plain.info.clear()
    return plain


def _from_profile(picture: Image, profile: bytes) -> Image:
    from PIL import ImageCms

    try:
        own = ImageCms.ImageCmsProfile(io.BytesIO(profile))
        plain = ImageCms.profileToProfile(picture, own, ImageCms.createProfile("sRGB"), outputMode="RGB")
    except (ImageCms.PyCMSError, OSError, ValueError):
        plain = None
    made = picture.convert("RGB") if plain is None else plain
    made.info.clear()
    return made
