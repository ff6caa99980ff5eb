"""Which keys somebody trusts to be the company's: given from outside the file that is checked.

A key that stands only inside a file proves that one hand made all of it, not whose hand.
"""

from dataclasses import dataclass
from pathlib import Path

from app.signing.certificate import certificates_in, fingerprint_of, read_fingerprint

MOST_READ = 1024 * 1024


@dataclass(frozen=True)
class Pins:
    """Fingerprints, short or whole. Without any nobody is known."""

    fingerprints: tuple[str, ...] = ()

    def __bool__(self) -> bool:
        return bool(self.fingerprints)

    def known(self, fingerprint: str) -> bool:
        """Return whether a whole fingerprint is one of those given; never for ""."""
        return bool(fingerprint) and any(map(fingerprint.startswith, self.fingerprints))


def read_pins(given: str) -> Pins:
    """Return the pins of a file of certificates, or of a fingerprint.

    Errors: CertificateUnfitError; OSError where the file cannot be read.
    """
    path = Path(given)
    if "/" in given or "\\" in given or path.suffix in (".pem", ".crt", ".cer"):
        with path.open("rb") as file:
            found = certificates_in(file.read(MOST_READ))
        return Pins(tuple(map(fingerprint_of, found)))
    return Pins((read_fingerprint(given),))
