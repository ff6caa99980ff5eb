"""The photos of a step: what is to be photographed, what has been, and the form for one more.

The picture itself never comes here: the phone makes it small and clean, keeps it under the
SHA-256 of its bytes, and hands over that name. Where the server answers there is no form.
"""

from app.core.errors import InputError, MissingError
from app.core.kinds import Json
from app.core.pages import common, history
from app.core.pages.request import Page, Request, event_draft
from app.core.quantity.messages import Msg
from app.core.record.events import is_fit, is_hash
from app.core.record.state import State, Step

LARGEST = 4 * 1024 * 1024  # bytes, as the office takes them
WIDEST = 4096  # pixels
REACH = "reach:"  # and the id of an entry: the "task" of a photo that was taken with it


def photo_section(request: Request, state: State, step: Step) -> "list[Json]":
    """Return each photo task of the step with its photos, its form where the phone can take one.

    Then the photos that stand beside a place that could not be reached.
    """
    tasks = [task for task in state.tasks(step) if task["kind"] == "photo"]
    return [photo_task(request, state, step, task) for task in tasks] + _out_of_reach(
        request, state, step
    )


def _out_of_reach(request: Request, state: State, step: Step) -> "list[Json]":
    out = []
    for event in state.ledger.of_kind("reading.unreachable"):
        with_it = _photos_with(state, event) if event["id"] not in state.ledger.removed else []
        if with_it and with_it[0]["body"]["step"] == step.key:
            words = Msg(
                "{place} could not be reached: {why}",
                place=history.place_text(request, state, event["body"]),
                why=event["body"]["why"],
            )
            out.append(
                {
                    "id": "reach-" + event["id"],
                    "text": request.say(words),
                    "taken": [_photo_shown(request, one) for one in with_it],
                    "form": None,
                    "none": None,
                    "nothing": "",
                    "said": None,
                    "more": False,
                }
            )
    return out


def photos_beside(request: Request, state: State, event: Json) -> "list[Json]":
    """Return the photos that were taken with an entry that a place could not be reached."""
    return [_photo_shown(request, one) for one in _photos_with(state, event)]


def _photos_with(state: State, event: Json) -> "list[Json]":
    task = REACH + event["id"]
    return [one for one in state.ledger.of_kind("photo.taken") if one["body"]["task"] == task]


def photo_task(request: Request, state: State, step: Step, task: Json) -> Json:
    """Return a photo task with its photos, and the forms for one more or for none."""
    form, none = None, None
    if request.phone:
        form = request.make_form("photo-" + task["id"], "photo", state, (), task=task["id"])
    taken = state.photos(step.key, task["id"])
    if not taken:
        name = "no-photo-" + task["id"]
        none = request.make_form(name, "no-photo", state, ("words",), task=task["id"])
    return {
        "id": task["id"],
        "text": request.say(Msg(task["text"])),
        "taken": [_photo_shown(request, event) for event in taken],
        "form": form,
        "none": none,
        "nothing": request.say(Msg(task["none"])) if none and task.get("none") else "",
        "said": no_photo_words(request, state, step, task),
        "more": True,
    }


def no_photo_words(request: Request, state: State, step: Step, task: Json) -> "Json | None":
    """Return who said why a task has no photo, with their words; None where nobody did."""
    done = state.task_done(step.key, task)
    if done is None or done["kind"] != "task.ticked" or task["kind"] != "photo":
        return None
    by = Msg("No photo: {who}", who=common.who_when(request, done))
    return common.remark_of(request.say(by), done["body"]["words"])


def named_in(events: "dict[str, list[Json]]") -> "list[str]":
    """Return the SHA-256 of every photo that these events name, opening by opening."""
    return [
        event["body"]["sha256"]
        for opening in events
        for event in events[opening]
        if event["kind"] == "photo.taken" and is_fit(event)
    ]


def _photo_shown(request: Request, event: Json) -> Json:
    body = event["body"]
    return {
        "src": "/photos/" + body["sha256"],
        "width": body["width"],
        "height": body["height"],
        "by": common.who_when(request, event),
        "where": photo_whereabouts(request, body["sha256"]),
        "here": bool(request.phone) or body["sha256"] not in request.absent,
    }


def photo_whereabouts(request: Request, sha256: str) -> str:
    """Return in words that a photo has not reached the office; "" where it has."""
    if sha256 not in request.absent:
        return ""
    if request.phone:
        return request.say(Msg("Still on this phone: not yet sent"))
    return request.say(Msg("Photo still on the phone: it has not reached the office"))


def _photo_task_id(request: Request, step: Step) -> str:
    task = request.typed("task")
    if task not in [t["id"] for t in step.data["tasks"] if t["kind"] == "photo"]:
        raise MissingError("task-unknown", Msg("There is no such task."))
    return task


def keep_none(request: Request, id: str, step: Step) -> Page:
    """Keep why there is no photo for a task."""
    task = _photo_task_id(request, step)
    words = request.required("words", Msg("Say why there is no photo."))
    body = {"step": step.key, "task": task, "done": True, "words": words}
    there = request.address + "#photos-" + task
    return Page(location=there, drafts=[event_draft(request, id, "task.ticked", body)])


def keep_photo(request: Request, id: str, step: Step) -> Page:
    """Keep that a photo was taken; what it is called and how large it is, the phone says."""
    task = _photo_task_id(request, step)
    body = photo_body(request, step, task)
    there = request.address + "#photos-" + task  # a whole page comes: it opens at the photo
    return Page(location=there, drafts=[event_draft(request, id, "photo.taken", body)])


def with_entry(request: Request, id: str, step: Step, made: Json) -> "list[Json]":
    """Return the draft of a photo that came with the form of another entry, [] without one.

    made: the draft of the entry. The photo's stands before it: the phone keeps the picture
    under the first of a form's events.
    """
    if not request.typed("sha256"):
        return []
    body = photo_body(request, step, REACH + made["id"])
    return [event_draft(request, id, "photo.taken", body, "photo")]


def photos_of_task(request: Request, state: State, step: Step, task: str) -> "list[Json]":
    """Return the photos of a task, for a template."""
    return [_photo_shown(request, event) for event in state.photos(step.key, task)]


def photo_body(request: Request, step: Step, task: str) -> Json:
    """Return the body of a photo's entry, by what the phone says of it; raises InputError."""
    sha256 = request.typed("sha256")
    if not is_hash(sha256):
        raise InputError("photo-missing", Msg("Take a photo or choose one first."))
    return {
        "step": step.key,
        "task": task,
        "sha256": sha256,
        "size": _count_field(request, "size", LARGEST),
        "width": _count_field(request, "width", WIDEST),
        "height": _count_field(request, "height", WIDEST),
    }


def _count_field(request: Request, field: str, most: int) -> int:
    text = request.typed(field, 8)
    if not text or not all([char in "0123456789" for char in text]) or not 0 < int(text) <= most:
        raise InputError("photo-unfit", Msg("This picture is too large or damaged. Take another."))
    return int(text)
