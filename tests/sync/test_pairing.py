"""Pairing: a code serves once, for ten minutes; a phone stays the phone of its key."""

import re
from collections.abc import Callable

import pytest
from fastapi import FastAPI
from fastapi.testclient import TestClient
from sqlmodel import select

from app.access import keys, passwords
from app.access.codes import SIGNS
from app.access.pairing import LASTS, CodeError, code_as_read, spend_code
from app.access.sessions import token_hash
from app.core.record.events import VERSION
from app.store.database import Database
from app.store.tables import Device, Pairing, Person
from tests.access.conftest import PASSWORD, Clock, browser_of, sign_in
from tests.sync.client import Key, Phone, Refused, base64url
from tests.sync.conftest import code_for

pytestmark = pytest.mark.sqlite  # nothing here is about the database

MakePhone = Callable[[str], Phone]


def phone_of(app: FastAPI) -> Phone:
    return Phone(TestClient(app, raise_server_exceptions=False))


@pytest.mark.control(18)
def test_code_serves_once(app: FastAPI, database: Database, clock: Clock) -> None:
    code = code_for(database, "inga", clock.now)
    made = phone_of(app).pair(code)
    assert made["person"]["id"] == "inga"
    assert re.fullmatch(r"phone-[0-9a-f-]{36}", made["device"])
    with pytest.raises(Refused, match="422 code-unfit"):
        phone_of(app).pair(code)


@pytest.mark.parametrize(("later", "serves"), [(LASTS - 1, True), (LASTS, False)])
@pytest.mark.control(18)
def test_code_lasts_ten_minutes(
    app: FastAPI, database: Database, clock: Clock, later: int, serves: bool
) -> None:
    code = code_for(database, "inga", clock.now)
    clock.now += later
    if serves:
        phone_of(app).pair(code)
    else:
        with pytest.raises(Refused, match="422 code-unfit"):
            phone_of(app).pair(code)


@pytest.mark.control(18)
def test_a_code_from_a_clock_that_was_ahead_serves_nobody(database: Database, clock: Clock) -> None:
    code = code_for(database, "inga", 4_102_444_800)  # 2100-01-01
    with database.write() as session, pytest.raises(CodeError):
        spend_code(session, code, int(clock.now))


def test_code_is_read_however_it_is_typed(app: FastAPI, database: Database, clock: Clock) -> None:
    code = code_for(database, "inga", clock.now)
    phone_of(app).pair(code_as_read(code).lower().replace("-", " "))


def test_a_new_code_ends_the_one_before(app: FastAPI, database: Database, clock: Clock) -> None:
    old = code_for(database, "inga", clock.now)
    code_for(database, "inga", clock.now)
    with pytest.raises(Refused, match="422 code-unfit"):
        phone_of(app).pair(old)


@pytest.mark.control(15, 18)
def test_guessing_slows_down_by_address_and_ends(
    app: FastAPI, database: Database, clock: Clock
) -> None:
    guesser = phone_of(app)
    codes = []
    for _ in range(12):
        with pytest.raises(Refused) as refused:
            guesser.pair("A" * 16)
        codes.append(refused.value.status)
    assert codes == [422] * 11 + [429]
    code = code_for(database, "inga", clock.now)
    clock.now += 60
    phone_of(app).pair(code)


@pytest.mark.control(2, 18)
def test_only_hashes_are_kept(make_phone: MakePhone, database: Database, clock: Clock) -> None:
    phone = make_phone("inga")
    code = code_for(database, "inga", clock.now)
    with database.read() as session:
        device = session.get_one(Device, phone.device)
        kept = [row.code_hash for row in session.exec(select(Pairing))]
    assert device.token_hash == token_hash(phone.token)
    assert token_hash(code) in kept
    raw = database.path.read_bytes() + database.path.with_name("sillbook.db-wal").read_bytes()
    assert phone.token.encode() not in raw
    assert code.encode() not in raw
    assert len(code) == 16
    assert len(set(SIGNS)) == 32  # 16 signs of 32: 80 bits


