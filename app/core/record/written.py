"""What the office judged, as it stands in the log: every fold goes by it, under whatever rules.

The office judges a sign-off, and a concession by voice, once all is here that its signer had
seen, and writes the judgement into the log (judgement.given). What only the office says (a
concession in writing, an acceptance) carries its judgement itself.

One judgement stands for one event: the first, until one that gives a reason, or that a phone
brought back after a restore, supersedes it, having seen it. An acceptance comes first where it
had seen the event and no judgement of it.

A judgement carries its verdicts, each with the digest of what it was judged over (`over`): the
readings, and what drawing and procedure gave. Where a check has just that again, its written
verdict counts in place of today's, and the result says so (`Result.today`).
"""

from app.core.kinds import Json
from app.core.order import sort_by
from app.core.record import events as ev
from app.core.record import rules
from app.core.record.canonical import digest
from app.core.record.ledger import Ledger
from app.core.record.rests import drawing_of, procedure_of
from app.core.record.state import State, Step
from app.core.record.topics import written_topic

TRUE = "true"
DISPUTED = "disputed"
JUDGED = ("step.signed", "concession.spoken")  # said by phones: what the office judges


def judgement_of(ledger: Ledger, id: str) -> "Json | None":
    """Return the office's judgement of an event that is in force, or None."""
    return in_force(ledger.filed("judgement|" + id))


def in_force(given: "list[Json]") -> "Json | None":
    """Return which of the judgements of one event counts, causes first; None of none."""
    found: Json | None = None
    for other in given:
        if found is None or (_supersedes(other) and ev.has_seen(other, found)):
            found = other
    return found


def _supersedes(judgement: Json) -> bool:
    body = judgement["body"]
    return bool(body.get("reason") or body.get("of"))


def accepted_with(ledger: Ledger, event: Json) -> "Json | None":
    """Return an acceptance by the office that had seen a sign-off: it was judged with it."""
    for review in ledger.of_kind("opening.reviewed"):
        if review["body"]["result"] == "accepted" and ev.has_seen(review, event):
            found: Json = review
            return found
    return None


def judged_by(state: State, verdicts: "list[Json]") -> Json:
    """Return what an event that rests on a judgement says of it: by which rules, and how."""
    return {
        "rules": rules.RULES,
        "procedure_digest": state.procedure["digest"],
        "verdicts": verdicts,
    }


def over(state: State, step: Step, readings: "list[str]") -> str:
    """Return the digest of what a check is judged over: readings, drawing and procedure."""
    ids = sort_by(readings, lambda id: id)
    return digest([ids, drawing_of(state, step), procedure_of(state, step)])


def written_verdict(state: State, check: str, panel: str, readings: "list[str]") -> str:
    """Return the verdict that was written for a check with just these readings; "" without one."""
    lines = _lines(state.ledger, check, panel)
    if not lines:
        return ""
    now = ""
    for step in state.steps:
        if step.panel == panel and check in [each["id"] for each in step.data["checks"]]:
            now = over(state, step, readings)
    fit = [line["verdict"] for line in lines if line["over"] == now]
    return str(fit[0]) if fit else ""


def _lines(ledger: Ledger, check: str, panel: str) -> "list[Json]":
    """Return the verdicts that were written for a check, causes first.

    A later judgement, given with a reason, supersedes whatever was written of the same check
    before, an acceptance too.
    """
    given = [e for e in ledger.unstruck(written_topic(check, panel)) if _binds(ledger, e)]
    anew = [e for e in given if e["kind"] == "judgement.given" and e["body"].get("reason")]
    return [
        line
        for event in given
        if event["body"].get("result") != DISPUTED
        and not any([ev.has_seen(later, event) for later in anew])
        for line in event["body"]["verdicts"]
        if (line["check"], line["panel"]) == (check, panel)
    ]


def _binds(ledger: Ledger, event: Json) -> bool:
    """Return whether what the office wrote counts: concessions, acceptances, some judgements.

    Of judgements those that opened a gate, and those that were given anew with a reason. Another
    one that shut it binds nothing but its event.
    """
    body = event["body"]
    if event["kind"] != "judgement.given":
        return event["kind"] == "concession.given" or bool(body["result"] == "accepted")
    opened = body["result"] == TRUE or bool(body.get("reason"))
    return opened and judgement_of(ledger, body["target"]) is event
