"""Digits belong to the reading they were typed for, however slow the phone is at that moment.

A tape or a laser meter that types like a keyboard sends its keys some 15 ms apart, and does not
wait. The core is made slow: by two seconds, the time of 130 keys, while they come, so that all of
them are there before it has answered once; and by twenty keys' time for each thing asked later.
"""

import pytest
from playwright.sync_api import Page

from tests.browser.crew import DOWN, Crew
from tests.browser.models import SEEN, PointPage
from tests.browser.seen import expect
from tests.phone.fixtures import Site
from tests.phone.work import OPENING, all_is_well

KEYS_APART = 15  # milliseconds
SLOW = """(all) => {
  const call = vm.call;
  vm.call = (name, thing) => {
    const seconds = name === "handle" ? (all.length > 1 ? all.shift() : all[0]) : 0;
    const end = Date.now() + seconds * 1000;
    while (Date.now() < end);
    return call(name, thing);
  };
}"""
PATIENCE = 120_000  # milliseconds: eight readings, each worked out and shown by a slow core


def kept(site: Site, point: str) -> list[tuple[str, str]]:
    """Return the readings of a point as they were kept here: the place's id and what was typed."""
    return [
        (event["body"]["place"], event["body"]["text"])
        for event in site.phone.own()
        if event["kind"] == "reading.taken" and event["body"]["point"] == point
    ]


def slow_down(site: Site, *seconds: float) -> None:
    """Let the core take its time: so long for each thing asked; the last of them from then on."""
    site.phone.context.service_workers[-1].evaluate(SLOW, list(seconds))


def send_as_hardware(page: Page, *texts: str) -> None:
    """Type like an instrument: digits and Enter, and on to the next without a look."""
    for text in texts:
        page.keyboard.type(text, delay=KEYS_APART)
        page.keyboard.press("Enter")
        page.wait_for_timeout(KEYS_APART)


@pytest.mark.long
def test_widths_sent_by_an_instrument_are_all_kept_where_they_belong(site: Site) -> None:
    page = site.phone.page
    page.goto(f"/field/o/{OPENING}/point/panel-widths")
    point = PointPage(page)
    expect(point.place).to_contain_text("1 of ", timeout=SEEN)
    crew = Crew(page, OPENING, "Family room")
    places = [p.id for p in crew.state.places("panel-widths", "")]
    texts = ["48 1/2", "48 1/4", "48 3/8", "48 5/8", "48 1/8", "48 7/8", "48 3/4", "48"]
    wanted = list(zip(places, texts, strict=False))
    slow_down(site, 2, 0.3)
    send_as_hardware(page, *[text for _, text in wanted])
    expect(page.get_by_role("link", name="Next: ")).to_be_visible(timeout=PATIENCE)
    assert kept(site, "panel-widths") == wanted
    all_is_well(site, site.phone.own())


@pytest.mark.long
def test_a_reading_that_is_still_being_typed_is_not_cut(site: Site) -> None:
    page = site.phone.page
    page.goto(f"/field/o/{OPENING}/point/panel-widths")
    point = PointPage(page)
    expect(point.place).to_contain_text("1 of ", timeout=SEEN)
    slow_down(site, 0.5)
    send_as_hardware(page, "48 1/2")
    for key in "48 1/4":  # over as long as the phone needs, and longer
        page.keyboard.press(key)
        page.wait_for_timeout(600)
    expect(point.place).to_contain_text("2 of ", timeout=SEEN)
    expect(point.field).to_have_value("48 1/4")
    page.keyboard.press("Enter")
    expect(point.told).to_contain_text("Kept: 4' 0 1/4", timeout=SEEN)
    expect(point.place).to_contain_text("3 of ", timeout=SEEN)
    assert [text for _, text in kept(site, "panel-widths")] == ["48 1/2", "48 1/4"]


