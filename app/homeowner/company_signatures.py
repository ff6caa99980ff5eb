"""The company's signatures in an export: over each revision's digest, and over the whole file."""

from cryptography import x509

from app.core.kinds import Json
from app.core.quantity.messages import Msg
from app.homeowner.commitments import snapshot_digest
from app.signing.certificate import (
    CertificateUnfitError,
    certificate_of,
    fingerprint_of,
    short_fingerprint,
    signature_fits,
)
from app.signing.messages import export_message, record_message
from app.signing.pins import Pins

Fault = tuple[str, Msg]


def company_faults(whole: Json) -> list[Fault]:
    """Return what is wrong with the company's signatures in an export.

    Errors: KeyError, TypeError, ValueError where it is not built as an export is.
    """
    certificates: dict[str, x509.Certificate] = {}
    for fingerprint, pem in whole["company_keys"].items():
        try:
            certificates[fingerprint] = certificate_of(pem)
        except CertificateUnfitError as error:
            return [("company-key", error.message)]
        if fingerprint_of(certificates[fingerprint]) != fingerprint:
            return [("company-key", Msg("A certificate in the file has another fingerprint."))]
    faults = []
    for kept, issued in zip(whole["snapshots"], whole["issued"], strict=True):
        if not _fits(certificates, issued, record_message(snapshot_digest(kept))):
            words = Msg(
                "The company's signature of revision {n} does not fit.", n=str(kept["revision"])
            )
            faults.append(("company-signature", words))
    sealed = {"key": whole["seal_key"], "signature": whole["seal_signature"]}
    was_stripped = bool(whole["issued"][-1]["key"]) and not whole["seal_key"]
    if was_stripped or not _fits(certificates, sealed, export_message(whole["seal"])):
        faults.append(
            ("company-signature", Msg("The company's signature of the file does not fit."))
        )
    return faults


def _fits(certificates: dict[str, x509.Certificate], signed: Json, message: Json) -> bool:
    """Return whether a signature is its key's. Where nobody signed, nothing stands there at all."""
    if not signed["key"]:
        return bool(signed["signature"] == "")
    certificate = certificates.get(signed["key"])
    return certificate is not None and signature_fits(certificate, message, signed["signature"])


def pin_faults(signers: list[str], pins: Pins, issuer: str = "") -> list[Fault]:
    """Return what is wrong where somebody said whose key it must be.

    issuer: the key of the last revision alone. It says nothing of the file around that.
    """
    if not pins or any(map(pins.known, signers)):
        return []
    if not signers:
        return [("key", Msg("No key of a company has signed it."))]
    words = Msg("It is signed with the key {key}, not with the one given.", key=_named(signers))
    if pins.known(issuer):
        words = Msg(
            "Its last revision is signed with the key given, but the file around it with {key}. "
            "Check it with all the keys that the company publishes: keys.pem, on its page /verify.",
            key=_named(signers),
        )
    return [("key", words)]


def whose(signers: list[str], pins: Pins) -> Msg:
    """Return in words by whom something is vouched for, where nothing is wrong with it."""
    if not signers:
        return Msg(
            "No key of a company has signed it: anybody can have made it. Only the code, from a "
            "sheet or from the company, shows whose it is."
        )
    known = [key for key in signers if pins.known(key)]
    if known:
        return Msg("Signed with the key that was given: {key}.", key=_named(known))
    return Msg(
        "Unchanged since it was made by the holder of the key {key}. Compare the fingerprint with "
        "the one that the company publishes: on its page /verify, and on the sheets of the record.",
        key=_named(signers),
    )


def _named(keys: list[str]) -> str:
    return ", ".join(map(short_fingerprint, keys))
