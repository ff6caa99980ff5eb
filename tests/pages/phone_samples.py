"""Invented contexts of the pages about phones: pairing, the list, what was set aside."""

from typing import Any

import segno

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
        "paired": "Paired 2026-03-02 08:10",
        "seen": "Last seen 2026-03-02 14:05",
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
        "received": "Received 2026-03-02 14:05 UTC",
        "text": '{"kind": "opening.reviewed"}',
        "opening": "A Living room",
        "href": "opening.html",
    }
    nowhere = {**entry, "opening": "", "href": "", "state": "Held."}
    late = {key: entry[key] for key in ("whose", "received", "opening", "href")}
    return {"entries": [entry, nowhere], "late": [late]}


def phone_samples() -> dict[str, tuple[str, Json]]:
    """Every page about phones in the states that it can show."""
    listed = [phone("p1"), phone("p2", "Ended 2026-03-03 07:00")]
    out: dict[str, tuple[str, Json]] = {
        "pair": ("office/pair.html", {"form": form("pair"), "code": None}),
        "pair-code": ("office/pair.html", {"form": form("pair"), "code": code()}),
        "pairing": ("office/pairing.html", {}),
        "phones": ("office/phones.html", {"phones": listed}),
        "phones-none": ("office/phones.html", {"phones": []}),
        "aside": ("office/aside.html", aside()),
        "aside-none": ("office/aside.html", {"entries": [], "late": []}),
    }
    titles = {"pair": "Pair a phone", "pairing": "Pair this phone", "phones": "Phones"}
    for name, (_, context) in out.items():
        title = titles.get(name.removesuffix("-code").removesuffix("-none"), "Held or set aside")
        context["page"] = page(title, where=False)
    return out
