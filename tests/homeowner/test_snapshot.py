"""A snapshot keeps facts, not sentences: it is said in whatever language there is later.

What is expected is the rule itself: facts hold no words of a language but templates, names and
typed text; a language that is added afterwards shows old records; the office's own entry names the
digest (SHA-256, FIPS 180-4).
"""

import json
import re
import shutil
from collections.abc import Iterator
from pathlib import Path

import pytest
from fastapi import FastAPI
from fastapi.testclient import TestClient
from hypothesis import given
from hypothesis import strategies as st

from app.core.kinds import Any, Json
from app.core.quantity.messages import Len, Msg, Qty, When, key_of
from app.core.quantity.speaker import Speaker
from app.core.record.canonical import canonical_bytes, digest
from app.core.record.standing import opening_state
from app.core.record.state import State
from app.homeowner import checking, issuing, snapshot
from app.homeowner.pdf import paper
from app.homeowner.wording import Teller, as_json
from app.words import catalogs
from tests.homeowner.conftest import OPENING, accept
from tests.homeowner.finished import NAMES, PROCEDURES, revision_of, shown
from tests.homeowner.test_issued import correct, rows


def messages_in(thing: Any) -> list[str]:
    """Return what a catalogue has every message under that stands in facts."""
    if isinstance(thing, list):
        return [text for part in thing for text in messages_in(part)]
    if not isinstance(thing, dict):
        return []
    here = [key_of(thing.get("context", ""), thing["msg"])] if "msg" in thing else []
    return here + [text for part in thing.values() for text in messages_in(part)]


