"""Opens the book, makes the owner's first secret, and listens."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import uvicorn

from ringtrue.web.app import application
from ringtrue.web.routes import Who
from ringtrue.web.service import Service
from ringtrue.web.sessions import Sessions

if TYPE_CHECKING:
    from ringtrue.shop.workplace import Workplace


def run(place: Workplace, port: int) -> None:
    """
    Serve the pages until told to stop.

    Parameters
    ----------
    place : Workplace
        The shop.
    port : int
        To listen on.
    """
    here = f"http://127.0.0.1:{port}"
    path = Path(place.settings_path).with_name("sessions.json")
    path.parent.mkdir(parents=True, exist_ok=True)
    with place.open_book() as book:
        sessions = Sessions(path)
        service = Service(place, book, sessions, frozenset({here, f"http://localhost:{port}"}))
        print(f"Open {here}/pair#{sessions.secret(Who.OWNER)}")  # noqa: T201
        uvicorn.run(application(service), host="127.0.0.1", port=port, log_level="warning", server_header=False)
