"""How a device is let in: by a secret that is good once, and by the owner's own hand (A5)."""

from __future__ import annotations

import base64
import hmac
import itertools
import math
import re
from typing import TYPE_CHECKING, Any

import pytest
from tests.web.client import Client, events
from tests.web.shop import FAR, Shop, key

from ringtrue.web import door as door_module
from ringtrue.web import readings, sessions
from ringtrue.web.door import CODE_DIGITS, LASTS, WRONG_CODES, Door, State
from ringtrue.web.routes import ROLES, Who
from ringtrue.web.sessions import Sessions

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

DEVICE = {"person": "Quay", "device": "phone"}


@pytest.fixture
def shop(tmp_path: Path) -> Iterator[Shop]:
    """Yield an application."""
    with Shop(tmp_path) as opened:
        yield opened


class Clock:
    """The monotonic clock, in a test's own hands."""

    def __init__(self, monkeypatch: pytest.MonkeyPatch) -> None:
        self.at = 1000.0
        for module in (door_module, sessions):  # in these alone: whatever else waits has its own
            monkeypatch.setattr(module, "time", self)

    def time(self) -> float:
        """Tell what the wall clock says."""
        return self.at

    def monotonic(self) -> float:
        """Tell what the clock says that only runs on."""
        return self.at


def invited(owner: Client) -> Any:  # noqa: ANN401 - JSON
    """Make an invitation; its secret is cut off its address."""
    made = owner.post("/api/devices/invite").json
    address, _, secret = made["address"].partition("#")
    assert address.endswith("/pair")
    return {**made, "secret": secret}


def answered(owner: Client, role: str | None) -> None:
    """Answer who waits, as the owner."""
    (knock,) = owner.get("/api/devices").json["waiting"]
    assert owner.post("/api/devices/answer", {"name": knock["name"], "role": role}).status == 200


def raw(secret: str) -> bytes:
    """Return the random bytes of a secret."""
    text = secret.removeprefix(sessions.PREFIX)
    return base64.urlsafe_b64decode(text + "=" * (-len(text) % 4))


# If this failed, a secret could be guessed, or would tell the next one.
def test_secrets_are_of_256_bits_and_never_the_same(shop: Shop) -> None:
    door = shop.service.door
    made = [door.invite() for _ in range(200)]
    tokens = [shop.token(Who.LOOKS_ON) for _ in range(20)]
    firsts = [shop.sessions.secret(Who.OWNER) for _ in range(20)]
    every = [each.secret for each in made] + tokens + firsts
    assert len(set(every)) == len(every)
    # 128 bits are asked for; 32 bytes from the system's generator are 256.
    assert {len(raw(each)) for each in every} == {32}
    ones = sum(byte.bit_count() for each in every for byte in raw(each))
    of = len(every) * 256
    # Derived: bits at random are ones with mean n/2 and standard deviation sqrt(n)/2; six of those are never seen.
    assert abs(ones - of / 2) < 6 * math.sqrt(of) / 2
    assert len({each.code for each in made}) > 190
    assert {len(each.code) for each in made} == {CODE_DIGITS}


# If this failed, a builder could not let his phone in.
@pytest.mark.parametrize("by", ["secret", "code"])
@pytest.mark.parametrize("role", list(ROLES.values()))
def test_a_phone_is_let_in(shop: Shop, by: str, role: str) -> None:
    owner, phone = shop.device(Who.OWNER), shop.client(FAR)
    made = invited(owner)
    asked = phone.post("/api/pair", {by: made[by], **DEVICE}).json
    assert asked["state"] == "waiting"
    (seen,) = owner.get("/api/devices").json["waiting"]
    assert (seen["person"], seen["device"], seen["number"]) == ("Quay", "phone", asked["number"])
    assert re.fullmatch(r"[1-9][0-9]{2}", asked["number"])
    # Until the owner has said so, nothing is open and no cookie is given.
    assert phone.post("/api/pair/wait", {"ticket": asked["ticket"]}).json["state"] == "waiting"
    assert phone.get("/api/me").status == 401
    assert phone.set_cookies == []
    answered(owner, role)
    told = phone.post("/api/pair/wait", {"ticket": asked["ticket"]})
    assert told.json["state"] == "let in"
    assert "ringtrue." not in told.text  # the token is in the cookie alone
    me = phone.get("/api/me").json
    assert (me["person"], me["device"], me["role"]) == ("Quay", "phone", role)
    (cookie,) = phone.set_cookies
    attributes = {part.strip().lower() for part in cookie.split(";")[1:]}
    assert {"httponly", "samesite=strict", "path=/"} <= attributes
    # The ticket is spent.
    assert shop.client().post("/api/pair/wait", {"ticket": asked["ticket"]}).json["state"] == "too late"


