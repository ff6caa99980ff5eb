"""Messages to browsers and phones: encrypted for one receiver, sent by its push service.

The receiver here is a real server that decrypts by itself, of `cryptography` alone, as RFC 8291 and
RFC 8188 say; that it does so rightly is held against RFC 8291's own example (Appendix A, from
memory: a wrong digit of it opens nothing). The word to the service is checked as RFC 8292 says.
"""

import base64
import json
from dataclasses import replace
from typing import Any

import pytest
from cryptography.exceptions import InvalidTag
from cryptography.hazmat.primitives import hashes
from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.hazmat.primitives.asymmetric.utils import encode_dss_signature
from cryptography.hazmat.primitives.ciphers.aead import AESGCM
from cryptography.hazmat.primitives.kdf.hkdf import HKDF
from cryptography.hazmat.primitives.serialization import Encoding, PublicFormat
from fastapi.testclient import TestClient

from app.access import keeping, pairing
from app.core.errors import InputError, RefusedError
from app.outbox.worker import OutboxWorker
from app.store import notices, outbox, push, push_keys
from app.store.push import PushSubscription
from tests.demo.conftest import OURS, enter
from tests.office.conftest import fields
from tests.outbox.conftest import Company
from tests.sync.client import Phone

CURVE = ec.SECP256R1()


def raw(text: str) -> bytes:
    return base64.urlsafe_b64decode(text + "=" * (-len(text) % 4))


def written(data: bytes) -> str:
    return base64.urlsafe_b64encode(data).decode().rstrip("=")


class Browser:
    """What a browser keeps of a subscription, and how it reads what comes."""

    def __init__(self, private: ec.EllipticCurvePrivateKey, auth: bytes) -> None:
        self.private, self.auth = private, auth
        points = Encoding.X962, PublicFormat.UncompressedPoint
        self.point = private.public_key().public_bytes(*points)

    def address(self, endpoint: str) -> dict[str, str]:
        return {
            "endpoint": endpoint, "p256dh": written(self.point), "auth": written(self.auth)
        }  # fmt: skip

    def read(self, body: bytes) -> bytes:
        """Return the message of one record. Source: RFC 8291, 3.3 and 3.4; RFC 8188, 2."""
        salt, length = body[:16], body[20]
        sender, sealed = body[21 : 21 + length], body[21 + length :]
        assert int.from_bytes(body[16:20]) >= len(sealed)  # one record holds it all
        shared = self.private.exchange(
            ec.ECDH(), ec.EllipticCurvePublicKey.from_encoded_point(CURVE, sender)
        )
        about = b"WebPush: info\0" + self.point + sender
        secret = HKDF(hashes.SHA256(), 32, self.auth, about).derive(shared)
        key = HKDF(hashes.SHA256(), 16, salt, b"Content-Encoding: aes128gcm\0").derive(secret)
        nonce = HKDF(hashes.SHA256(), 12, salt, b"Content-Encoding: nonce\0").derive(secret)
        opened = AESGCM(key).decrypt(nonce, sealed, None).rstrip(b"\0")
        assert opened[-1:] == b"\2"  # the last record
        return opened[:-1]


def some_browser() -> Browser:
    return Browser(ec.generate_private_key(CURVE), b"sixteen bytes ok")


def test_the_receiver_reads_the_example_of_the_rfc() -> None:
    number = int.from_bytes(raw("q1dXpw3UpT5VOmu_cf_v6ih07Aems3njxI-JWgLcM94"))
    browser = Browser(ec.derive_private_key(number, CURVE), raw("BTBZMqHH6r4Tts7J_aSIgg"))
    body = raw(
        "DGv6ra1nlYgDCS1FRnbzlwAAEABBBP4z9KsN6nGRTbVYI_c7VJSPQTBtkgcy27mlmlMoZIIgDll6e3vCYLocInmYW"
        "AmS6TlzAC8wEqKK6PBru3jl7A_yl95bQpu6cVPTpK4Mqgkf1CXztLVBSt2Ks3oZwbuwXPXLWyouBWLVWGNWQexSgS"
        "xsj_Qulcy4a-fN"
    )
    assert browser.read(body) == b"When I grow up, I want to be a watermelon"


@pytest.fixture
def told(company: Company) -> Company:
    """The company with a key, so that its settings send messages."""
    company.settings = replace(company.settings, push_key=push_keys.fresh_push_key())
    company.app.state.settings = company.settings
    company.worker = OutboxWorker(company.database, company.settings, company.clock)
    return company


def subscribe(company: Company, browser: Browser, person: str = "nadia-ferrow") -> str:
    """Keep a subscription whose push service is the test's receiver: by plain HTTP, so by hand."""
    given = browser.address(company.hook.url)
    row = PushSubscription(
        id=push.hash_of(given["endpoint"]), **given, person=person, browser="one", made=1
    )
    with company.database.write() as session:
        push.keep_subscription(session, row)
        return row.id


