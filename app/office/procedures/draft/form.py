"""One small form of a draft: what it shows, and the draft's text with what was typed in it."""

from collections.abc import Sequence
from dataclasses import dataclass, field

from starlette.responses import HTMLResponse

from app.core.errors import MissingError
from app.core.kinds import Json
from app.core.pages import common
from app.core.quantity.messages import Msg
from app.office.pages import form_field, form_of, office_page, summary_of
from app.office.procedures.draft import work
from app.office.procedures.draft.desk import Desk, crew_beside, step_key, with_door
from app.office.procedures.draft.fields import (
    DraftField,
    DraftGroup,
    DraftPlace,
    Errors,
    fresh_id,
    night_id,
)
from app.office.procedures.draft.groups import GROUPS, NEW, NEW_STEP
from app.procedures import draft_text


@dataclass(frozen=True)
class TriedForm:
    """What a form makes of the draft: text, the part's id; what is wrong, here and elsewhere."""

    text: str
    id: str
    errors: dict[str, Msg | str] = field(default_factory=dict)
    elsewhere: list[str] = field(default_factory=list)

    @property
    def is_refused(self) -> bool:
        """Return whether something is wrong: then the text is the draft's own."""
        return bool(self.errors or self.elsewhere)


@dataclass(frozen=True)
class DraftForm:
    """One small form of a draft: a group of a part, or a new part."""

    desk: Desk
    place: DraftPlace
    group: str
    shown: DraftGroup

    @property
    def is_new(self) -> bool:
        """Return whether the form adds a part."""
        return self.place.id == "new"

    @property
    def adds_step(self) -> bool:
        """Return whether the form adds a step."""
        return self.is_new and self.place.what == "steps"

    @property
    def step_ids(self) -> list[str]:
        """Return the letters of the draft's steps."""
        return [one["id"] for one in self.place.written["steps"]]

    @property
    def path(self) -> str:
        """Return the address of the form."""
        if self.adds_step:
            return f"{self.desk.path}/new"
        place = self.place
        return f"{self.desk.step_path(place.step)}/{place.what}/{place.id}/{self.group}"

    def fields(self, typed: dict[str, str]) -> list[DraftField]:
        """Return the fields for what was typed so far."""
        return self.shown.listed(self.place, typed)

    def stands(self) -> dict[str, str]:
        """Return what stands in the draft, as it would be typed."""
        return {} if self.is_new else self.shown.read(self.place)

    def page(
        self,
        typed: dict[str, str],
        errors: dict[str, Msg | str] | None = None,
        elsewhere: Sequence[str] = (),
        error: Msg | None = None,
    ) -> HTMLResponse:
        """Return the form's page. typed: {} shows what stands in the draft."""
        say = self.desk.say
        values = typed or self.stands()
        listed = self.fields(values)
        wrong = {
            name: one if isinstance(one, str) else say(one) for name, one in (errors or {}).items()
        }
        fields = [self._shown(one, values, wrong.get(one.name, "")) for one in listed]
        shape = ",".join(one.name for one in listed)
        form = form_of(
            self.path,
            say(error) if error else " ".join(elsewhere),
            was=work.stamp_of(self.stands()),
            shape=shape,
            door=self.desk.door,
        )
        title = "" if self.is_new else work.title_of_part(self.place.part)
        step = self.desk.step_title(self.place.step)
        context = {
            "form": form,
            "fields": fields,
            "errors": summary_of(fields),
            "part": title,
            "step": step,
            "back": with_door(
                self.desk.step_path(self.place.step) if step else self.desk.path, self.desk.door
            ),
            "try_at": f"{self.path}/try" if step else "",
            "beside": crew_beside(self.desk, self.desk.text, self.seen_at(self.desk.text))
            if step
            else None,
        }
        status = 422 if fields and (context["errors"] or form["error"]) else 200
        return office_page(
            self.desk.request, "office/draft_form.html", self.shown.title, context, status
        )

    def _shown(self, one: DraftField, values: dict[str, str], error: str) -> Json:
        say = self.desk.say
        value = values.get(one.name, "")
        kind = {"lines": "area", "paragraphs": "area"}.get(one.kind, one.kind)
        label = one.label if isinstance(one.label, str) else say(one.label)
        choices = [
            common.form_choice(name, words if isinstance(words, str) else say(words), name == value)
            for name, words in one.choices
        ]
        if value and one.kind == "select" and value not in [name for name, _ in one.choices]:
            choices.append(common.form_choice(value, value, True))
        hint = say(one.hint) if one.hint else ""
        return form_field(
            one.name, label, value, kind=kind, hint=hint, error=error, choices=choices
        )

    def seen_at(self, text: str) -> str:
        """Return the path of the crew's page that shows this part."""
        place = self.place
        compiled = work.compiled_draft(text)
        points = [p["id"] for step in compiled["steps"] for p in step["points"]]
        key = step_key(self.desk, text, place.step)
        looked = list(place.part.get("points", {}).values()) if place.what == "checks" else []
        point = next((id for id in [place.id, *looked] if id in points), "")
        if place.what in ("points", "checks") and point and "-" not in key:
            return f"point/{point}"
        return f"next/{key}" if self.group == "cautions" else f"step/{key}"

    def tried(self, typed: dict[str, str]) -> TriedForm:
        """Return the draft's text with what was typed, or all that is wrong with it."""
        try:
            return self._changed(typed)
        except work.RefusedChangeError as error:
            return TriedForm(self.desk.text, self.place.id, error.errors, error.elsewhere)

    def _changed(self, typed: dict[str, str]) -> TriedForm:
        errors: Errors = {}
        puts = self.shown.put(self.place, typed, errors)
        told = {path[0]: value for path, value in puts}
        if self.adds_step and told["id"] in self.step_ids:
            errors["id"] = Msg("There is a step with this letter.")
        if errors:
            raise work.RefusedChangeError(dict(errors), [])
        text, place = self.desk.text, self.place
        if self.adds_step:
            letter, title = str(told["id"]), str(told["title"])
            place = DraftPlace(place.written, letter, place.what, letter)
            change = lambda: draft_text.add_step(text, letter, title, self.step_ids[-1])  # noqa: E731
        elif self.is_new:
            title = str(told.get("title") or told.get("text") or "")
            named = night_id(told) if place.what == "nights" else ""
            id_ = named or fresh_id(place.written, place.step, title)
            place = DraftPlace(place.written, place.step, place.what, id_)
            change = lambda: work.text_with_part(text, place, puts)  # noqa: E731
        else:
            change = lambda: work.changed_text(text, place, puts)  # noqa: E731
        return TriedForm(work.tried_text(change, place, self.fields(typed)), place.id)


@dataclass(frozen=True)
class PartAddress:
    """Where a small form stands, as its address says it; NEW_STEP_AT: that of a step to come."""

    step: str
    what: str
    id: str
    group: str

    def form_in(self, desk: Desk) -> DraftForm:
        """Return the form; raises MissingError 'draft-part-unknown' where there is none."""
        if self == NEW_STEP_AT:
            return DraftForm(desk, DraftPlace(desk.written, "", "steps", "new"), "new", NEW_STEP)
        place = desk.place(self.step, self.what, self.id)
        shown = NEW.get(self.what) if self.id == "new" else GROUPS[self.what].get(self.group)
        if shown is None:
            raise MissingError("draft-part-unknown", Msg("That is not in the draft."))
        return DraftForm(desk, place, self.group, shown)


NEW_STEP_AT = PartAddress("", "steps", "new", "new")
