"""A shop for tests that need no network: an application with a book of its own, and devices that are let in."""

from __future__ import annotations

import secrets
from pathlib import Path
from typing import TYPE_CHECKING, Self

from tests.web.client import Client

from ringtrue.intake import parse_sheet, read_settings
from ringtrue.records import Book, Header
from ringtrue.shop.workplace import Workplace
from ringtrue.web.app import application
from ringtrue.web.routes import Who
from ringtrue.web.service import Service
from ringtrue.web.sessions import Sessions

if TYPE_CHECKING:
    from ringtrue.web.certificates import Authority

SHEET = Path(__file__).parents[2] / "src" / "ringtrue" / "cli" / "story" / "launch-six.toml"
HERE = "http://127.0.0.1:8417"
FAR = "http://shop-pc.test:8417"
"""A name of the workshop's network; .test is nobody's (RFC 6761, 6.2)."""


class Shop:
    """
    One application, as it is served in a workshop.

    Parameters
    ----------
    folder : Path
        Book, settings and sessions are kept there.
    secure : bool
        It is served over https.
    lan : bool
        It is served to the workshop's network.
    authority : Authority or None
        Whose certificate is served.
    """

    def __init__(
        self, folder: Path, *, secure: bool = False, lan: bool = True, authority: Authority | None = None
    ) -> None:
        self.folder = folder
        settings = folder / "settings.toml"
        self.place = Workplace(read_settings(settings), settings, str(folder / "book.ringtrue"))
        self.book = Book.open(folder / "book.ringtrue")
        self.sessions = Sessions(folder / "sessions.json")
        scheme = "https" if secure else "http"
        names = ["127.0.0.1", "localhost", "[::1]", *(["shop-pc.test", "192.0.2.20", "[fd00::20]"] if lan else [])]
        origins = [f"{scheme}://{name}:8417" for name in names]
        self.address = origins[0]
        self.service = Service(
            self.place,
            self.book,
            self.sessions,
            frozenset(origins),
            secure=secure,
            addresses=tuple(origins[3:]),
            authority=authority,
        )
        self.app = application(self.service)
        self._clients: list[Client] = []

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *_: object) -> None:
        for each in self._clients:
            each.close()
        self.book.close()

    def client(self, address: str = "") -> Client:
        """Return a device that nobody has let in."""
        made = Client(self.app, address or self.address)
        self._clients.append(made)
        return made

    def token(self, role: Who, person: str = "Alder", device: str = "phone") -> str:
        """Let a device in; its token."""
        return self.sessions.admit(person, device, role)

    def device(self, role: Who = Who.OWNER, person: str = "Alder", device: str = "phone", address: str = "") -> Client:
        """Return a device that is in."""
        made = self.client(address)
        made.cookies[self.cookie] = self.token(role, person, device)
        return made

    @property
    def cookie(self) -> str:
        """The name of the cookie."""
        return "__Host-ringtrue-8417" if self.service.secure else "ringtrue-8417"

    def test(self) -> str:
        """Begin a test of the invented engine; its name."""
        text = SHEET.read_text(encoding="utf-8")
        sheet = parse_sheet(text)
        header = Header(sheet.reference or sheet.name, sheet.name, by="Alder", plan_order=sheet.pull_order)
        return self.book.start(header, sheet_text=text, key=key(), who="Alder", device="shop PC")


def key() -> str:
    """Return a key that no entry has yet."""
    return secrets.token_urlsafe(18)
