"""The one crossing: a request as text in, an answer as text out.

Everything that a device needs of the core goes through here, once a request. Every
AppError becomes a page; what was typed is kept.
"""

import json

from app.core.errors import AppError, InputError, MissingError, RefusedError
from app.core.kinds import Any, Callable, Json
from app.core.pages import common
from app.core.pages.request import VISIT, Page, Request, own_opening
from app.core.quantity.messages import Msg
from app.core.record.events import JUDGED_FIELDS, is_office_word, new_event

# first path parts after the opening -> module of app/core/pages (with get and post)
PAGES = {
    "": "opening",
    "drawing": "drawn",
    "shop": "shop",
    "setout": "setout",
    "setout/job": "setout_job",
    "step": "step",
    "point": "point",
    "next": "card",
    "reading": "reading",
    "parts": "parts",
    "queries": "queries",
    "history": "history",
    "sheet": "sheet",
    "instruments": "instruments",
    "visit": "visits",
    "owner": "owner",
    "practice": "practice",
}

# the same of an opening at a service visit: what is measured there, and nothing else
VISIT_PAGES = {
    "": "visit",
    "next": "card",
    "point": "point",
    "step": "visit",
    "reading": "visit",
    "instruments": "visit",
}

# first path part after /field -> module, for pages that speak of no opening
OWN = {"status": "status", "help": "help", "person": "person"}


def handle(text: str) -> str:
    """Answer a request in JSON; see `answer`."""
    return json.dumps(answer(json.loads(text)))


def needs(data: Json) -> "list[str] | None":
    """Return the openings whose events the book must hold; None: all that the person may see."""
    if data.get("lent"):
        return [data["lent"]["opening"]]
    parts = [part for part in data["path"].split("/") if part][1:]
    # A daily check concerns all openings of a phone; the server sees to that itself
    if parts[2:3] == ["instruments"] and data["method"] == "POST" and data.get("phone"):
        return None
    if len(parts) >= 2 and parts[0] == "o":
        if parts[2:4] == ["setout", "job"]:
            return None
        other = data.get("form", {}).get("opening", "")
        return [own_opening(parts[1])] + ([other] if other else [])
    return [] if parts and parts[0] in OWN else None


def shows_cards(data: Json) -> bool:
    """Return whether a request is for the list of openings: how each stands is enough for it."""
    return (
        data.get("method") == "GET"
        and not data.get("lent")
        and not [part for part in data["path"].split("/") if part][1:]
    )


def answer(data: Json) -> Json:
    """Return {"status", "template", "context", "location", "events", …} for a request of /field."""
    return respond_by(Request(data), field_module)


def field_module(request: Request) -> Any:
    """Return the module of app/core/pages that answers a path; MissingError 'page-unknown'."""
    if request.lent:
        owner = _import_module("owner")
        owner.must_not_be_lent(request)
        return owner
    parts = request.parts
    if not parts:
        return _import_module("openings")
    if parts[0] in OWN:
        return _import_module(OWN[parts[0]])
    if parts[0] == "o" and len(parts) >= 2:
        pages = VISIT_PAGES if VISIT in parts[1] else PAGES
        for rest in ("/".join(parts[2:4]), "/".join(parts[2:3])):
            if rest in pages:
                return _import_module(pages[rest])
    raise MissingError("page-unknown", Msg("There is no such page."))


def _import_module(name: str) -> Any:
    return __import__("app.core.pages." + name, None, None, ["get"])


def respond_by(request: Request, find: "Callable[[Request], Any]") -> Json:
    """Answer a request by the module that `find` names: its get, or one of its POSTS.

    Whatever is refused becomes a page; what was typed is kept.
    """
    try:
        module = find(request)
        page = (
            _post_page(request, module) if request.method == "POST" else _get_page(request, module)
        )
        events = _complete_events(request, page.drafts)
    except RefusedError as error:
        page, events = _refused_page(request, error), []
    except AppError as error:
        page, events = _missing_page(request, error), []
    return {
        "status": 303 if page.location else page.status,
        "template": page.template,
        "context": page.context,
        "location": page.location,
        "events": events,
        "person": page.person,
        "lent": page.lent,
    }


def _get_page(request: Request, module: Any) -> Page:
    made: Page = module.get(request)
    return made


def _post_page(request: Request, module: Any) -> Page:
    """Run a form; where it is refused for what was typed, show its page again with all kept."""
    act = request.form.get("act", "")
    actions: dict[str, Callable[[Request], Page]] = getattr(module, "POSTS", {})
    if act not in actions:
        raise MissingError("act-unknown", Msg("There is no such form."))
    try:
        again = _replay_page(request, actions[act])
        return again if again is not None else actions[act](request)
    except InputError as error:
        request.trouble = {
            "form": request.form.get("form", ""),
            "error": request.say(error.message),
            "typed": request.form,
            "code": error.code,
        }
        page = _get_page(request, module)
        page.status = error.status
        return page


