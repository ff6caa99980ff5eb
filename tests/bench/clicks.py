"""Clicks from sign-in to each daily act of the office: `python -m tests.bench.clicks`.

The demo company has its week; one door is signed to the end, and a crew waits for an answer. The
supervisor signs in, which is the first click. From where that leads the pages'
own links are followed, level by level, to the nearest page with the form of the act. Counted are
links, a fold that must be opened, boxes and dots to choose, and the button; beside it the fields
that must be filled. Then the form is sent, so that the way really leads there: the last column
says what came of it. No script runs. Printed and never asserted.
"""

import tempfile
from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from urllib.parse import urljoin

import yaml
from fastapi import FastAPI
from fastapi.testclient import TestClient
from lxml import html

from app.demo import company, week
from app.main import create_app
from app.office.issue.alike import gathered_from_rows
from app.office.issue.writing import texts_of
from app.procedures.drawings import drawing_json
from app.settings import SEED_DATA, Settings
from app.store import log
from tests.demo.conftest import OURS, enter
from tests.homeowner.conftest import OPENING, rehung
from tests.homeowner.finished import finished

DEPTH = 3
SIGNED_IN = 1  # the button of the sign-in page
Element = html.HtmlElement
Texts = dict[str, str]


@dataclass(frozen=True)
class Act:
    """What a supervisor does: its name, whether a form of a page is its own, what is filled in."""

    name: str
    is_its_form: Callable[[str, str, Texts], bool]  # path of the page, action, hidden fields
    typed: Texts


@dataclass(frozen=True)
class Reached:
    """A page that was reached, and how many links led there."""

    path: str
    links: int
    page: Element


def acts() -> list[Act]:
    """Return the daily acts."""
    door = drawing_json(
        yaml.safe_load((SEED_DATA / "demo" / "drawings" / "marrow-lane-b.yaml").read_text("utf-8"))
    )
    drawn = gathered_from_rows(texts_of(door, "in", []))
    return [
        Act("accept an opening", lambda _, __, own: own.get("act") == "accept", {"confirm": "yes"}),
        Act("answer a query", lambda _, __, own: own.get("act") == "answer",
            {"answer": "build", "words": "As drawn."}),
        Act("move a job", lambda _, action, __: "/office/plan/" in action,
            {"first_day": "2027-01-04"}),
        Act("issue a door from nothing",
            lambda path, action, _: action.endswith("/openings/new") and "copy=" not in path,
            {**drawn, "room": "Porch"}),
        Act("issue a door like another",
            lambda path, action, _: action.endswith("/openings/new") and "copy=" in path,
            {"room": "Porch", "number": "N-2"}),
        Act("cancel an opening", lambda _, __, own: own.get("act") == "close",
            {"reason": "Not wanted any more."}),
    ]  # fmt: skip


def prepare(app: FastAPI) -> None:
    """Load the demo, sign a door to its end, and let a crew ask something at another."""
    database = app.state.server.database
    company.load_company(database)
    week.load_week(database, datetime.now().astimezone())
    with database.write() as session:
        known = log.events_of(session, [OPENING])[OPENING]
        log.append_events(session, rehung(known, finished().events[1:-1], {}))
    crew = enter(app, "installer")
    path = "/field/o/marrow-lane-b/queries"
    form = html.fromstring(crew.get(path).text).xpath(f"//form[@action='{path}']")[0]
    asked = {"what": "The floor is 1 in lower.", "bars.D": "yes"}
    assert crew.post(path, data={**standing_fields(form), **asked}).status_code == 200


def browse(office: TestClient, start: str) -> list[Reached]:
    """Return the pages of the office within DEPTH links of a start, the nearest first."""
    ways = [(start, 0)]
    seen = {start}
    out = []
    for path, links in ways:
        answer = office.get(path)
        if answer.status_code != 200 or "text/html" not in answer.headers["content-type"]:
            continue
        page = html.fromstring(answer.text)
        out.append(Reached(str(answer.url.raw_path, "ascii"), links, page))
        for link in page.xpath("//a[@href]") if links < DEPTH else ():
            to = urljoin(path, link.get("href")).partition("#")[0]
            if to.startswith("/office") and to not in seen:
                seen.add(to)
                ways.append((to, links + 1))
    return out


