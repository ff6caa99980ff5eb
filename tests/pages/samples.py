"""Every template with invented contexts: what the pages are given, in every state they can show.

ALL maps a name to (template, context). The words are invented; nothing here is measured.
"""

from typing import Any

from tests.pages.card_samples import card_samples
from tests.pages.desk_samples import desk_samples
from tests.pages.keeping_samples import keeping_samples
from tests.pages.office_samples import (
    accepting_context,
    queries_context,
    review_context,
    signin_context,
)
from tests.pages.opening_samples import (
    drawing_context,
    groups,
    opening_context,
    setout_context,
    setout_job_context,
    shop_context,
)
from tests.pages.owner_samples import owner_samples
from tests.pages.people_samples import people_samples
from tests.pages.phone_samples import phone_samples
from tests.pages.point_samples import entry, point_context, way
from tests.pages.record_samples import record_context
from tests.pages.shapes import choice, form, link, page
from tests.pages.sheet_samples import (
    debrief,
    fates,
    parts_context,
    reading_context,
    refusals,
)
from tests.pages.step_samples import (
    ready_context,
    sheet_context,
    short_context,
    short_ready,
    signed_context,
    step_context,
)
from tests.pages.visit_samples import visit_samples

Json = dict[str, Any]

OPENINGS = {"page": page("Openings to be set", where=False), "groups": groups(), "empty": "",
            "closed": groups()[0]["openings"][:1], "offline": "/pair/here"}  # fmt: skip

ALL: dict[str, tuple[str, Json]] = {
    **card_samples(),
    **owner_samples(),
    "step": ("field/step.html", step_context()),
    "step-short": ("field/step_short.html", short_context()),
    "step-short-ready": ("field/step_short.html", short_ready()),
    "step-ready": ("field/step.html", ready_context()),
    "step-signed": ("field/step.html", signed_context(True)),
    "step-broken": ("field/step.html", signed_context(False)),
    "point": ("field/point.html", point_context()),
    "point-way": (
        "field/point.html",
        point_context(way=way(True), entry=None, saved=None, unreachable=None),
    ),
    "point-compare": (
        "field/point.html",
        point_context(
            compare={
                "form": form("compare"),
                "text": 'Station 2 is 3/16" LOWER than station 1: right?',
            }
        ),
    ),
    "point-ask": (
        "field/point.html",
        point_context(
            saved=None,
            ask={
                "form": form("ask"),
                "typed": "37 3/16",
                "no": "point.html",
                "text": 'is almost exactly 1" off its neighbours. Was an inch burned?',
            },
        ),
    ),
    "point-error": (
        "field/point.html",
        point_context(
            saved=None,
            entry=entry(
                form=form(
                    "entry",
                    error="“3//16” is not a length. Type it like 3/16 or 9.5 mm.",
                    value="3//16",
                    by="",
                    tool="",
                    at="",
                    info="",
                    words="",
                )
            ),
        ),
    ),
    "point-choice": (
        "field/point.html",
        point_context(
            title="Every weep runs",
            checks=[],
            way=None,
            entry=entry(
                is_number=False,
                is_choice=True,
                label="Does water run out of this weep?",
                place="Weep 3, 6 ft from LEFT jamb",
                choices=[choice("yes", "Yes"), choice("no", "No")],
                gauge=None,
            ),
        ),
    ),
    "point-words": (
        "field/point.html",
        point_context(
            title="Sealant lot",
            saved=None,
            checks=[],
            way=None,
            entry=entry(
                is_number=False,
                is_words=True,
                label="Lot and date on the tubes",
                place="Sealant",
                nth="",
                gauge=None,
            ),
        ),
    ),
    "point-done": (
        "field/point.html",
        point_context(
            entry=None, unreachable=None, next=link("On: Sill, weather-side line", "point.html")
        ),
    ),
    "list": ("field/list.html", OPENINGS),
    "list-empty": (
        "field/list.html",
        dict(OPENINGS, groups=[], closed=[], empty="Nothing is waiting to be set."),
    ),
    "opening": ("field/opening.html", opening_context()),
    "drawing": ("field/drawing.html", drawing_context()),
    "shop": ("field/shop.html", shop_context()),
    "setout": ("field/setout.html", setout_context()),
    "setout-job": ("field/setout_job.html", setout_job_context()),
    "reading": ("field/reading.html", reading_context()),
    "reading-error": ("field/reading.html", reading_context("Say why it is struck.")),
    "parts": ("field/parts.html", parts_context()),
    "practice": ("field/practice.html", {"page": page("Debrief", "Opening"), **debrief()}),
    "queries": ("field/queries.html", queries_context()),
    "history": (
        "field/history.html",
        {
            "page": page("All readings", "Steps"),
            "sum": "6 readings, 1 struck",
            "groups": [{"id": "room", "title": "B1 · Sill, room-side line", "readings": fates()}],
        },
    ),
    "signin": ("office/signin.html", signin_context()),
    "signin-error": (
        "office/signin.html",
        signin_context("This name and password do not belong together."),
    ),
    "review": ("office/review.html", review_context()),
    "review-accept": ("office/review.html", accepting_context()),
    "sheet": ("field/sheet.html", sheet_context()),
    "record": ("record/record.html", record_context()),
}
ALL.update(refusals())
ALL.update(visit_samples())
ALL.update(desk_samples())
ALL.update(phone_samples())
ALL.update(people_samples())
ALL.update(keeping_samples())
