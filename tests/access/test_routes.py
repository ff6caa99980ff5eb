"""Every route x every role x own and foreign. The routes are asked of the application itself:

one that is not in the table fails, and so does a row that is no route any more.
"""

import re
import shutil
from collections.abc import Iterator
from pathlib import Path

import pytest
from fastapi import FastAPI
from fastapi.testclient import TestClient
from httpx2 import Response
from starlette.routing import BaseRoute, Mount, Route

from app.access import pairing
from app.calculations.registry import CALCULATIONS
from app.main import create_app
from app.settings import Settings
from app.store.tables import Device, DevicePerson
from tests.access.conftest import OURS, browser_of
from tests.sync.client import Phone

OPEN, SIGNED, OWN, OFFICE, KEEPER, PHONE, PHOTO, TOKEN = (
    "open", "signed", "own", "office", "keeper", "phone", "photo", "token",
)  # fmt: skip
# Who may: everybody; whoever is signed in; whose it is, and the office; the office; administrators;
# a phone with its token; a phone or a person whose opening names the photo; another program with a
# token that the office made, and nobody who is signed in (tests/api).
TABLE = {
    "GET /": OPEN,
    "GET /health": OPEN,
    "GET /health/details": KEEPER,
    "GET /sign-in": OPEN,
    "POST /sign-in": OPEN,
    "POST /sign-out": OPEN,
    "GET /welcome": OPEN,
    "POST /welcome": OPEN,
    "GET /me": SIGNED,
    "POST /me": SIGNED,
    "GET /me/password": SIGNED,
    "POST /me/password": SIGNED,
    "GET /pair": OPEN,
    "POST /pair": OPEN,
    "GET /pair/here": SIGNED,
    "POST /pair/here": SIGNED,
    "GET /pair/new": SIGNED,
    "GET /pair/opening/{opening}/qr.svg": OPEN,
    "POST /pair/new": SIGNED,
    "GET /phones": SIGNED,
    "POST /phones/{id}/revoke": OWN,
    "GET /sync": PHONE,
    "POST /sync": PHONE,
    "POST /sync/password": PHONE,
    "GET /sync/push": PHONE,
    "POST /sync/push": PHONE,
    "GET /office-worker.js": OPEN,
    "POST /office/push": OFFICE,
    "PUT /photos/{sha256}": PHONE,
    "GET /photos/{sha256}": PHOTO,
    "GET /field": SIGNED,
    "POST /field": SIGNED,
    "GET /field/{path:path}": OWN,
    "POST /field/{path:path}": OWN,
    "GET /bundle/manifest.json": OPEN,
    "GET /bundle/{version}/{path:path}": OPEN,
    "GET /sw.js": OPEN,
    "GET /office": OFFICE,
    "GET /office/board": OFFICE,
    "GET /office/changes": OFFICE,
    "GET /office/today": OFFICE,
    "GET /office/index": OFFICE,
    "GET /office/shop/{opening}": OFFICE,
    "POST /office/shop/{opening}": OFFICE,
    "GET /office/templates": OFFICE,
    "POST /office/templates": OFFICE,
    "GET /office/templates/new/{opening}": OFFICE,
    "POST /office/templates/new/{opening}": OFFICE,
    "GET /office/learn": OFFICE,
    "GET /office/learn/{file}": OFFICE,
    "GET /office/load/{crew}": OFFICE,
    "GET /office/crews": OFFICE,
    "GET /office/crews/{crew}": OFFICE,
    "POST /office/crews/{crew}": OFFICE,
    "GET /office/calendars/{crew}": OFFICE,
    "POST /office/calendars/{crew}": OFFICE,
    "GET /calendar/{token}.ics": OPEN,
    "GET /office/plan/{opening}": OFFICE,
    "POST /office/plan/{opening}": OFFICE,
    "GET /office/lists/{name}": OFFICE,
    "GET /office/jobs": OFFICE,
    "GET /office/jobs/new": OFFICE,
    "POST /office/jobs/new": OFFICE,
    "GET /office/jobs/{job}": OFFICE,
    "GET /office/jobs/{job}/change": OFFICE,
    "POST /office/jobs/{job}/change": OFFICE,
    "GET /office/jobs/{job}/close": OFFICE,
    "POST /office/jobs/{job}/close": OFFICE,
    "POST /office/jobs/{job}/crew": OFFICE,
    "GET /office/jobs/{job}/setout": OFFICE,
    "GET /office/jobs/{job}/openings/new": OFFICE,
    "POST /office/jobs/{job}/openings/new": OFFICE,
    "POST /office/jobs/{job}/openings/preview": OFFICE,
    "GET /office/drawing/{id}": OFFICE,
    "POST /office/drawing/{id}": OFFICE,
    "POST /office/drawing/{id}/preview": OFFICE,
    "GET /office/take-in": OFFICE,
    "POST /office/take-in": OFFICE,
    "GET /office/take-in/template.csv": OFFICE,
    "GET /office/take-in/{token}": OFFICE,
    "POST /office/take-in/{token}": OFFICE,
    "GET /office/take-in/{token}/state": OFFICE,
    "GET /office/take-out": OFFICE,
    "GET /office/take-out/all/{file}": OFFICE,
    "GET /office/take-out/job/{job}": OFFICE,
    "GET /office/take-out/job/{job}/{file}": OFFICE,
    "GET /office/take-out/opening/{opening}": OFFICE,
    "GET /office/take-out/opening/{opening}/{file}": OFFICE,
    "GET /office/o/{opening}/share": OFFICE,
    "POST /office/o/{opening}/share": OFFICE,
    "GET /office/o/{opening}/voice": OFFICE,
    "POST /office/o/{opening}/voice": OFFICE,
    "GET /office/visits": OFFICE,
    "POST /office/visits": OFFICE,
    "GET /office/visits/photo/{id}": OFFICE,
    "GET /office/o/{opening}/entries": OFFICE,
    "GET /office/o/{opening}/entries/{entry}": OFFICE,
    "POST /office/o/{opening}/entries/{entry}": OFFICE,
    "GET /office/aside": OFFICE,
    "GET /office/aside/all.json": OFFICE,
    "GET /office/aside/{key}": OFFICE,
    "POST /office/aside/{key}": OFFICE,
    "GET /office/rescue": OFFICE,
    "POST /office/rescue": OFFICE,
    "GET /office/rescue/{token}": OFFICE,
    "POST /office/rescue/{token}": OFFICE,
    "GET /office/instruments": OFFICE,
    "GET /office/instruments/new": OFFICE,
    "POST /office/instruments/new": OFFICE,
    "GET /office/instruments/{instrument}": OFFICE,
    "POST /office/instruments/{instrument}": OFFICE,
    "GET /office/instruments/{instrument}/change": OFFICE,
    "POST /office/instruments/{instrument}/change": OFFICE,
    "GET /office/procedures": OFFICE,
    "GET /office/procedures/new": OFFICE,
    "POST /office/procedures/new": OFFICE,
    "GET /office/procedures/{key}": OFFICE,
    "GET /office/procedures/{name}/edit": OFFICE,
    "POST /office/procedures/{name}/edit": OFFICE,
    "GET /office/procedures/{name}/edit/file": OFFICE,
    "GET /office/procedures/{name}/edit/force": OFFICE,
    "POST /office/procedures/{name}/edit/force": OFFICE,
    "GET /office/procedures/{name}/edit/new": OFFICE,
    "POST /office/procedures/{name}/edit/new": OFFICE,
    "GET /office/procedures/{name}/edit/{step}": OFFICE,
    "POST /office/procedures/{name}/edit/{step}": OFFICE,
    "GET /office/procedures/{name}/edit/{step}/{what}/{id}/{group}": OFFICE,
    "POST /office/procedures/{name}/edit/{step}/{what}/{id}/{group}": OFFICE,
    "POST /office/procedures/{name}/edit/{step}/{what}/{id}/{group}/try": OFFICE,
    "GET /office/procedures/{key}/force": OFFICE,
    "POST /office/procedures/{key}/force": OFFICE,
    "GET /office/procedures/{key}/move": OFFICE,
    "POST /office/procedures/{key}/move": OFFICE,
    "GET /office/procedures/{key}/openings": OFFICE,
    "GET /office/procedures/{key}/openings/{opening}": OFFICE,
    "POST /office/procedures/{key}/openings/{opening}": OFFICE,
    "GET /office/procedures/{old}/against/{new}": OFFICE,
    "GET /office/blank/{opening}": OFFICE,
    "GET /office/practice/{opening}": OFFICE,
    "GET /office/people": KEEPER,
    "GET /office/people/new": KEEPER,
    "POST /office/people/new": KEEPER,
    "GET /office/people/{person}": KEEPER,
    "POST /office/people/{person}": KEEPER,
    "GET /office/company": KEEPER,
    "POST /office/company": KEEPER,
    "GET /office/company/logo": KEEPER,
    "POST /office/company/logo": KEEPER,
    "GET /office/notices": OFFICE,
    "POST /office/notices": OFFICE,
    "GET /office/outbox": OFFICE,
    "POST /office/outbox": OFFICE,
    "GET /office/webhooks": KEEPER,
    "POST /office/webhooks": KEEPER,
    "GET /office/webhooks/{webhook}": KEEPER,
    "POST /office/webhooks/{webhook}": KEEPER,
    "GET /office/tokens": KEEPER,
    "POST /office/tokens": KEEPER,
    "GET /api/v1/jobs": TOKEN,
    "POST /api/v1/jobs": TOKEN,
    "GET /api/v1/jobs/{job}": TOKEN,
    "POST /api/v1/jobs/{job}/openings": TOKEN,
    "GET /api/v1/openings": TOKEN,
    "GET /api/v1/openings/{opening}": TOKEN,
    "GET /api/v1/openings/{opening}/readings": TOKEN,
    "GET /api/v1/records": TOKEN,
    "GET /api/v1/webhooks": TOKEN,
    "POST /api/v1/webhooks": TOKEN,
    "DELETE /api/v1/webhooks/{webhook}": TOKEN,
    "GET /company/logo.png": OPEN,
    "GET /office/{path:path}": OFFICE,
    "POST /office/{path:path}": OFFICE,
    "GET /record/{opening}": OWN,
    "GET /record/{opening}/r/{number}": OWN,
    "GET /record/{opening}/r/{number}/export.json": OWN,
    "GET /record/{opening}/r/{number}/{name}.pdf": OWN,
    "GET /record/{opening}/photos/{sha256}": OWN,
    "GET /record/{opening}/service/{number}": OWN,
    "GET /record/{opening}/service/{number}/{name}.pdf": OWN,
    "GET /mine/{token}": OPEN,
    "GET /mine/{token}/export.json": OPEN,
    "GET /mine/{token}/{name}.pdf": OPEN,
    "GET /mine/{token}/photos/{sha256}": OPEN,
    "GET /mine/{token}/service/{number}": OPEN,
    "GET /mine/{token}/service/{number}/{name}.pdf": OPEN,
    "POST /mine/{token}/complaint": OPEN,
    "POST /mine/{token}/hand-on": OPEN,
    "GET /take-over/{secret}": OPEN,
    "POST /take-over/{secret}": OPEN,
    "GET /verify": OPEN,
    "GET /verify/keys.pem": OPEN,
    "POST /verify/file": OPEN,
    "GET /verify/{code}": OPEN,
    "GET /verify/{code}/qr.svg": OPEN,
    "GET /api/calculations": OPEN,
    "POST /api/calculations/{name}": OPEN,
    **{f"POST /api/calculations/{made.name}": OPEN for made in CALCULATIONS},
    "GET /api/openapi.json": OPEN,
    "MOUNT /static": OPEN,
}
# What stands in a path's holes: things of the demo company, the installer's own and another's.
HOLES = {
    "job": "marrow-lane", "name": "parts", "file": "openings.csv", "token": "nothing",
    "person": "tobin-hale", "number": "1", "sha256": "0" * 64, "version": "x", "code": "x",
    "key": "stacking-door@1", "secret": "nothing", "old": "x@1", "new": "x@2", "instrument": "x",
    "crew": "x", "entry": "x", "webhook": "x", "step": "A", "what": "tasks", "group": "words",
}  # fmt: skip
MINE = {"opening": "marrow-lane-b", "id": "marrow-lane-b", "path": "o/marrow-lane-b"}
THEIRS = {"opening": "saltgrass-a", "id": "saltgrass-a", "path": "o/saltgrass-a"}
PHONES = ({"id": "phone-mine"}, {"id": "phone-theirs"})
PEOPLE = {
    "installer": ("tobin", "gauge-rule-and-tape"),
    "supervisor": ("nadia", "plumb-line-and-level"),
    "administrator": ("oda", "bead-chalk-and-reveal"),
}
ROLES = ("nobody", *PEOPLE, "phone")
ENDLESS = "GET /office/changes"  # ends only when the browser goes
# Nothing of these is in the demo: whether own or foreign is told apart is looked at where there is.
ISSUED = ("/r/{number}", "/service/{number}", "/photos/{sha256}")


