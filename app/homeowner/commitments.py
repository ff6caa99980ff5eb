"""What of a snapshot is handed to strangers: all but each minute of the crew and typed names.

A record's digest is that of its public form. In its place each of them has a commitment:

    {"day": "2026-03-02", "sealed": hash}    a time, of which the day stays
    {"sealed": hash}                         a name as somebody typed it; drawn strokes; the id of
                                             an entry, which begins with its millisecond

So the public form proves itself by digest and signature as the whole does. "sealed" is the
HMAC-SHA-256 of the value under a key of its own: the HMAC of its path in the snapshot under the
snapshot's salt. Who knows neither salt nor key cannot try the 1,440 minutes of a day. Who is given
one key can see that one value is the one that was signed.
Source: FIPS 198-1 for HMAC. The same is done for credentials in RFC 9901 (SD-JWT).
"""

import hmac
from collections.abc import Callable, Iterator

from app.core.kinds import Any, Json
from app.core.record.canonical import canonical_bytes, digest

NAMED = ("name", "measured_by", "strokes")  # beside "who": what a person typed or drew as a name
ENTRIES = ("visit",)  # ids of entries (RFC 9562, 5.7)


def snapshot_digest(kept: Json) -> str:
    """Return the digest that a snapshot is signed by, of the whole or of its public form."""
    return digest(public_form(kept))


def public_form(kept: Json) -> Json:
    """Return a snapshot without its salt, and with commitments for what strangers do not get.

    Of a public form it is that form itself.
    Errors: KeyError 'salt' where something is to be sealed and there is no salt.
    """
    parts = {name: part for name, part in kept.items() if name not in ("salt", "at")}
    return {"at": kept["at"], **_PublicForm(kept).of_parts(parts, ())}


def with_names_sealed(kept: Json, is_theirs: Callable[[Json], bool]) -> Json:
    """Return a snapshot with commitments for the names and signatures of some facts.

    is_theirs: of a fact that has a name somebody typed. Its digest is the same.
    """
    sealed: Json = _names_sealed(kept, public_form(kept), is_theirs)
    return sealed


def _names_sealed(part: Any, public: Any, is_theirs: Callable[[Json], bool]) -> Any:
    if isinstance(part, list) and isinstance(public, list):
        pairs = zip(part, public, strict=True)
        return [_names_sealed(one, other, is_theirs) for one, other in pairs]
    if not isinstance(part, dict):
        return part
    named = "who" in part and isinstance(part.get("name"), str) and part["name"] != ""
    goes = named and is_theirs(part)
    return {
        name: public[name]
        if goes and name in ("name", "strokes")
        else _names_sealed(value, public.get(name), is_theirs)
        for name, value in part.items()
    }


def erased_entries(kept: Json) -> set[str]:
    """Return the hashes of the entries whose typed names were erased from a snapshot."""
    named = _named_facts(kept["facts"])
    return {kept["rests"][fact["entry"]] for fact in named if isinstance(fact["name"], dict)}


def _named_facts(part: Any) -> Iterator[Json]:
    """Yield the facts in which somebody typed a name."""
    if isinstance(part, dict) and "who" in part and "name" in part:
        yield part
    elif isinstance(part, dict | list):
        for one in part.values() if isinstance(part, dict) else part:
            yield from _named_facts(one)


def fresh_salt(entries: list[Json]) -> str:
    """Return the salt of what rests on these entries, as hex: the same for the same entries.

    Their ids have 74 random bits each, and stand in no public form, nor on any sheet.
    """
    return digest([entry["id"] for entry in entries])


class _PublicForm:
    def __init__(self, kept: Json) -> None:
        self.kept = kept

    def of_parts(self, parts: Json, path: tuple[str, ...]) -> Json:
        hidden = (*NAMED, *ENTRIES) if "who" in parts else ENTRIES
        return {
            name: self._sealed(part, (*path, name))
            if name in hidden and part and not isinstance(part, dict)
            else self.of_part(part, (*path, name))
            for name, part in parts.items()
        }

    def of_part(self, part: Any, path: tuple[str, ...]) -> Any:
        if isinstance(part, dict):
            return self.of_parts(part, path)
        if isinstance(part, list):
            return [self.of_part(one, (*path, str(at))) for at, one in enumerate(part)]
        if isinstance(part, str) and is_moment(part):
            return {"day": part[:10], **self._sealed(part, path)}
        return part

    def _sealed(self, value: Any, path: tuple[str, ...]) -> Json:
        salt = bytes.fromhex(self.kept["salt"])
        own = hmac.digest(salt, canonical_bytes(list(path)), "sha256")
        return {"sealed": hmac.digest(own, canonical_bytes(value), "sha256").hex()}


def is_moment(text: str) -> bool:
    """Return whether a text begins as a time of a day does: "2026-03-02T"."""
    return text[4:5] == text[7:8] == "-" and text[10:11] == "T" and text[:4].isdigit()
