"""Invented contexts of the pages about phones: pairing, the list, what was set aside."""

from typing import Any

import segno

from app.office.pages import form_field
from tests.pages.desk_samples import WAYS
from tests.pages.shapes import form, page

Json = dict[str, Any]
LINK = "https://sillbook.example/pair#ABCD-EFGH-JKLM-NPQR"


def code() -> Json:
    """A code that was just made."""
    picture = segno.make(LINK, error="m", micro=False).svg_data_uri(scale=6, border=4)
    return {"text": "ABCD-EFGH-JKLM-NPQR", "link": LINK, "href": "pair.html", "picture": picture}


def phone(id: str, ended: str = "") -> Json:
    """A phone on the list."""
    return {
        "id": id,
        "name": "Ana's phone",
        "person": "Ana Example",
        "paired": "Paired 2 Mar 2026, 08:10",
        "seen": "Last seen 2 Mar 2026, 14:05",
        "unsent": "Nothing on it was left to send then",
        "ended": ended,
        "form": form("end-" + id),
    }


def aside() -> Json:
    """One entry that was set aside, one whose opening is unknown, one that came late."""
    entry = {
        "state": "Set aside.",
        "why": "Only the office may say this.",
        "whose": "Ana Example, Ana's phone",
        "received": "Received 2 Mar 2026, 14:05",
        "more": "aside-one.html",
        "opening": "A Living room",
        "href": "opening.html",
    }
    nowhere = {**entry, "opening": "", "href": "", "state": "Held."}
    late = {key: entry[key] for key in ("whose", "received", "opening", "href")}
    late["why"] = "The opening was no longer theirs when it came in."
    return {"entries": [entry, nowhere], "late": [late], "next": "2|k", "next_late": "7"}


def aside_one(**more: Any) -> Json:
    """One entry that was set aside, to be decided."""
    fields = [form_field("reason", "Why it is taken in", "Read out", kind="area")]
    return {
        "button": "Take it in",
        "about": "It is entered again.",
        "kept": False,
        "back": {"href": "aside.html", "words": "Held or set aside"},
        "entry": aside()["entries"][0],
        "facts": [{"label": "Kind", "words": "reading.taken"}],
        "text": '{"kind": "reading.taken"}',
        "refused": "",
        "form": form("form"),
        "fields": fields,
        "errors": [],
        **more,
    }


def kept_entries() -> Json:
    """The entries of an opening as they are kept: one counts, one was set aside."""
    here = {"kind": "reading.taken", "whose": "Ana Example, Ana's phone", "state": "", "why": "",
            "received": "Received 2 Mar 2026, 14:05", "more": "aside-one.html"}  # fmt: skip
    gone = {**here, "state": "Set aside.", "why": "A phone in wrong hands"}
    return {"entries": [here, gone], "place": "A Living room", "back": "review.html", "next": "7",
            "action": "entries.html"}  # fmt: skip


def kept_form() -> Json:
    """A form that came after its person was signed out."""
    return {"form": form("again"), "kept": [{"label": "words", "words": "3/8 low at 8 ft"}]}


def other_person() -> Json:
    """A form that was made for somebody else than who is signed in."""
    return {
        **kept_form(),
        "now": "Ana Example",
        "typed_by": "Bo Sample",
        "keep": form("keep"),
        "keep_text": "Keep it as Ana Example",
        "back": form("back"),
        "back_text": "Send it as Bo Sample",
        "on": [],
    }


