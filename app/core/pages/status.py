"""/field/status: what is saved on this phone, and what has been sent to the office.

Two facts, never mixed. /field/status/line is the one line of it at the top of every page.
Where the server answers there is no book on a phone: then that is what is said.
"""

from app.core.kinds import Json
from app.core.pages import common
from app.core.pages.request import Page, Request
from app.core.quantity.messages import Msg, Plural

# Nothing that a person can put right: the office must look at it.
_UNTAKEN = Msg(
    "The office could not read what this phone sent. Nothing is lost. Save what is not sent as a "
    "file, and tell the office."
)
_PHOTO = Msg(
    "The office could not take a photo of this phone. It stays here. Save what is not sent as a "
    "file, and tell the office."
)
TROUBLES = {
    "no-answer": Msg("The office cannot be reached now. It is tried again by itself."),
    "not-sillbook": Msg(
        "Something on this network answers in place of the office (a sign-in page, perhaps). "
        "Nothing was counted as sent."
    ),
    "pair-again": Msg(
        "The office does not know this phone any more. Nothing is lost: "
        "pair it again, then it sends."
    ),
    "not-whole": Msg("Not all has come from the office yet. It is taken once more."),
    "altered": Msg(
        "The office's book no longer matches what this phone got or sent before. Nothing here was "
        "changed. Tell the office: they run a check of the book."
    ),
    "not-kept": Msg("The office cannot save anything now. It is tried again by itself."),
    "too-many-tries": Msg("The office asks to wait. It is tried again by itself."),
    "bug": Msg("Something in Sillbook went wrong in sending. It is tried again by itself."),
    "cross-site": _UNTAKEN,
    "json-unreadable": _UNTAKEN,
    "message-unfit": _UNTAKEN,
    "message-too-large": _UNTAKEN,
    "message-kind": _UNTAKEN,
    "photo-unnamed": Msg("The office does not have the entry of a photo yet. It waits for it."),
    "photo-damaged": Msg("A photo was damaged on the way. It is sent again."),
    "photo-not-jpeg": _PHOTO,
    "photo-extra": _PHOTO,
    "photo-pixels": _PHOTO,
    "photo-scans": _PHOTO,
    "photo-unknown": _PHOTO,
}
OTHER_TROUBLE = Msg("The office could not take it ({code}). It is tried again by itself.")


def get(request: Request) -> Page:
    """Return the page, or with /line after it the line alone."""
    alone = len(request.parts) > 1 and request.parts[1] == "line"
    context: Json = {
        "line": _line_words(request),
        "kind": _line_kind(request),
        "renew": bool(request.phone.get("renew")),
    }
    if alone:
        return Page("field/status_line.html", context)
    context["page"] = common.page_frame(request, request.say(Msg("Saved and sent")))
    context["facts"] = _phone_facts(request) if request.phone else []
    context["unsent"] = _count_unsent(request.phone) > 0
    context["files"] = _unsent_files(request)
    context["on_phone"] = bool(request.phone)
    context["trouble"] = _hindrances(request)
    return Page("field/status.html", context)


def _count_unsent(phone: Json) -> int:
    count: int = phone.get("unsent", 0) + phone.get("photos", 0)
    return count


PHOTOS_IN_FILE = 40  # as static/field/rescue.js divides them


def _unsent_files(request: Request) -> "list[Json]":
    """Return the files that what is not sent fills."""
    photos: int = request.phone.get("photos", 0)
    count = max(1, -(-photos // PHOTOS_IN_FILE))
    if count == 1:
        words = request.say(Msg("Save what is not sent as a file"))
        return [common.page_link("/field/unsent.json", words)]
    return [
        common.page_link(
            "/field/unsent.json?part=" + str(part),
            request.say(Msg("Save file {part} of {count}", part=part, count=count)),
        )
        for part in range(1, count + 1)
    ]


def _line_kind(request: Request) -> str:
    phone = request.phone
    if not phone:
        return "warn" if request.query.get("able") == "emptied" else "none"
    if phone.get("forked") or phone.get("trouble") == "pair-again" or phone.get("room"):
        return "warn"
    return "waiting" if _count_unsent(phone) else "sent"


def _line_words(request: Request) -> str:
    if not request.phone:
        return request.say(_WITHOUT.get(request.query.get("able", ""), _NOT_PAIRED))
    if request.phone.get("forked"):
        return request.say(_FORKED)
    if request.phone.get("room"):
        return request.say(
            Msg("This phone is nearly full. {what}", what=_counted_words(request.phone))
        )
    if request.phone.get("trouble") == "pair-again":
        return request.say(Msg("Pair this phone again. {what}", what=_counted_words(request.phone)))
    return request.say(_counted_words(request.phone))


# What the page found out, where the server answers: ?able=
_WITHOUT = {
    "no": Msg("This browser cannot work offline: it needs a network all the time."),
    "emptied": Msg(
        "This phone's book was cleared by its browser. What was sent is at the office. "
        "Pair this phone again."
    ),
}
_NOT_PAIRED = Msg("Not paired: every entry goes straight to the office and needs a network.")
_FORKED = Msg("This phone's book was copied to another. Pair it again: then nothing is lost.")


def _counted_words(phone: Json) -> Msg:
    entries, photos = phone.get("unsent", 0), phone.get("photos", 0)
    if entries and photos:
        return Msg(
            "{entries} and {photos} saved on this phone, not yet sent",
            entries=Plural("{count} entry", "{count} entries").of(entries),
            photos=Plural("{count} photo", "{count} photos").of(photos),
        )
    if entries:
        return Plural(
            "{count} entry saved on this phone, not yet sent",
            "{count} entries saved on this phone, not yet sent",
        ).of(entries)
    if photos:
        return Plural(
            "All entries sent to the office; {count} photo still on this phone",
            "All entries sent to the office; {count} photos still on this phone",
        ).of(photos)
    return Msg("All sent")


def _phone_facts(request: Request) -> "list[Json]":
    phone = request.phone
    lasting = Msg("The browser keeps it until you remove it.")
    if not phone.get("lasting"):
        lasting = Msg(
            "The browser may clear it when the phone is full. Put Sillbook on the home screen."
        )
    rows = [
        (Msg("Entries not yet sent"), str(phone.get("unsent", 0))),
        (Msg("Photos not yet sent"), str(phone.get("photos", 0))),
        (Msg("Last sent"), common.time_words(request, phone.get("sent_at", ""))),
        (Msg("What is on this phone"), request.say(lasting)),
    ]
    if phone.get("aside"):
        rows.append((Msg("Set aside by the office"), str(phone["aside"])))
    return [common.labelled_fact(request.say(label), words) for label, words in rows]


def _hindrances(request: Request) -> "list[str]":
    """Return in words what stands in the way of sending."""
    code = request.phone.get("trouble", "")
    told = []
    if request.phone.get("forked"):
        told.append(_FORKED)
    if code:
        told.append(TROUBLES.get(code, Msg(OTHER_TROUBLE.template, code=code)))
    if request.phone.get("room"):
        told.append(Msg("This phone is nearly full. Send what is on it, and make room."))
    return [request.say(words) for words in told]
