"""/field/o/ID/owner: the phone in the owner's hands, for showing the door and for signing.

`lent` of a request says that it is there: {"opening", "lang"}, or {} while the crew has it. Whoever
adapts the core keeps that (a phone in its book, the server in the session). While it is lent no
other page is answered, and nothing but the owner's signature is kept. The PIN takes it back, or
the password.
"""

from app.core.errors import InputError, LentError, MissingError
from app.core.kinds import Json
from app.core.pages import common, openings, person, signature
from app.core.pages.request import Page, Request, event_draft
from app.core.quantity.messages import Msg
from app.core.quantity.speaker import LANGUAGES
from app.core.record.judge import Result, results_of
from app.core.record.standing import step_state
from app.core.record.state import State, Step

STATEMENT = Msg(
    "I was shown how to open, close, lock and care for this door, and was told what is still "
    "open. By signing I accept no hidden defect, and give up no right."
)
MOST_OPEN = 8  # things still open that are named; more are counted


def path_of(opening: str) -> str:
    """Return the path of the one page that a lent phone shows."""
    return common.path_of(opening, "owner")


def must_not_be_lent(request: Request) -> None:
    """Refuse forms, and the line by which open pages notice. Errors: LentError."""
    at_home = request.path == path_of(request.lent["opening"])
    if not at_home and (request.method == "POST" or request.parts == ["status", "line"]):
        raise LentError


def get(request: Request) -> Page:
    """Return the owner's page; while the crew has the phone, the page that lends it."""
    if not request.lent:
        return _lending_page(request)
    home = path_of(request.lent["opening"])
    return _owners_page(request) if request.path == home else Page(location=home)


def _lending_page(request: Request) -> Page:
    id = request.parts[1]
    opening, state = request.opening(id), request.state(id)
    last = state.steps[-1]
    back = common.page_link(common.step_path(id, last), last.id + " " + request.say(last.title))
    lang = request.typed("lang") or request.person.get("lang", "en")
    context = {
        "page": common.page_frame(
            request, request.say(Msg("Hand the phone to the owner")), opening, back
        ),
        "form": request.make_form("lend", "lend", None, ()),
        "languages": [common.form_choice(one, name, one == lang) for one, name in LANGUAGES],
        "signed": _signed_shown(request, state),
        "on_phone": bool(request.phone),
        "needs_code": _needs_code(request),
    }
    return Page("field/lend.html", context)


def _needs_code(request: Request) -> bool:
    """Return whether a code must be set to take the phone back: no PIN is set here."""
    return bool(request.phone) and not person.has_pin(request, request.person["id"])


def _owners_page(request: Request) -> Page:
    id = request.lent["opening"]
    page = common.page_frame(request, request.say(Msg("Your new door")))
    page.update({"person": "", "nav": [], "sign_out": None})
    page["practice"] = common.practice_words(request, id)
    context = {
        "page": page,
        "languages": [
            {"value": one, "text": name, "form": request.make_form("lang-" + one, "lend", lang=one)}
            for one, name in LANGUAGES
            if one != request.lent["lang"]
        ],
        "back": request.make_form("take-back", "take-back"),
        "on_phone": bool(request.phone),
        "crew": request.person["name"],
        "door": None,
    }
    try:
        context["door"] = _door_shown(request, request.opening(id), request.state(id))
    except MissingError:  # the office took it off this phone's list: it can still be taken back
        page["notices"] = [common.page_notice("stop", request.say(Msg("There is no such page.")))]
    return Page("field/owner.html", context)


def _door_shown(request: Request, opening: Json, state: State) -> Json:
    last = state.steps[-1]
    steps = [{"key": step.key, "state": step_state(state, step)} for step in state.steps]
    left = _open_lines(request, state)
    more = len(left) - MOST_OPEN
    return {
        "room": opening["room"],
        "address": opening["address"],
        "words": request.say(common.door_words(state)),
        "so_far": openings.progress_shown(request.speaker, steps),
        "progress": common.progress_words(request, state),
        "shown": [
            request.say(Msg(task["text"]))
            for task in state.tasks(last)
            if state.task_done(last.key, task) is not None
        ],
        "open": left[:MOST_OPEN],
        "open_more": request.say(Msg("and {count} more", count=more)) if more > 0 else "",
        "form": request.make_form("owner", "owner", state, signature.FIELDS),
        "statement": request.say(STATEMENT),
        "signed": _signed_shown(request, state),
    }


def _open_lines(request: Request, state: State) -> "list[str]":
    """Return what is not as it should be: checks that are not within, conceded or not."""
    lines = []
    for step in state.steps:
        lines += [
            _open_words(request, step, result)
            for result in results_of(state, step)
            if result.verdict not in ("within", "none", "info", "missing")
        ]
    return lines


def _open_words(request: Request, step: Step, result: Result) -> str:
    title, verdict = Msg(result.check["title"]), common.VERDICT_WORDS[result.verdict]
    letter = " " + step.panel if step.panel else ""
    if result.conceded is not None:
        words = Msg(
            "{check}{letter}: {verdict}, conceded by the office",
            check=title, letter=letter, verdict=verdict,
        )  # fmt: skip
        return request.say(words)
    words = Msg("{check}{letter}: {verdict}", check=title, letter=letter, verdict=verdict)
    return request.say(words)


def _signed_shown(request: Request, state: State) -> "Json | None":
    signed = state.handed_over()
    return signature.signature_shown(request, signed) if signed is not None else None


def owner_section(request: Request, state: State, step: Step) -> "Json | None":
    """Return the owner's part of the last step: the way to their page, and their signature."""
    if step.key != state.steps[-1].key:
        return None
    return {"href": path_of(request.parts[1]), "signed": _signed_shown(request, state)}


def lend_phone(request: Request) -> Page:
    """Give the phone into the owner's hands, in their language; they may choose another."""
    lang = request.typed("lang")
    if lang not in [one for one, _name in LANGUAGES]:
        raise InputError("settings-unknown", Msg("Choose the language to show it in."))
    id = request.lent["opening"] if request.lent else request.parts[1]
    if not request.lent:
        request.opening(id)
        if _needs_code(request) and request.pin.get("state") != "kept":
            state = request.pin.get("state", "")
            words = person.STATES.get(state, person.FORGOTTEN)
            raise InputError("pin-" + (state or "missing"), words)
    return Page(location=path_of(id), lent={"opening": id, "lang": lang})


def take_back(request: Request) -> Page:
    """Take the phone back into the crew's hands, by the PIN or the password."""
    if not request.lent:
        return Page(location=common.path_of(request.parts[1]))
    person.must_be_right(request, request.person["id"])
    return Page(location=common.path_of(request.lent["opening"]), lent={})


def keep_signature(request: Request) -> Page:
    """Keep the owner's signature."""
    body = signature.signature_given(request)
    draft = event_draft(request, request.parts[1], "handover.signed", body)
    return Page(location=request.path, drafts=[draft])


POSTS = {"lend": lend_phone, "take-back": take_back, "owner": keep_signature}
