"""A concession by voice between a phone without data and the office, at the wire."""

import html
import re
from collections.abc import Callable

import pytest
from fastapi import FastAPI
from fastapi.testclient import TestClient
from sqlmodel import select

from app.access import sessions
from app.core import entry
from app.core.kinds import Json
from app.core.record import spoken
from app.core.record.judge import number_of, results_of
from app.core.record.state import State
from app.core.record.written import judged_by
from app.field.server import local_now
from app.office.voice import giving
from app.store import log
from app.store.database import Database
from app.store.ids import uuid7
from app.store.tables import Device, Voice
from tests.access.conftest import Clock, browser_of
from tests.core.sample import PROCEDURES
from tests.sync.client import Phone

MakePhone = Callable[[str], Phone]
PATH = "/office/o/op-1/voice"
OUT = 7_937_500  # 5/16 in, over the small door's limit of 1/4 in


@pytest.fixture
def sven(app: FastAPI, database: Database, clock: Clock) -> TestClient:
    made = browser_of(app)
    with database.write() as session:
        made.cookies.set("sillbook", sessions.start_session(session, "sven", int(clock.now)))
    return made


def read(phone: Phone, place: str, value: int) -> Json:
    body = {
        "point": "gap", "panel": "", "place": place, "quantity": "length", "text": "x",
        "value": str(value), "how": "plain", "units": "in",
    }  # fmt: skip
    return phone.write("op-1", "reading.taken", body)


def asked(phone: Phone, database: Database, form: Json | None = None, day: str = "") -> Json:
    """Ask the core on the phone for the step's page, as the worker does; keep what comes of it."""
    with database.read() as session:
        secret = session.get_one(Device, phone.device).secret
    answer = entry.answer(
        {
            "method": "POST" if form else "GET", "path": "/field/o/op-1/step/A",
            "query": {"show": "all"},
            "form": form or {}, "now": (day or today()) + "T14:05:00-05:00",
            "ids": [uuid7()], "device": phone.device,
            "person": {"id": phone.person, "name": "Inga", "units": "in", "lang": "en"},
            "people": {}, "phone": {"unsent": 0, "photos": 0, "secret": secret},
            "book": {
                "openings": [{"id": "op-1", "job": "j", "job_title": "J", "address": "", "letter":
                              "1", "homeowner": "", "room": "Study"}],
                "events": {"op-1": phone.events("op-1")}, "procedures": PROCEDURES,
            },
        }
    )  # fmt: skip
    for event in answer["events"]:
        phone.book["op-1"][event["id"]] = event
        phone.outbox.append(event["id"])
    return answer


def today() -> str:
    return local_now()[:10]


def form_of(page: Json) -> Json:
    """Return the hidden fields of the form for the code."""
    voice = next(c["voice"] for c in page["context"]["checks"] if c["id"] == "gap-most")
    hidden = {field["name"]: field["value"] for field in voice["form"]["hidden"]}
    return {**hidden, "number": voice["number"], "closed": voice["closed"]}


def typed(phone: Phone, database: Database, code: str, day: str = "") -> Json:
    form = {**form_of(asked(phone, database)), "code": code}
    return asked(phone, database, form, day)


def give(sven: TestClient, from_: Phone, said: str, **more: str) -> tuple[int, str]:
    form = {
        "id": uuid7(), "check": "A|gap-most", "phone": from_.device, "number": said,
        "reason": "Hidden behind the trim.", **more,
    }  # fmt: skip
    answer = sven.post(PATH, data=form)
    return answer.status_code, html.unescape(answer.text)


def code_in(page: str) -> str:
    found = re.search(r'class="read-out"[^>]*>([\d ]+)<', page)
    assert found is not None, page
    return found[1]


def ready(phone: Phone) -> None:
    """Do step A, its gap out on the left; nothing of it is sent."""
    phone.tick("op-1")
    body = {"step": "A", "decision": "go", "choice": "yes", "name": "Builder"}
    phone.write("op-1", "decision.made", body)
    read(phone, "left", OUT)
    read(phone, "right", 3_175_000)


def state_at_office(database: Database) -> State:
    with database.read() as session:
        return State(log.events_of(session, ["op-1"])["op-1"], PROCEDURES)


