"""Checks an exported record by itself: no server, no network, nothing but the file.

It rests on hashes and signatures only, whichever version of the program made the record: the chain
of entries, the digest of each revision as the office's entry names it, the signatures of phones.
Nothing is judged anew: what was measured and judged stands in entries and facts, and these are as
they were or they are not. A file that was made anew from end to end passes all that. Whose it is
shows by the company's key, where that is known from elsewhere (pins.py), and by the code on the
paper.
"""

import json
from collections.abc import Iterator
from contextlib import contextmanager
from hashlib import sha256

from app.access.keys import KeyUnfitError, Verifier, signing_message
from app.core.errors import AppError
from app.core.kinds import Any, Json
from app.core.quantity.messages import Msg
from app.core.record import events as ev
from app.core.record.canonical import digest
from app.homeowner import company_signatures, export, snapshot
from app.homeowner.commitments import snapshot_digest
from app.signing.pins import Pins

FIELDS = {*ev.DRAFT_FIELDS, "n", "prev", "turn", "v"}
PARTS = ("v", "about", "events", "procedures", "snapshots", "signatures", "keys")
PROOF_PARTS = ("v", "snapshots")
SIGNED = ("issued", "company_keys", "seal", "seal_key", "seal_signature")
MOST_BYTES = 32 * 1024 * 1024  # a long job's export has some 2 MB, photos not in it
# What a file from anywhere may bring about in code that trusts its own data.
_UNFIT = (KeyError, TypeError, ValueError, IndexError, AttributeError, RecursionError)


class Report:
    """What was found wrong, in words; what the file says of itself where it could be read."""

    def __init__(self) -> None:
        self.faults: list[tuple[str, Msg]] = []
        self.number = ""
        self.revision = 0
        self.code = ""
        self.digest = ""
        self.entries = 0
        self.signatures = 0
        self.public = False  # whether the entries are left out: the facts alone, as owners get them
        self.signers: list[str] = []  # fingerprint of the company's key that vouches for the file
        self.practice = False  # whether it says itself that somebody practised: no door was set
        self.issuer = ""  # of the one that signed the last revision: it vouches for that alone

    def fault(self, code: str, words: Msg) -> None:
        """Note something wrong."""
        self.faults.append((code, words))

    @property
    def codes(self) -> list[str]:
        """Return what is wrong, as codes."""
        return [code for code, _ in self.faults]


def check(data: bytes, code: str = "", pins: Pins | None = None) -> Report:
    """Return what is wrong with an export, with its entries or without: export.make, proof_of.

    code: as on the paper, "" where there is none.

    pins: the keys that are known to be the company's, where somebody gave any.
    """
    report = Report()
    with _faults_told(report):
        whole = _read(report, data, PARTS, PROOF_PARTS)
        if whole is not None:
            report.public = "events" not in whole
            _check_facts(report, whole) if report.public else _check_parts(report, whole)
            report.faults += snapshot.code_faults(code, report.code, report.digest)
            report.faults += company_signatures.pin_faults(
                report.signers, pins or Pins(), report.issuer
            )
    return report


def check_proof(data: bytes) -> Report:
    """Return what is wrong with the facts that a PDF carries (export.proof_of).

    The chain of revisions, each revision's digest with the company's signature over it, the seal.
    """
    report = Report()
    with _faults_told(report):
        whole = _read(report, data, PROOF_PARTS)
        if whole is not None:
            _check_facts(report, whole)
    return report


@contextmanager
def _faults_told(report: Report) -> Iterator[None]:
    """Note it as a fault where a file is not built as it must be, or where a part refuses it."""
    try:
        yield
    except _UNFIT as error:
        words = Msg("The file is not built as an export is: {what}.", what=repr(error)[:200])
        report.fault("unfit", words)
    except AppError as error:
        report.fault(error.code, error.message)


def _read(report: Report, data: bytes, *kinds: tuple[str, ...]) -> Json | None:
    """Return a file as JSON whose parts are those of one of the kinds; None for a fault."""
    if len(data) > MOST_BYTES:
        report.fault("too-large", Msg("This file is too large to be an export of a record."))
        return None
    try:
        whole = json.loads(data.decode("utf-8"))
    except (ValueError, RecursionError):
        report.fault("unreadable", Msg("The file is damaged: it cannot be read as JSON."))
        return None
    fits = [sorted(parts + SIGNED) for parts in kinds]
    if not isinstance(whole, dict) or sorted(whole) not in fits:
        report.fault("no-export", Msg("This is no export of a completion record."))
        return None
    if whole["v"] != export.VERSION:
        report.fault("version", Msg("This export is of another version of Sillbook."))
        return None
    if not _seal_fits(data, whole):
        report.fault("seal", Msg("The file was changed after it was made: its seal does not fit."))
    return whole


def _seal_fits(data: bytes, whole: Json) -> bool:
    """Return whether the bytes, the seal and what signs it taken out of them, hash to the seal.

    Of canonical bytes that is the digest of all the rest; of other bytes it never was one.
    """
    names = ("seal", "seal_key", "seal_signature")
    piece = "".join(f'"{name}":"{whole[name]}",' for name in names).encode()
    return data.count(piece) == 1 and sha256(data.replace(piece, b"")).hexdigest() == whole["seal"]


def _check_facts(report: Report, whole: Json) -> None:
    """Check the facts alone: the chain of revisions, and the company's signatures."""
    _check_revisions(report, whole)
    report.entries = len(whole["snapshots"][-1]["rests"])
    _check_company(report, whole)


