"""The two live pages, pull and engine view, and the files that every page is made of."""

from __future__ import annotations

import json
from functools import cache
from typing import TYPE_CHECKING

from ringtrue.report.palette import ACCENT, PAPER
from ringtrue.web.page import Frame, Way, as_page, page
from ringtrue.web.routes import Route, Who
from ringtrue.web.static_files import StaticFile, file_named, files, made, version

if TYPE_CHECKING:
    from starlette.requests import Request
    from starlette.responses import Response

    from ringtrue.web.service import Service

ICONS = (
    ("icon.svg", "any", "image/svg+xml"),
    ("icon-192.png", "192x192", "image/png"),
    ("icon-512.png", "512x512", "image/png"),
)


async def _live(service: Service, request: Request, template: str, title: str) -> Response:
    recorded = await service.do(service.book.test, request.path_params["test"])
    frame = Frame(
        title,
        Way(f"/tests/{recorded.test_id}", "Judgement"),
        about=recorded.header.engine_name or recorded.header.engine,
    )
    return page(request, template, frame, test=recorded.test_id)


@as_page
async def pull(service: Service, request: Request) -> Response:
    """Show the page on which pulls are typed in."""
    return await _live(service, request, "pull.html.j2", "Pull")


@as_page
async def view(service: Service, request: Request) -> Response:
    """Show the engine with its figures, as they come in."""
    return await _live(service, request, "view.html.j2", "Engine view")


async def static(service: Service, request: Request) -> Response:
    """Hand out a file."""
    del service
    return file_named(request.path_params["name"]).answer(request)


async def worker(service: Service, request: Request) -> Response:
    """Hand out the service worker, which knows the edition of the files that it keeps."""
    del service
    return _worker().answer(request)


async def manifest(service: Service, request: Request) -> Response:
    """Tell a phone how to put the pages on its first screen."""
    del service
    return _manifest().answer(request)


@cache
def _worker() -> StaticFile:
    kept = [f"/static/{name}" for name in files() if not name.endswith((".txt", "sw.js", ".png"))]
    head = f"const VERSION = {json.dumps(version())};\nconst SHELL = {json.dumps(kept)};\n"
    return made(head.encode() + file_named("sw.js").body, ".js")


@cache
def _manifest() -> StaticFile:
    told = {
        "name": "ringtrue",
        "short_name": "ringtrue",
        "start_url": "/",
        "scope": "/",
        "display": "standalone",
        "background_color": PAPER.light,
        "theme_color": ACCENT.light,
        "icons": [{"src": f"/static/{name}", "sizes": size, "type": kind} for name, size, kind in ICONS],
    }
    return made(json.dumps(told).encode(), ".webmanifest")


ROUTES = (
    Route("GET", "/tests/{test}/pull", Who.ENTERS, pull),
    Route("GET", "/tests/{test}/view", Who.LOOKS_ON, view),
    Route("GET", "/static/{name:path}", Who.ANYBODY, static),
    Route("GET", "/sw.js", Who.ANYBODY, worker),
    Route("GET", "/manifest.webmanifest", Who.ANYBODY, manifest),
)
