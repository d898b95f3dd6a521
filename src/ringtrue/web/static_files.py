"""What the pages are made of beside their words: style sheets, scripts, pictures. They hold nothing of the shop."""

from __future__ import annotations

import gzip
import hashlib
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from types import MappingProxyType
from typing import TYPE_CHECKING

from starlette.responses import Response

from ringtrue.errors import NotInBook

if TYPE_CHECKING:
    from collections.abc import Mapping

    from starlette.requests import Request

FOLDER = Path(__file__).with_name("static")

TYPES: Mapping[str, str] = MappingProxyType(
    {
        ".css": "text/css; charset=utf-8",
        ".html": "text/html; charset=utf-8",
        ".js": "text/javascript; charset=utf-8",
        ".png": "image/png",
        ".svg": "image/svg+xml",
        ".txt": "text/plain; charset=utf-8",
        ".webmanifest": "application/manifest+json",
    }
)
"""What each kind of file is to a browser; no other kind is served."""


@dataclass(frozen=True, slots=True)
class StaticFile:
    """
    One file, as it is served.

    Parameters
    ----------
    body, packed : bytes
        Its content, as it is and by gzip.
    kind : str
        Its media type.
    tag : str
        Of its content: another content has another one.
    """

    body: bytes
    packed: bytes
    kind: str
    tag: str

    def answer(self, request: Request) -> Response:
        """
        Answer with the file, or say that the browser has it already.

        Parameters
        ----------
        request : Request
            Who asks.

        Returns
        -------
        Response
            A browser keeps it, and asks each time whether it is still the same.
        """
        headers = {"etag": f'"{self.tag}"', "cache-control": "no-cache", "vary": "accept-encoding"}
        known = request.headers.get("if-none-match", "").replace("W/", "").split(",")
        if headers["etag"] in {each.strip() for each in known}:
            return Response(None, 304, headers)
        if "gzip" in request.headers.get("accept-encoding", "") and len(self.packed) < len(self.body):
            return Response(self.packed, 200, {**headers, "content-encoding": "gzip"}, self.kind)
        return Response(self.body, 200, headers, self.kind)


def made(body: bytes, kind: str) -> StaticFile:
    """
    Return a file with a content that is at hand.

    Parameters
    ----------
    body : bytes
        Its content.
    kind : str
        Its ending, as in `TYPES`.

    Returns
    -------
    StaticFile
        Ready to be served.
    """
    packed = gzip.compress(body, 9, mtime=0)
    return StaticFile(body, packed, TYPES[kind], hashlib.sha256(body).hexdigest()[:32])


@cache
def files() -> Mapping[str, StaticFile]:
    """
    Read every file once.

    Returns
    -------
    mapping of str to StaticFile
        By its name under ``/static/``.
    """
    return MappingProxyType(
        {
            path.relative_to(FOLDER).as_posix(): made(path.read_bytes(), path.suffix)
            for path in sorted(FOLDER.rglob("*"))
            if path.is_file() and path.suffix in TYPES
        }
    )


def file_named(name: str) -> StaticFile:
    """
    Return one file.

    Parameters
    ----------
    name : str
        Under ``/static/``, spelled exactly; nothing else leads to a file.

    Returns
    -------
    StaticFile
        The file.

    Raises
    ------
    NotInBook
        There is none of that name.
    """
    found = files().get(name)
    if found is None:
        raise NotInBook.of(f"“{name}”", "there is no such file", "go back to the first page")
    return found


@cache
def version() -> str:
    """
    Return what tells one edition of the files from another.

    Returns
    -------
    str
        Of the content of all of them.
    """
    every = "\n".join(f"{name} {file.tag}" for name, file in files().items())
    return hashlib.sha256(every.encode()).hexdigest()[:16]