@pytest.fixture(scope="module")
def app(demo_data: Path, tmp_path_factory: pytest.TempPathFactory) -> Iterator[FastAPI]:
    data = tmp_path_factory.mktemp("routes") / "data"
    shutil.copytree(demo_data, data)
    made = create_app(Settings(data))
    with made.state.server.database.write() as session:
        for id_, person in (("phone-mine", "tobin-hale"), ("phone-theirs", "ines-calder")):
            row = {"key": "{}", "key_hash": id_, "token_hash": id_, "made": 1}
            session.add(Device(id=id_, name="x", person=person, **row))
            session.flush()
            session.add(DevicePerson(device=id_, person=person, since=1))
    with TestClient(made):
        yield made


@pytest.fixture(scope="module")
def askers(app: FastAPI) -> dict[str, TestClient]:
    out = {"nobody": browser_of(app)}
    for role, (name, password) in PEOPLE.items():
        out[role] = browser_of(app)
        out[role].post("/sign-in", data={"name": name, "password": password})
    with app.state.server.database.write() as session:
        code = pairing.make_code(session, "tobin-hale", int(app.state.server.clock()))
    phone = Phone(TestClient(app))
    phone.pair(code)
    headers = {**OURS, "Authorization": f"Bearer {phone.token}"}
    out["phone"] = TestClient(app, headers=headers, follow_redirects=False)
    return out


