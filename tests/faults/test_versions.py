"""Versions skewed, poison, a procedure replaced, an opening withdrawn.

Numbers are those of the list of faults.
"""

import json
from pathlib import Path

from app.core.kinds import Json
from app.core.record.canonical import canonical_bytes
from app.core.record.events import VERSION, new_event
from app.main import create_app
from app.procedures.compiler import compile_text
from app.settings import SEED_DATA, Settings
from app.store import log, procedures
from app.store.devices import device_id
from app.store.ids import uuid7
from app.store.tables import Assigned, Opening
from tests.browser.models import SEEN, SignIn
from tests.browser.seen import expect
from tests.phone.device import Device
from tests.phone.fixtures import Site
from tests.phone.office import Office, newer_program
from tests.phone.work import OPENING, STEP, all_is_well, folded, ids_of, tick

LINE = "#kept-and-sent"
# As a newer program would: the entry says something new, in a newer version.
NEWER = """() => {
  const was = vm.call;
  vm.call = (name, thing) => {
    const made = was(name, thing);
    if (name !== "handle" || !made.events.length) return made;
    for (const event of made.events) Object.assign(event, { v: NEXT, kind: "task.praised" });
    made.hashes = was("hashes", { events: made.events }).hashes;
    return made;
  };
}""".replace("NEXT", str(VERSION + 1))


def knowing_more(folder: Path) -> Path:
    """Return a copy of the program that knows the next version and its new kind."""
    program = newer_program(folder)
    events = program / "app" / "core" / "record" / "events.py"
    text = events.read_text("utf-8")
    assert f"VERSION = {VERSION}\n" in text
    text = text.replace(f"VERSION = {VERSION}\n", f"VERSION = {VERSION + 1}\n")
    kind = '    "task.praised": {"step": "text", "task": "text", "done": "flag"},\n'
    text = text.replace('    "task.ticked": {', kind + '    "task.ticked": {', 1)
    events.write_text(text, "utf-8")
    return program


def test_12_versions_that_differ_both_ways(site: Site) -> None:
    """A new phone with an old office: kept, and in the log once the office knows the kind.

    An old phone with new entries: it keeps them to the byte, and its opening is not judged.
    """
    site.phone.close()
    old = site.copy_of_phone("old")
    page = site.phone.open()
    tick(page, 0)
    site.phone.in_worker(NEWER)
    page.goto(STEP)
    page.get_by_role("region", name="Tasks").get_by_role("listitem").nth(1).get_by_role(
        "button"
    ).first.click()
    for _ in range(40):
        own = site.phone.own()
        if len(own) == 2 and site.phone.is_sent():
            break
        page.wait_for_timeout(250)
    newer = next(event for event in own if event["v"] > VERSION)
    held = site.office.rows("SELECT state, why, id FROM aside")
    assert held == [("held", "version-unknown", newer["id"])]
    assert newer["id"] not in ids_of(site.office.events())
    page.goto(f"/field/o/{OPENING}")
    expect(page.get_by_role("main")).to_contain_text("nothing is judged", timeout=SEEN)

    site.office.stop()
    site.office.start(knowing_more(site.folder / "newer"))
    # the old phone's program stays as it is
    site.line.before = lambda exchange: (
        exchange.cut() if exchange.path.startswith(("/sw.js", "/bundle/")) else None
    )
    at_office = {event["id"]: event for event in site.office.events()}
    assert canonical_bytes(at_office[newer["id"]]) == canonical_bytes(newer)
    old.open()
    try:
        old.page.goto("/field")
        has_all(site, old)
        old.page.goto(f"/field/o/{OPENING}")
        expect(old.page.get_by_role("main")).to_contain_text("nothing is judged", timeout=SEEN)
    finally:
        old.close()
    all_is_well(site, own)


def has_all(site: Site, phone: Device) -> None:
    """Wait until a phone holds an opening's entries as the office has them, to the byte."""
    for _ in range(60):
        here = sorted(canonical_bytes(event) for event in phone.live(OPENING))
        if here == sorted(canonical_bytes(event) for event in site.office.events(OPENING)):
            return
        phone.sync()
        phone.page.wait_for_timeout(250)
    raise AssertionError(phone.book()["news"])


# Starts so many entries, each from a fresh form; the worker is told to spoil one.
ENTER = """async ([path, times]) => {
  let kept = 0;
  for (let at = 0; at < times; at += 1) {
    const page = new DOMParser().parseFromString(await (await fetch(path)).text(), "text/html");
    const form = Array.from(page.forms).find((each) => each.elements.act?.value === "tick");
    const body = new URLSearchParams(new FormData(form));
    const answer = await fetch(path, { method: "POST", body });
    if (answer.ok) kept += 1;
  }
  return kept;
}"""
POISON = """() => {
  const was = vm.call;
  let count = 0;
  vm.call = (name, thing) => {
    const made = was(name, thing);
    if (name !== "handle" || !made.events.length) return made;
    count += 1;
    if (count !== 25) return made;
    made.events[0].body.task = "no-such-task";
    made.events[0].body.more = "what the office cannot take";
    made.hashes = was("hashes", { events: made.events }).hashes;
    return made;
  };
}"""


