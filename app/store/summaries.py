"""Keeps the summaries: in the transaction of the events that they come from, whoever adds those.

The log notes which openings it touched; before it commits, the one writer has their
summaries made again, each from all events of its opening. So field, office and sync need
not think of it, and `rebuild` has to come to the same.
"""

import json
import logging
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from typing import Any

from sqlalchemy import String, bindparam, insert, text
from sqlalchemy.dialects import postgresql, sqlite
from sqlmodel import Session, col, delete, select

from app.core.errors import AppError
from app.core.kinds import Json
from app.core.quantity.moments import moment_of
from app.core.record import rules
from app.core.record.judge import CONFLICT, finer_result, possible_checks, result_of
from app.core.record.otherwise import judged_otherwise
from app.core.record.standing import clocks_running, next_step, opening_state, sign_state
from app.core.record.state import State, Step
from app.core.trade import weight
from app.store import instruments, notices, procedures, search_words
from app.store.folds import Fold, Folds
from app.store.news import Tallies
from app.store.summary_tables import CLOSED, HELD, PLACES, SHOWN_AS, OpenItem, SearchWord, Summary
from app.store.tables import Event, Opening, Setting

# another one makes all summaries again at the next start; so do other rules
VERSION = f"13 by rules {rules.RULES}"
_AT_ONCE = 400  # openings whose events are in memory together
_MOST_TRUTHS = 100_000
_TEXT = 300
_LOG = logging.getLogger("sillbook")


@dataclass
class Summaries:
    """Makes summaries; procedures and truths keep what never changes.

    tallies: what else is remembered of this database's past.
    """

    procedures: dict[str, Json] = field(default_factory=dict)
    truths: dict[str, bool] = field(default_factory=dict)
    folds: Folds = field(default_factory=Folds)
    tallies: Tallies = field(default_factory=Tallies)

    def forget_all(self) -> None:
        """Forget what was read: the database may have another past now."""
        self.truths.clear()
        self.folds.clear()
        self.tallies.clear()

    def refresh(self, session: Session, openings: Sequence[str]) -> None:
        """Make the summaries of these openings anew; of one without an issue there is none."""
        if not session.info.pop("procedures_read", False):
            procedures.all_of(session, self.procedures)
        if len(self.truths) > _MOST_TRUTHS:
            self.truths.clear()
        ordered = sorted(openings)
        for at in range(0, len(ordered), _AT_ONCE):
            self._refresh(session, ordered[at : at + _AT_ONCE])

    def _refresh(self, session: Session, openings: list[str]) -> None:
        facts = _facts_of(session, openings)
        kept = [one for one in facts if one.state is not None]
        before = {one.id: (one.state, one.hold_outs) for one in kept}
        rows, items = self._rows_of(session, facts)
        search_words.keep_words(session, {one.id: one.words for one in kept}, rows)
        _keep_summaries(session, [one.id for one in kept], rows, items)
        for row in rows:  # one that is new here has nothing to tell yet, nor one to practise on
            if row["practice"]:
                continue
            after = (row["state"], row["hold_outs"])
            notices.note_turn(session, before.get(row["opening"], after), after, row)

    def _rows_of(self, session: Session, facts: list[Any]) -> tuple[list[Json], list[Json]]:
        rows: list[Json] = []
        items: list[Json] = []
        folds = self.folds.up_to_now(session, [one.id for one in facts])
        for one in facts:
            row, found = self._made(one, folds[one.id])
            rows.extend(row)
            items.extend(found)
        self.folds.trim()
        return rows, items

    def differences(self, session: Session) -> Iterator[str]:
        """Yield where what is kept is not what the events alone give; changes nothing."""
        procedures.all_of(session, self.procedures)
        openings = sorted(session.exec(select(Opening.id)))
        for at in range(0, len(openings), _AT_ONCE):
            part = openings[at : at + _AT_ONCE]
            rows, items = self._rows_of(session, _facts_of(session, part))
            summaries = session.exec(select(Summary).where(col(Summary.opening).in_(part)))
            listed = session.exec(select(OpenItem).where(col(OpenItem.opening).in_(part)))
            kept = [row.model_dump() for row in (*summaries.all(), *listed.all())]
            for opening in sorted(_different_openings(kept, [*rows, *items])):
                yield f"opening {opening}: its summary is not what its entries give (rebuild)"

    def _made(self, facts: Any, fold: Fold) -> tuple[list[Json], list[Json]]:
        try:
            return self._worked_out(facts, fold)
        except AppError as error:
            if error.code == "procedure-missing":
                return [_summary_row(facts, fold, "unread")], []
            return [], []  # not issued: there is nothing to show
        except Exception:  # noqa: BLE001  (a fault at one opening keeps no other's entries out)
            _LOG.exception("the opening %s could not be judged", facts.id)
            return [_summary_row(facts, fold, "unread")], []

    def _worked_out(self, facts: Any, fold: Fold) -> tuple[list[Json], list[Json]]:
        state = self.folds.state_of(fold, self.procedures, self.truths)
        stands = opening_state(state) if state.judged else "unread"
        practice = state.practice is not None
        quiet = stands in CLOSED or practice  # nothing of it waits for anybody
        items = [] if quiet else open_items(state, facts.id)
        counts = _summary_counts(state, items, [] if quiet else checks_out(state))
        row = {**_summary_row(facts, fold, stands), **counts, "practice": practice}
        if quiet:
            row.update({"otherwise": 0, **dict.fromkeys(("clock", "until", "due"), "")})
        if practice:  # nor does it stand in any week
            row.update(dict.fromkeys(("first_day", "last_day", "promised", "crew"), ""))
        return [{**row, "place": place_of(row)}], items

    def rebuild(self, session: Session) -> int:
        """Make every summary again from events alone; returns how many there are."""
        for table in (SearchWord, OpenItem, Summary):
            session.connection().execute(delete(table))
        issued = select(Event.opening).where(Event.kind == "opening.issued").distinct()
        openings = list(session.exec(issued))
        self.refresh(session, openings)
        instruments.rebuild_uses(session)
        session.merge(Setting(name="summaries", value=VERSION))
        return len(openings)

    def start(self, session: Session) -> None:
        """Make all summaries where they were never made, or by another version."""
        if not is_this_version(session):
            self.rebuild(session)