@pytest.fixture
def invented(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[str]:
    """A language that nobody speaks, added while the program runs: each template in ⟦ ⟧."""
    spanish = catalogs.path_of("es")
    made = catalogs.read_catalog(spanish)
    for message in made:
        if message.id:
            forms = [message.id] if isinstance(message.id, str) else message.id
            marked = tuple(f"⟦{text}⟧" for text in forms)
            message.string = marked if message.pluralizable else marked[0]
    shutil.copy(spanish, tmp_path / "es.po")
    monkeypatch.setattr(catalogs, "FOLDER", tmp_path)
    monkeypatch.setitem(catalogs.NAMES, "qx", "Qx")
    catalogs.write_catalog(catalogs.path_of("qx"), made)
    catalogs.catalog.cache_clear()
    yield "qx"
    catalogs.catalog.cache_clear()


def test_an_old_record_is_shown_in_a_language_added_later(made: Json, invented: str) -> None:
    before = digest(made)
    for units in ("in", "mm", "both"):
        said = shown(made, invented, units)
        for words in (said["result"], said["door"], said["issued"], *said["claims"]):
            assert words.startswith("⟦")
        for step in said["sections"]:
            titles = [step["title"], *(re.sub("^[A-Z]: ", "", t["text"]) for t in step["tasks"])]
            titles += [check["title"] for check in step["checks"]]
            titles += [text for check in step["checks"] for text in check["says"]]
            titles += [one["title"] for one in step["readings"]["single"]]
            titles += [row["title"] for t in step["readings"]["tables"] for row in t["rows"]]
            assert [words for words in titles if not words.startswith("⟦")] == []
        assert said["picture_of"]["description"].startswith("⟦")
    data = paper.data_of(revision_of(made), invented, "mm")
    assert data["heading"].startswith("⟦")
    assert digest(made) == before


def test_the_office_shows_it_too(app: FastAPI, office: TestClient, invented: str) -> None:
    accept(office)
    path = f"/record/{OPENING}"
    assert f"lang={invented}" in office.get(path).text
    assert office.get(f"{path}/r/1/a4.pdf?lang={invented}").content.startswith(b"%PDF")


def test_every_message_can_be_said_in_every_language(made: Json) -> None:
    found = set(messages_in(made))
    assert len(found) > 200
    for lang in catalogs.languages():
        assert found - set(catalogs.catalog(lang)) == set()


def test_no_sentence_of_a_language_stands_in_it(made: Json) -> None:
    """No Spanish, and no amount in a system of units but what was typed."""
    text = json.dumps(made, ensure_ascii=False)
    same = set(catalogs.catalog("es"))
    spanish = {words for words in catalogs.catalog("es").values() if len(words) > 12} - same
    assert [words for words in spanish if json.dumps(words, ensure_ascii=False) in text] == []
    assert " mm" not in text
    assert not any(NAMES[id] in text for id in ("tobin-hale", "nadia-ferrow"))


def test_it_is_not_much_larger_than_its_entries(made: Json, book: list[Json]) -> None:
    assert len(canonical_bytes(made)) < 2 * len(canonical_bytes(book))


def test_a_reading_leads_to_its_check_limit_and_basis(made: Json) -> None:
    step = next(step for step in made["facts"]["steps"] if step["key"] == "B2")
    reading = next(r for r in step["readings"] if r["point"] == "flood-level")
    assert reading | {"who": "tobin-hale", "quantity": "length", "value": "330200000"} == reading
    check = next(c for c in step["checks"] if reading["entry"] in c["readings"])
    assert (check["id"], check["verdict"]) == ("flood-holds", "within")
    assert [(limit["name"], limit["value"]) for limit in check["limits"]] == [("most", "0")]
    assert check["basis"]["kind"] == "practice"


LEAVES = st.one_of(
    st.text(max_size=20),
    st.integers(-(10**30), 10**30),
    st.builds(Len, st.integers(-(10**12), 10**12), st.sampled_from(["size", "place"]),
              st.sampled_from([None, 1_000_000])),
    st.builds(Qty, st.sampled_from(["force", "temperature"]), st.integers(0, 10**20)),
    st.just(When("2026-03-02T14:05:00-05:00")),
)  # fmt: skip
WORDS = st.recursive(
    LEAVES,
    lambda inner: st.one_of(
        st.lists(inner, max_size=3),
        st.builds(lambda a, b: Msg("{a} of {b}", a=a, b=b), inner, inner),
    ),
    max_leaves=8,
)


@given(words=WORDS, units=st.sampled_from(["in", "mm"]))
def test_words_kept_as_facts_say_the_same(words: Any, units: str) -> None:
    kept = json.loads(canonical_bytes(as_json(words)))
    assert Teller(Speaker({}, units), {}).say(kept) == Speaker({}, units).say(words)


def test_people_are_named_when_it_is_shown() -> None:
    kept = as_json(Msg("Signed by {who}", who={"who": "tobin-hale"}))
    assert Teller(Speaker(), NAMES).say(kept) == "Signed by Tobin Hale"
    assert Teller(Speaker(), {}).say(kept) == "Signed by a person no longer listed"


def test_the_office_writes_the_digest_into_the_log(app: FastAPI, office: TestClient) -> None:
    accept(office)
    (kept,) = rows(app, "issued")
    entries = [json.loads(row["body"]) for row in rows(app, "event") if row["opening"] == OPENING]
    entry = next(event for event in entries if event["kind"] == "record.issued")
    accepted = next(event for event in entries if event["id"] != entry["id"] and event["n"] ==
                    entry["n"] - 1 and event["device"] == entry["device"])  # fmt: skip
    assert entry["prev"] == digest(accepted)
    assert accepted["kind"] == "opening.reviewed"
    assert entry["body"] == {
        "revision": 1,
        "number": json.loads(kept["text"])["number"],
        "digest": kept["digest"],
        "code": kept["code"],
    }


def test_that_entry_alters_nothing(book: list[Json], made: Json) -> None:
    """Neither how the opening stands, nor a sign-off, nor what a phone has worked out already."""
    entry = issuing.issued_entry(book, book[-1], made)
    state, known = State([*book, entry], PROCEDURES), State(book, PROCEDURES)
    assert opening_state(state) == opening_state(known) == "done"
    again = snapshot.make(made["about"] | {"id": OPENING}, [*book, entry], PROCEDURES)
    assert {**again["facts"], "people": []} == {**made["facts"], "people": []}


def test_the_same_acceptance_issues_nothing_twice(app: FastAPI, office: TestClient) -> None:
    accept(office)
    database = app.state.server.database
    with database.write() as session:
        from app.store import log

        events = log.events_of(session, [OPENING])[OPENING]
        accepted = next(event for event in events if event["kind"] == "opening.reviewed")
        assert issuing.issue(session, accepted).revision == 1
    assert len(rows(app, "issued")) == 1


def test_every_revision_has_a_whole_export(app: FastAPI, office: TestClient) -> None:
    """Also the first one's, when a second has followed: each with its own entry of the office."""
    accept(office)
    correct(office)
    accept(office)
    for number in (1, 2):
        exported = office.get(f"/record/{OPENING}/r/{number}/export.json").content
        report = checking.check(exported)
        assert (report.faults, report.revision) == ([], number)
