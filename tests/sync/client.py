"""A phone in Python: keys, chains, signatures, outbox, pull; written from PROTOCOL.md.

It keeps what a phone keeps and loses nothing by itself; the tests cut, repeat and kill around it.
"""

import base64
import hashlib
import json
from typing import Any, Protocol

from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.hazmat.primitives.asymmetric.utils import decode_dss_signature
from cryptography.hazmat.primitives.hashes import SHA256

from app.core.kinds import Json
from app.core.record.canonical import canonical_bytes, digest
from app.core.record.events import SIGNED_KINDS, heads_of, in_order, new_event
from app.store.ids import uuid7

MOST = 200


class Answer(Protocol):
    """What a request gives back, in httpx's manner."""

    status_code: int

    def json(self) -> Any: ...


class Http(Protocol):
    """A client of httpx's manner whose base address is the server's."""

    def request(self, method: str, url: str, **more: Any) -> Answer: ...


class Refused(Exception):
    """The server answered with an error."""

    def __init__(self, answer: Answer) -> None:
        self.status = answer.status_code
        error = answer.json()["error"]
        self.code: str = error["code"]
        super().__init__(f"{self.status} {self.code}: {error['message']}")


def base64url(raw: bytes) -> str:
    return base64.urlsafe_b64encode(raw).rstrip(b"=").decode()


class Key:
    """A key as WebCrypto makes it."""

    def __init__(self) -> None:
        self._key = ec.generate_private_key(ec.SECP256R1())

    def public(self) -> Json:
        numbers = self._key.public_key().public_numbers()
        x, y = (base64url(n.to_bytes(32)) for n in (numbers.x, numbers.y))
        return {"kty": "EC", "crv": "P-256", "x": x, "y": y, "ext": True, "key_ops": ["verify"]}

    def sign(self, message: Json) -> str:
        r, s = decode_dss_signature(self._key.sign(canonical_bytes(message), ec.ECDSA(SHA256())))
        return base64url(r.to_bytes(32) + s.to_bytes(32))