def standing(state: State) -> tuple[bool, bool, bool]:
    """Return (settled, provisional, conceded) of the gap."""
    result = results_of(state, state.step("A"))[0]
    return result.settled, result.provisional is not None, result.conceded is not None


def test_the_whole_way_by_voice(phone: Phone, database: Database, sven: TestClient) -> None:
    ready(phone)
    before = asked(phone, database)
    assert [bar["text"] for bar in before["context"]["bars"]]
    number = form_of(before)["number"]
    status, page = give(sven, phone, number)
    assert status == 200
    assert "does not hold these readings yet" in page
    answer = typed(phone, database, code_in(page))
    assert [event["kind"] for event in answer["events"]] == ["concession.spoken"]
    after = asked(phone, database)
    assert after["context"]["bars"] == []
    assert "PROVISIONALLY" in str(after["context"]["checks"])
    phone.push()
    assert standing(state_at_office(database)) == (True, True, False)
    review = html.unescape(sven.get("/office/o/op-1").text)
    assert "The code was given by Sven" in review
    assert "Hidden behind the trim." in review  # the concession is filled in already
    assert "waits for your word in writing" in review
    assert "PROVISIONALLY" in html.unescape(sven.get("/record/op-1?now=yes").text)


def judged(sven: TestClient, act: str, **more: str) -> int:
    """Send the review page's form of an act for the gap."""
    page = sven.get("/office/o/op-1").text
    for form in re.findall(r"<form.*?</form>", page, re.DOTALL):
        hidden = dict(re.findall(r'name="(\w+)" value="([^"]*)"', form))
        if hidden.get("act") == act:
            return sven.post("/office/o/op-1", data={**hidden, **more}).status_code
    raise AssertionError(act)


@pytest.mark.parametrize(
    ("act", "stands"), [("concede", (True, False, True)), ("deny", (False, False, False))]
)
def test_the_offices_own_word_decides(
    phone: Phone, database: Database, sven: TestClient, act: str, stands: tuple[bool, ...]
) -> None:
    ready(phone)
    code = code_in(give(sven, phone, form_of(asked(phone, database))["number"])[1])
    typed(phone, database, code)
    phone.push()
    assert judged(sven, act, reason="As said on the telephone.", limit="here") == 303
    assert standing(state_at_office(database)) == stands
    phone.pull()
    if act == "deny":
        assert "refused to concede" in form_of(asked(phone, database))["closed"]
        form = {**form_of(asked(phone, database)), "code": code}
        assert asked(phone, database, form)["status"] == 409
    else:
        assert asked(phone, database)["context"]["bars"] == []


@pytest.mark.control(15)
def test_wrong_codes_are_counted_said_and_limited(
    phone: Phone, database: Database, sven: TestClient
) -> None:
    ready(phone)
    good = code_in(give(sven, phone, form_of(asked(phone, database))["number"])[1])
    wrong = good[:-1] + ("1" if good[-1] != "1" else "2")
    for count in range(1, 6):
        assert [e["kind"] for e in typed(phone, database, wrong)["events"]] == ["concession.missed"]
        shown = str(asked(phone, database)["context"]["checks"])
        assert f"Wrong codes so far: {count} of 5" in shown or count == 5
    assert "5 wrong codes were typed" in form_of(asked(phone, database))["closed"]
    assert typed(phone, database, good)["status"] == 409
    read(phone, "left", OUT + 1)  # measured again: another number, and codes are taken again
    assert form_of(asked(phone, database))["closed"] == ""


def test_code_that_is_no_code_is_asked_for_again(phone: Phone, database: Database) -> None:
    ready(phone)
    for text in ("", "12", "1234567a", "123456789"):
        answer = typed(phone, database, text)
        assert (answer["status"], answer["events"]) == (422, [])


def test_code_of_the_day_beside_serves_and_an_old_one_does_not(
    phone: Phone, database: Database, sven: TestClient
) -> None:
    ready(phone)
    code = code_in(give(sven, phone, form_of(asked(phone, database))["number"])[1])
    yesterday, _, tomorrow = spoken.days_about(today())
    later = spoken.days_about(tomorrow)[2]
    assert typed(phone, database, code, later)["events"][0]["kind"] == "concession.missed"
    assert typed(phone, database, code, yesterday)["events"][0]["kind"] == "concession.spoken"