# If this failed, a cookie could be read by scripts, sent over plain http, or set by a neighbour of the same name
# (the prefix __Host- of draft-ietf-httpbis-rfc6265bis, 4.1.3.2).
def test_the_cookie_over_https(tmp_path: Path) -> None:
    with Shop(tmp_path, secure=True) as shop:
        phone = shop.client()
        phone.post("/api/pair", {"secret": shop.sessions.secret(Who.OWNER), **DEVICE})
        (cookie,) = phone.set_cookies
        assert cookie.startswith("__Host-ringtrue-8417=")
        attributes = {part.strip().lower() for part in cookie.split(";")[1:]}
        assert {"httponly", "samesite=strict", "path=/", "secure"} <= attributes
        assert not any(each.startswith("domain") for each in attributes)
        assert phone.get("/api/me").status == 200


# If this failed, whoever the owner refused would be in, or would be kept waiting.
def test_a_phone_is_refused(shop: Shop) -> None:
    owner, phone = shop.device(Who.OWNER), shop.client(FAR)
    asked = phone.post("/api/pair", {"secret": invited(owner)["secret"], **DEVICE}).json
    answered(owner, None)
    assert phone.post("/api/pair/wait", {"ticket": asked["ticket"]}).json["state"] == "refused"
    assert phone.get("/api/me").status == 401
    assert len(shop.sessions.all()) == 1


# If this failed, a picture that somebody photographed over the builder's shoulder would let a second device in.
@pytest.mark.parametrize("first", ["secret", "code"])
@pytest.mark.parametrize("second", ["secret", "code"])
def test_an_invitation_is_good_once(shop: Shop, first: str, second: str) -> None:
    made = invited(shop.device(Who.OWNER))
    assert shop.client(FAR).post("/api/pair", {first: made[first], **DEVICE}).status == 200
    again = shop.client(FAR).post("/api/pair", {second: made[second], **DEVICE})
    assert again.status == 403
    assert "spent" in again.json["says"]


# If this failed, an invitation that was forgotten on the screen would be good all night.
@pytest.mark.parametrize("by", ["secret", "code"])
def test_an_invitation_lasts_five_minutes(shop: Shop, by: str, monkeypatch: pytest.MonkeyPatch) -> None:
    assert LASTS == 300
    clock = Clock(monkeypatch)
    owner, phone = shop.device(Who.OWNER), shop.client(FAR)
    made = invited(owner)
    clock.at += LASTS + 0.001
    assert phone.post("/api/pair", {by: made[by], **DEVICE}).status == 403
    assert owner.get("/api/devices").json["invited"] is False
    made = invited(owner)
    clock.at += LASTS - 0.001
    assert phone.post("/api/pair", {by: made[by], **DEVICE}).status == 200


# If this failed, a device that knocked long ago could be let in by a touch meant for another.
def test_a_knock_waits_five_minutes(shop: Shop, monkeypatch: pytest.MonkeyPatch) -> None:
    clock = Clock(monkeypatch)
    owner, phone = shop.device(Who.OWNER), shop.client(FAR)
    asked = phone.post("/api/pair", {"secret": invited(owner)["secret"], **DEVICE}).json
    (knock,) = owner.get("/api/devices").json["waiting"]
    clock.at += LASTS + 0.001
    assert owner.post("/api/devices/answer", {"name": knock["name"], "role": "owner"}).status == 404
    assert phone.post("/api/pair/wait", {"ticket": asked["ticket"]}).json["state"] == "too late"


# If this failed, the owner's address on the terminal would be good for ever, or for somebody else after him.
def test_the_owners_first_secret(shop: Shop, monkeypatch: pytest.MonkeyPatch) -> None:
    clock = Clock(monkeypatch)
    secret = shop.sessions.secret(Who.OWNER)
    browser = shop.client()
    assert browser.post("/api/pair", {"secret": secret, **DEVICE}).json["state"] == "let in"
    assert browser.get("/api/devices").status == 200
    assert shop.client().post("/api/pair", {"secret": secret, **DEVICE}).status == 403
    late = shop.sessions.secret(Who.OWNER)
    clock.at += LASTS + 0.001
    assert shop.client().post("/api/pair", {"secret": late, **DEVICE}).status == 403


