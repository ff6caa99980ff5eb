"""The sheet of a service visit: facts, kept and signed as a revision of the record is; its words.

    {"v": 3, "salt", "sheet": "service", "opening", "number": the record's with "-S", "revision": 1,
     2, … of the opening's sheets, "visit", "at", "by", "about": as of the record, "record":
     {"revision", "digest"} of the record that it is added to, "rests": [hash of every
     entry of the visit],
     "before": None or {"revision", "digest"}: the sheet before,
     "facts": {"drawing", "procedure", "begun": {"who", "at", "words"}, "signed": {"who", "at",
               "words", "trace": words}, "moves": [{"number", "point", "place",
               "before", "found", "change", "now": words, "moved", "first"}], "marked": [[number,
               id, x, y, panel, side, title]],
               "photos": [{"who", "at", "sha256", "width", "height"}],
               "done": [words with who], "out": [{"text": words, "verdict"}], "trend": words}}

So it is checked as a revision is: chain, digest, signature, code.
"""

import json

from sqlmodel import Session

from app.core.errors import MissingError, RefusedError
from app.core.kinds import Any, Json
from app.core.pages import common, visit
from app.core.pages.request import VISIT, Request
from app.core.pictures import drawings
from app.core.quantity.messages import Msg, When
from app.core.record import visits
from app.core.record.canonical import canonical_bytes, digest
from app.core.record.events import heads_of, new_event
from app.core.record.visits import Move
from app.core.trade.drawing import Drawing
from app.core.where.place import Place
from app.homeowner import commitments, issuing, snapshot, view
from app.homeowner.facts import practice_fact, procedure_fact
from app.homeowner.language_tags import tag_notes
from app.homeowner.wording import FactsRequest, Teller, as_json, event_like
from app.signing.company_key import key_for_signing
from app.signing.messages import record_message
from app.store import log, procedures
from app.store.ids import uuid7
from app.store.records import ServiceSheet, revisions_of, sheets_of


def make(
    asked: Request, opening: Json, id: str, record: Json, before: Json | None, now: Json
) -> Json:
    """Return the snapshot of a signed visit.

    asked: a request whose book has the opening. id: the visit's. record: {"number", "revision",
    "digest"} of the record. now: {"at", "by"}: when it is issued, and by whom.
    Errors: MissingError 'visit-unknown'; RefusedError 'visit-open' where nobody has signed it.
    """
    state = asked.state(opening["id"])
    visited = asked.state(opening["id"] + VISIT + id)
    signed = visits.signed_of(state, id)
    if signed is None:
        raise RefusedError("visit-open", Msg("This service visit is not signed yet."))
    moves = visits.moves_of(state, visited)
    entries = [state.ledger.by_id[id], *visits.entries_of(state, id), signed]
    return {
        "v": snapshot.VERSION,
        "salt": commitments.fresh_salt(entries),
        "sheet": "service",
        "opening": opening["id"],
        "number": record["number"] + "-S",
        "revision": before["revision"] + 1 if before else 1,
        "visit": id,
        **now,
        "about": {name: opening.get(name, "") for name in snapshot.ABOUT},
        "record": {"revision": record["revision"], "digest": record["digest"]},
        "rests": [digest(event) for event in entries],
        "before": snapshot.reference_to(before),
        "facts": {
            "drawing": visited.drawing.data,
            "procedure": procedure_fact(visited),
            **practice_fact(visited),
            "begun": _said(entries[0]),
            "signed": {
                **_said(signed),
                "trace": as_json(visit.trace_words(state.procedure, signed["body"]["trace"])),
            },
            "moves": [_move(asked, visited, number, move) for number, move in _numbered(moves)],
            "marked": [_marked(number, move) for number, move in _numbered(moves) if move.is_moved],
            "done": [
                {"who": event["person"], "at": event["at"], "words": event["body"]["words"]}
                for event in entries
                if event["kind"] in ("correction.made", "adjustment.made")
            ],
            "out": [
                {
                    "text": as_json(Msg("{step} {check}", step=step.key, check=check)),
                    "verdict": result.verdict,
                }
                for step, result in visits.checks_out(visited)
                for check in [Msg(result.check["title"])]
            ],
            "photos": [
                {"who": event["person"], "at": event["at"]}
                | {name: event["body"][name] for name in ("sha256", "width", "height")}
                for event in entries
                if event["kind"] == "photo.taken"
            ],
            "trend": as_json(visit.trend_words(moves)),
        },
    }


def _said(event: Json) -> Json:
    return {"who": event["person"], "at": event["at"], "words": event["body"]["words"]}


def _numbered(moves: list[Move]) -> list[tuple[int, Move]]:
    return visit.enumerate_from_one(moves)


def _move(asked: Request, visited: Any, number: int, move: Move) -> Json:
    return visit.move_shown(asked, visited, number, move)