def _check_company(report: Report, whole: Json) -> None:
    report.faults += company_signatures.company_faults(whole)
    report.signers = [whole["seal_key"]] if whole["seal_key"] else []
    report.issuer = whole["issued"][-1]["key"]


def _check_parts(report: Report, whole: Json) -> None:
    _check_entries(report, whole["events"])
    _check_procedures(report, whole)
    _check_snapshots(report, whole)
    _check_issued(report, whole)
    _check_signatures(report, whole)
    _check_company(report, whole)


def _check_entries(report: Report, entries: list[Json]) -> None:
    """Check each entry's shape, and the chain of every device."""
    report.entries = len(entries)
    lasts: dict[str, tuple[int, str]] = {}
    for entry in entries:
        if set(entry) != FIELDS:
            report.fault("entry-unfit", Msg("Entry {id} has not the fields of one.", id=_id(entry)))
            continue
        n, prev = lasts.get(entry["device"], (0, ""))
        if (entry["n"], entry["prev"]) != (n + 1, prev):
            words = Msg(
                "Entry {id} ({kind}) does not follow what stands before it: that entry or this "
                "one was changed, taken out or put elsewhere.",
                id=_id(entry),
                kind=str(entry["kind"]),
            )
            report.fault("chain", words)
        lasts[entry["device"]] = (entry["n"], digest(entry))
        _check_body(report, entry)


def _check_body(report: Report, entry: Json) -> None:
    if not ev.is_readable(entry):  # the chain holds it all the same
        return
    try:
        ev.check_body(entry["kind"], entry["body"])
    except AppError:
        words = Msg("Entry {id} does not fit its kind, {kind}.", id=_id(entry), kind=entry["kind"])
        report.fault("entry-unfit", words)


def _id(entry: Any) -> str:
    return str(entry.get("id", "?")) if isinstance(entry, dict) else "?"


def _check_procedures(report: Report, whole: Json) -> None:
    named = whole["snapshots"][-1]["procedure"]
    for key, procedure in whole["procedures"].items():
        rest = {name: part for name, part in procedure.items() if name != "digest"}
        is_named = key != named["key"] or procedure["digest"] == named["digest"]
        if digest(rest) != procedure["digest"] or key != _key(procedure) or not is_named:
            report.fault("procedure", Msg("Procedure {key} was changed.", key=key))


def _key(procedure: Json) -> str:
    return f"{procedure['id']}@{procedure['version']}"


def _check_snapshots(report: Report, whole: Json) -> None:
    """Check that each revision follows the one before, and the last rests on just these entries."""
    last = _check_revisions(report, whole)
    entries = [e for e in ev.in_order(whole["events"]) if not export.issues(e, report.revision)]
    _compare(report, last["rests"], entries)


def _check_revisions(report: Report, whole: Json) -> Json:
    """Check that each revision follows the one before; returns the last."""
    before: Json | None = None
    for kept in whole["snapshots"]:
        expected = (before["revision"] + 1, snapshot_digest(before)) if before else (1, "")
        named = kept["before"]["digest"] if kept["before"] else ""
        if (kept["revision"], named) != expected:
            words = Msg("Revision {n} does not follow the one before it.", n=kept["revision"])
            report.fault("revision", words)
        before = kept
    if before is None:
        raise ValueError("no snapshot")
    report.number, report.revision = str(before["number"]), before["revision"]
    report.practice = before["facts"].get("practice") is True
    report.digest = snapshot_digest(before)
    report.code = snapshot.code_of(report.digest)
    return before


def _compare(report: Report, rests: list[str], entries: list[Json]) -> None:
    """Say in which way the entries differ from those that the record rests on."""
    hashes = [digest(entry) for entry in entries]
    if rests == hashes:
        return
    known = set(rests)
    strange = [_id(entry) for entry in entries if digest(entry) not in known]
    missing = len(known - set(hashes))
    if strange or missing:
        words = Msg(
            "The record rests on other entries: {strange} here are not among them (first: "
            "{which}), {missing} of them are not here.",
            strange=len(strange),
            which=strange[0] if strange else "–",
            missing=missing,
        )
        report.fault("rests", words)
    else:
        report.fault("order", Msg("The entries stand in another order than when it was issued."))


def _check_signatures(report: Report, whole: Json) -> None:
    known = {entry["id"]: entry for entry in whole["events"] if isinstance(entry, dict)}
    for id, signature in whole["signatures"].items():
        entry = known.get(id)
        if entry is None or not _fits(whole["keys"], entry, signature):
            words = Msg("The signature of entry {id} does not fit.", id=id)
            report.fault("signature", words)
        report.signatures += 1


def _fits(keys: dict[str, str], entry: Json, signature: str) -> bool:
    try:
        verifier = Verifier(keys[entry["device"]])
    except KeyUnfitError:
        return False
    return verifier.fits(signing_message(entry["id"], digest(entry)), signature)


def _check_issued(report: Report, whole: Json) -> None:
    """Check each revision against the entry by which the office issued it."""
    if whole["about"] != snapshot.about_of(whole["snapshots"][-1]):
        report.fault("contents", Msg("Where the opening is does not stand so in the record."))
    for kept in whole["snapshots"]:
        n = kept["revision"]
        named = [e["body"]["digest"] for e in whole["events"] if export.issues(e, n)]
        if not named:
            words = Msg("No entry of the office says that revision {n} was issued.", n=n)
            report.fault("issued", words)
        elif named != [snapshot_digest(kept)]:
            words = Msg("Revision {n} is not the one that the office issued: it was changed.", n=n)
            report.fault("contents", words)