class Phone:
    """What a phone holds, and how it speaks with the office."""

    def __init__(self, http: Http, origin: str = "http://testserver") -> None:
        self.http = http
        self.origin = origin
        self.key = Key()
        self.device = self.token = self.person = self.epoch = self.cursor = ""
        self.book: dict[str, dict[str, Json]] = {}  # opening -> id -> event
        self.outbox: list[str] = []
        self.openings: list[Json] = []
        self.procedures: dict[str, Json] = {}
        self.withdrawn: list[str] = []
        self.there: set[str] = set()  # ids that the office has, as it said in this epoch

    def _ask(self, method: str, path: str, **more: Any) -> Any:
        sent = {"Origin": self.origin}
        if self.token:
            sent["Authorization"] = f"Bearer {self.token}"
        answer = self.http.request(
            method, path, headers={**sent, **more.pop("headers", {})}, **more
        )
        if answer.status_code != 200:
            raise Refused(answer)
        return answer.json()

    def pair(self, code: str, proof: bool = False) -> Json:
        """Pair by a code; with proof where the office knows the key already."""
        asked = {"code": code, "name": "a phone", "key": self.key.public()}
        if proof:
            asked["proof"] = self.key.sign({"pair": code})
        made: Json = self._ask("POST", "/pair", json=asked)
        self.device, self.token = made["device"], made["token"]
        self.person = self.person or made["person"]["id"]
        return made

    def events(self, opening: str) -> list[Json]:
        return in_order(list(self.book.setdefault(opening, {}).values()))

    def all(self) -> list[Json]:
        return [event for opening in self.book for event in self.events(opening)]

    def write(self, opening: str, kind: str, body: Json, **more: Any) -> Json:
        """Make an entry: it stands next in this phone's chain, and in the outbox."""
        before = self.events(opening)
        draft = {
            "id": uuid7(), "device": self.device, "opening": opening, "seen": heads_of(before),
            "at": "2026-03-02T14:05:00-05:00", "person": self.person, "kind": kind, "body": body,
        }  # fmt: skip
        made = new_event(before, draft)
        made.update(more)
        self.book[opening][made["id"]] = made
        self.outbox.append(made["id"])
        return made

    def tick(self, opening: str, done: bool = True, **more: Any) -> Json:
        return self.write(
            opening, "task.ticked", {"step": "A", "task": "seen", "done": done}, **more
        )

    def find(self, id: str) -> Json:
        return next(events[id] for events in self.book.values() if id in events)

    def batch(self, events: list[Json], **more: Any) -> Json:
        """Return a message that offers these events, its heads and sign-offs signed."""
        signed = [e for e in events if e["kind"] in SIGNED_KINDS]
        return {
            "epoch": self.epoch,
            "bundle": "tests",
            "unsent": len(self.outbox),
            "events": events,
            "signatures": {e["id"]: self.sign_off(e) for e in signed},
            "heads": self.heads(events),
            **more,
        }

    def sign_off(self, event: Json) -> str:
        return self.key.sign({"event": event["id"], "hash": digest(event)})

    def heads(self, events: list[Json]) -> list[Json]:
        last: dict[str, Json] = {}
        for event in events:
            if event["device"] == self.device:
                known = last.get(event["opening"])
                last[event["opening"]] = event if not known or event["n"] > known["n"] else known
        return [self.head(event) for event in last.values()]

    def head(self, event: Json) -> Json:
        message = {
            "device": self.device, "opening": event["opening"], "n": event["n"],
            "hash": digest(event),
        }  # fmt: skip
        signature = self.key.sign(message)
        return {**{k: v for k, v in message.items() if k != "device"}, "signature": signature}

    def post(self, batch: Json) -> Json:
        """Send a message as it is."""
        sent = {"Content-Type": "application/json"}
        answer: Json = self._ask("POST", "/sync", content=json.dumps(batch), headers=sent)
        return answer

    def push(self) -> list[Json]:
        """Send the outbox, part by part; what has a receipt leaves it, held entries stay known."""
        out: list[Json] = []
        for at in range(0, len(self.outbox), MOST):
            part = [self.find(id) for id in self.outbox[at : at + MOST]]
            answer = self.post(self.batch(part))
            out += answer["receipts"]
            self._note_epoch(answer["epoch"])
        self.there |= {r["id"] for r in out if r["state"] in ("stored", "already")}
        gone = {receipt["id"] for receipt in out if receipt["state"] != "held"}
        self.outbox = [id for id in self.outbox if id not in gone]
        return out

    def _note_epoch(self, epoch: str) -> None:
        """On a new epoch everything is offered again, and everything pulled again."""
        if self.epoch and epoch != self.epoch:
            waiting = set(self.outbox)
            self.outbox += [e["id"] for e in self.all() if e["id"] not in waiting]
            self.cursor, self.there = "", set()
        self.epoch = epoch

    def pull(self, compare: bool = True) -> int:
        """Pull to the end; returns the pages it took. Raises AssertionError on a wrong sum."""
        pages = 0
        while True:
            page = self.get_page()
            pages += 1
            self._note_epoch(page["epoch"])
            for event in page["events"]:
                self.book.setdefault(event["opening"], {})[event["id"]] = event
                self.there.add(event["id"])
            self.procedures.update({f"{p['id']}@{p['version']}": p for p in page["procedures"]})
            self.cursor, self.openings = page["cursor"], page["openings"]
            self.withdrawn = page["withdrawn"]
            if not page["more"]:
                if compare:
                    self.check(page)
                return pages

    def get_page(self) -> Json:
        page: Json = self._ask("GET", "/sync", params={"after": self.cursor, "epoch": self.epoch})
        return page

    def check(self, page: Json) -> None:
        """Compare with the office's sum: all that it has of my openings, as it told me."""
        mine = {opening["id"] for opening in page["openings"]}
        held = [e for e in self.all() if e["opening"] in mine and e["id"] in self.there]
        lines = sorted(f"{event['id']} {digest(event)}\n" for event in held)
        said = hashlib.sha256("".join(lines).encode()).hexdigest()
        assert (len(held), said) == (page["count"], page["digest"])

    def put_photo(self, data: bytes, name: str = "", **headers: str) -> Json:
        name = name or hashlib.sha256(data).hexdigest()
        sent = {"Content-Type": "image/jpeg", **headers}
        answer: Json = self._ask("PUT", f"/photos/{name}", content=data, headers=sent)
        return answer
