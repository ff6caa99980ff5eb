"""What an interpreter knows from one request to the next gives the pages that the whole book gives.

The rest is this project's own: there is no outside source for how a book is told.
"""

from app.core import phone
from app.core.kinds import Json
from app.core.record.fold import carried_forward
from app.core.record.shelf import Shelf
from app.core.record.state import State
from tests.core.book import GAP, STEP, Book, decision, entry, filled, signoff, task
from tests.core.sample import PROCEDURES, Site, inches
from tests.core.test_phone import Plain, load


class Told:
    """A book that is told to a shelf as a phone's worker tells it."""

    def __init__(self) -> None:
        self.book = Book()
        self.shelf = Shelf()
        self.counts: dict[str, int] = {}

    def news(self, wanted: "list[str]", anew: bool = False) -> Json:
        """Return what is new of these openings since the last request."""
        out: Json = {"events": {}, "counts": {}}
        if anew or not self.counts:
            self.counts = {}
            request = self.book.request("GET", "/field")
            out["anew"], out["truths"], out["people"] = True, {}, request["people"]
            out["openings"] = request["book"]["openings"]
            out["procedures"] = request["book"]["procedures"]
        for id in wanted:
            out["events"][id] = self.book.events[id][self.counts.get(id, 0) :]
            self.counts[id] = out["counts"][id] = len(self.book.events[id])
        return out

    def ask(self, method: str, path: str, form: "Json | None" = None, **more: Json) -> Json:
        """Return the answer; a GET also asked of the whole book, which must say the same."""
        request = self.book.request(method, path, form)
        whole = phone.answer(request, load)
        bare = dict(request)
        del bare["book"], bare["people"]
        news = self.news(["o1"] if "/o1" in path else ["o1", "o2"])
        news.update(more)
        got = phone.told(self.shelf, bare, news, load)
        for part in ("status", "html", "location", "events"):
            assert got[part] == whole[part], part
        for event in got["events"]:
            self.book.events[event["opening"]].append(event)
        return got

    def fill(self, path: str, find: Json, **typed: str) -> None:
        """Fill in a form of a page and send it, both ways."""
        page = self.book.get(path)
        self.ask("POST", path, filled(find(page["context"]), **typed))
        self.ask("GET", path)


def work(told: Told) -> None:
    """Do the small door's first step, with a reading that was mistyped."""
    told.fill(STEP, task)
    told.fill(STEP, decision, choice="yes", name="Cy Example")
    for value in ("1/8", "1/2", "3/16"):
        told.fill(GAP + "?place=left", entry, value=value, sure="yes")
    told.fill(GAP + "?place=right", entry, value="1/8", sure="yes")
    told.fill(STEP, signoff, confirm="yes")


def test_every_page_is_as_of_the_whole_book():
    told = Told()
    work(told)
    for path in ("/field", "/field/o/o1", STEP, GAP, "/field/o/o1/history", "/field/o/o2"):
        told.ask("GET", path)
    assert told.book.events["o1"][-1]["kind"] == "step.signed"


def test_nothing_is_folded_anew_while_entries_only_follow():
    told = Told()
    told.ask("GET", GAP)
    state = told.shelf.folds["o1"]
    work(told)
    assert told.shelf.folds["o1"] is state


def test_what_does_not_add_up_is_refused():
    told = Told()
    told.ask("GET", GAP)
    news = told.news(["o1"])
    news["counts"]["o1"] += 1
    bare = told.book.request("GET", GAP)
    assert phone.told(told.shelf, bare, news, load) == {"again": True}
    news = told.news(["o1"], anew=True)
    assert phone.told(told.shelf, bare, news, load)["status"] == 200


def test_truths_and_summaries_come_back_once():
    told = Told()
    work(told)
    got = told.ask("GET", "/field")
    signed = told.book.events["o1"][-1]["id"]
    assert got["truths"] in ({signed: True}, {})  # known since the page after signing
    assert told.shelf.truths == {signed: True}
    assert got["summaries"]["o1"]["steps"][0] == {"key": "A", "state": "signed"}
    again = told.ask("GET", "/field", summaries=got["summaries"])
    assert (again["truths"], again["summaries"]) == ({}, {})


def test_a_summary_stands_for_the_events():
    told = Told()
    got = told.ask("GET", "/field")
    request = told.book.request("GET", "/field")
    news = {"events": {}, "counts": {}, "summaries": got["summaries"]}
    assert phone.told(told.shelf, request, news, load)["html"] == got["html"]
    assert Plain("pages.field_list").name in got["html"]


def same(state: State, events: "list[Json]") -> None:
    whole = State(events, PROCEDURES)
    assert [e["id"] for e in state.ledger.events] == [e["id"] for e in whole.ledger.events]
    for place in ("left", "right"):
        now, then = state.readings("gap", "", place), whole.readings("gap", "", place)
        assert [r.id for r in now] == [r.id for r in then]


def test_what_comes_late_or_was_struck_before_it_came_is_folded_anew():
    site = Site()
    site.read("phone-a", "gap", "left", "1/8", inches(1, 8))
    site.send("phone-a", "phone-b")
    first = site.read("phone-b", "gap", "left", "1/4", inches(1, 4))
    site.send("phone-b", "phone-a")
    struck = {"target": first["id"], "why": "mistake"}
    site.write("phone-a", "entry.struck", struck)
    events = site.all()
    for order in ((0, 1, 2, 3), (0, 3, 2, 1), (0, 2, 1, 3), (0, 1, 3, 2)):
        known: list[Json] = []
        state = None
        for index in order:
            known.append(events[index])
            state = carried_forward(state, known, PROCEDURES, {})
            same(state, known)
