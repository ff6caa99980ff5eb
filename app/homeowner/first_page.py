"""The first page's facts in a reader's words: where, what, by whom, by which rule; the result."""

from app.core.kinds import Json
from app.core.pages import common, results
from app.core.quantity.messages import Msg, Plural, When
from app.core.quantity.moments import offset_of
from app.core.where.places import FULL
from app.homeowner import written
from app.homeowner.wording import Teller, event_like


def front_facts(teller: Teller, known: Json, about: Json, door: str) -> list[Json]:
    """Return what stands over the picture of the door: whose home, which door, when, by whom."""
    finished = all(step["sign"] is not None for step in known["steps"])
    rows = [
        (Msg("Home"), about["address"]),
        (Msg("Homeowner"), about.get("homeowner", "")),
        (Msg("Door"), f"{about['letter']} · {about['room']}"),
        (Msg("Kind of door"), door),
        (Msg("Finished") if finished else Msg("Last signed"), _last_signed(teller, known)),
        (Msg("Set by"), _setters(teller, known)),
    ]
    return [
        common.labelled_fact(teller.say(label), teller.say(words)) for label, words in rows if words
    ]


def _last_signed(teller: Teller, known: Json) -> str:
    """Return the day on which a step was signed last; "" where none is."""
    signed = sorted(step["sign"]["at"] for step in known["steps"] if step["sign"] is not None)
    return teller.day(signed[-1]) if signed else ""


def _setters(teller: Teller, known: Json) -> list[str]:
    """Return who signed steps, the lead (who signed the last) first."""
    signed = [step["sign"]["who"] for step in known["steps"] if step["sign"] is not None]
    names = []
    for who in reversed(signed):
        if teller.name(who) not in names:
            names.append(teller.name(who))
    return names


def labelled_facts(teller: Teller, known: Json, about: Json) -> list[Json]:
    """Return what the measuring rests on, for the inspector; one that is not known is left out."""
    drawing = known["drawing"]
    number_words = Msg(
        "{number}, revision {revision}, {author}",
        number=drawing.get("number", ""),
        revision=drawing.get("revision", ""),
        author=drawing.get("author", ""),
    )
    procedure = Msg("{title}, version {version}", **known["procedure"])
    rows = [
        (Msg("Job"), about["job_title"]),
        (Msg("Lead, who signed the last step"), _lead(teller, known)),
        (Msg("Drawing"), number_words),
        (Msg("Procedure"), procedure),
        (Msg("Depth"), _depth_words(teller, known["depth"])),
        (Msg("Decision rule"), results.rule_words(known["guarded"])),
        (Msg("Work recorded"), _span(known)),
        (Msg("Times"), _zones(known)),
        (Msg("Marks on the panels, as read"), written.marks_in_words(known["marks"])),
    ]
    return [
        common.labelled_fact(teller.say(label), teller.say(words)) for label, words in rows if words
    ]


def _depth_words(teller: Teller, depth: Json) -> Msg:
    """Return how much was asked: what a short depth left out, or who raised it to full."""
    raised = depth["raised"]
    if raised is not None:
        who = common.who_when(teller, event_like(raised))
        return Msg("full, asked for by {who}: {reason}", who=who, reason=raised["reason"])
    if depth["depth"] == FULL:
        return Msg("full")
    counts = left_out_counts(depth)
    if counts is None:
        return Msg("short", context="depth")
    if not depth["points"]:
        return Msg("short; not asked: {counts}", counts=counts)
    return Msg("short; not asked: {counts}; the points are listed near the end", counts=counts)


def left_out_counts(depth: Json) -> Msg | None:
    """Return how many points short depth left out, and how many places of the points it asks.

    None where it left out nothing.
    """
    points = Plural("{count} point", "{count} points")
    places = Plural(
        "{count} further place of a point that was measured",
        "{count} further places of points that were measured",
    )
    counted = ((points, len(depth["points"])), (places, depth["places"]))
    found = [words.of(count) for words, count in counted if count]
    if len(found) == 2:
        return Msg("{points} and {places}", points=found[0], places=found[1])
    return found[0] if found else None


def points_not_asked(teller: Teller, depth: Json) -> list[Json]:
    """Return the points that short depth left out, a line a step: {"label": its id, "words"}."""
    lines: dict[str, list[str]] = {}
    for point in depth["points"] if depth["depth"] != FULL and depth["raised"] is None else ():
        titles = lines.setdefault(point["step"].partition(":")[0], [])
        title = teller.say(point["title"])
        if title not in titles:
            titles.append(title)
    return [common.labelled_fact(step, "; ".join(titles)) for step, titles in lines.items()]


