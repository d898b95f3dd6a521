"""The front-end files: public, since they hold nothing of the shop; only those that are there when it starts."""

from __future__ import annotations

import gzip
import hashlib
import mimetypes
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING

from starlette.exceptions import HTTPException
from starlette.responses import Response

from ringtrue.web.routes import Route, Who

if TYPE_CHECKING:
    from starlette.requests import Request

    from ringtrue.web.service import Service

FOLDER = Path(__file__).parent / "static"
KINDS = {".js": "text/javascript", ".mjs": "text/javascript", ".css": "text/css", ".svg": "image/svg+xml"} | {
    ".webmanifest": "application/manifest+json",
    ".txt": "text/plain",
    ".md": "text/plain",
    "": "text/plain",
}
"""What a file is, by its ending; not left to the machine, whose own table may say otherwise."""


@dataclass(frozen=True, slots=True)
class File:
    """
    A front-end file.

    Parameters
    ----------
    plain, packed : bytes
        As it is, and compressed.
    kind : str
        Media type.
    mark : str
        Another one when the file is another: an entity tag (RFC 9110, 8.8.3).
    """

    plain: bytes
    packed: bytes
    kind: str
    mark: str


@cache
def files() -> dict[str, File]:
    """
    Read every front-end file.

    Returns
    -------
    dict of str to File
        By its path below the folder. What is not in it is not given out, whatever a path says.
    """
    found = {}
    for path in sorted(FOLDER.rglob("*")):
        if path.is_file() and not path.name.startswith("."):
            plain = path.read_bytes()
            ending = path.suffix.lower()
            kind = KINDS.get(ending) or mimetypes.guess_type(path.name)[0] or "application/octet-stream"
            mark = f'"{hashlib.sha256(plain).hexdigest()[:32]}"'
            found[path.relative_to(FOLDER).as_posix()] = File(plain, gzip.compress(plain, mtime=0), kind, mark)
    return found


async def static_file(service: Service, request: Request) -> Response:
    """Give out a front-end file."""
    del service
    file = files().get(request.path_params["path"])
    if file is None:
        raise HTTPException(404)
    headers = {"cache-control": "no-cache", "etag": file.mark, "vary": "accept-encoding"}
    if request.path_params["path"] == "worker.js":
        headers["service-worker-allowed"] = "/"
    if request.headers.get("if-none-match") == file.mark:
        return Response(status_code=304, headers=headers)
    packed = "gzip" in request.headers.get("accept-encoding", "") and len(file.packed) < len(file.plain)
    if packed:
        headers["content-encoding"] = "gzip"
    return Response(file.packed if packed else file.plain, headers=headers, media_type=file.kind)


ROUTES = (Route("GET", "/static/{path:path}", Who.ANYBODY, static_file),)
