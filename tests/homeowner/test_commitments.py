"""What strangers get of a record: no minute of the crew, no typed name, and yet its digest.

HMAC-SHA-256 here is that of the `cryptography` package (OpenSSL); the program uses the standard
library's. What the file must not hold is looked for in its text.
"""

import json
import re
from typing import Any

import pytest
from cryptography.hazmat.primitives.hashes import SHA256
from cryptography.hazmat.primitives.hmac import HMAC

from app.core.kinds import Json
from app.core.record.canonical import canonical_bytes, digest
from app.homeowner import checking, export
from app.homeowner.commitments import (
    erased_entries,
    public_form,
    snapshot_digest,
    with_names_sealed,
)
from tests.homeowner.finished import shown

MINUTE = re.compile(r"\d\d:\d\d")


def proof(snapshots: list[Json]) -> bytes:
    issued = [{"key": "", "signature": ""} for _ in snapshots]
    parts = {"v": export.VERSION, "snapshots": snapshots, "issued": issued, "company_keys": {}}
    return export.sealed(parts)


def hmac_of(key: bytes, data: bytes) -> bytes:
    made = HMAC(key, SHA256())
    made.update(data)
    return made.finalize()


def sealed_places(part: Any, path: tuple[str, ...] = ()) -> list[tuple[tuple[str, ...], str]]:
    if isinstance(part, list):
        return [one for at, p in enumerate(part) for one in sealed_places(p, (*path, str(at)))]
    if not isinstance(part, dict):
        return []
    if "sealed" in part:
        return [(path, part["sealed"])]
    return [one for name, p in part.items() for one in sealed_places(p, (*path, name))]


def value_at(part: Any, path: tuple[str, ...]) -> Any:
    for name in path:
        part = part[int(name)] if isinstance(part, list) else part[name]
    return part


def test_no_minute_and_no_typed_name_stands_in_it(made: Json) -> None:
    public = public_form(made)
    text = json.dumps({**public, "at": ""}, ensure_ascii=False)
    assert MINUTE.findall(json.dumps({**made, "at": ""}))  # the whole has them
    assert MINUTE.findall(text) == []
    assert "Orla Owner" in json.dumps(made)
    assert "Orla Owner" not in text
    assert "Bo Builder" not in text
    assert "salt" not in public
    assert made["salt"] not in text
    assert public["at"] == made["at"]  # when the office issued it


def test_the_day_stays(made: Json) -> None:
    sign = public_form(made)["facts"]["steps"][0]["sign"]
    assert sign["at"]["day"] == made["facts"]["steps"][0]["sign"]["at"][:10]
    assert sign["who"] == made["facts"]["steps"][0]["sign"]["who"]


def test_both_forms_have_one_digest(made: Json) -> None:
    assert snapshot_digest(made) == snapshot_digest(public_form(made)) == digest(public_form(made))
    assert digest(made) != snapshot_digest(made)


def test_each_commitment_is_that_of_its_value(made: Json) -> None:
    """By another library, and each under a key of its own: two of one value differ."""
    public = public_form(made)
    places = sealed_places(public)
    assert len(places) > 300
    for path, sealed in places:
        own = hmac_of(bytes.fromhex(made["salt"]), canonical_bytes(list(path)))
        assert hmac_of(own, canonical_bytes(value_at(made, path))).hex() == sealed
    assert len({sealed for _, sealed in places}) == len(places)


def test_the_facts_alone_pass_and_say_that_they_are_alone(made: Json) -> None:
    report = checking.check(proof([public_form(made)]))
    assert (report.faults, report.public) == ([], True)
    assert report.digest == snapshot_digest(made)


def test_facts_that_show_what_is_to_be_sealed_are_refused(made: Json) -> None:
    """A file with minutes and no salt is not built as one of ours is."""
    bare = {name: part for name, part in made.items() if name != "salt"}
    assert checking.check_proof(proof([bare])).codes == ["unfit"]


def test_another_time_or_name_under_the_same_salt_is_another_record(made: Json) -> None:
    for path, _ in sealed_places(public_form(made))[::60]:
        altered = json.loads(json.dumps(made))
        value = value_at(altered, path)
        there = value_at(altered, path[:-1])
        other = value[:-1] + "~" if isinstance(value, str) else [[1, 2, 3, 4]]
        there[int(path[-1]) if isinstance(there, list) else path[-1]] = other
        assert snapshot_digest(altered) != snapshot_digest(made), path


@pytest.mark.parametrize("salt", ["", "00" * 32])
def test_another_salt_is_another_record(made: Json, salt: str) -> None:
    assert snapshot_digest({**made, "salt": salt}) != snapshot_digest(made)


def test_a_name_is_erased_with_its_strokes_and_the_digest_stands(made: Json) -> None:
    erased = with_names_sealed(made, lambda fact: fact["name"] == "Orla Owner")
    owner = erased["facts"]["owner"]
    assert owner["name"] == public_form(made)["facts"]["owner"]["name"]
    assert list(owner["strokes"]) == ["sealed"]
    assert "Orla Owner" not in json.dumps(erased)
    assert "Bo Builder" in json.dumps(erased)  # another's
    assert erased["facts"]["owner"]["at"] == made["facts"]["owner"]["at"]
    assert snapshot_digest(erased) == snapshot_digest(made)
    assert public_form(erased) == public_form(made)
    assert with_names_sealed(erased, lambda _: True)["facts"]["owner"] == owner
    nobody = with_names_sealed(made, lambda _: False)
    assert nobody == made


def test_an_erased_name_is_told_so_and_no_signature_is_drawn(made: Json) -> None:
    erased = with_names_sealed(made, lambda _: True)
    said = shown(erased)
    assert "Orla Owner" not in json.dumps(said["signatures"])
    assert "Bo Builder" not in json.dumps(said["sections"])
    [owner] = [one for one in said["signatures"] if one["title"] == "Handover: the owner"]
    assert owner["picture"] is None
    assert owner["text"].startswith("Signed by a person no longer listed (drawn on the screen)")


def test_what_was_erased_is_known_by_its_entries(made: Json) -> None:
    assert erased_entries(made) == set()
    erased = with_names_sealed(made, lambda fact: fact["name"] == "Orla Owner")
    assert erased_entries(erased) == {made["rests"][made["facts"]["owner"]["entry"]]}
