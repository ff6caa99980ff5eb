"""The appendix of a record, for the inspector: a section a step, in a reader's words.

A step that is done panel by panel is one section: what is the same of all its panels is said once.
"""

from app.core.kinds import Any, Json
from app.core.pages import common, results
from app.core.pages.step import decided_words
from app.core.quantity.messages import Msg, When
from app.homeowner import figures, matters, written
from app.homeowner.matrix import Matrix
from app.homeowner.wording import Teller, event_like

SURE = {
    "pin": common.BY_PIN,
    "password": Msg("signed in under their own password"),
    "phone": Msg("on a phone that was paired for them"),
}
# where a limit comes from, in a word; what the word means is said once
BASES = {
    "drawing": Msg("drawing"),
    "product": Msg("data sheet"),
    "practice": Msg("company"),
}


LEGEND = (
    Msg(
        "Positions are counted from the LEFT end, seen from outside. Who signed a step did its "
        "tasks on that day, but where another name or time is given."
    ),
    Msg(
        "Where a limit is from: drawing = the drawing named here; data sheet = the product's; "
        "company = the company's own limit, no published standard; else the standard's name."
    ),
)


def sections(teller: Teller, known: Json) -> list[Json]:
    """Return the steps, those of one id together."""
    groups: list[list[Json]] = []
    for step in known["steps"]:
        if not groups or groups[-1][0]["id"] != step["id"]:
            groups.append([])
        groups[-1].append(step)
    return [_section(teller, known, group) for group in groups]


def _section(teller: Teller, known: Json, steps: list[Json]) -> Json:
    first = steps[0]
    readings = [
        reading
        for step in steps
        for reading in step["readings"]
        if reading["entry"] not in known["as_left"]  # they have a sheet of their own
    ]
    return {
        "id": first["id"],
        "anchor": first["key"].replace(":", "-"),
        "title": teller.say(first["title"] if len(steps) == 1 else _title_of_all(first)),
        "good": all(step["sign"] is not None and step["sign"]["good"] for step in steps),
        "signed": signed_lines(teller, steps),
        "checks": _checks(teller, steps),
        "profiles": _profiles(teller, steps),
        "readings": Matrix(teller, known, readings).contents(),
        "tasks": [task for step in steps for task in _tasks(teller, step, len(steps) > 1)],
        "decisions": [line for step in steps for line in _decisions(teller, step)],
        "photos": [photo for step in steps for photo in _photos(teller, step)],
    }


def _title_of_all(step: Json) -> Any:
    """Return the title of a step that is done panel by panel, without the panel."""
    title = step["title"]
    inside = title.get("with", {}) if isinstance(title, dict) else {}
    return inside.get("title", title)


def signed_lines(teller: Teller, steps: list[Json]) -> list[str]:
    """Return who signed and when, how that was made sure of, and when it came in.

    What is the same of all the panels of a step is said once, last.
    """
    signs = [step["sign"] for step in steps if step["sign"] is not None]
    is_same = len(signs) > 1 and len({sign["sure"] for sign in signs}) == 1
    lines = [_signed_line(teller, step, not is_same) for step in steps]
    if is_same:
        lines.append(teller.say(Msg("Each {how}", how=SURE[signs[0]["sure"]])))
    return lines


def _signed_line(teller: Teller, step: Json, says_how: bool) -> str:
    sign = step["sign"]
    letter = f"{step['panel']}: " if step["panel"] else ""
    if sign is None:
        return letter + teller.say(step["standing"])
    texts = [teller.say(Msg("signed by {who}", who=common.who_when(teller, event_like(sign))))]
    if says_how:
        texts.append(teller.say(SURE[sign["sure"]]))
    texts.append(received_words(teller, sign))
    if not sign["good"]:
        texts.append(teller.say(step["standing"]))
    return letter + "; ".join(text for text in texts if text)


def received_words(teller: Teller, fact: Json) -> str:
    """Return "received by the office 10 Mar 2026, 10:36"; "" where it is not known."""
    if not fact["received"]:
        return ""
    return teller.say(Msg("received by the office {when}", when=When(fact["received"])))