def _marked(number: int, move: Move) -> list[Any]:
    place = move.place
    return [
        number, place.id, _text(place.x), _text(place.y), place.panel, place.side,
        as_json(place.title),
    ]  # fmt: skip


def _text(nm: int | None) -> str:
    return "" if nm is None else str(nm)


def issue(session: Session, opening: str, id: str, device: str, person: str, at: str) -> None:
    """Issue the sheet of a visit: keep it, signed, and say so in the log. Once only.

    Errors: those of make(); MissingError 'record-unknown' where no record was issued.
    """
    kept = sheets_of(session, opening)
    if any(sheet.visit == id for sheet in kept):
        return
    records = revisions_of(session, opening)
    if not records:
        raise MissingError("record-unknown", Msg("There is no such record."))
    newest = json.loads(records[-1].text)
    record = {
        "number": newest["number"], "revision": newest["revision"], "digest": records[-1].digest,
    }  # fmt: skip
    events = log.events_of(session, [opening])[opening]
    about = issuing.about(session, opening)
    asked = FactsRequest(snapshot.request_of(about, events, procedures.all_of(session, {})))
    before = json.loads(kept[-1].text) if kept else None
    made = make(asked, about, id, record, before, {"at": at, "by": person})
    hash_, key = commitments.snapshot_digest(made), key_for_signing(session)
    body = {
        "visit": id, "sheet": made["revision"], "number": made["number"], "digest": hash_,
        "code": snapshot.code_of(hash_),
    }  # fmt: skip
    draft = {
        "id": uuid7(), "device": device, "opening": opening, "seen": heads_of(events), "at": at,
        "person": person, "kind": "service.issued", "body": body,
    }  # fmt: skip
    log.append_events(session, [new_event(events, draft)])
    session.add(
        ServiceSheet(
            opening=opening,
            revision=made["revision"],
            visit=id,
            at=at,
            digest=hash_,
            code=body["code"],
            text=canonical_bytes(made).decode(),
            signature=key.sign(record_message(hash_)),
            key=key.fingerprint,
        )
    )
    session.flush()


def contents(revision: view.RecordRevision, lang: str, units: str) -> Json:
    """Return what a sheet says in a language, in "in", "mm" or "both"."""
    kept = revision.kept
    teller = view.teller_of(revision, lang, units)
    facts, about = tag_notes(kept["facts"], revision.spoken, lang), kept["about"]
    say = teller.say
    moves = [{name: _told(teller, value) for name, value in row.items()} for row in facts["moves"]]
    facts_shown = [
        (Msg("Home"), about["address"]),
        (Msg("Door"), f"{about['letter']} · {about['room']}"),
        (Msg("Visited"), When(facts["signed"]["at"])),
        (Msg("By"), {"who": facts["signed"]["who"]}),
        (Msg("Why"), facts["begun"]["words"]),
        (Msg("Comes from"), facts["signed"]["trace"]),
    ]
    return {
        "company": {"company": about["company"], "telephone": about["telephone"]},
        "number": f"{kept['number']}{kept['revision']}",
        "where": view.where(kept),
        "address": about["address"],
        "trend": say(facts["trend"]),
        "facts": [common.labelled_fact(say(label), say(words)) for label, words in facts_shown],
        "found": facts["signed"]["words"],
        "picture_of": _picture(teller, facts),
        "moves": [row for row in moves if row["first"]],
        "others": [row for row in moves if not row["first"]],
        "done": [
            common.remark_of(common.who_when(teller, event_like(one)), one["words"])
            for one in facts["done"]
        ],
        "out": [
            {"text": say(one["text"]), "badge": common.verdict_badge(teller, one["verdict"])}
            for one in facts["out"]
        ],
        "photos": [
            {
                **{name: photo[name] for name in ("sha256", "width", "height")},
                "short": photo["sha256"][:12],
                "text": say(Msg("Photo of the visit")),
                "by": common.who_when(teller, event_like(photo)),
                "href": "",  # given by who shows it
            }
            for photo in facts["photos"]
        ],
        "record": say(
            Msg(
                "It is added to record {number}, revision {revision}, which stays as it is.",
                number=kept["number"].removesuffix("-S"),
                revision=kept["record"]["revision"],
            )
        ),
        "issued": say(Msg("Issued {when}", when=When(kept["at"]))),
    }


def _told(teller: Teller, value: Any) -> Any:
    return value if isinstance(value, bool) else teller.say(value)


def _picture(teller: Teller, facts: Json) -> Json | None:
    marked = [
        (number, Place(id, words, int(x) if x else None, int(y) if y else None, panel, side))
        for number, id, x, y, panel, side, words in facts["marked"]
    ]
    if not marked:
        return None
    return drawings.marked_places(Drawing(facts["drawing"]), marked, teller.speaker)
