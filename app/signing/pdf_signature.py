"""Signs a PDF over its bytes: PAdES baseline B-B, without a network and without chance.

The signature is added after the last byte (an incremental update), cannot be seen on the page, and
forbids every later change (DocMDP 1). Its dictionary says which record it is of. The same file, key
and time give the same bytes.

Source: ETSI EN 319 142-1, ISO 32000-1 12.8; written with pyHanko.
"""

import hashlib
import io
from datetime import UTC, datetime

from pyhanko.pdf_utils import generic
from pyhanko.pdf_utils.incremental_writer import IncrementalPdfFileWriter
from pyhanko.sign.fields import InvisSigSettings, MDPPerm, SigFieldSpec, SigSeedSubFilter
from pyhanko.sign.signers.cms_embedder import (
    PdfCMSEmbedder,
    SigIOSetup,
    SigMDPSetup,
    SigObjSetup,
)
from pyhanko.sign.signers.pdf_byterange import SignatureObject

from app.signing.container import container_of, signed_bytes
from app.signing.key import SigningKey

FIELD = "CompanySignature"
HASH = "sha256"
# Hex digits kept free for the signature: twice what a certificate with the longest name needs.
RESERVED = 8192


class _Writer(IncrementalPdfFileWriter):
    """Adds to a file without a word about itself.

    pyHanko's own would put the clock's time and its name into the metadata, where PDF/A wants two
    places to agree, and chance into the file's identifier.
    """

    def _update_meta(self) -> None:
        pass

    def identify(self, second: bytes) -> None:
        """Give the second half of the identifier, 16 bytes; the first stays (ISO 32000-1 14.4)."""
        self._document_id[1] = generic.ByteStringObject(second)


def sign_pdf(pdf: bytes, key: SigningKey, at: int, label: str, reason: str) -> bytes:
    """Return a PDF with the company's signature over all of it.

    at: the time that the signature names, seconds since 1970: a claim, nobody else vouches for it.
    label: what the signature is, for who hears the page read aloud. reason: what is signed, ASCII.
    """
    writer = _Writer(io.BytesIO(pdf))
    writer.identify(hashlib.sha256(pdf + reason.encode()).digest()[:16])
    field = SigFieldSpec(
        FIELD,
        readable_field_name=label,
        # PDF/A wants it printed, PDF/UA untagged only outside of the page: see InvisSigSettings
        invis_sig_settings=InvisSigSettings(set_print_flag=True, box_out_of_bounds=True),
    )
    # each step of write_cms is a value sent to it: see pyHanko's "low-level PDF signing"
    steps = PdfCMSEmbedder(new_field_spec=field).write_cms(FIELD, writer)
    next(steps)
    placeholder = SignatureObject(
        timestamp=datetime.fromtimestamp(at, UTC),
        subfilter=SigSeedSubFilter.PADES,
        reason=reason,
        bytes_reserved=RESERVED,
    )
    forbid = SigMDPSetup(md_algorithm=HASH, certify=True, docmdp_perms=MDPPerm.NO_CHANGES)
    steps.send(SigObjSetup(sig_placeholder=placeholder, mdp_setup=forbid))
    prepared, output = steps.send(SigIOSetup(md_algorithm=HASH, in_place=False))
    digest = prepared.document_digest
    signature = key.sign_bytes(signed_bytes(key.certificate, digest))
    steps.send(container_of(key.certificate, digest, signature))
    signed: bytes = output.getvalue()
    return signed