def is_this_version(session: Session) -> bool:
    """Return whether this version of Sillbook made the summaries."""
    made = session.get(Setting, "summaries")
    return made is not None and made.value == VERSION


def _different_openings(some: list[Json], others: list[Json]) -> set[str]:
    """Return the openings of rows that stand in one list alone."""
    one, other = (
        {json.dumps(row, sort_keys=True): str(row["opening"]) for row in rows}
        for rows in (some, others)
    )
    return {(one | other)[key] for key in one.keys() ^ other.keys()}


_FACTS = text(
    "SELECT opening.id, opening.job, opening.letter, opening.room, job.title, job.address,"
    " summary.state, summary.hold_outs, summary.words FROM opening"
    " JOIN job ON job.id = opening.job LEFT JOIN summary ON summary.opening = opening.id"
    " WHERE opening.id IN :openings ORDER BY opening.id"
).bindparams(bindparam("openings", expanding=True, type_=String))


def _facts_of(session: Session, openings: list[str]) -> list[Any]:
    """Return what the tables say of openings, and what their summaries said; None without one."""
    return list(session.connection().execute(_FACTS, {"openings": openings}))


def _summary_row(facts: Any, fold: Fold, state: str) -> Json:
    # no homeowner's name: it can be erased from the job, and must then be gone
    words = search_words.word_line((facts.title, facts.address, facts.letter, facts.room))
    return {
        "opening": facts.id,
        "job": facts.job,
        "title": facts.title,
        "address": facts.address,
        "letter": facts.letter,
        "room": facts.room,
        "words": words,
        "state": state,
        "place": PLACES.index(SHOWN_AS[state]),
        "heard": fold.heard,
        "begun": fold.begun,
        "seq": fold.seq,
        "practice": False,
        **dict.fromkeys(("step", "step_title", "procedure", "clock", "until", "hold_outs"), ""),
        **dict.fromkeys(("first_day", "last_day", "promised", "due", "crew", "heaviest"), ""),
        "step_states": "",
        **dict.fromkeys(("signed", "steps", "outs", "otherwise"), 0),
        **dict.fromkeys(("queries", "parts", "not_ready", "waiting"), 0),
    }


