"""/office/procedures/KEY/force: what a version changes, in words; then it is put in force.

Any supervisor may put a version in force that changes no limit. A change of a limit takes an
administrator, who says why. Each act is kept with its person.
"""

import logging
from datetime import datetime
from typing import Annotated

from fastapi import APIRouter, Depends
from sqlmodel import Session, col, select
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response

from app.access.pages import speaker_of
from app.access.server import server_of
from app.access.who import FormFields, need_supervisor
from app.core.errors import AppError
from app.core.kinds import Json
from app.core.pages.request import Request as Asked
from app.core.quantity.messages import Msg, Plural, When
from app.office.instruments import asked_by
from app.office.issue.jobs import is_id
from app.office.issue.work import USED
from app.office.pages import Form, form_field, form_of, show_form
from app.office.procedures.compare import procedure_changes
from app.office.procedures.limit_changes import count_limits, limit_changes, shown_changes
from app.office.procedures.moving import MOST_WHY, procedure_version
from app.store import procedures
from app.store.ids import uuid7
from app.store.people import names_by_id
from app.store.procedure_tables import PutInForce
from app.store.tables import Person

router = APIRouter()
Asker = Annotated[Person, Depends(need_supervisor)]
MOST_NAMED = 5
_LOG = logging.getLogger("sillbook.procedures")


class LimitsChangedError(AppError):
    """A version that changes limits, put in force by somebody who may not."""

    status = 403

    def __init__(self) -> None:
        words = Msg("Limits change here: only an administrator may put this version in force.")
        super().__init__("administrators-put-limits", words)


def changes_context(asked: Asked, old: Json | None, new: Json) -> Json:
    """Return what differs, for the template office/changes.html. old: None where there is none."""
    if old is None:
        count = count_limits(new)
        words = Plural("It has {count} limit, a new one.", "It has {count} limits, all new.")
        return {"limits": [], "groups": [], "all_new": asked.say(words.of(count)), "count": count}
    rows = limit_changes(asked, old, new)
    return {
        "limits": shown_changes(asked, rows),
        "groups": procedure_changes(asked, old, new),
        "all_new": "",
        "count": len(rows),
    }


def act_lines(request: Request, session: Session, id_: str) -> list[str]:
    """Return in words who put which version in force, and why, the last first."""
    say = speaker_of(request).say
    names = names_by_id(session)
    return [
        say(_act_words(row, names.get(row.person, row.person)))
        for row in procedures.acts_of(session, id_)
    ]


def _act_words(row: PutInForce, name: str) -> Msg:
    limits = Plural("{count} change of a limit", "{count} changes of limits").of(row.limits)
    told = {"day": When(datetime.fromtimestamp(row.at).date().isoformat()), "who": name,
            "n": row.version, "limits": limits, "why": row.why}  # fmt: skip
    if row.why:
        return Msg("{day}: {who} put version {n} in force ({limits}): {why}", **told)
    return Msg("{day}: {who} put version {n} in force ({limits})", **told)