def signed_word(header: str, key: str) -> Any:
    """Return the claims of a word whose signature holds. Source: RFC 8292, 2 and 3; RFC 7515."""
    assert header.startswith("vapid ")
    parts = dict(pair.split("=", 1) for pair in header.removeprefix("vapid ").split(","))
    parts = {name.strip(): value.strip() for name, value in parts.items()}
    assert parts["k"] == key
    head, claims, signature = parts["t"].split(".")
    r, s = (int.from_bytes(raw(signature)[at : at + 32]) for at in (0, 32))
    public = ec.EllipticCurvePublicKey.from_encoded_point(CURVE, raw(key))
    signed = f"{head}.{claims}".encode()
    public.verify(encode_dss_signature(r, s), signed, ec.ECDSA(hashes.SHA256()))
    assert json.loads(raw(head))["alg"] == "ES256"
    return json.loads(raw(claims))


def test_a_query_is_told_to_the_browser_of_the_office_alone(told: Company) -> None:
    browser = some_browser()
    subscribe(told, browser)
    told.ask("the owner, Ada Tennick, says 96")
    told.work()
    [(path, headers, body)] = told.hook.calls
    message = json.loads(browser.read(body))
    assert message["title"] == "Question: Marrow Lane B"
    assert message["path"] == "/office/o/marrow-lane-b#queries-title"
    assert b"Tennick" not in browser.read(body)  # neither owner nor what was typed
    assert len(body) <= 4096  # RFC 8030, 7.2
    assert (path, headers["content-encoding"]) == ("/hook", "aes128gcm")
    assert int(headers["ttl"]) > 0  # RFC 8030, 5.2: needed
    key = push_keys.public_push_key(told.settings.push_key)
    claims = signed_word(headers["authorization"], key)
    assert claims["aud"] == f"http://127.0.0.1:{told.hook.port}"
    assert claims["sub"] == "https://book.example.org"
    assert 0 < claims["exp"] - told.clock() <= 24 * 3600  # RFC 8292, 2
    [row] = told.rows(channel=outbox.PUSH)
    assert row.state == outbox.SENT
    with pytest.raises(InvalidTag):
        some_browser().read(body)


def test_what_was_not_ticked_is_not_told(told: Company) -> None:
    subscribe(told, some_browser())
    told.choose("never", "", "accepted")
    told.ask()
    assert told.rows(channel=outbox.PUSH) == []


@pytest.mark.parametrize("status", [404, 410])
def test_a_browser_that_its_service_knows_no_more_ends(told: Company, status: int) -> None:
    """RFC 8030, 7.3: 404 for an expired subscription; services say 410 as well."""
    id = subscribe(told, some_browser())
    told.hook.answers = [status]
    told.ask()
    told.work()
    [row] = told.rows(channel=outbox.PUSH)
    assert (row.state, row.why) == (outbox.FAILED, f"push-gone|{status}")
    with told.database.read() as session:
        assert session.get(PushSubscription, id) is None
    assert "knows this browser no more" in told.office.get("/office/outbox").text


def test_a_full_service_is_tried_again(told: Company) -> None:
    browser = some_browser()
    subscribe(told, browser)
    told.hook.answers = [429, 503]
    told.ask()
    for ahead in (0, 20, 100):
        told.clock.ahead += ahead
        told.work()
    assert len(told.hook.calls) == 3
    [row] = told.rows(channel=outbox.PUSH)
    assert (row.state, row.tries) == (outbox.SENT, 3)
    tags = {json.loads(browser.read(body))["tag"] for _, _, body in told.hook.calls}
    assert len(tags) == 1  # a double takes the place of the first on the screen


@pytest.mark.control(39)
@pytest.mark.parametrize("address", ["10.0.0.7", "127.0.0.2", "169.254.169.254", "::1"])
def test_nothing_is_sent_into_a_private_network(told: Company, address: str) -> None:
    browser = some_browser()
    row = push.subscription_of(**browser.address("https://push.example.net/x"), now=1)
    row.person = "nadia-ferrow"
    with told.database.write() as session:
        push.keep_subscription(session, row)
    told.worker.resolve = lambda _host, _port: [address]
    told.ask()
    told.work()
    [sent] = told.rows(channel=outbox.PUSH)
    assert (sent.state, sent.why.partition("|")[0]) == (outbox.FAILED, "webhook-private")


def keep(office: TestClient, given: dict[str, str]) -> Any:
    ours = {"Accept": "application/json"}
    return office.post("/office/push", data={"act": "keep", **given}, headers=ours)


def subscriptions(company: Company) -> list[PushSubscription]:
    with company.database.read() as session:
        return push.office_subscriptions(session)