@pytest.mark.long
def test_what_was_typed_ahead_waits_while_something_is_asked_back(site: Site) -> None:
    """The third station reads an inch off: it is asked back, and takes nothing of what follows."""
    page = site.phone.page
    page.goto(f"/field/o/{OPENING}/point/sill-weather-shots")
    point = PointPage(page)
    point.read(DOWN)
    expect(point.place).to_contain_text("1 of ", timeout=SEEN)
    slow_down(site, 0.5)
    send_as_hardware(page, "13", "13 1/16", "14 1/16", "13 1/8", "13 3/16")
    page.keyboard.type("13 1/4", delay=KEYS_APART)
    question = page.get_by_role("main").get_by_text("Was the tape read from another mark?")
    expect(question).to_be_visible(timeout=PATIENCE)
    assert [text for _, text in kept(site, "sill-weather-shots")] == ["13", "13 1/16"]
    held = page.get_by_role("region", name="Typed ahead")
    for text in ("13 1/8", "13 3/16", "13 1/4"):
        expect(held).to_contain_text(text)
    page.get_by_role("button", name="It is right: keep it").click()
    for nth, text in (("4 of ", "13 1/8"), ("5 of ", "13 3/16"), ("6 of ", "13 1/4")):
        expect(point.place).to_contain_text(nth, timeout=PATIENCE)
        expect(point.field).to_have_value(text)
        page.keyboard.press("Enter")
    expect(point.told).to_contain_text("Kept: 13 1/4", timeout=PATIENCE)
    texts = ["13", "13 1/16", "14 1/16", "13 1/8", "13 3/16", "13 1/4"]
    assert [text for _, text in kept(site, "sill-weather-shots")] == texts
    expect(held).to_be_hidden()


@pytest.mark.parametrize("key", ["Enter", pytest.param("tap", marks=pytest.mark.long)])
def test_nothing_is_lost_when_the_answer_does_not_come(site: Site, key: str) -> None:
    """The worker fails at the first try: what was typed stands in its field, and is sent again."""
    page = site.phone.page
    page.goto(f"/field/o/{OPENING}/point/panel-widths")
    point = PointPage(page)
    expect(point.place).to_contain_text("1 of ", timeout=SEEN)
    site.phone.context.service_workers[-1].evaluate(
        """() => {
          const answer = act.answer;
          act.answer = (...asked) => {
            if (asked[0].method !== "POST") return answer(...asked);
            act.answer = answer;
            const failed = { response: Response.error() };
            return new Promise((done) => setTimeout(() => done(failed), 500));
          };
        }"""
    )
    send_as_hardware(page, "48 1/2", "48 1/4")
    expect(point.error).to_contain_text("Not kept yet", timeout=SEEN)
    expect(point.field).to_have_value("48 1/2")
    if key == "Enter":
        page.keyboard.press("Enter")
    else:
        page.get_by_role("button", name="Keep", exact=True).click()
    expect(point.place).to_contain_text("2 of ", timeout=SEEN)
    expect(point.field).to_have_value("48 1/4")
    assert [text for _, text in kept(site, "panel-widths")] == ["48 1/2"]


def test_cards_take_what_an_instrument_sends_and_hold_the_rest_at_an_out(site: Site) -> None:
    """Widths by cards: the third is out and stays; what was sent on waits for its own place."""
    page = site.phone.page
    page.goto(f"/field/o/{OPENING}/next/A?point=panel-widths&place=A-top")
    expect(page.get_by_role("heading", level=1)).to_contain_text("panel A, top", timeout=SEEN)
    slow_down(site, 2, 0.3)
    send_as_hardware(page, "48 1/2", "48 9/16", "49", "48 7/16", "48 1/2")
    page.keyboard.type("48 3", delay=KEYS_APART)
    expect(page.get_by_role("button", name="Typo: undo")).to_be_visible(timeout=PATIENCE)
    page.keyboard.type("/8", delay=KEYS_APART)
    held = page.get_by_role("region", name="Typed ahead")
    for text in ("48 7/16 panel B, bottom", "48 1/2 panel C, top", "48 3/8 panel C, bottom"):
        expect(held).to_contain_text(text)
    first = [("A-top", "48 1/2"), ("A-bottom", "48 9/16"), ("B-top", "49")]
    assert kept(site, "panel-widths") == first
    page.get_by_role("button", name="Typo: undo").click()
    field = page.get_by_role("main").get_by_role("textbox")
    expect(page.get_by_role("heading", level=1)).to_contain_text("panel B, top", timeout=PATIENCE)
    expect(field).to_have_value("")
    send_as_hardware(page, "48 1/2")
    for place, text in (("B, bottom", "48 7/16"), ("C, top", "48 1/2"), ("C, bottom", "48 3/8")):
        expect(field).to_have_value(text, timeout=PATIENCE)
        expect(page.get_by_role("heading", level=1)).to_contain_text("panel " + place)
        if text != "48 3/8":
            page.keyboard.press("Enter")
    then = [("B-top", "48 1/2"), ("B-bottom", "48 7/16"), ("C-top", "48 1/2")]
    assert kept(site, "panel-widths") == first + then
    all_is_well(site, site.phone.own())
