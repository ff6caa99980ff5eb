"""People: invited, changed, shut out and let in again; there is always an administrator."""

import html
import re
from pathlib import Path

import pytest
from fastapi import FastAPI
from fastapi.testclient import TestClient
from sqlmodel import select

from app import cli
from app.access import invitations, pairing, passwords
from app.core.errors import InputError
from app.store.tables import Device, DevicePerson, Invitation, Person
from tests.access.conftest import Clock, browser_of, person, sign_in

NEW = {"name": "Kara Nilsvane", "login": "Kara", "role": "installer", "lang": "en", "units": "in"}
WORDS = "rain on the tin roof"


@pytest.fixture
def keeper(app: FastAPI) -> TestClient:
    """A browser in which the only administrator is signed in."""
    with app.state.server.database.write() as session:
        session.add(person("ada", "administrator"))
    made = browser_of(app)
    assert sign_in(made, "ada") == 303
    return made


def code_in(page: str) -> str:
    found = re.search(r'href="/welcome#([A-Z2-9-]+)"', page)
    assert found is not None, page
    return found[1]


def invited(keeper: TestClient, **more: str) -> str:
    answer = keeper.post("/office/people/new", data={**NEW, **more})
    assert answer.status_code == 200
    return code_in(answer.text)


def enter(browser: TestClient, code: str, password: str = WORDS) -> int:
    form = {"code": code, "password": password, "again": password}
    return browser.post("/welcome", data=form).status_code


def id_of(app: FastAPI, login: str) -> str:
    with app.state.server.database.read() as session:
        return session.exec(select(Person.id).where(Person.login == login)).one()


def act(keeper: TestClient, id_: str, what: str, **more: str) -> tuple[int, str]:
    answer = keeper.post(f"/office/people/{id_}", data={"act": what, **more})
    return answer.status_code, html.unescape(answer.text)


def test_invited_person_sets_a_password_and_works(app: FastAPI, keeper: TestClient) -> None:
    code = invited(keeper)
    kara = browser_of(app)
    assert sign_in(kara, "kara", WORDS) == 422  # nobody knows a password of hers yet
    assert enter(kara, code) == 303
    assert kara.get("/field").status_code == 200
    assert "kara" in kara.get("/me?welcome=yes").text
    assert sign_in(browser_of(app), "kara", WORDS) == 303


def test_invitation_serves_once(app: FastAPI, keeper: TestClient) -> None:
    code = invited(keeper)
    assert enter(browser_of(app), code) == 303
    assert enter(browser_of(app), code, "another set of words") == 422
    assert sign_in(browser_of(app), "kara", WORDS) == 303


@pytest.mark.control(8)
def test_looking_at_the_link_spends_nothing(app: FastAPI, keeper: TestClient) -> None:
    code = invited(keeper)
    for _ in range(3):
        assert browser_of(app).get("/welcome").status_code == 200
    assert enter(browser_of(app), code) == 303


def test_invitation_runs_out_after_a_week(app: FastAPI, keeper: TestClient, clock: Clock) -> None:
    code = invited(keeper)
    clock.now += invitations.LASTS - 1
    assert enter(browser_of(app), "A" * 26) == 422
    clock.now += 1
    assert enter(browser_of(app), code) == 422


@pytest.mark.control(2)
def test_only_the_hash_of_a_code_is_kept(app: FastAPI, keeper: TestClient) -> None:
    code = invited(keeper)
    kept = b"".join(path.read_bytes() for path in app.state.server.database.path.parent.iterdir())
    assert code.encode() not in kept
    assert code.replace("-", "").encode() not in kept


def test_code_may_be_typed_small_and_without_strokes(app: FastAPI, keeper: TestClient) -> None:
    assert enter(browser_of(app), invited(keeper).replace("-", "").lower()) == 303


def test_unfit_password_leaves_the_invitation(app: FastAPI, keeper: TestClient) -> None:
    code = invited(keeper)
    for bad in ("short", "password1", "kara2026", "Kara Nilsvane", "12345678", "x" * 129):
        assert enter(browser_of(app), code, bad) == 422, bad
    browser = browser_of(app)
    twice = {"code": code, "password": WORDS, "again": WORDS + "x"}
    assert browser.post("/welcome", data=twice).status_code == 422
    assert enter(browser, code) == 303