@pytest.mark.parametrize("way", ["sign out", "disabled", "password", "another role", "its button"])
def test_a_browser_is_told_no_more_once_it_ends(told: Company, way: str) -> None:
    given = some_browser().address("https://push.example.net/one")
    assert keep(told.keeper, given).status_code == 204
    assert [row.person for row in subscriptions(told)] == ["oda-lindquarry"]
    if way == "sign out":
        told.keeper.post("/sign-out")
    elif way == "its button":
        told.keeper.post("/office/push", data={"act": "end"})
    elif way == "password":
        new = "another-fine-long-password"
        sent = {"current": "bead-chalk-and-reveal", "password": new, "again": new}
        assert told.keeper.post("/me/password", data=sent).status_code == 200
    else:
        with told.database.write() as session:
            keeping.add_person(session, "Second", "second", "administrator", "en", "in")
            person = keeping.person_of(session, "oda-lindquarry")
            if way == "disabled":
                keeping.disable_person(session, person)
            else:
                keeping.change_person(session, person, person.name, "installer", "en", "in")
    assert subscriptions(told) == []


def test_signing_out_elsewhere_leaves_this_browser(told: Company) -> None:
    keep(told.keeper, some_browser().address("https://push.example.net/one"))
    other = enter(told.app, "administrator")
    keep(other, some_browser().address("https://push.example.net/two"))
    assert len(subscriptions(told)) == 2
    other.post("/sign-out")
    assert [row.endpoint for row in subscriptions(told)] == ["https://push.example.net/one"]


@pytest.mark.parametrize(
    "change",
    [
        {"endpoint": "http://push.example.net/one"}, {"endpoint": "https://"}, {"endpoint": ""},
        {"endpoint": "https://push.example.net/" + "x" * 1000}, {"p256dh": "x"}, {"auth": "*"},
        {"endpoint": "https://[::1"}, {"p256dh": written(b"\4" * 64)},
    ],
)  # fmt: skip
def test_what_is_no_address_is_refused(told: Company, change: dict[str, str]) -> None:
    given = {**some_browser().address("https://push.example.net/one"), **change}
    answer = keep(told.office, given)
    assert (answer.status_code, answer.json()["error"]["code"]) == (422, "push-unfit")
    with pytest.raises(InputError):
        push.subscription_of(**given, now=1)


def paired(company: Company, person: str) -> Phone:
    with company.database.write() as session:
        code = pairing.make_code(session, person, int(company.clock()))
    phone = Phone(TestClient(company.app))
    phone.pair(code)
    return phone


def post_push(phone: Phone, given: dict[str, str]) -> Any:
    headers = {**OURS, "Authorization": f"Bearer {phone.token}"}
    return phone.http.post("/sync/push", json=given, headers=headers)


def answer_query(company: Company) -> None:
    path = "/office/o/marrow-lane-b"
    page = company.office.get(path).text
    action = page.split('id="queries-title"')[1].split('action="')[1].split('"')[0]
    given = fields(page, action)
    given = {**given, "answer": "build", "words": "Build it as it is."}
    assert company.office.post(action, data=given).status_code == 200


def test_the_crews_phone_is_told_of_an_answer_and_others_are_not(told: Company) -> None:
    mine, theirs = paired(told, "tobin-hale"), paired(told, "ines-calder")
    browser = some_browser()
    endpoint = "https://push.example.net/{}"
    for phone, name in ((mine, "mine"), (theirs, "theirs")):
        made = post_push(phone, browser.address(endpoint.format(name)))
        key = push_keys.public_push_key(told.settings.push_key)
        assert made.json() == {"key": key, "kept": True}
    told.ask()
    answer_query(told)
    rows = told.rows(channel=outbox.PUSH)
    assert [(row.kind, row.receiver) for row in rows] == [
        (notices.ANSWERED, push.hash_of(endpoint.format("mine")))
    ]


def test_a_phone_that_is_ended_is_told_no_more(told: Company) -> None:
    phone = paired(told, "tobin-hale")
    made = post_push(phone, some_browser().address("https://push.example.net/mine"))
    assert made.json()["kept"] is True
    told.office.post(f"/phones/{phone.device}/revoke")
    told.ask()
    answer_query(told)
    assert told.rows(channel=outbox.PUSH) == []


def test_a_phone_leaves_by_itself(told: Company) -> None:
    phone = paired(told, "tobin-hale")
    post_push(phone, some_browser().address("https://push.example.net/mine"))
    made = post_push(phone, dict.fromkeys(("endpoint", "p256dh", "auth"), ""))
    assert made.json()["kept"] is False


def test_without_a_key_nothing_is_shown_and_nothing_told(company: Company) -> None:
    assert 'id="messages"' not in company.office.get("/office/notices").text
    phone = paired(company, "tobin-hale")
    headers = {"Authorization": f"Bearer {phone.token}"}
    answer = phone.http.get("/sync/push", headers=headers)
    assert answer.json() == {"key": "", "kept": False}


def test_with_a_key_the_page_of_notices_has_it(told: Company) -> None:
    key = push_keys.public_push_key(told.settings.push_key)
    assert f'data-key="{key}"' in told.office.get("/office/notices").text


@pytest.mark.parametrize("key", ["x", "A" * 40, "é"])
def test_a_key_that_is_none_is_said_in_words(key: str) -> None:
    with pytest.raises(RefusedError) as refused:
        push_keys.push_key_of(key)
    assert refused.value.code == "push-key-unfit"