def routes_of(given: list[BaseRoute], before: str = "") -> list[str]:
    """Return "METHOD /path" of all routes, whatever they are wrapped in."""
    out = []
    for route in given:
        if isinstance(route, Route):
            methods = sorted(route.methods or ())
            out += [f"{method} {before}{route.path}" for method in methods if method != "HEAD"]
        elif isinstance(route, Mount):
            out.append(f"MOUNT {route.path}")
        inner = getattr(route, "original_router", None)
        if inner is not None:
            prefix = getattr(getattr(route, "include_context", None), "prefix", "")
            out += routes_of(inner.routes, before + prefix)
    return out


@pytest.mark.control(21)
def test_the_table_is_complete(app: FastAPI) -> None:
    assert sorted(set(routes_of(list(app.routes)))) == sorted(TABLE)


def said(answer: Response) -> str:
    """Return "first" (sign in, or pair), "refused", "unknown" or "let in"."""
    to_sign_in = answer.headers.get("location", "").startswith("/sign-in")
    if answer.status_code == 401 or (answer.status_code == 303 and to_sign_in):
        return "first"
    return {403: "refused", 404: "unknown"}.get(answer.status_code, "let in")


def allowed(rule: str, role: str, own: bool, route: str) -> set[str]:
    """Return what may be said to a role that asks for its own, or for another's."""
    inside = {"let in", "unknown"}
    signed = role in PEOPLE
    if rule == OPEN:
        return inside | ({"first"} if route == "GET /" else set())
    if rule == TOKEN:
        return {"first"}
    if rule in (PHONE, PHOTO):
        fits = role == "phone" or (rule == PHOTO and signed)
        return inside if fits else {"first"}
    if not signed:
        return {"first"}
    if rule == OWN and role == "installer":
        issued = any(part in route for part in ISSUED)
        return {"unknown"} if not own or issued else {"let in"}
    least = {SIGNED: "installer", OWN: "supervisor", OFFICE: "supervisor", KEEPER: "administrator"}
    order = list(PEOPLE)
    return inside if order.index(role) >= order.index(least[rule]) else {"refused"}