def hidden_fields(form: Element) -> Texts:
    """Return what a form carries unseen."""
    return {
        one.get("name"): one.get("value") or "" for one in form.xpath(".//input[@type='hidden']")
    }


def standing_fields(form: Element) -> Texts:
    """Return what a browser would send of a form as it stands, without a button."""
    out = hidden_fields(form)
    for one in form.xpath(".//input[@name] | .//textarea[@name] | .//select[@name]"):
        if one.tag == "select":
            chosen = one.xpath("./option[@selected]") or one.xpath("./option")[:1]
            out[one.get("name")] = chosen[0].get("value") or "" if chosen else ""
        elif one.get("type") not in ("checkbox", "radio") or one.get("checked") is not None:
            out[one.get("name")] = one.text or "" if one.tag == "textarea" else one.get("value", "")
    return out


def is_folded(element: Element) -> bool:
    """Return whether something stands in a fold that is closed."""
    return any(one.get("open") is None for one in element.iterancestors("details"))


def work_at(form: Element, typed: Texts) -> tuple[int, int, Texts]:
    """Return clicks and fields on the form's page, and what is sent: only fields that are seen."""
    clicks, fields = 1 + is_folded(form), 0
    sent = standing_fields(form)
    inner = [one for one in form.iter("input", "select", "textarea") if one.get("name") in typed]
    done = set()
    for one in inner:
        name = one.get("name")
        folds = [fold for fold in one.iterancestors("details") if fold in list(form.iter())]
        if name in done or (folds and is_folded(one)) or sent.get(name) == typed[name]:
            continue
        done.add(name)
        sent[name] = typed[name]
        chosen = one.get("type") in ("checkbox", "radio")
        clicks, fields = clicks + chosen, fields + (not chosen and bool(typed[name]))
    return clicks, fields, sent


def button_of(form: Element) -> Texts:
    """Return what the form's last button says, which is the one that sends it."""
    buttons = form.xpath(".//button[@name]")
    return {buttons[-1].get("name"): buttons[-1].get("value") or ""} if buttons else {}


def forms_of(page: Element, path: str, act: Act) -> list[Element]:
    """Return the forms of a page that are an act's own."""
    return [
        form
        for form in page.iter("form")
        if form.get("method") == "post"
        and act.is_its_form(path, form.get("action") or "", hidden_fields(form))
    ]


def tell(office: TestClient, pages: list[Reached], act: Act) -> str:
    """Return the row of an act, and do it."""
    for reached in pages:
        if not forms_of(reached.page, reached.path, act):
            continue
        # looked at anew: what was done before may have changed it
        forms = forms_of(html.fromstring(office.get(reached.path).text), reached.path, act)
        if forms:
            clicks, fields, sent = work_at(forms[0], act.typed)
            address = forms[0].get("action")
            answer = office.post(address, data={**sent, **button_of(forms[0])})
            came = "done" if answer.status_code == 200 else f"refused ({answer.status_code})"
            total = SIGNED_IN + reached.links + clicks
            return f"{act.name:28}{total:>7}{fields:>8}   {came:14}{reached.path}"
    return f"{act.name:28} nobody finds it within {DEPTH} links"


def main() -> None:
    """Print the table."""
    with tempfile.TemporaryDirectory() as folder:
        settings = Settings(Path(folder))
        app = create_app(settings)
        with TestClient(app, headers=OURS) as office:
            prepare(app)
            who = {"name": "nadia", "password": "plumb-line-and-level"}
            page = office.post("/sign-in", data=who)
            pages = browse(office, page.url.path)
            review = next(one for one in pages if one.path.startswith("/office/o/"))
            print(f"{'act':28}{'clicks':>7}{'fields':>8}   {'came of it':14}on the page")
            clicks = SIGNED_IN + review.links
            print(f"{'review an opening':28}{clicks:>7}{0:>8}   {'shown':14}{review.path}")
            for act in acts():
                print(tell(office, pages, act), flush=True)


if __name__ == "__main__":
    main()
