"""What must stay the same about a kept log, export or PDF, whatever version looks at it.

Only facts: which entries count, what was signed and holds, verdicts, numbers, digests. Words of
pages may change.
"""

from app.core.kinds import Json
from app.core.record.canonical import digest
from app.core.record.gate import sign_of, verdicts_of
from app.core.record.state import State, Step
from app.homeowner import checking, signed_pdf
from app.signing.pins import Pins


def facts_of_log(events: list[Json], procedures: dict[str, Json]) -> Json:
    """Return what a log adds up to."""
    state = State(events, procedures)
    review = state.review()
    return {
        "entries": len(events),
        "hashes": digest([digest(event) for event in state.ledger.events]),
        "procedure": state.procedure_key,
        "review": [review["id"], review["body"]["result"]] if review else [],
        "struck": sorted(state.ledger.removed),
        "instruments": [[tool.id, tool.good, len(tool.checks)] for tool in state.instruments],
        "steps": [_facts_of_step(state, step) for step in state.steps],
    }


def _facts_of_step(state: State, step: Step) -> Json:
    sign = sign_of(state, step)
    return {
        "step": step.key,
        "signed": [sign.event["id"], sign.true, sign.holds] if sign else [],
        "verdicts": [[one["check"], one["verdict"]] for one in verdicts_of(state, step)],
    }


def facts_of_export(data: bytes, pins: Pins) -> Json:
    """Return what the check of an export finds."""
    report = checking.check(data, "", pins)
    return {
        "faults": report.codes,
        "number": report.number,
        "revision": report.revision,
        "code": report.code,
        "digest": report.digest,
        "entries": report.entries,
        "signatures": report.signatures,
        "signers": report.signers,
    }


def facts_of_pdf(data: bytes, pins: Pins) -> Json:
    """Return what the check of a PDF finds."""
    report = signed_pdf.check(data, "", pins)
    return {
        "faults": [code for code, _ in report.faults],
        "code": report.code,
        "digest": report.digest,
        "signers": report.signers,
    }