def rescue(done: bool) -> Json:
    """A phone's file that was looked at, or taken in."""
    entry = {
        "what": "A reading",
        "where": "B1 jamb-left",
        "typed": '3/16"',
        "opening": "A Living room",
        "href": "opening.html",
        "who": "Ana Example",
        "at": "2 Mar 2026, 14:05",
        "state": "stored",
        "state_text": "imported" if done else "is new",
        "why": "",
        "note": "made after the pairing of its phone was ended",
    }
    why = "No signature of this phone covers this entry."
    bad = {
        **entry,
        "state": "set-aside",
        "state_text": "would be set aside",
        "why": why,
        "note": "",
    }
    nowhere = {"where": "", "typed": "", "opening": "", "href": ""}
    return {
        "done": done,
        "form": None if done else form("take"),
        "facts": [{"label": "Phone", "words": "Ana's phone (Ana Example)"}],
        "warnings": [] if done else ["The pairing of this phone was ended."],
        "sums": ["2 entries are new", "1 entry would be set aside"],
        "entries": [entry, bad, {**entry, **nowhere}],
        "more": "and 40 more",
        "photos": [
            {"name": "ab12cd34ef56", "state": "ready", "state_text": "is new", "why": ""},
            {"name": "0b12cd34ef56", "state": "refused", "state_text": "not taken", "why": why},
        ],
    }


def saved_and_sent() -> Json:
    """A phone that has something and has never sent."""
    facts = [("Phone", "Ana's phone", True), ("Last sent to the office", "", False)]
    return {
        "line": "3 entries saved on this phone, not yet sent",
        "trouble": ["The office cannot be reached now. It is tried again by itself."],
        "on_phone": True,
        "facts": [
            {"label": label, "words": words, "given": given} for label, words, given in facts
        ],
        "unsent": True,
        "files": [{"href": "unsent.json", "text": "Save what is not sent as a file"}],
    }


def phone_samples() -> dict[str, tuple[str, Json]]:
    """Every page about phones in the states that it can show."""
    listed = [phone("p1"), {**phone("p2", "Ended 3 Mar 2026, 07:00"), "person": ""}]
    out: dict[str, tuple[str, Json]] = {
        "pair": ("office/pair.html", {"form": form("pair"), "code": None}),
        "pair-code": ("office/pair.html", {"form": form("pair"), "code": code()}),
        "pairing": ("office/pairing.html", {}),
        "pairing-here": ("office/pairing_here.html", {"form": form("pair")}),
        "saved-and-sent": ("field/status.html", saved_and_sent()),
        "phones": ("office/phones.html", {"phones": listed, "office": True}),
        "phones-none": ("office/phones.html", {"phones": [], "office": False}),
        "aside": ("office/aside.html", aside()),
        "signed-out": ("office/signed_out.html", {**kept_form(), "on": []}),
        "other-person": ("office/other_person.html", other_person()),
        "other-person-may-not": ("office/other_person.html", {**other_person(), "keep": None}),
        "rescue": ("office/rescue.html", {"form": form("rescue")}),
        "rescue-look": ("office/rescue_look.html", rescue(False)),
        "rescue-done": ("office/rescue_look.html", rescue(True)),
        "aside-none": (
            "office/aside.html",
            {"entries": [], "late": [], "next": "", "next_late": ""},
        ),
        "aside-one": ("office/aside_one.html", aside_one()),
        "entries": ("office/entries.html", kept_entries()),
        "aside-one-refused": (
            "office/aside_one.html",
            aside_one(button="", about="", refused="This was taken in already."),
        ),
    }
    titles = {"pair": "Pair a phone", "pairing": "Pair this phone", "phones": "Phones"}
    titles["saved-and-sent"] = "Saved and sent"
    titles["entries"] = "All entries"
    titles["pairing-here"] = "Make this phone work offline"
    titles["signed-out"] = "You are signed out"
    titles["rescue"] = "Entries from a file"
    titles |= dict.fromkeys(("other-person", "other-person-may-not"), "Another person")
    titles |= dict.fromkeys(("rescue-look", "rescue-done"), "What the file holds")
    titles |= dict.fromkeys(("aside-one", "aside-one-refused"), "Set aside: one entry")
    for name, (_, context) in out.items():
        title = titles.get(name.removesuffix("-code").removesuffix("-none"), "Held or set aside")
        context["page"] = page(title, where=False)
        context["ways"] = [] if name == "phones-none" else WAYS
    return out