class ForceSheet:
    """A version, the one in force, and what differs: for one person's page.

    action: where its form goes; back: where its link leads.
    """

    def __init__(
        self, request: Request, session: Session, person: Person, new: Json, action: str, back: str
    ) -> None:
        self.request, self.person, self.new = request, person, new
        self.action, self.back = action, back
        known = procedures.all_of(session, request.app.state.office.procedures)
        self.before = procedures.version_in_force(session, new["id"], known)
        self.old = known[f"{new['id']}@{self.before}"] if self.before else None
        self.asked = asked_by(request, person)
        self.changes = changes_context(self.asked, self.old, new)
        wanted = select(Person.name).where(
            Person.role == "administrator", col(Person.disabled).is_(False)
        )
        self.keepers = list(session.exec(wanted.order_by(Person.name).limit(MOST_NAMED)))

    @property
    def may(self) -> bool:
        """Return whether this person may put the version in force."""
        return not self.changes["count"] or self.person.role == "administrator"

    def page(
        self, typed: dict[str, str], error: Msg | None = None, wrong: Msg | None = None
    ) -> Response:
        """Return the page. error: with the whole of it; wrong: with why."""
        say = self.asked.say
        told = say(wrong) if wrong else ""
        why = form_field(
            "why", say(Msg("Why its limits change")), typed.get("why", ""), kind="area", error=told
        )
        send = Msg("Put it in force for new openings") if self.may else None
        return show_form(
            self.request,
            Form(Msg("Put a version in force"), send, template="office/procedure_force.html"),
            form_of(
                self.action,
                say(error) if error else "",
                id=typed.get("id") or uuid7(),
                before=str(self.before),
                digest=self.new["digest"],
            ),
            [why] if self.changes["count"] else [],
            before=say(_version_words(self.old)) if self.old else "",
            after=say(_version_words(self.new)),
            back=self.back,
            is_draft=self.back.endswith("/edit"),
            same=self.before == self.new["version"],
            who=self._who_may(),
            **self.changes,
        )

    def _who_may(self) -> str:
        """Return who may put it in force, where limits change."""
        if not self.changes["count"]:
            return ""
        names = ", ".join(self.keepers)
        return self.asked.say(
            Msg("Limits change. An administrator may put it in force: {names}.", names=names)
        )

    def refused(self, session: Session, form: dict[str, str]) -> Response | None:
        """Return the page again where it cannot be put in force like this; else None.

        Errors: LimitsChangedError for who may not.
        """
        if not self.may:
            raise LimitsChangedError
        why = form.get("why", "").strip()
        if session.get(PutInForce, form.get("id", "")) is not None or not is_id(form.get("id", "")):
            return self.page({**form, "id": ""}, USED)
        if form.get("before") != str(self.before) or form.get("digest") != self.new["digest"]:
            return self.page(form, Msg("This was changed since the page was made. Look again."))
        if self.changes["count"] and not why:
            return self.page(form, wrong=Msg("Say why limits change: it is kept with your name."))
        if len(why) > MOST_WHY:
            return self.page(
                form, wrong=Msg("At most {count} characters fit here.", count=MOST_WHY)
            )
        return None

    def put_in_force(self, session: Session, form: dict[str, str], at: int) -> None:
        """Have new openings issued with the version, and keep who did that."""
        procedures.put_in_force(session, self.new["id"], self.new["version"])
        count = self.changes["count"]
        session.add(
            PutInForce(
                id=form["id"],
                procedure=self.new["id"],
                version=self.new["version"],
                before=self.before,
                person=self.person.id,
                at=at,
                limits=count,
                why=form.get("why", "").strip(),
            )
        )
        told = procedures.key_of(self.new), self.person.id, count
        _LOG.warning("%s put in force by %r, limits changed: %d", *told)


def is_put_twice(session: Session, person: Person, form: dict[str, str]) -> PutInForce | None:
    """Return what this person's form did before: it was sent twice; else None."""
    known = session.get(PutInForce, form.get("id", ""))
    return known if known is not None and known.person == person.id else None


def _version_words(compiled: Json) -> Msg:
    return Msg("{title}, version {n}", title=Msg(compiled["title"]), n=compiled["version"])


def _sheet_of(request: Request, session: Session, person: Person, key: str) -> ForceSheet:
    compiled, _ = procedure_version(request, session, key)
    back = f"/office/procedures/{key}"
    return ForceSheet(request, session, person, compiled, f"{back}/force", back)


@router.get("/{key}/force")
def force_page(request: Request, person: Asker, key: str) -> Response:
    """Show what would change for new openings."""
    with server_of(request).database.read() as session:
        sheet = _sheet_of(request, session, person, key)
    return sheet.page({})


@router.post("/{key}/force")
def put_in_force(request: Request, person: Asker, key: str, form: FormFields) -> Response:
    """Have new openings issued with this version."""
    server = server_of(request)
    with server.database.write() as session:
        sheet = _sheet_of(request, session, person, key)
        before = is_put_twice(session, person, form)
        if before is None or before.version != sheet.new["version"]:
            refused = sheet.refused(session, form)
            if refused is not None:
                return refused
            sheet.put_in_force(session, form, int(server.clock()))
    return RedirectResponse(f"/office/procedures/{key}", 303)