# If this failed, every start of the server would leave one more owner behind in the same browser.
def test_an_owner_who_is_in_stays_one(shop: Shop) -> None:
    owner = shop.device(Who.OWNER)
    secret = shop.sessions.secret(Who.OWNER)
    assert owner.post("/api/pair", {"secret": secret, **DEVICE}).json["state"] == "let in"
    assert len(shop.sessions.all()) == 1
    assert shop.client().post("/api/pair", {"secret": secret, **DEVICE}).status == 403


# If this failed, a phone that is paired anew would keep what it might do before.
def test_pairing_anew_ends_what_was_before(shop: Shop) -> None:
    owner, phone = shop.device(Who.OWNER), shop.device(Who.OWNER, address=FAR)
    before = phone.cookies[shop.cookie]
    asked = phone.post("/api/pair", {"secret": invited(owner)["secret"], **DEVICE}).json
    answered(owner, "looks on")
    phone.post("/api/pair/wait", {"ticket": asked["ticket"]})
    assert phone.get("/api/me").json["role"] == "looks on"
    assert shop.sessions.find(before) is None


# If this failed, the code on the screen could be found by trying.
def test_five_wrong_codes_make_it_void(shop: Shop) -> None:
    owner, phone = shop.device(Who.OWNER), shop.client(FAR)
    made = invited(owner)
    wrong = f"{(int(made['code']) + 1) % 10**CODE_DIGITS:0{CODE_DIGITS}d}"
    assert WRONG_CODES == 5
    for _ in range(4):
        assert phone.post("/api/pair", {"code": wrong, **DEVICE}).status == 403
    assert owner.get("/api/devices").json["code_is_void"] is False
    assert phone.post("/api/pair", {"code": wrong, **DEVICE}).status == 403
    assert owner.get("/api/devices").json["code_is_void"] is True
    assert "code is void" in owner.get("/devices", accept="text/html").text
    assert phone.post("/api/pair", {"code": made["code"], **DEVICE}).status == 403
    # The picture is another secret, which nobody has guessed at.
    assert phone.post("/api/pair", {"secret": made["secret"], **DEVICE}).status == 200


# If this failed, four wrong codes would shut out a builder who mistypes, or blanks would count.
@pytest.mark.parametrize("spell", ["{0}{1}", "{0} {1}", " {0}-{1} ", "{0}\u00a0{1}"])
def test_a_code_is_typed_as_it_is_shown(shop: Shop, spell: str) -> None:
    owner, phone = shop.device(Who.OWNER), shop.client(FAR)
    made = invited(owner)
    for wrong in ("0000", "12345678901", made["code"][:7], "ä" * 8):
        assert phone.post("/api/pair", {"code": wrong, **DEVICE}).status == 403
    typed = spell.format(made["code"][:4], made["code"][4:])
    assert phone.post("/api/pair", {"code": typed, **DEVICE}).json["state"] == "waiting"


# If this failed, somebody with patience would be let in: ten thousand guesses, as fast as they can be made, while the
# owner makes a new code each time one is void.
def test_ten_thousand_guesses(tmp_path: Path) -> None:
    door = Door(Sessions(tmp_path / "sessions.json"))
    tried, heard, voids = 0, 0, 0
    guesses = itertools.cycle(f"{each * 7919 % 10**CODE_DIGITS:08d}" for each in range(10_000))
    door.invite()
    while tried < 10_000:
        made = door.invitation
        assert made is not None
        if made.code_is_void:
            voids += 1
            door.invite()
        guess = next(guesses)
        heard += (
            door.knock("" if tried % 2 else sessions.PREFIX + guess * 5, guess if tried % 2 else "", "x", "y")
            is not None
        )
        tried += 1
    # Derived: 5,000 guesses at eight digits find one with probability 5e-5; even then the owner has to let it in.
    assert heard == 0
    assert door.waiting() == ()
    assert voids == 5_000 // WRONG_CODES - 1