def _checks(teller: Teller, steps: list[Json]) -> list[Json]:
    """Return the checks that judge something: one line for the panels that came to the same."""
    groups: list[tuple[Any, list[tuple[str, Json]]]] = []
    for step in steps:
        for check in step["checks"]:
            if check.get("only_noted"):
                continue
            key = (check["id"], check["verdict"], "conceded" in check or "provisional" in check)
            here = next((pairs for known, pairs in groups if known == key), None)
            if here is None:
                here = []
                groups.append((key, here))
            here.append((step["panel"], check))
    return [_check(teller, pairs, len(steps)) for _, pairs in groups]


def _check(teller: Teller, pairs: list[tuple[str, Json]], many: int) -> Json:
    """Return a check: what was found, what it was held against, where that comes from."""
    worst = figures.worst_of([check for _, check in pairs])
    panels = ", ".join(panel for panel, _ in pairs if panel) if len(pairs) < many else ""
    title = teller.say(worst["title"])
    is_plain = worst["verdict"] == "within" and "conceded" not in worst
    wanted = worst.get("doubted", []) if is_plain and "figure" in worst else worst["says"]
    says = [teller.say(words) for words in wanted]
    if not is_plain and worst.get("reason"):
        says.append(teller.say(worst["reason"]))
    known = BASES.get(worst["basis"]["kind"])
    return {
        "title": f"{title}, {panels}" if panels else title,
        "badge": matters.verdict_of(teller, worst),
        "found": figures.figure_text(teller, worst),
        "says": says,
        "limit": "; ".join(teller.say(limit["words"]) for limit in worst["limits"]),
        "basis": teller.say(known if known is not None else worst["basis"]["words"]),
        "done": [
            common.remark_of(teller.say(note["text"]), note["words"])
            for _, check in pairs
            for note in check["done"]
        ],
    }


def _profiles(teller: Teller, steps: list[Json]) -> list[Json]:
    """Return the pictures of readings along a line: how the door was left, and what is out."""
    drawn = [
        (check["title"], results.profile_picture(check.get("profile"), teller.speaker))
        for step in steps
        for check in step["checks"]
        if check.get("matters") or check["verdict"] != "within"
    ]
    return [{"title": teller.say(title), "picture": picture} for title, picture in drawn if picture]


def _tasks(teller: Teller, step: Json, is_one_of_many: bool) -> list[Json]:
    """Return the tasks of a step; who and when is said where it is not who signed on that day."""
    out = []
    sign = step["sign"]
    for task in step["tasks"]:
        done = "who" in task
        text = teller.say(task["text"])
        usual = sign is not None and done and task["who"] == sign["who"]
        usual = usual and task["at"][:10] == sign["at"][:10] and not task.get("done_at")
        by = ""
        if done and not usual:
            by = common.done_by(teller, event_like(task), task.get("done_at", ""))
        if task.get("no_photo"):
            by = teller.say(Msg("no photo")) + (f": {by}" if by else "")
        letter = f"{step['panel']}: " if is_one_of_many and step["panel"] else ""
        out.append(
            {"text": letter + text, "done": done, "by": by, "words": task.get("no_photo", "")}
        )
    return out


def _decisions(teller: Teller, step: Json) -> list[Json]:
    """Return what was decided, and what was to be written down and nobody wrote."""
    out = []
    for made in step["decisions"]:
        choice = decided_words(teller, made["chosen"], event_like(made))
        text = Msg("{what} {choice}", what=made["text"], choice=choice)
        out.append(common.remark_of(teller.say(text), made["words"]))
    for title in step["unwritten"]:
        text = Msg("{what}: {words}", what=title, words=written.NOTHING)
        out.append(common.remark_of(teller.say(text)))
    return out


def _photos(teller: Teller, step: Json) -> list[Json]:
    """Return the photos of a step, each with what it shows; one that came after is marked."""
    return [
        {
            "sha256": photo["sha256"],
            "short": photo["sha256"][:12],
            "width": photo["width"],
            "height": photo["height"],
            "href": "",  # given by who shows it: each reader has a way of their own
            "text": f"{step['key']} · {teller.say(photo['text'])}",
            "by": common.who_when(teller, event_like(photo)),
            "late": teller.say(Msg("added after the sign-off")) if photo.get("late") else "",
        }
        for photo in step["photos"]
    ]