def _replay_page(request: Request, act: "Callable[[Request], Page]") -> "Page | None":
    """Answer a form that was sent twice: as the first time, unless it now says something else.

    The act makes its drafts again from what was typed; if the stored event says the same, nothing
    is written. If it says something else, what was typed is kept on a new form.
    """
    id = request.form.get("id", "")
    stored = request.stored(id)
    if stored is None:
        return None
    made = act(request)
    for draft in made.drafts:
        known = request.stored(draft["id"])
        if known is None or not _same_content(known, draft):
            raise InputError(
                "form-used",
                Msg(
                    "This form was already kept once with something else. "
                    "Look at it and send again."
                ),
            )
    return Page(location=made.location or request.path)


# kinds whose body is worked out -> what of it a person said
SAID = {"step.signed": ("step",), "judgement.given": ("target", "reason")}


def _same_content(stored: Json, draft: Json) -> bool:
    if not all([stored[field] == draft[field] for field in ("opening", "person", "kind")]):
        return False
    one, other = _typed(stored["body"]), _typed(draft["body"])
    fields = SAID.get(draft["kind"])
    if fields is None:
        return bool(one == other)
    return all([one.get(field) == other.get(field) for field in fields])


def _typed(body: Json) -> Json:
    return {name: body[name] for name in body if name not in JUDGED_FIELDS}


def _complete_events(request: Request, drafts: "list[Json]") -> "list[Json]":
    """Return the complete events for drafts, each next in its opening's chain."""
    out: list[Json] = []
    for draft in drafts:
        state = request.folded(draft["opening"])
        if draft["opening"] in request.parts[1:2]:
            _must_go_on(request, draft)
        mine = [event for event in out if event["opening"] == draft["opening"]]
        if state is not None and not mine:
            out.append(state.ledger.next_event(draft))
        else:
            before = request.book["events"].get(draft["opening"], [])
            out.append(new_event(before + mine, draft))
    return out


def _must_go_on(request: Request, draft: Json) -> None:
    """Refuse an entry into an opening that the office cancelled; the office itself may speak."""
    cancelled = request.state(draft["opening"]).cancelled()
    if cancelled is None or is_office_word(draft):
        return
    words = Msg(
        "The office cancelled this opening: {reason} It takes no more entries.",
        reason=cancelled["body"]["reason"],
    )
    raise RefusedError("opening-cancelled", words)


def _refused_page(request: Request, error: AppError) -> Page:
    context = {
        "page": common.page_frame(request, request.say(Msg("Not now")), _opening_of_path(request)),
        "title": request.say(error.message),
        "reasons": error.details.get("reasons", []),
        "on": [common.page_link(request.path, request.say(Msg("Back")))],
        "kept": typed_fields(request),
        "kind": _kind_of_page(request),
    }
    return Page("field/refused.html", context, status=error.status)


def _opening_of_path(request: Request) -> "Json | None":
    """Return the opening that the path is about, or None."""
    for opening in request.book["openings"]:
        if opening["id"] in [own_opening(part) for part in request.parts[1:2]]:
            found: Json = opening
            return found
    return None


def _missing_page(request: Request, error: AppError) -> Page:
    """Return the page for what is not there; a form that was sent keeps what was typed."""
    if request.method == "POST" and typed_fields(request):
        return _refused_page(request, error)
    page = common.page_frame(request, request.say(error.message))
    page["notices"] = [common.page_notice("stop", request.say(error.message))]
    kind = _kind_of_page(request)
    on = [common.page_link("/" + kind, request.say(Msg("Openings")))]
    context = {"page": page, "on": on, "kind": kind}
    return Page("field/missing.html", context, status=error.status)


def _kind_of_page(request: Request) -> str:
    """Return whose look a page has: what the office asks for stays on its paper."""
    return "field" if request.path.startswith("/field") else "office"


# what a form carries by itself: no person typed it
HIDDEN = (
    "form", "act", "id", "seen", "point", "place", "sure", "panel", "digest", "confirm",
    "task", "done", "check", "decision", "adjustment", "mark", "target", "query", "plan", "steps",
)  # fmt: skip


def typed_fields(request: Request) -> "list[Json]":
    """Return what a person typed in the form that was refused, to be copied."""
    return [
        {"label": field, "words": request.form[field]}
        for field in request.form
        if field not in HIDDEN and request.form[field]
    ]