def _summary_counts(state: State, items: list[Json], outs: list[tuple[Step, str]]) -> Json:
    following = next_step(state)
    kinds = [item["kind"] for item in items]
    states = _step_states(state, {step.key for step, _ in outs})
    return {
        "step": following.key if following else "",
        "step_title": following.data["title"] if following else "",
        "step_states": json.dumps(states, separators=(",", ":")),
        "signed": list(states.values()).count("signed"),
        "steps": len(state.steps),
        "procedure": state.procedure_key,
        **_planned(state),
        "heaviest": _heaviest_panel(state),
        **_waiting_until(state),
        "outs": len(outs),
        "hold_outs": " ".join(f"{step.key}|{check}" for step, check in outs if step.hold),
        "otherwise": len(judged_otherwise(state)),
        **{kind: kinds.count(kind) for kind in ("queries", "parts", "not_ready", "waiting")},
    }


def _step_states(state: State, out: set[str]) -> dict[str, str]:
    """Return how each step stands, for the drawing of the door. out: keys of steps."""
    signs = {step.key: sign_state(state, step) for step in state.steps}
    return {key: sign or ("out" if key in out else "") for key, sign in signs.items()}


def _planned(state: State) -> Json:
    plan = state.plan()
    open_days = [day for day in (plan["end"], plan["promised"]) if day]
    return {
        "first_day": plan["start"],
        "last_day": plan["end"],
        "promised": plan["promised"],
        "due": min(open_days, default="") if next_step(state) is not None else "",
        "crew": plan["crew"],
    }


def _heaviest_panel(state: State) -> str:
    """Return "letter mass" of the panel that weighs most; "" where no weight can be told."""
    weights = [(panel["letter"], weight.of_panel(panel)) for panel in state.drawing.data["panels"]]
    known = [(letter, kept.mass) for letter, kept in weights if kept is not None]
    return "{} {}".format(*max(known, key=lambda pair: pair[1])) if known else ""


def place_of(row: Json) -> int:
    """Return the place of a summary's row on the board: see PLACES."""
    if row.get("practice"):
        return PLACES.index("practice")
    shown_as = SHOWN_AS[row["state"]]
    names = [shown_as]
    if shown_as not in ("done", "closed"):
        names += [flag for flag in ("queries", "outs") if row[flag]]
        names += ["held" for flag in HELD if row[flag]]
    return min(PLACES.index(name) for name in names)


def _waiting_until(state: State) -> Json:
    """Return the clock that an opening waits for: of several the one that ends last."""
    waits = [clock for clock in clocks_running(state) if clock["sort"] == "least"]
    last = max(waits, key=lambda clock: moment_of(clock["until"]) or 0, default=None)
    return {"clock": last["title"], "until": last["until"]} if last else {}


def checks_out(state: State) -> list[tuple[Step, str]]:
    """Return the checks that are out, or have readings that disagree, and are not conceded.

    None that a finer one stands for: what is out then is out there.
    """
    readings = state.ledger.kinds.get("reading.taken", [])
    if not any(event["id"] not in state.ledger.removed for event in readings):
        return []  # as at thousands of openings that are taken in together
    return [(step, check) for step in state.steps for check in _outs_of(state, step)]


def _outs_of(state: State, step: Step) -> list[str]:
    """Remembered like all that is worked out: an entry has only the steps that it touches judged
    again."""
    found: list[str] = state.memory.answer("=outs|" + step.key, _find_outs, state, step)
    return found