def test_13_one_of_fifty_is_poison(site: Site) -> None:
    """The other 49 pass; the one is kept apart, and phone and office leave it out alike.

    The office sees it with its reason, and can take it out as a file.
    """
    page = site.phone.page
    page.goto(STEP)
    site.line.before = lambda exchange: (
        exchange.cut() if exchange.path.startswith("/sync") else None
    )
    site.phone.in_worker(POISON)
    assert page.evaluate(ENTER, [STEP, 50]) == 50
    own = site.phone.own()
    poison = own[24]
    assert poison["body"]["task"] == "no-such-task"
    site.line.heal()
    assert site.phone.is_sent()
    others = [event for event in own if event is not poison]
    found = {event["id"]: event for event in site.office.events()}
    assert poison["id"] not in found
    assert [canonical_bytes(found[e["id"]]) for e in others] == [canonical_bytes(e) for e in others]
    ((state, why, text),) = site.office.rows("SELECT state, why, text FROM aside")
    assert (state, why, json.loads(text)) == ("set-aside", "event-unfit", poison)
    (named,) = [event for event in found.values() if event["kind"] == "entry.set-aside"]
    assert named["body"]["target"] == poison["id"]
    page.goto("/field/status")
    expect(page.get_by_role("main")).to_contain_text("Set aside by the office", timeout=SEEN)
    for _ in range(40):
        live = site.phone.live(OPENING)
        if named["id"] in ids_of(live):
            break
        site.phone.sync()
        page.wait_for_timeout(250)
    assert folded(live, site.office.data) == folded(site.office.events(OPENING), site.office.data)
    seen_at_the_office(site, poison)


def seen_at_the_office(site: Site, poison: Json) -> None:
    """A supervisor sees what was set aside, and takes it out as a file, as it came."""
    context = site.browser.new_context(base_url=site.line.address)
    try:
        page = context.new_page()
        SignIn(page).as_("nadia")
        page.goto("/office/aside")
        expect(page.get_by_role("main")).to_contain_text("does not have what its kind must have")
        with page.expect_download() as download:
            page.get_by_role("link", name="Save all of them as a file").click()
        (entry,) = json.loads(Path(download.value.path()).read_text("utf-8"))["entries"]
        assert (entry["why"], entry["entry"]) == ("event-unfit", poison)
    finally:
        context.close()


def test_an_opening_is_withdrawn_under_work(site: Site) -> None:
    """Entries made before the phone knew are stored and flagged; what is typed after is kept."""
    page = site.phone.page
    page.goto(f"/field/o/{OPENING}/queries")
    site.line.before = lambda exchange: exchange.cut()
    text = page.get_by_role("main").get_by_role("textbox").first
    other = site.phone.context.new_page()
    tick(other, 0)
    tick(other, 1)
    told = site.phone.own(other)
    site.office.stop()
    site.office.change(f"DELETE FROM assigned WHERE opening = '{OPENING}'")
    site.office.start()
    site.line.heal()
    for _ in range(60):
        site.phone.sync()
        other.wait_for_timeout(250)
        if OPENING not in [opening["id"] for opening in site.phone.book()["openings"]]:
            break
    other.goto("/field")
    expect(other.get_by_role("main")).not_to_contain_text("Family room", timeout=SEEN)
    text.fill("The head is 1/4 low at the middle")
    page.get_by_role("group", name="Which steps must wait").get_by_text("B1").first.click()
    page.get_by_role("button", name="Ask the office").first.click()
    expect(page.get_by_role("main")).to_contain_text("no such opening on your list", timeout=SEEN)
    expect(page.get_by_role("main")).to_contain_text("The head is 1/4 low at the middle")
    assert site.phone.own() == told
    all_is_well(site, told)
    flags = site.office.rows("SELECT id, flag FROM event WHERE flag <> ''")
    assert sorted(flags) == sorted((event["id"], "withdrawn") for event in told)


def with_next_procedure(office: Office) -> None:
    """Issue a new opening by a newer version of the procedure; the server must be stopped."""
    text = (SEED_DATA / "procedures" / "stacking-door.yaml").read_text("utf-8")
    number = int(text.partition("\nversion: ")[2].partition("\n")[0])
    text = text.replace(f"\nversion: {number}\n", f"\nversion: {number + 1}\n", 1)
    text = text.replace("title: Delivery check\n", "title: Delivery check as revised\n", 1)
    compiled = compile_text(text, "stacking-door.yaml")
    database = create_app(Settings(office.data)).state.server.database
    issued = office.events(OPENING)[0]
    body = {**issued["body"], "version": compiled["version"]}
    with database.write() as session:
        procedures.add_procedure(session, compiled)
        session.add(Opening(id="new-door", job="marrow-lane", letter="N", room="New room"))
        session.flush()
        session.add(Assigned(opening="new-door", person="tobin-hale"))
        draft = {**issued, "id": uuid7(), "opening": "new-door", "seen": {}, "body": body}
        draft["device"] = device_id(session, "office")
        log.append_events(session, [new_event([], draft)])
    database.close()


def test_a_procedure_is_replaced_while_openings_use_the_old_one(site: Site) -> None:
    """A new version comes with a new opening; the form of the old one, open meanwhile, fits."""
    page = site.phone.page
    tick(page, 0)
    assert site.phone.is_sent()
    site.office.stop()
    with_next_procedure(site.office)
    site.office.start()
    tick(page, 1)
    told = site.phone.own()
    all_is_well(site, told)
    for _ in range(40):
        book = site.phone.book()
        if "new-door" in [opening["id"] for opening in book["openings"]]:
            break
        site.phone.sync()
        page.wait_for_timeout(250)
    keys = sorted(procedure["key"] for procedure in book["procedures"])
    name = next(key for key in keys if key.startswith("stacking")).partition("@")[0]
    versions = [int(key.partition("@")[2]) for key in keys if key.startswith(name)]
    assert len(versions) == 2
    page.goto(f"/field/o/{OPENING}/step/A")
    expect(page.get_by_role("heading", level=1)).not_to_contain_text("as revised", timeout=SEEN)
    page.goto("/field/o/new-door/step/A")
    expect(page.get_by_role("heading", level=1)).to_contain_text("as revised", timeout=SEEN)
