"""
Where the pages are opened: under a name of the workshop's network, over http and over https.

What a browser has where: on http only localhost counts as safe. Elsewhere it has no service worker, hence no page when
the Wi-Fi is gone (Secure Contexts, W3C, 3.1; seen in Chromium).
"""

from __future__ import annotations

import base64
import hashlib
import time
from typing import TYPE_CHECKING

import pytest
from cryptography import x509
from cryptography.hazmat.primitives.serialization import Encoding, PublicFormat
from tests.browser.conftest import PHONE, arguments, let_in, program
from tests.browser.test_offline import HALF_A_YEAR, finals, kept_for_later, waits
from tests.browser.watched import Watched, pull, ready, saved
from tests.served import LAN_NAME, SIX, Served

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

    from playwright.sync_api import BrowserContext, Playwright
    from tests.browser.conftest import Opens


# If this failed, a phone in the workshop would be promised what its browser cannot do over plain http, or could not be
# used at all.
def test_a_name_of_the_network_over_http(server: Served, opens: Opens) -> None:
    test = server.test(SIX)
    phone = opens(PHONE, host=LAN_NAME)
    phone.away_is_fine = True
    page = ready(phone.page(f"/tests/{test}/pull"))
    assert page.evaluate("() => window.isSecureContext") is False
    assert page.evaluate("() => 'serviceWorker' in navigator") is False
    note = page.locator('[data-trouble="plain"]')
    note.wait_for()
    note.locator("summary").tap()
    said = note.inner_text()
    assert "plain http" in said
    assert "--https" in said
    # The queue works in the open page.
    phone.context.set_offline(True)
    pull(page, "95", "150")
    waits(page, 1)
    page.locator('[data-last="on this phone"]').wait_for()
    phone.context.set_offline(False)
    saved(page)
    assert len(finals(server, test)) == 1
    # And over a reload, once the server answers again.
    server.stop()
    pull(page, "95", "151")
    waits(page, 1)
    server.start()
    page.reload()
    ready(page)
    saved(page)
    assert len(finals(server, test)) == 2


@pytest.fixture
def secure(tmp_path: Path) -> Iterator[Served]:
    """Yield a server over https, with a certificate made on the spot."""
    with Served(tmp_path / "secure", secure=True) as running:
        yield running


@pytest.fixture
def trusting(playwright: Playwright, secure: Served, tmp_path: Path) -> Iterator[BrowserContext]:
    """Yield a browser that trusts this very server, and no other that it would not trust otherwise."""
    assert secure.authority is not None
    pinned = [
        base64.b64encode(
            hashlib.sha256(each.public_key().public_bytes(Encoding.DER, PublicFormat.SubjectPublicKeyInfo)).digest()
        ).decode()
        for each in x509.load_pem_x509_certificates(secure.authority.chain.read_bytes())
    ]
    context = playwright.chromium.launch_persistent_context(
        tmp_path / "trusting phone",
        executable_path=program(),
        args=[*arguments(), f"--ignore-certificate-errors-spki-list={','.join(pinned)}"],
        **PHONE,
    )
    let_in(context, secure, secure.phone().token, LAN_NAME, until=time.time() + HALF_A_YEAR)
    yield context
    context.close()


# If this failed, https would be offered and not bring what it is offered for: a page that opens out of reach of the PC.
def test_a_name_of_the_network_over_https(secure: Served, trusting: BrowserContext) -> None:
    test = secure.test(SIX)
    phone = Watched(trusting, secure.address(LAN_NAME))
    phone.away_is_fine = True
    page = ready(phone.page(f"/tests/{test}/pull"))
    assert page.evaluate("() => window.isSecureContext") is True
    assert page.locator('[data-trouble="plain"]').count() == 0
    pull(page, "95", "150")
    saved(page)
    kept_for_later(page)
    secure.stop()
    pull(page, "95", "151")
    waits(page, 1)
    page.reload()
    ready(page)
    waits(page, 1)
    pull(page, "95", "152")
    waits(page, 2)
    secure.start()
    saved(page)
    assert len(finals(secure, test)) == 3
    assert phone.faults() == []


# If this failed, a browser that was never told to trust this PC would trust it, and the test above would prove nothing.
def test_a_stranger_does_not_trust_it(secure: Served, opens: Opens) -> None:
    from playwright.sync_api import Error

    stranger = opens(PHONE, host=LAN_NAME, of=secure)
    stranger.away_is_fine = True
    with pytest.raises(Error, match="ERR_CERT_AUTHORITY_INVALID"):
        stranger.page("/")