# If this failed, guessing would work on a server that counts no wrong codes, and the count would not be what stops it.
def test_without_the_count_guessing_works(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(door_module, "WRONG_CODES", math.inf)
    monkeypatch.setattr(door_module, "CODE_DIGITS", 4)
    door = Door(Sessions(None))
    door.invite()
    assert any(door.knock("", f"{guess:04d}", "x", "y") for guess in range(10_000))


# If this failed, guesses over the wire would get further than guesses at the door itself.
def test_guesses_over_the_wire(shop: Shop, *, soaking: bool) -> None:
    owner, guesser = shop.device(Who.OWNER), shop.client(FAR)
    invited(owner)
    for each in range(10_000 if soaking else 300):
        if each % 50 == 0:
            invited(owner)
        assert guesser.post("/api/pair", {"code": f"{each:08d}", **DEVICE}).status == 403
        assert guesser.post("/api/pair/wait", {"ticket": f"ringtrue.{each}"}).json["state"] == "too late"
    assert guesser.set_cookies == []
    assert len(shop.sessions.all()) == 1


# If this failed, how long a comparison takes would tell how much of a secret was right.
def test_secrets_are_compared_in_constant_time(shop: Shop, monkeypatch: pytest.MonkeyPatch) -> None:
    compared: list[object] = []

    def noted(left: Any, right: Any) -> bool:  # noqa: ANN401 - text or bytes
        compared.append(left)
        return hmac.compare_digest(left, right)

    class Watched:
        compare_digest = staticmethod(noted)

    monkeypatch.setattr(door_module, "hmac", Watched)
    monkeypatch.setattr(sessions, "hmac", Watched)
    first = shop.sessions.secret(Who.OWNER)
    for act in (
        lambda: shop.service.door.knock("x", "", "a", "b"),
        lambda: shop.service.door.knock("", "12345678", "a", "b"),
        lambda: shop.sessions.spend(first),
        lambda: shop.sessions.find(shop.token(Who.OWNER)),
    ):
        shop.service.door.invite()
        compared.clear()
        act()
        assert compared
    heard = shop.service.door.knock(shop.service.door.invite().secret, "", "a", "b")
    assert heard is not None
    compared.clear()
    assert shop.service.door.hear(heard.ticket).state is State.WAITING
    assert compared


# If this failed, a name could be made of signs that nobody sees, or stand for another on the owner's screen.
@pytest.mark.parametrize("name", ["", "   ", "a\nb", "\u202eXY", "a\u0000", "x" * 61])
def test_a_name_that_cannot_be_read(shop: Shop, name: str) -> None:
    made = invited(shop.device(Who.OWNER))
    for field in ("person", "device"):
        refused = shop.client(FAR).post("/api/pair", {"secret": made["secret"], **DEVICE, field: name})
        assert refused.status == 422
        assert refused.json["faults"][0]["where"] == field
    # It was not spent by that.
    assert shop.client(FAR).post("/api/pair", {"secret": made["secret"], **DEVICE}).status == 200


# If this failed, what a device calls itself would run as a script on the owner's screen.
def test_a_hostile_name_is_shown_as_text(shop: Shop) -> None:
    owner = shop.device(Who.OWNER)
    name = "<img src=x onerror=alert(1)>\"'"
    shop.client(FAR).post("/api/pair", {"secret": invited(owner)["secret"], "person": name, "device": name})
    shown = owner.get("/devices", accept="text/html").text
    assert "<img src=x" not in shown
    assert "&lt;img src=x onerror=alert(1)&gt;" in shown


# If this failed, the owner would have to reach for something else than the page to let a device in or shut it out.
def test_the_page_lets_in_and_shuts_out(shop: Shop) -> None:
    owner, phone = shop.device(Who.OWNER), shop.client(FAR)
    assert owner.send("/devices/invite", {"key": key()}).header("location") == "/devices#invitation"
    shown = owner.get("/devices", accept="text/html").text
    assert 'class="qr"' in shown
    assert "style=" not in shown
    assert "<style" not in shown
    made = shop.service.door.invitation
    assert made is not None
    assert f"{made.code[:4]} {made.code[4:]}" in shown
    asked = phone.post("/api/pair", {"code": made.code, **DEVICE}).json
    assert asked["number"] in owner.get("/devices", accept="text/html").text
    (knock,) = shop.service.door.waiting()
    said = {"key": key(), "name": knock.name, "role": "enters readings", "do": "let in"}
    assert owner.send("/devices/answer", said).status == 303
    phone.post("/api/pair/wait", {"ticket": asked["ticket"]})
    me = phone.get("/api/me").json
    assert me["role"] == "enters readings"
    assert owner.send("/devices/revoke", {"key": key(), "name": me["name"]}).status == 303
    assert phone.get("/api/me").status == 401
    # What was answered already, and a role that there is not.
    assert owner.send("/devices/answer", said).status == 404
    assert owner.send("/devices/answer", {**said, "role": "emperor"}).status == 422
    owner.send("/devices/invite", {"key": key()})
    owner.send("/devices/take-back", {"key": key()})
    assert shop.service.door.invitation is None


# If this failed, a phone would be sent to an address that only the shop PC itself can reach.
def test_the_picture_leads_where_a_phone_can_go(shop: Shop, tmp_path_factory: pytest.TempPathFactory) -> None:
    assert invited(shop.device(Who.OWNER))["address"].startswith("http://shop-pc.test:8417/pair#")
    assert invited(shop.device(Who.OWNER, address="http://192.0.2.20:8417"))["address"].startswith("http://192.0.2.20:")
    owner = shop.device(Who.OWNER)
    assert "http://192.0.2.20:8417/pair" in owner.get("/devices?at=1", accept="text/html").text
    for at in ("9", "-1", "x", "٣", "1" * 5000):
        assert owner.get(f"/devices?at={at}".encode().decode("latin-1"), accept="text/html").status == 200
    with Shop(tmp_path_factory.mktemp("alone"), lan=False) as alone:
        assert invited(alone.device(Who.OWNER))["address"].startswith("http://127.0.0.1:8417/pair#")
        alone.service.door.take_back()
        assert "no phone can reach it" in alone.device(Who.OWNER).get("/devices").text


# If this failed, whoever was shut out would go on seeing what is written. Looked for every half second.
def test_an_open_stream_ends_when_its_session_is_revoked(shop: Shop) -> None:
    phone, test = shop.device(Who.LOOKS_ON), shop.test()
    me = phone.get("/api/me").json["name"]
    assert readings.LOOK_AGAIN <= 1
    with phone.line("GET", f"/api/tests/{test}/events", headers=phone._as_page("GET").items()) as line:
        heard = events(line)
        assert next(heard)[0] == "state"
        assert shop.device(Who.OWNER).post("/api/devices/revoke", {"name": me}).status == 200
        assert list(heard) == [("gone", "{}")]
    assert phone.get("/api/me").status == 401


# If this failed, a server that is stopped would wait for every screen that follows a test.
def test_an_open_stream_ends_when_the_server_stops(shop: Shop) -> None:
    phone, test = shop.device(Who.LOOKS_ON), shop.test()
    with phone.line("GET", f"/api/tests/{test}/events", headers=phone._as_page("GET").items()) as line:
        heard = events(line)
        assert next(heard)[0] == "state"
        shop.service.stopping = True
        assert list(heard) == []


# If this failed, a program of the shop's own could not read, or could do more than it was made for.
def test_a_token_for_a_program(shop: Shop) -> None:
    owner = shop.device(Who.OWNER)
    made = owner.post("/api/devices/program", {"program": "price list", "role": "looks on"})
    assert made.status == 201
    with_token = {"host": "127.0.0.1:8417", "authorization": f"Bearer {made.json['token']}"}.items()
    program = shop.client()
    assert program.ask("GET", "/api/tests", headers=with_token).status == 200
    me = program.ask("GET", "/api/me", headers=with_token).json
    assert (me["device"], me["person"], me["program"]) == ("price list", "Alder", True)
    assert program.ask("POST", "/api/devices/invite", headers=with_token).status == 403
    shown = owner.get("/devices", accept="text/html").text
    assert "a program" in shown
    assert made.json["token"] not in shown
    page = owner.send("/devices/program", {"key": key(), "program": "scales", "role": "enters readings"})
    (token,) = re.findall(r"ringtrue\.[\w-]{43}", page.text)
    assert shop.sessions.find(token) is not None
    wrong = owner.send("/devices/program", {"key": key(), "program": "", "role": "looks on"})
    assert "a name is wanted" in wrong.text.lower()
    assert owner.post("/api/devices/program", {"program": "x", "role": "anybody"}).status == 422


# If this failed, the answer to a knock could name something that is not there and be taken for done.
def test_names_that_are_not_there(shop: Shop) -> None:
    owner = shop.device(Who.OWNER)
    assert owner.post("/api/devices/answer", {"name": "abc", "role": None}).status == 404
    assert owner.post("/api/devices/revoke", {"name": "abc"}).status == 404
    assert owner.post("/api/devices/revoke", {"name": "../x"}).status == 422
    both = {"secret": "x", "code": "y", **DEVICE}
    assert shop.client(FAR).post("/api/pair", both).status == 422
    assert shop.client(FAR).post("/api/pair", DEVICE).status == 422