def _lead(teller: Teller, known: Json) -> str:
    """Return who signed the last step that is signed: who stands for the crew."""
    signed = [step["sign"]["who"] for step in known["steps"] if step["sign"] is not None]
    return teller.name(signed[-1]) if signed else ""


def _span(known: Json) -> Msg | str:
    readings = [reading for step in known["steps"] for reading in step["readings"]]
    times = sorted(reading["at"] for reading in readings + known["struck"])
    if not times:
        return ""
    return Msg(
        "{first} to {last}, as the devices' clocks claim",
        first=When(times[0]),
        last=When(times[-1]),
    )


def _zones(known: Json) -> Msg | str:
    """Return in which zone the record's times are; "" where no time says it."""
    signed = [step["sign"] for step in known["steps"] if step["sign"] is not None]
    readings = [reading for step in known["steps"] for reading in step["readings"]]
    offsets = {offset_of(one["at"]) for one in [*signed, *readings]} - {""}
    if not offsets:
        return ""
    zones = [Msg("UTC{offset}", offset=offset.replace("-", "−")) for offset in sorted(offsets)]
    return Msg("as the devices' clocks had them, {zones}", zones=zones)


def counts_of(known: Json) -> Json:
    """Return how many checks were judged, and how many of them came to what."""
    checks = [check for step in known["steps"] for check in step["checks"]]
    judged = [check for check in checks if not check.get("only_noted")]
    left = [check for check in judged if "conceded" in check]
    rest = [check["verdict"] for check in judged if "conceded" not in check]
    within, gone, missing = map(rest.count, ("within", "unreachable", "missing"))
    return {
        "judged": len(judged),
        "within": within,
        "left": len(left),
        "gone": gone,
        "missing": missing,
        "out": len(rest) - within - gone - missing,
    }


def result_words(known: Json) -> list[Msg]:
    """Return the result in sentences: how many checks are within, and what is so of the others."""
    counts = counts_of(known)
    if counts["within"] == counts["judged"] and counts["judged"]:
        return [Msg("All {total} checks are within their limits.", total=counts["judged"])]
    within = Msg(
        "{within} of {total} checks are within their limits.",
        within=counts["within"],
        total=counts["judged"],
    )
    others = [words.of(counts[name]) for name, words in _OTHERS.items() if counts[name]]
    return [within, *others]


_OTHERS = {
    "out": Plural("{count} is out.", "{count} are out."),
    "left": Plural(
        "{count} was left as it is, in writing: see below.",
        "{count} were left as they are, in writing: see below.",
    ),
    "gone": Plural(
        "{count} could not be measured everywhere.", "{count} could not be measured everywhere."
    ),
    "missing": Plural("{count} was not measured.", "{count} were not measured."),
}


DID = {
    "signed": Msg("signed steps"),
    "entered": Msg("entered readings"),
    "office": Msg("office"),
}


def people(teller: Teller, people: list[Json]) -> list[Json]:
    """Return who worked on it, and what they did."""
    shown = [
        {
            "name": teller.name(person["who"]),
            "what": ", ".join(teller.say(DID[what]) for what in person["did"]),
        }
        for person in people
    ]
    return sorted(shown, key=lambda person: person["name"])


def instruments(teller: Teller, known: Json) -> list[Json]:
    """Return the named instruments that were used here, each with its last check.

    Last, that some readings name none, where that is so.
    """
    out = [common.remark_of(teller.say(_checked(teller, tool))) for tool in known["instruments"]]
    if known["unnamed"]:
        words = Msg(
            "Where no instrument stands beside a reading, nobody named one; what stands over "
            "the readings is the kind that was asked for."
        )
        out.append(common.remark_of(teller.say(words)))
    return out


def _checked(teller: Teller, tool: Json) -> Msg:
    checked = tool["checked"]
    if checked is None:
        return Msg("{name}, no check seen", name=tool["name"])
    who = common.who_when(teller, event_like(checked))
    if checked["good"]:
        return Msg("{name}, checked good {when}", name=tool["name"], when=who)
    return Msg("{name}, failed its check {when}", name=tool["name"], when=who)