def filled(path: str, own: bool) -> str:
    whose = MINE if own else THEIRS
    holes = {**HOLES, **whose, **(PHONES[0 if own else 1] if path.startswith("/phones") else {})}
    more = "/queries" if path == "/field/{path:path}" else ""
    return re.sub(r"{(\w+)(:\w+)?}", lambda hole: holes[hole[1]], path) + more


def ask(asker: TestClient, method: str, path: str) -> Response:
    """Ask; a form is sent empty, so that who may still changes nothing."""
    if method in ("POST", "PUT"):
        query = {"act": "raise"} if path.startswith("/field/o/") else {"nothing": ""}
        return asker.request(method, path, data=query)  # a query without words is refused: 422
    return asker.request(method, path)


@pytest.mark.parametrize("role", ROLES)
@pytest.mark.parametrize("route", [one for one in sorted(TABLE) if one[:5] != "MOUNT"])
@pytest.mark.control(21)
def test_who_may(app: FastAPI, askers: dict[str, TestClient], route: str, role: str) -> None:
    method, path = route.split(" ")
    # who asks every route of the API without a token of it guesses, and would have to wait
    app.state.server.limits.asked.forget("testclient")
    if route == "POST /sign-out" or (route == ENDLESS and role in ("supervisor", "administrator")):
        assert TABLE[route] in (OPEN, OFFICE)  # it would end the session; it would never end
        return
    for own in (False, True):
        answer = ask(askers[role], method, filled(path, own))
        may = allowed(TABLE[route], role, own, route)
        assert said(answer) in may, (route, role, own, answer.status_code)


@pytest.mark.control(21)
def test_what_was_refused_changed_nothing(app: FastAPI, askers: dict[str, TestClient]) -> None:
    def counts() -> list[int]:
        tables = ("event", "job", "person", "invitation", "voice", "assigned")
        with app.state.server.database.read() as session:
            run = session.connection().exec_driver_sql
            return [run(f"SELECT count(*) FROM {table}").scalar() or 0 for table in tables]

    before = counts()
    id_ = "01a213fe-0b20-773c-a3fa-75d03c790a3d"
    for role in ("nobody", "installer", "phone"):
        send = askers[role].post
        send("/office/jobs/new", data={"id": id_, "title": "x", "address": "y"})
        send("/office/jobs/marrow-lane/crew", data={"opening": "marrow-lane-a"})
        send("/office/people/tobin-hale", data={"act": "invite"})
        send("/office/o/marrow-lane-b", data={"act": "accept", "id": id_, "confirm": "yes"})
    askers["supervisor"].post("/office/people/tobin-hale", data={"act": "invite"})
    assert counts() == before
