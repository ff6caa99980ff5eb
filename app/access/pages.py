"""Pages that stand outside the field book: signing in, settings, errors; who speaks to whom."""

from starlette.requests import Request
from starlette.responses import HTMLResponse

from app.access.forms import made_for
from app.core.kinds import Json
from app.core.quantity.messages import Msg
from app.core.quantity.speaker import Speaker
from app.store.people import is_office
from app.store.tables import Person
from app.templating.templates import render_page
from app.words.catalogs import catalog, chosen


def speaker_for(person: Person | None) -> Speaker:
    """Return who speaks to a person, in their language and units; to nobody known, English."""
    if person is None:
        return Speaker()
    return Speaker(catalog(person.lang), person.units)


def lang_of(request: Request) -> str:
    """Return the language of whoever sent this request: their own, else what the browser asks."""
    person: Person | None = getattr(request.state, "person", None)
    return person.lang if person else chosen(request.headers.get("accept-language", ""))


def tabs_for(person: Person | None, here: str) -> list[Json]:
    """Return the links between office and field book; here: "office", "web" or neither."""
    if person is None:
        return []
    speaker = speaker_for(person)
    field = {"href": "/field", "text": speaker.say(Msg("Field book")), "here": here == "web"}
    if not is_office(person):
        return [] if here == "web" else [field]
    office = {"href": "/office/today", "text": speaker.say(Msg("Office")), "here": here == "office"}
    return [office, field]


def speaker_of(request: Request) -> Speaker:
    """Return who speaks to whoever sent this request, as far as that is known yet."""
    person: Person | None = getattr(request.state, "person", None)
    return speaker_for(person) if person else Speaker(catalog(lang_of(request)))


# the office's menu: where, its words, and how the other pages begin that stand under it
WAYS: tuple[tuple[str, Msg, tuple[str, ...]], ...] = (
    ("/office/today", Msg("Today"), ("/office/plan", "/office/load")),
    ("/office", Msg("Openings"), ("/office/lists",)),
    ("/office/jobs", Msg("Jobs"), ("/office/jobs/",)),
    ("/office/crews", Msg("Crews"), ("/office/crews/", "/office/calendars")),
    (
        "/office/index",
        Msg("Company"),
        (
            "/office/procedures",
            "/office/instruments",
            "/phones",
            "/office/take-",
            "/office/aside",
            "/office/rescue",
            "/office/people",
            "/office/company",
            "/office/visits",
            "/office/notices",
            "/office/outbox",
            "/office/webhooks",
            "/office/tokens",
        ),
    ),
)


def ways_of(request: Request) -> list[Json]:
    """Return the office's menu for whoever works there; for others none."""
    person: Person | None = getattr(request.state, "person", None)
    if person is None or not is_office(person):
        return []
    say = speaker_for(person).say
    return [
        {
            "href": href,
            "text": say(words),
            "here": request.url.path == href or request.url.path.startswith(under),
        }
        for href, words, under in WAYS
    ]


def framed_page(
    request: Request,
    template: str,
    title: Msg,
    context: Json,
    status: int = 200,
    lang: str = "",
    practice: str = "",
) -> HTMLResponse:
    """Return a page made from a template, with the frame that base.html asks for.

    lang: the language of the page; "" for that of whoever asks. practice: the words over a page of
    an opening to practise on.
    """
    speaker = Speaker(catalog(lang)) if lang else speaker_of(request)
    person: Person | None = getattr(request.state, "person", None)
    frame: Json = {
        "lang": lang or lang_of(request),
        "title": speaker.say(title),
        "nav": tabs_for(person, ""),
        "where": None,
        "notices": [],
        "person": person.name if person else "",
        "sign_out": {"action": "/sign-out", "hidden": []} if person else None,
        "practice": practice,
    }
    if person is not None:
        made_for(context, person.id)
    given = {"page": frame, "ways": ways_of(request), **context}
    html = render_page(template, given, speaker)
    # half a character, which a phone's entry may hold, is no reason to show nothing
    return HTMLResponse(html.encode("utf-8", "replace"), status)