@pytest.mark.control(15)
def test_guessing_codes_slows_down(app: FastAPI, clock: Clock) -> None:
    browser = browser_of(app)
    said = [enter(browser, "A" * 26) for _ in range(12)]
    assert said[-1] == 429
    clock.now += 61
    assert enter(browser, "A" * 26) == 422


def test_new_link_ends_the_older_one(app: FastAPI, keeper: TestClient) -> None:
    first = invited(keeper)
    _, page = act(keeper, id_of(app, "kara"), "invite")
    assert enter(browser_of(app), first) == 422
    assert enter(browser_of(app), code_in(page)) == 303


@pytest.mark.control(5)
def test_new_password_by_link_ends_every_session(app: FastAPI, keeper: TestClient) -> None:
    inga = browser_of(app)
    sign_in(inga)
    _, page = act(keeper, "inga", "invite")
    assert inga.get("/field").status_code == 200  # not before it is used
    assert enter(browser_of(app), code_in(page)) == 303
    assert inga.get("/field").status_code == 303


@pytest.mark.control(5)
def test_own_new_password_ends_the_other_sessions(app: FastAPI, inga: TestClient) -> None:
    other = browser_of(app)
    sign_in(other)
    old = "plumb and level 9"
    wrong = {"current": "nonsense", "password": WORDS, "again": WORDS}
    assert inga.post("/me/password", data=wrong).status_code == 422
    assert inga.post("/me/password", data={**wrong, "current": old}).status_code == 303
    assert inga.get("/field").status_code == 200
    assert other.get("/field").status_code == 303
    assert sign_in(browser_of(app), "inga", old) == 422


@pytest.mark.parametrize("way", ["own", "link"])
@pytest.mark.control(5, 18)
def test_a_pairing_code_ends_with_the_password(app: FastAPI, keeper: TestClient, way: str) -> None:
    """Who had the old password may have made it: it pairs no phone after the change."""
    server = app.state.server
    with server.database.write() as session:
        code = pairing.make_code(session, "inga", int(server.clock()))
    if way == "own":
        inga = browser_of(app)
        sign_in(inga)
        form = {"current": "plumb and level 9", "password": WORDS, "again": WORDS}
        assert inga.post("/me/password", data=form).status_code == 303
    else:
        assert enter(browser_of(app), code_in(act(keeper, "inga", "invite")[1])) == 303
    with server.database.write() as session, pytest.raises(pairing.CodeError):
        pairing.spend_code(session, code, int(server.clock()))


def test_fields_are_refused_in_words_and_kept(keeper: TestClient) -> None:
    bad = {"name": " ", "login": "inga", "role": "owner", "lang": "xx", "units": "ft"}
    for field, value in bad.items():
        answer = keeper.post("/office/people/new", data={**NEW, field: value})
        assert answer.status_code == 422, field
        assert f'href="#f-{field}"' in answer.text
        kept = NEW["login"] if field != "login" else "inga"
        assert f'value="{kept}"' in answer.text


def test_role_and_name_change(app: FastAPI, keeper: TestClient) -> None:
    given = {"name": "Inga  Sorvall", "role": "supervisor", "lang": "es", "units": "mm"}
    assert act(keeper, "inga", "keep", **given)[0] == 303
    with app.state.server.database.read() as session:
        inga = session.get_one(Person, "inga")
    assert (inga.name, inga.role) == ("Inga Sorvall", "supervisor")
    assert (inga.lang, inga.units) == ("es", "mm")


def test_last_administrator_stays(app: FastAPI, keeper: TestClient) -> None:
    given = {"name": "Ada", "lang": "en", "units": "in"}
    for name, more in (("disable", {}), ("keep", {**given, "role": "supervisor"})):
        status, page = act(keeper, "ada", name, **more)
        assert status == 422
        assert "last administrator" in page
    assert (
        act(keeper, "inga", "keep", **{**given, "name": "Inga", "role": "administrator"})[0] == 303
    )
    assert act(keeper, "ada", "disable")[0] == 303
    assert keeper.get("/office/people").status_code == 303


def test_a_disabled_administrator_does_not_count(app: FastAPI, keeper: TestClient) -> None:
    given = {"name": "Inga", "role": "administrator", "lang": "en", "units": "in"}
    act(keeper, "inga", "keep", **given)
    act(keeper, "inga", "disable")
    assert act(keeper, "ada", "disable")[0] == 422


