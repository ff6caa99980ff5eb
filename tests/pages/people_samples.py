"""Invented contexts of the pages about people: the list, an invitation, one person, a password."""

from typing import Any

import segno

from app.office.pages import form_field, summary_of
from tests.pages.desk_samples import WAYS
from tests.pages.shapes import choice, form, page

Json = dict[str, Any]
CODE = "ABCD-EFGH-JKLM-NPQR-STUV-WXYZ-23"
LINK = "https://sillbook.example/welcome#" + CODE


def fields(error: str = "") -> list[Json]:
    """The fields of a person."""
    roles = [choice("installer", "Installer: works at the openings that are theirs", True)]
    return [
        form_field("name", "Name, as it stands in the record", "Ana Example"),
        form_field("login", "Sign-in name", "ana", hint="small letters and digits", error=error),
        form_field("role", "What the person does", "installer", kind="select", choices=roles),
    ]


def row(name: str, state: str) -> Json:
    """A person as a line."""
    return {
        "href": "person.html",
        "name": name,
        "login": "ana",
        "role": "Installer",
        "state": state,
    }


def acts() -> list[Json]:
    """What else can be done with a person."""
    follows = "Every session ends at once, and every phone that is theirs alone."
    return [{"form": form("disable"), "text": "Shut out", "follows": follows}]


def person(**more: Any) -> Json:
    """One person, to be changed."""
    out = {
        "who": row("Ana Example", "may enter"),
        "form": form("keep"),
        "fields": fields(),
        "errors": [],
        "kept": False,
        "about": "",
        "button": "Keep",
        "acts": acts(),
    }
    return {**out, **more}


def invited() -> Json:
    """An invitation that was just made."""
    picture = segno.make(LINK, error="m", micro=False).svg_data_uri(scale=6, border=4)
    return {
        "name": "Ana Example",
        "login": "ana",
        "text": CODE,
        "link": LINK,
        "href": "welcome.html",
        "picture": picture,
        "until": "It serves once, until 2026-03-09 14:05.",
    }


def voice_samples() -> dict[str, tuple[str, Json]]:
    """A spoken concession at the office: the form, and the code."""
    checks = [choice("B1|sill", "B1 · Sill, weather-side line: OUT, as the office knows it", True)]
    fields = [
        form_field("check", "Check", "B1|sill", kind="select", choices=checks),
        form_field("number", "The number that the installer reads out", "482 109 375",
                   hint="9 digits",
                   error="This number cannot be: a digit was misheard."),
        form_field("reason", "Reason, as it will stand in the record", kind="area"),
    ]  # fmt: skip
    asked = {"where": "A Living room", "back": "review.html", "form": form("form")}
    code = {
        "code": "0042 1093",
        "check": "Sill, weather-side line",
        "step": "B1",
        "number": "482 109 379",
        "known": "The office does not hold these readings yet: it goes by what was said.",
        "back": "review.html",
    }
    more = {"fields": fields, "errors": summary_of(fields), "phones": False, "kept": False,
            "about": "For a crew with no data.", "button": "Make the code"}  # fmt: skip
    return {
        "voice": ("office/voice.html", {**asked, **more}),
        "voice-code": ("office/voice_code.html", code),
    }


def people_samples() -> dict[str, tuple[str, Json]]:
    """Every page about people in the states that it can show."""
    wrong = fields("Somebody has this sign-in name already.")
    listed = [row("Ana Example", "may enter"), row("Dee Sample", "shut out")]
    out: dict[str, tuple[str, Json]] = {
        "people": ("office/people.html", {"people": listed, "next": "Dee Sample|d"}),
        "person-new": (
            "office/form.html",
            {
                "form": form("form"),
                "fields": wrong,
                "errors": summary_of(wrong),
                "about": "The invitation is a link for the person alone.",
                "button": "Make the invitation",
                "kept": False,
            },
        ),
        "person": ("office/person.html", person(kept=True)),
        "person-last": (
            "office/person.html",
            person(form=form("keep", "This is the last administrator.")),
        ),
        "invited": ("office/invited.html", {"invited": invited(), "back": "person.html"}),
        "welcome": (
            "office/welcome.html",
            {"form": form("welcome", "The two passwords are not the same.", code=CODE)},
        ),
        "password": ("office/password.html", {"form": form("pw")}),
    }
    out.update(voice_samples())
    one = {"id": "p1", "name": "Ana Example", "here": True, "known": True, "locked": False}
    two = {"id": "p2", "name": "Bo Sample", "here": False, "known": True, "locked": False}
    others = {**two, "id": "p3", "name": "Cy Invented", "known": False}
    locked = {**two, "id": "p4", "name": "Di Made-Up", "locked": True}
    persons = [
        {**one, "switch": None, "set": form("set-p1", "The two PINs are not the same.")},
        {**two, "switch": form("switch-p2", "That PIN is wrong."), "set": form("set-p2")},
        {**others, "switch": None, "set": form("set-p3")},
        {**locked, "switch": form("switch-p4", "Five wrong PINs."), "set": form("set-p4")},
    ]
    context = {"now": "Ana Example", "shared": True, "persons": persons, "kept": True}
    out["who-works"] = ("field/person.html", context)
    titles = {
        "office/people.html": "People",
        "office/form.html": "Invite somebody",
        "office/person.html": "One of the people",
        "office/invited.html": "Invitation",
        "office/welcome.html": "Welcome",
        "office/password.html": "New password",
        "field/person.html": "Who works on this phone",
        "office/voice_code.html": "The code",
    }
    for template, context in out.values():
        context["page"] = page(titles.get(template, "A concession by voice"), where=False)
        context["ways"] = WAYS
    return out