def test_code_of_another_phone_opens_nothing(
    make_phone: MakePhone, database: Database, sven: TestClient
) -> None:
    one, two = make_phone("inga"), make_phone("otto")
    one.pull()
    ready(one)
    number = form_of(asked(one, database))["number"]
    code = code_in(give(sven, two, number)[1])
    assert typed(one, database, code)["events"][0]["kind"] == "concession.missed"


@pytest.mark.control(22)
def test_forged_code_is_set_aside_at_the_office(phone: Phone, database: Database) -> None:
    """The server decides again whatever the phone decided."""
    ready(phone)
    state = State(phone.events("op-1"), PROCEDURES)
    result = results_of(state, state.step("A"))[0]
    body = {
        "check": "gap-most", "panel": "", "readings": result.readings,
        "number": number_of(state, result), "code": "00000000", "day": today(),
        **judged_by(state, [{"check": "gap-most", "verdict": "out"}]),
    }  # fmt: skip
    phone.write("op-1", "concession.spoken", body)
    receipts = phone.push()
    assert (receipts[-1]["state"], receipts[-1]["why"]) == ("set-aside", "spoken-code-wrong")
    assert standing(state_at_office(database)) == (False, False, False)
    phone.pull()
    assert standing(State(phone.events("op-1"), PROCEDURES)) == (False, False, False)


def test_form_of_the_office_refuses_in_words(
    phone: Phone, database: Database, sven: TestClient
) -> None:
    ready(phone)
    number = spoken.plain_digits(form_of(asked(phone, database))["number"])
    misheard = number[:-1] + str((int(number[-1]) + 1) % 10)
    for field, value in (
        ("number", misheard), ("phone", "phone-none"), ("check", "A|none"), ("reason", " "),
    ):  # fmt: skip
        status, page = give(sven, phone, number, **{field: value})
        assert status == 422, field
        assert f'href="#f-{field}"' in page
    with database.read() as session:
        assert session.exec(select(Voice)).all() == []


def test_the_authors_limit_asks_for_the_authors_answer() -> None:
    said = {"reason": "hidden", "answer": ""}
    assert giving.fit_words(said, "supervisor")["answer"] == ""
    with pytest.raises(giving.CodeFieldError) as refused:
        giving.fit_words(said, "author")
    assert refused.value.details["field"] == "answer"
    assert giving.fit_words({**said, "answer": "A. Author, 2 Mar: may stay."}, "author")["answer"]


def test_what_is_never_conceded_is_refused(
    phone: Phone, database: Database, sven: TestClient
) -> None:
    status, page = give(sven, phone, "123456782", check="B:A|reveal-alike")
    assert status == 409
    assert "cannot be conceded" in page
    assert "reveal-alike" not in sven.get(PATH).text


def test_same_form_gives_the_same_code(phone: Phone, database: Database, sven: TestClient) -> None:
    ready(phone)
    number = form_of(asked(phone, database))["number"]
    id_ = uuid7()
    codes = {code_in(give(sven, phone, number, id=id_)[1]) for _ in range(2)}
    assert len(codes) == 1
    with database.read() as session:
        assert len(session.exec(select(Voice)).all()) == 1


def test_an_unnoted_code_is_said_to_be_so(
    phone: Phone, database: Database, sven: TestClient
) -> None:
    """The phone that checks a code could make it: the office says that it gave none."""
    ready(phone)
    state = State(phone.events("op-1"), PROCEDURES)
    number = spoken.plain_digits(form_of(asked(phone, database))["number"])
    with database.read() as session:
        secret = session.get_one(Device, phone.device).secret
    body = {
        "check": "gap-most", "panel": "", "number": number, "day": today(),
        "readings": results_of(state, state.step("A"))[0].readings,
        "code": spoken.code_of(secret, today(), "op-1", "gap-most", "", number),
        **judged_by(state, [{"check": "gap-most", "verdict": "out"}]),
    }  # fmt: skip
    phone.write("op-1", "concession.spoken", body)
    phone.push()
    assert "no note of having given this code" in sven.get("/office/o/op-1").text
