"""The week in a browser: a crew is made, an opening planned, its card dragged to another day."""

from datetime import date, timedelta

from playwright.sync_api import Page, expect

from tests.browser.models import SEEN


def test_a_card_is_dragged_to_another_crew_and_day(desk: Page) -> None:
    for crew, lead in (("Heron", "Tobin Hale"), ("Plover", "Inés Calder")):
        desk.goto("/office/crews/new")
        desk.get_by_label("Name of the crew").fill(crew)
        desk.get_by_label("Lead").select_option(label=lead)
        desk.get_by_role("button", name="Keep this crew").click()
    monday = date.today() - timedelta(days=date.today().weekday())
    desk.goto("/office/plan/saltgrass-b")
    desk.get_by_label("Crew").select_option(label="Heron")
    desk.get_by_label("First day").fill(monday.isoformat())
    desk.get_by_label("Last day").fill((monday + timedelta(1)).isoformat())
    desk.get_by_role("button", name="Keep the plan").click()
    rows = desk.get_by_role("table").get_by_role("row")
    cards = rows.filter(has_text="Heron").locator(".week-card")
    expect(cards).to_have_count(2, timeout=SEEN)
    plover = rows.filter(has_text="Plover").get_by_role("cell")
    cards.first.drag_to(plover.nth(2))
    expect(desk.get_by_label("First day")).to_have_value(
        (monday + timedelta(2)).isoformat(), timeout=SEEN
    )
    expect(desk.get_by_label("Last day")).to_have_value((monday + timedelta(3)).isoformat())
    desk.get_by_role("button", name="Keep the plan").click()
    expect(rows.filter(has_text="Plover").locator(".week-card")).to_have_count(2, timeout=SEEN)
    expect(rows.filter(has_text="Heron").locator(".week-card")).to_have_count(0)