def test_keys_thumbprint_is_that_of_the_standard() -> None:
    """Source: RFC 7638 section 3.2 names the members and their order; the key is RFC 7517 A.1's
    (published, from memory), its thumbprint worked out here with hashlib alone."""
    import hashlib

    key = {
        "kty": "EC", "crv": "P-256", "x": "MKBCTNIcKUSDii11ySs3526iDZ8AiTo7Tu6KPAqv7D4",
        "y": "4Etl6SRW2YiLUrN5vfvVHuhp7x8PxltmWWlbbM4IFyM", "use": "enc", "kid": "1",
    }  # fmt: skip
    plain = (
        '{"crv":"P-256","kty":"EC","x":"MKBCTNIcKUSDii11ySs3526iDZ8AiTo7Tu6KPAqv7D4",'
        '"y":"4Etl6SRW2YiLUrN5vfvVHuhp7x8PxltmWWlbbM4IFyM"}'
    )
    kept = keys.kept_key(key)
    assert kept == plain
    assert keys.key_thumbprint(kept) == hashlib.sha256(plain.encode()).hexdigest()


BAD_KEYS = [
    {"x": "A" * 43}, {"y": ""}, {"x": "!" * 43}, {"kty": "RSA"}, {"crv": "P-384"},
    {"d": "A" * 43}, {"x": 7}, {"y": base64url(bytes(31))},
]  # fmt: skip


@pytest.mark.parametrize("change", BAD_KEYS)
def test_keys_that_are_none_are_refused_and_the_code_still_serves(
    app: FastAPI, database: Database, clock: Clock, change: dict[str, object]
) -> None:
    code = code_for(database, "inga", clock.now)
    asked = {"code": code, "name": "x", "key": {**Key().public(), **change}}
    answer = TestClient(app).post("/pair", json=asked, headers={"Origin": "http://testserver"})
    assert answer.status_code == 422
    assert answer.json()["error"]["code"] in ("key-unfit", "message-unfit")
    phone_of(app).pair(code)


def test_a_phone_that_lost_its_token_stays_the_same_phone(
    make_phone: MakePhone, database: Database, clock: Clock
) -> None:
    phone = make_phone("inga")
    device, token = phone.device, phone.token
    phone.pull()
    entry = phone.tick("op-1")
    phone.pair(code_for(database, "inga", clock.now), proof=True)
    assert phone.device == device
    assert [(r["id"], r["state"]) for r in phone.push()] == [(entry["id"], "stored")]
    phone.token = token
    with pytest.raises(Refused, match="401 pair-again"):
        phone.pull()


def test_nobody_takes_a_phone_by_its_public_key(
    make_phone: MakePhone, app: FastAPI, database: Database, clock: Clock
) -> None:
    phone, thief = make_phone("inga"), phone_of(app)
    asked = {
        "code": code_for(database, "otto", clock.now), "name": "x", "key": phone.key.public(),
        "proof": thief.key.sign({"pair": "x"}),
    }  # fmt: skip
    answer = thief.http.request("POST", "/pair", json=asked, headers={"Origin": thief.origin})
    assert (answer.status_code, answer.json()["error"]["code"]) == (409, "key-unproven")
    phone.pull()


def test_disabled_people_pair_nothing(app: FastAPI, database: Database, clock: Clock) -> None:
    code = code_for(database, "inga", clock.now)
    with database.write() as session:
        session.get_one(Person, "inga").disabled = True
    with pytest.raises(Refused, match="422 code-unfit"):
        phone_of(app).pair(code)


@pytest.fixture
def browser(app: FastAPI, database: Database) -> Callable[[str], TestClient]:
    hash_ = passwords.hash_password(PASSWORD)

    def enter(login: str) -> TestClient:
        with database.write() as session:
            session.get_one(Person, login).password = hash_
        made = browser_of(app)
        assert sign_in(made, login) == 303
        return made

    return enter


