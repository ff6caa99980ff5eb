"""A door by its cards at short depth, with the server stopped: the sill, and (long) A to J.

Nothing but what the screen offers is touched (card_crew.py). One line of the sill is out, one jamb
leans, one roller is wrong; every remedy is followed. Two persons share the phone: each sign-off
takes the PIN.
"""

from collections import Counter

import pytest

from app.core.record.state import State
from app.core.where.places import SHORT
from tests.browser.fixtures import PATIENCE
from tests.browser.installation import accept
from tests.phone.card_crew import CardCrew
from tests.phone.fixtures import Site
from tests.phone.test_shared_phone import NADIA, PASSWORDS, PINS, TOBIN, pair_second, set_pin
from tests.phone.test_shared_phone import work_on_as as turn_to
from tests.phone.work import OPENING, all_is_well, known_procedures


def shared_phone(site: Site) -> None:
    """Two persons on the phone, each with a PIN; Tobin works on."""
    pair_second(site)
    page = site.phone.page
    for name in (NADIA, TOBIN):
        set_pin(page, name, PASSWORDS[name])
        page.get_by_text("The PIN is kept on this phone.").wait_for()
    turn_to(page, TOBIN, PINS[TOBIN])
    page.get_by_role("contentinfo").get_by_text(TOBIN).wait_for()


def work_by_cards(site: Site, until: str = "") -> tuple[CardCrew, list[tuple[str, str]]]:
    """Work without an office up to a step, then send all; returns the crew, and what was read."""
    shared_phone(site)
    site.office.stop()
    crew = CardCrew(site.phone.page, OPENING, PINS[TOBIN], in_worker=site.phone.in_worker)
    crew.work(until)
    told = site.phone.own()
    state = State(site.phone.live(OPENING), known_procedures(site.office.data))
    assert state.depth == SHORT
    read = [
        (event["body"]["point"], event["body"]["text"])
        for event in told
        if event["kind"] == "reading.taken"
    ]
    assert [point for point, _ in read] == [point for point, _ in crew.typed]
    assert Counter(read) - Counter(crew.typed) == Counter()
    assert [(card["path"], card["high"], card["wide"]) for card in crew.cut] == []
    assert crew.total().scrolled < 844 * 20
    site.office.start()
    all_is_well(site, told)
    return crew, read


def test_delivery_and_sill_by_their_cards(site: Site) -> None:
    crew, read = work_by_cards(site, until="B2")
    assert "line" not in crew.door.faults  # the hollow was met, and put right as the card said
    assert len(read) > 40
    signed = [e["body"]["step"] for e in site.office.events(OPENING) if e["kind"] == "step.signed"]
    assert signed == ["A", "B1"]


@pytest.mark.long
def test_a_whole_door_by_its_cards(site: Site) -> None:
    crew, read = work_by_cards(site)
    assert crew.door.faults == {}  # every OUT was met, and put right as the card said
    context = site.browser.new_context(base_url=site.line.address, locale="en-US")
    context.set_default_timeout(PATIENCE)
    try:
        record = accept(context.new_page())
        assert Counter(text for _, text in read) - Counter(record.typed()) == Counter()
    finally:
        context.close()
