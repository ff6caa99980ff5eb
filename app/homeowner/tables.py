"""What was done in a step, as tables of the office's review."""

from app.core.kinds import Callable, Json
from app.core.pages import common, history
from app.core.pages.photo import REACH, no_photo_words
from app.core.pages.request import Request
from app.core.pages.step import decision_words
from app.core.quantity.messages import Msg
from app.core.record.state import State, Step


def struck(request: Request, id: str, state: State, taken: list[Json]) -> list[Json]:
    """Return the readings that were struck or moved; each says what was measured, and where."""
    gone = [event for event in taken if event["id"] in state.ledger.removed]
    return [
        {
            **history.reading_shown(request, id, state, event),
            "place": request.say(what_and_where(request, state, event["body"])),
        }
        for event in gone
    ]


def what_and_where(request: Request, state: State, body: Json) -> Msg:
    """Return point, panel and place of a reading that stands apart from its step."""
    place = history.place_text(request, state, body)
    if body["point"] not in state.points:  # of an earlier version of the procedure
        return Msg("{point}: {place}", point=body["point"], place=place)
    title = Msg(state.point(body["point"])["title"])
    if not body["panel"]:
        return Msg("{point}: {place}", point=title, place=place)
    return Msg("{point}, panel {letter}: {place}", point=title, letter=body["panel"], place=place)


def nothing(_: Json) -> str:
    """Return what is said of an entry of which nothing more is known."""
    return ""


def step_tables(
    request: Request,
    id: str,
    state: State,
    step: Step,
    taken: list[Json],
    remark: Callable[[Json], str] = nothing,
) -> list[Json]:
    """Return a step's readings, a table a point, without those that were struck.

    remark: what is to be said of an entry's times.
    """
    out = []
    for point in step.data["points"]:
        panel = state.panel_for(point["id"], step.panel)
        here = [
            event
            for event in taken
            if (event["body"]["point"], event["body"]["panel"]) == (point["id"], panel)
            and event["id"] not in state.ledger.removed
        ]
        if here:
            out.append(
                {
                    "id": "t-" + step.key.replace(":", "-") + "-" + point["id"],
                    "title": request.say(_table_title(point)),
                    "panel": panel,
                    "readings": [
                        {
                            **history.reading_shown(request, id, state, event),
                            "received": remark(event),
                        }
                        for event in here
                    ],
                }
            )
    return out


def _table_title(point: Json) -> Msg:
    """Return what was measured, and with which kind of instrument that was asked for."""
    title = Msg(point["title"])
    if point["tool"] in NO_TOOLS:
        return title
    return Msg("{point} (by {tool})", point=title, tool=Msg(point["tool"]))


NO_TOOLS = ("eye", "clock")


def step_tasks(request: Request, state: State, step: Step) -> list[Json]:
    """Return a step's tasks with who did them; where there is no photo, the words why."""
    out = []
    for task in state.tasks(step):
        event = state.task_done(step.key, task)
        none = no_photo_words(request, state, step, task)
        then = event["body"].get("done_at", "") if event is not None else ""
        by = common.done_by(request, event, then) if event is not None else ""
        out.append(
            {
                "text": request.say(Msg(task["text"])),
                "done": event is not None,
                "by": none["text"] if none is not None else by,
                "words": none["words"] if none is not None else "",
            }
        )
    return out


def step_decisions(request: Request, state: State, step: Step) -> list[Json]:
    """Return a step's decisions that were made."""
    out = []
    for decision in step.data["decisions"]:
        made = state.decided(step.key, decision["id"])
        if made is not None:
            text = Msg(
                "{what} {choice}",
                what=Msg(decision["text"]),
                choice=decision_words(request, decision, made),
            )
            out.append(common.remark_of(request.say(text), made["body"].get("words", "")))
    return out


def step_photos(request: Request, state: State, step: Step) -> list[Json]:
    """Return the photos of a step: which task, whose, when; named by the digest of their bytes."""
    texts = {task["id"]: task["text"] for task in step.data["tasks"]}
    return [
        {
            "sha256": event["body"]["sha256"],
            "width": event["body"]["width"],
            "height": event["body"]["height"],
            "href": "",  # given by who shows it: each reader has a way of their own
            "text": photo_text(request, state, texts, event["body"]["task"]),
            "by": common.who_when(request, event),
        }
        for event in state.ledger.of_kind("photo.taken")
        if event["body"]["step"] == step.key
    ]


def photo_text(request: Request, state: State, texts: dict[str, str], task: str) -> str:
    """Return what a photo shows: its task, or the place that could not be reached and why."""
    entry = state.ledger.by_id.get(task.removeprefix(REACH)) if task.startswith(REACH) else None
    if entry is None:
        return request.say(Msg(texts.get(task, "Photo")))
    place = history.place_text(request, state, entry["body"])
    words = Msg("{place} could not be reached: {why}", place=place, why=entry["body"]["why"])
    return request.say(words)