Browser = Callable[[str], TestClient]


def test_page_makes_a_code_that_pairs(app: FastAPI, browser: Browser) -> None:
    pages = browser("inga")
    assert "data:image" not in pages.get("/pair/new").text
    made = pages.post("/pair/new").text
    link = re.search(r">http://testserver/pair#([A-Z2-9-]{19})<", made)
    assert link
    assert f'href="/pair#{link[1]}"' in made
    assert 'src="data:image/svg+xml' in made
    assert phone_of(app).pair(link[1])["person"]["id"] == "inga"


def test_strangers_are_led_to_the_sign_in(app: FastAPI) -> None:
    stranger = browser_of(app)
    assert stranger.get("/pair/new").headers["location"] == "/sign-in?next=/pair/new"
    assert stranger.get("/phones").headers["location"] == "/sign-in?next=/phones"
    assert stranger.post("/pair/new").status_code == 401
    assert stranger.post("/pair/here").status_code == 401
    assert stranger.post("/phones/x/revoke").status_code == 401
    assert stranger.get("/pair").status_code == 200  # where the link leads: nobody is signed in


@pytest.mark.control(6)
def test_phones_are_listed_with_what_they_said(make_phone: MakePhone, browser: Browser) -> None:
    phone = make_phone("inga")
    assert "Has not sent anything yet" in browser("inga").get("/phones").text
    phone.pull()
    phone.tick("op-1")
    phone.push()
    text = browser("sven").get("/phones").text
    assert re.search(r"Last seen \d{1,2} \w{3} 20\d\d, \d\d:\d\d", text)
    assert "Nothing on it was left to send then" in text  # all that waited has come with it
    assert ">a phone<" in text
    phone.post(phone.batch([phone.tick("op-1")], unsent=3))
    assert "2 entries on it had not been sent then" in browser("sven").get("/phones").text
    assert ">a phone<" not in browser("otto").get("/phones").text


@pytest.mark.control(6)
def test_only_ones_own_phone_can_be_ended(make_phone: MakePhone, browser: Browser) -> None:
    phone = make_phone("inga")
    phone.pull()
    path = f"/phones/{phone.device}/revoke"
    assert browser("otto").post(path).status_code == 404
    phone.pull()
    assert browser("inga").post(path).status_code == 303
    with pytest.raises(Refused, match="401 pair-again"):
        phone.pull()
    assert re.search(r"Ended \d{1,2} \w{3} 20\d\d", browser("sven").get("/phones").text)


def test_an_ended_phone_needs_a_new_key(
    make_phone: MakePhone, browser: Browser, database: Database, clock: Clock
) -> None:
    phone = make_phone("inga")
    browser("sven").post(f"/phones/{phone.device}/revoke")
    with pytest.raises(Refused, match="409 phone-revoked"):
        phone.pair(code_for(database, "inga", clock.now), proof=True)


def test_what_was_set_aside_is_shown_to_the_office(make_phone: MakePhone, browser: Browser) -> None:
    phone = make_phone("inga")
    phone.pull()
    phone.tick("op-1")
    phone.write("op-1", "query.raised", {"words": "<b>low</b>", "bars": []}, person="nobody")
    phone.tick("op-1", v=VERSION + 1)
    phone.push()
    text = browser("sven").get("/office/aside").text
    assert "The person named in this entry may not enter on this phone." in text
    assert "Held.</strong> From a version of Sillbook that this one cannot read" in text
    whole = [
        browser("sven").get(way).text for way in re.findall(r'href="(/office/aside/[^".]+)"', text)
    ]
    assert any("&lt;b&gt;low" in page for page in whole)
    assert not any("<b>low" in page for page in whole)
    assert browser("inga").get("/office/aside").status_code == 403
