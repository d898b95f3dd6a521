"""A file from the disk, as bytes and as text, refused in a sentence when it cannot be either."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from ringtrue.errors import InputRefused

_MARKS_OF_UTF_16 = (b"\xff\xfe", b"\xfe\xff")


def read_bytes(path: Path, refused: type[InputRefused], *, largest: int) -> bytes:
    """
    Read a file of reasonable size.

    Parameters
    ----------
    path : Path
        The file.
    refused : type
        The error to raise.
    largest : int
        Most bytes. [byte]

    Returns
    -------
    bytes
        All of it.

    Raises
    ------
    InputRefused
        There is no such file, it cannot be opened, or it is too large.
    """
    try:
        if path.is_dir():
            raise refused.of(f"“{path}”", "that is a folder", "name a file in it")
        size = path.stat().st_size
        raw = b""
        if size <= largest:
            with path.open("rb") as stream:
                raw = stream.read(largest + 1)
    except FileNotFoundError:
        raise refused.of(f"“{path}”", "there is no such file", "check the name and the folder") from None
    except OSError as error:
        why = f"it cannot be read ({error.strerror})"
        raise refused.of(f"“{path}”", why, "check its name and who may read it") from None
    except ValueError:
        raise refused.of(ascii(str(path)), "that is no file name", "check the name") from None
    if (size := max(size, len(raw))) > largest:
        raise refused.of(
            f"“{path}” with {size / 1e6:.1f} MB",
            f"such a file has {largest / 1e6:g} MB at most",
            "check that it is the right file",
        )
    return raw


def decode(raw: bytes, refused: type[InputRefused], *, encoding: str = "", instead: str = "") -> str:
    """
    Turn a file's bytes into text.

    Parameters
    ----------
    raw : bytes
        What the file holds.
    refused : type
        The error to raise.
    encoding : str
        How the person says it is written; empty for UTF-8. A byte order mark of UTF-16 wins.
    instead : str
        What to do when it is not UTF-8; empty for saving it as such.

    Returns
    -------
    str
        Its text, without a byte order mark.

    Raises
    ------
    InputRefused
        The bytes are not text in that encoding, or there is no such encoding.
    """
    named = "utf-16" if raw.startswith(_MARKS_OF_UTF_16) else encoding or "utf-8"
    try:
        text = raw.decode(named)
    except UnicodeError:
        why = f"it is not text in {named.upper() if named != encoding else named}"
        raise refused.of("", why, instead or "save it as text in UTF-8") from None
    except (LookupError, ValueError):
        raise refused.of(
            f"--encoding {ascii(encoding)[1:-1]}",
            "there is no such encoding of text",
            "say for example --encoding cp1252, or save the file as UTF-8",
        ) from None
    if "\x00" in text:
        raise refused.of("", "it holds bytes that no text has", "check that it is the right file")
    return text.removeprefix("\ufeff")


@contextmanager
def named(name: str, refused: type[InputRefused]) -> Iterator[None]:
    """
    Set a file's name in front of every fault that is found inside.

    Parameters
    ----------
    name : str
        The file's name.
    refused : type
        The error whose faults are meant.

    Yields
    ------
    None
        Nothing.

    Raises
    ------
    InputRefused
        The same error, its faults with the file's name.
    """
    try:
        yield
    except refused as error:
        raise error.at(name) from None
