"""The network: answers lost, answers false, no answers at all.

Numbers are those of the list of faults.
"""

import json
import os

import pytest

from tests.browser.models import SEEN
from tests.browser.seen import expect
from tests.phone.fixtures import Site
from tests.phone.line import Answered
from tests.phone.work import STEP, all_is_well, tick

LINE = "#kept-and-sent"
# Of each page. SILLBOOK_WRITES=500 does what there is no time for every day.
WRITES = int(os.environ.get("SILLBOOK_WRITES", "40"))

# the worker's patience is twenty seconds: with this it is ten times as short
QUICK = (
    "() => { const was = AbortSignal.timeout; "
    "AbortSignal.timeout = (ms) => was.call(AbortSignal, ms / 10); }"
)


def test_14_a_lost_receipt_makes_no_doubles(site: Site) -> None:
    """The office commits a batch, the answer is lost; the phone sends again.

    Everything is there once.
    """
    lost: list[bytes] = []

    def lose(exchange: Answered) -> None:
        if (exchange.method, exchange.path) == ("POST", "/sync") and len(lost) < 2:
            lost.append(exchange.body)
            exchange.cut()

    site.line.after = lose
    for number in range(3):
        tick(site.phone.page, number)
    told = site.phone.own()
    assert len(told) == 3
    site.phone.sync()
    assert site.phone.is_sent()
    assert len(lost) == 2
    all_is_well(site, told)


def test_11_a_captive_portal_is_never_the_office(site: Site) -> None:
    """A network that answers 200 with a page to everything.

    Nothing counted as sent, nothing cached.
    """
    page = site.phone.page
    page.goto(STEP)

    def portal(exchange: Answered) -> None:
        kind = [("Content-Type", "text/html; charset=utf-8")]
        exchange.reply(
            200, kind, b"<!doctype html><title>Guest network</title><p>Accept the terms</p>"
        )

    site.line.before = portal
    tick(page, 0)
    tick(page, 1)
    told = site.phone.own()
    site.phone.sync()
    page.evaluate(
        "navigator.serviceWorker.getRegistration('/field').then((r) => r.update()).catch(() => 0)"
    )
    page.goto("/field/status")
    expect(page.get_by_role("main")).to_contain_text("answers in place of the office", timeout=SEEN)
    expect(page.locator(LINE)).to_contain_text("2 entries saved on this phone, not yet sent")
    assert len(site.phone.book()["outbox"]) == 2
    assert page.goto("/field").text().count("Guest network") == 0
    site.line.heal()
    all_is_well(site, told)


def test_21_a_network_that_never_answers_delays_no_verdict(site: Site) -> None:
    """The line connects and says nothing: every entry is answered at once, and one sender waits."""
    page = site.phone.page
    page.goto(STEP)
    site.phone.in_worker(QUICK)
    site.line.before = lambda exchange: exchange.stall(8)
    for number in range(3):
        tick(page, number)
    asked = [path for _, path in site.line.asked if path.startswith("/sync")]
    assert len(asked) <= 2, asked  # it gave up and waits, or still waits
    told = site.phone.own()
    assert len(told) == 3
    for _ in range(100):
        if site.phone.book()["news"]["trouble"] == "no-answer":
            break
        page.wait_for_timeout(100)
    assert site.phone.book()["news"]["trouble"] == "no-answer"
    site.line.heal()
    all_is_well(site, told)


@pytest.mark.long
def test_21_a_slow_line_takes_a_smaller_batch_at_a_time(site: Site) -> None:
    """A line on which an answer takes longer, the more is sent: in the end all of it is there.

    Four entries at once would never be answered in time.
    """
    page = site.phone.page
    site.line.before = lambda exchange: exchange.cut()
    for number in range(4):
        tick(page, number)
    told = site.phone.own()
    site.phone.in_worker(QUICK)
    answered: list[int] = []

    def slow(exchange: Answered) -> None:
        if (exchange.method, exchange.path) != ("POST", "/sync"):
            return
        count = len(json.loads(exchange.body)["events"])
        if count > 1:
            exchange.stall(3)  # the phone waits for two seconds
        else:
            answered.append(count)

    site.line.before = slow
    assert site.phone.is_sent(within=60)
    assert answered == [1, 1, 1, 1]
    all_is_well(site, told)


@pytest.mark.control(6, 27)
def test_24_a_phone_that_is_ended_keeps_what_it_has(site: Site) -> None:
    """The office ends the pairing with entries unsent: 401 clears nothing, and is shown.

    Paired anew by another person, what the first entered still goes under the first one's name.
    """
    page = site.phone.page
    site.line.before = lambda exchange: exchange.cut()
    tick(page, 0)
    told = site.phone.own()
    site.line.heal()
    site.office.stop()
    site.office.change("UPDATE device SET revoked = 1")
    site.office.start()
    site.phone.sync()
    expect(page.locator(LINE)).to_contain_text("Pair this phone again. 1 entry saved", timeout=SEEN)
    assert len(site.phone.book()["outbox"]) == 1
    site.phone.pair(site.code("tobin"))
    again = site.phone.own()
    assert [e["body"] for e in again] == [e["body"] for e in told]
    assert {e["person"] for e in again} == {"tobin-hale"}
    assert {e["device"] for e in again}.isdisjoint({e["device"] for e in told})
    all_is_well(site, again)


def test_20_two_tabs_and_a_sync_loop(site: Site) -> None:
    """Two pages write at the same time while the phone sends.

    Numbers unique, nothing sent twice.
    """
    first = site.phone.page
    first.goto(STEP)
    second = site.phone.context.new_page()
    second.goto(STEP)
    for page in (first, second):
        page.evaluate(WRITE, [STEP, WRITES])
    for page in (first, second):
        assert page.evaluate("() => self.written") == WRITES
    own = site.phone.own()
    assert sorted(event["n"] for event in own) == list(range(1, 2 * WRITES + 1))
    assert len({event["id"] for event in own}) == 2 * WRITES
    assert site.phone.is_sent(within=20 + WRITES)
    all_is_well(site, own)
    offered = [event["id"] for body in site.line.offered for event in json.loads(body)["events"]]
    assert len(offered) == len(set(offered)), "an event was sent twice"


# Starts posting the first task's form again and again, each time as the page has it then.
WRITE = """([path, times]) => {
  self.written = (async () => {
    let count = 0;
    for (let at = 0; at < times; at += 1) {
      const text = await (await fetch(path)).text();
      const page = new DOMParser().parseFromString(text, "text/html");
      const form = Array.from(page.forms).find((each) => each.elements.act?.value === "tick");
      const body = new URLSearchParams(new FormData(form));
      const answer = await fetch(path, { method: "POST", body });
      if (answer.ok) count += 1;
      const worker = navigator.serviceWorker.controller;
      if (at % 3 === 0) worker.postMessage({ kind: "sync", why: "asked" });
    }
    return count;
  })();
}"""
