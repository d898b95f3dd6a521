"""A phone is let in, in a real browser: from the picture on the shop PC to the first page."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

from tests.browser.conftest import PC, PHONE, SEEN
from tests.served import LAN_NAME

from ringtrue.web.routes import Who

if TYPE_CHECKING:
    from playwright.sync_api import Browser
    from tests.browser.conftest import Opens
    from tests.served import Served


# If this failed, a builder could not let his phone in by touch, or what opens the door would stand in an address, where
# the next one who holds the phone, a log or a list of pages visited shows it (A6).
def test_a_phone_is_let_in_by_touch(chromium: Browser, opens: Opens, server: Served) -> None:
    owner = opens(PC, name="shop PC").context.new_page()
    owner.goto(f"{server.address()}/devices")
    owner.get_by_role("button", name="Let a device in").click()
    owner.get_by_role("img", name="The address to pair with").wait_for(timeout=SEEN)
    invitation = server.service.door.invitation
    assert invitation is not None
    context = chromium.new_context(**PHONE)
    asked: list[str] = []
    context.on("request", lambda request: asked.append(f"{request.url} {request.headers.get('referer', '')}"))
    phone = context.new_page()
    phone.goto(f"{server.address(LAN_NAME)}/pair#{invitation.secret}")
    phone.get_by_label("Your name").fill("Quay")
    assert phone.url == f"{server.address(LAN_NAME)}/pair"
    assert phone.get_by_label("What this device is called").input_value() == "phone"
    phone.get_by_role("button", name="Ask to be let in").tap()
    number = phone.locator("#number")
    number.wait_for(timeout=SEEN)
    # The owner's page shows the knock by itself, with the same number.
    knock = owner.get_by_role("region", name="Quay asks to be let in")
    knock.wait_for(timeout=SEEN)
    assert re.findall(r"\b[0-9]{3}\b", knock.inner_text()) == [number.inner_text()]
    knock.get_by_role("button", name="Let in").click()
    phone.wait_for_url(f"{server.address(LAN_NAME)}/", timeout=SEEN)
    owner.get_by_text("Used by Quay").wait_for(timeout=SEEN)
    me = phone.evaluate("fetch('/api/me').then((answer) => answer.json())")
    assert (me["person"], me["role"]) == ("Quay", "enters readings")
    # Nothing of it is in what was asked for, in the address, in what scripts can read, or one step back.
    assert invitation.secret not in "".join(asked)
    assert "#" not in "".join(asked)
    assert phone.evaluate("document.cookie + JSON.stringify({...localStorage, ...sessionStorage})") == "{}"
    phone.go_back()
    assert invitation.secret not in phone.url
    context.close()


# If this failed, whoever the owner refuses would not be told, or would come in.
def test_a_phone_is_refused_by_touch(chromium: Browser, opens: Opens, server: Served) -> None:
    owner = opens(PC, name="shop PC").context.new_page()
    owner.goto(f"{server.address()}/devices")
    code = server.service.door.invite().code
    context = chromium.new_context(**PHONE)
    phone = context.new_page()
    phone.goto(f"{server.address(LAN_NAME)}/pair")
    phone.get_by_label("Code from the shop PC").fill(f"{code[:4]} {code[4:]}")
    phone.get_by_label("Your name").fill("Quay")
    phone.get_by_role("button", name="Ask to be let in").tap()
    owner.get_by_role("button", name="Refuse").click()
    phone.get_by_text("The shop PC refused this device.").wait_for(timeout=SEEN)
    assert len(server.sessions.all()) == 1
    context.close()


# If this failed, the address that the terminal tells would not make this browser the owner's, or would do so twice.
def test_the_owner_comes_in_from_the_terminal(chromium: Browser, server: Served) -> None:
    context = chromium.new_context(**PC)
    page = context.new_page()
    page.goto(f"{server.address()}/pair#{server.sessions.secret(Who.OWNER)}")
    page.get_by_label("Your name").fill("Alder")
    page.get_by_role("button", name="Ask to be let in").click()
    page.wait_for_url(f"{server.address()}/", timeout=SEEN)
    # The next start finds him in already: he is led on, and the new secret is spent.
    again = server.sessions.secret(Who.OWNER)
    page.goto("about:blank")
    page.goto(f"{server.address()}/pair#{again}")
    page.wait_for_url(f"{server.address()}/", timeout=SEEN)
    assert server.sessions.spend(again) is None
    assert len(server.sessions.all()) == 1
    context.close()