@pytest.mark.control(5, 6)
def test_shut_out_ends_sessions_codes_and_phones(app: FastAPI, keeper: TestClient) -> None:
    inga = browser_of(app)
    sign_in(inga)
    database = app.state.server.database
    with database.write() as session:
        for id_, people in (("phone-1", ("inga",)), ("phone-2", ("inga", "sven"))):
            session.add(
                Device(id=id_, name="x", person="inga", key="{}", key_hash=id_,
                       token_hash="of " + id_, made=1)
            )  # fmt: skip
            session.flush()
            session.add_all(DevicePerson(device=id_, person=p, since=1) for p in people)
        code = pairing.make_code(session, "inga", int(app.state.server.clock()))
    assert act(keeper, "inga", "disable")[0] == 303
    assert inga.get("/field").status_code == 303
    assert sign_in(browser_of(app), "inga") == 422
    with database.read() as session:
        tokens = {row.id: row.token_hash for row in session.exec(select(Device))}
        with pytest.raises(InputError):
            pairing.spend_code(session, code, int(app.state.server.clock()))
    assert tokens["phone-1"] != "of phone-1"  # hers alone: dead
    assert tokens["phone-2"] == "of phone-2"  # the other's still
    assert act(keeper, "inga", "enable")[0] == 303
    assert sign_in(browser_of(app), "inga") == 303


def test_shut_out_person_cannot_use_a_link(app: FastAPI, keeper: TestClient) -> None:
    code = invited(keeper)
    act(keeper, id_of(app, "kara"), "disable")
    assert enter(browser_of(app), code) == 422
    act(keeper, id_of(app, "kara"), "enable")
    assert enter(browser_of(app), code) == 422  # it ended


def test_people_are_paged_by_name(app: FastAPI, keeper: TestClient) -> None:
    with app.state.server.database.write() as session:
        for k in range(120):
            row = person(f"p{k:03}", "installer")
            row.name = "Same Name"
            session.add(row)
    seen: list[str] = []
    at = "/office/people"
    while at:
        text = keeper.get(at).text
        seen += re.findall(r'href="/office/people/([a-z]\w*)"', text)
        found = re.search(r'name="after" value="([^"]+)"', text)
        at = f"/office/people?after={found[1]}" if found else ""
    assert len([id_ for id_ in seen if id_ not in ("new", "")]) == 123


def test_supervisor_is_told_who_keeps_people(app: FastAPI) -> None:
    sven = browser_of(app)
    sign_in(sven, "sven")
    answer = sven.get("/office/people")
    assert answer.status_code == 403
    assert "administrators" in answer.text


@pytest.mark.parametrize(
    "common", ["password", "PASSWORD1", "12345678", "87654321", "aaaaaaaa", "abababab", "qwerty123",
               "Sillbook2026", "iloveyou"],
)  # fmt: skip
@pytest.mark.control(14)
def test_passwords_that_are_tried_first_are_refused(common: str) -> None:
    with pytest.raises(InputError) as refused:
        passwords.must_be_fit(common, "inga", "Inga")
    assert refused.value.code == "password-common"


@pytest.mark.parametrize(
    "fit", ["rain on the tin roof", "wqmzptxr", "ßßÜ日本語テスト", "        a b c"]
)
@pytest.mark.control(14)
def test_any_other_password_is_taken(fit: str) -> None:
    """No composition rules: length, and not one of the common (NIST SP 800-63B, 5.1.1.2)."""
    passwords.must_be_fit(fit, "inga", "Inga")


def test_first_administrator_by_command(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setenv("SILLBOOK_DATA", str(tmp_path))
    monkeypatch.delenv("SILLBOOK_DATABASE", raising=False)
    assert cli.main(["administrator", "Ada", "--name", "Ada Quist"]) == 0
    said = capsys.readouterr().out
    assert "Ada Quist is an administrator and signs in as ada" in said
    code = said.rpartition("#")[2].strip()
    assert len(code.replace("-", "")) == invitations.LENGTH
    assert cli.main(["administrator", "a b"]) == 1
    assert "small letters" in capsys.readouterr().err


def test_waiting_invitation_is_shown(app: FastAPI, keeper: TestClient) -> None:
    code = invited(keeper)
    assert "invited, until" in keeper.get("/office/people").text
    enter(browser_of(app), code)
    assert "invited, until" not in keeper.get("/office/people").text
    with app.state.server.database.read() as session:
        assert session.exec(select(Invitation.used)).one() is not None