def _find_outs(state: State, step: Step) -> list[str]:
    measured = [c for c in possible_checks(state, step) if _is_measured(state, step, c)]
    return [check["id"] for check in measured if _is_out(state, step, check)]


def _is_measured(state: State, step: Step, check: Json) -> bool:
    """Return whether anything was read for a check: an opening without a reading is soon judged."""
    points = check["points"].values()
    return bool(check.get("clock")) or any(
        state.is_answered(point, state.panel_for(point, step.panel)) for point in points
    )


def _is_out(state: State, step: Step, check: Json) -> bool:
    if finer_result(state, step, check) is not None:
        return False
    result = result_of(state, check, step.panel)
    return result.verdict in ("out", CONFLICT) and result.conceded is None


def open_items(state: State, opening: str) -> list[Json]:
    """Return what of an opening waits for somebody."""
    out = []
    for part, stated in state.parts():
        if stated is not None and stated["body"]["state"] != "here":
            body = {"ref": part["mark"], "step": part["step"], "what": part["what"]}
            out.append(
                _open_item(opening, "parts", stated, {**body, "choice": stated["body"]["state"]})
            )
    for query, answer in state.queries():
        wait = answer is not None and answer["body"]["answer"] == "wait"
        if answer is None or wait:
            last = answer if answer is not None else query
            about = {"ref": query["id"], "step": ", ".join(query["body"]["bars"])}
            said = {
                "what": query["body"]["words"],
                "said": answer["body"]["words"] if answer else "",
            }
            out.append(
                _open_item(opening, "waiting" if wait else "queries", last, {**about, **said})
            )
    return out + _not_ready(state, opening)


def _not_ready(state: State, opening: str) -> list[Json]:
    out = []
    for step in state.steps:
        for decision in step.data["decisions"]:
            made = state.decided(step.key, decision["id"])
            chosen = _choice_of(decision, made["body"]["choice"]) if made else None
            if made is not None and chosen is not None and not chosen["opens"]:
                about = {"ref": step.key + "/" + decision["id"], "step": step.key}
                said = {"what": decision["text"], "choice": chosen["text"]}
                name = {"name": made["body"].get("name", "")}
                out.append(_open_item(opening, "not_ready", made, {**about, **said, **name}))
    return out


def _choice_of(decision: Json, id: str) -> Json | None:
    return next((choice for choice in decision["choices"] if choice["id"] == id), None)


def _open_item(opening: str, kind: str, event: Json, more: Json) -> Json:
    made = {
        "id": f"{opening}|{kind}|{more['ref']}",
        "opening": opening,
        "kind": kind,
        "said": event["body"].get("words", ""),
        "choice": "",
        "name": "",
        "person": event["person"],
        "at": event["at"],
        **more,
    }
    return {name: value if name == "id" else value[:_TEXT] for name, value in made.items()}


def _keep_summaries(
    session: Session, before: list[str], rows: list[Json], items: list[Json]
) -> None:
    """Keep what was made. before: the openings that had a summary."""
    connection = session.connection()
    if before:
        connection.execute(_FORGET_ITEMS, {"openings": before})
    gone = sorted(set(before) - {row["opening"] for row in rows})
    if gone:
        connection.execute(delete(Summary).where(col(Summary.opening).in_(gone)))
    if rows:
        connection.execute(_UPSERT[connection.dialect.name], rows)
    if items:
        connection.execute(insert(OpenItem), items)


_FORGET_ITEMS = text("DELETE FROM open_item WHERE opening IN :openings").bindparams(
    bindparam("openings", expanding=True, type_=String)
)


def _upsert_for(dialect: Any) -> Any:
    made = dialect.insert(Summary)
    changed = {name: made.excluded[name] for name in Summary.model_fields if name != "opening"}
    return made.on_conflict_do_update(index_elements=["opening"], set_=changed)


_UPSERT = {"sqlite": _upsert_for(sqlite), "postgresql": _upsert_for(postgresql)}
