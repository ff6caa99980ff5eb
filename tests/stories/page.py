"""A page as a person has it: its links, its forms with their fields, its words."""

from dataclasses import dataclass, field

from lxml import html

from app.core.kinds import Json


@dataclass
class Field:
    """A field of a form as the page shows it; options: of a choice, what can be chosen."""

    name: str
    kind: str  # hidden, text, area, select, radio, check, button, file, password
    value: str = ""
    options: list[str] = field(default_factory=list)
    needed: bool = False


@dataclass
class Form:
    """A form; values() is what a browser would send of it as it stands."""

    action: str
    method: str
    files: bool
    fields: list[Field]

    def values(self) -> dict[str, str]:
        """Return the fields with what stands in them; no button."""
        kinds = ("hidden", "text", "area", "select", "password")
        return {
            one.name: one.value
            for one in self.fields
            if one.kind in kinds or (one.kind in ("radio", "check") and one.value)
        }

    @property
    def act(self) -> str:
        """Return what the form is for, as its hidden field says; "" where it does not."""
        return self.values().get("act", "")

    def hidden(self, name: str) -> str:
        """Return a hidden field; "" where there is none."""
        return next((f.value for f in self.fields if f.kind == "hidden" and f.name == name), "")

    @property
    def typed(self) -> list[Field]:
        """Return the fields that a person fills in."""
        return [one for one in self.fields if one.kind not in ("hidden", "button")]

    @property
    def buttons(self) -> list[Field]:
        """Return the buttons that say something of their own."""
        return [one for one in self.fields if one.kind == "button"]


class Page:
    """A page of HTML that was shown at a path."""

    def __init__(self, path: str, text: str) -> None:
        self.path = path
        self.text = text
        self._tree = html.fromstring(text) if text.strip() else html.fromstring("<p></p>")
        self.links = list(dict.fromkeys(self._links()))
        self.forms = [_form(one, path) for one in self._tree.iter("form")]
        self.words = " ".join(self._tree.text_content().split())
        self.ids = {one.get("id") for one in self._tree.iter() if one.get("id")}

    def _links(self) -> list[str]:
        return [a.get("href") for a in self._tree.iter("a") if a.get("href")]

    def rows(self, name: str) -> list[str]:
        """Return the links within elements of a class."""
        found = self._tree.find_class(name)
        return [a.get("href") for one in found for a in one.iter("a") if a.get("href")]

    def forms_for(self, act: str, **hidden: str) -> list[Form]:
        """Return the forms for an act whose hidden fields say this."""
        return [
            form
            for form in self.forms
            if form.act == act and all(form.hidden(k) == v for k, v in hidden.items())
        ]

    def holds(self, text: str) -> bool:
        """Return whether a text stands on the page, in its words or in a field."""
        wanted = " ".join(text.split())
        if wanted in self.words:
            return True
        filled = [f.value for form in self.forms for f in form.fields if f.kind != "hidden"]
        return any(wanted in " ".join(value.split()) for value in filled)


def _form(element: html.HtmlElement, path: str) -> Form:
    fields: list[Field] = []
    radios: dict[str, Field] = {}
    for one in element.iter("input", "select", "textarea", "button"):
        name = one.get("name")
        if not name:
            continue
        made = _field(one, name)
        if made.kind == "radio":
            known = radios.get(name)
            if known is not None:
                known.options += made.options
                known.value = known.value or made.value
                continue
            radios[name] = made
        fields.append(made)
    method = (element.get("method") or "get").lower()
    files = element.get("enctype") == "multipart/form-data"
    return Form(element.get("action") or path, method, files, fields)


def _field(one: html.HtmlElement, name: str) -> Field:
    needed = one.get("required") is not None
    if one.tag == "select":
        options = list(one.iter("option"))
        values = [option.get("value", "") for option in options]
        chosen = [o.get("value", "") for o in options if o.get("selected") is not None]
        return Field(name, "select", (chosen or values or [""])[0], values, needed)
    if one.tag == "textarea":
        return Field(name, "area", one.text or "", needed=needed)
    value = one.get("value") or ""
    if one.tag == "button":
        return Field(name, "button", value)
    kind = one.get("type") or "text"
    if kind in ("radio", "checkbox"):
        on = one.get("checked") is not None
        short = "radio" if kind == "radio" else "check"
        return Field(name, short, value if on else "", [value], needed)
    if kind in ("hidden", "file", "password"):
        return Field(name, kind, value, needed=needed)
    return Field(name, "text", value, needed=needed)


def context_of(form: Form) -> Json:
    """Return what a form says of itself, for the trail of a story."""
    return {"action": form.action, "act": form.act}
