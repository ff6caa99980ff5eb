"""A core of a few lines, with the same two doors as app.core.entry: it ticks one task."""

from app.core.errors import InputError, MissingError
from app.core.kinds import Json
from app.core.quantity.messages import Msg
from app.core.record.events import heads_of, new_event


class SmallCore:
    """Answers GET with a page of JSON-like words and POST with one tick."""

    def needs(self, data: Json) -> list[str] | None:
        opening = data["form"].get("opening")
        return [opening] if opening else None

    def answer(self, data: Json) -> Json:
        if data["path"].endswith("/bug"):
            raise ZeroDivisionError("secret inside")
        if data["path"].endswith("/refused"):
            raise InputError("nonsense", Msg("That is no {what}.", what="<b>length</b>"))
        if data["method"] == "GET":
            seen = [o["id"] for o in data["book"]["openings"]]
            return answer(context(" ".join([data["person"]["name"], *seen])))
        return self.tick(data)

    def tick(self, data: Json) -> Json:
        form = data["form"]
        before = data["book"]["events"].get(form["opening"])
        if before is None:
            raise MissingError("opening-unknown", Msg("There is no such opening on your list."))
        known = [event for event in before if event["id"] == form["id"]]
        body = {"step": "A", "task": form["task"], "done": True}
        if known and known[0]["body"] == body:
            return answer(location="/field")
        draft = {
            "id": form["id"],
            "device": data["device"],
            "opening": form["opening"],
            "seen": heads_of(before),
            "at": data["now"],
            "person": form.get("as", data["person"]["id"]),
            "kind": "task.ticked",
            "body": body,
        }
        return answer(location="/field", events=[new_event(before, draft)])


def context(message: str) -> Json:
    page = {"lang": "en", "title": "t", "nav": [], "where": None, "notices": [], "practice": ""}
    return {"page": {**page, "person": "", "sign_out": None}, "message": message, "code": "none"}


def answer(shown: Json | None = None, location: str = "", events: list[Json] | None = None) -> Json:
    return {
        "status": 200,
        "template": "office/error.html",
        "context": shown,
        "location": location,
        "events": events or [],
    }
