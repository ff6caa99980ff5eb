"""The CMS that stands in a signed PDF: PAdES baseline B-B, always built in the same way.

One certificate, one signer, three signed attributes, nothing unsigned. Who signs and who checks
build it alike, so that a container with any other byte is none.

Source: RFC 5652 (CMS), RFC 5035 (signing-certificate-v2), ETSI EN 319 122-1 and 319 142-1 (which
forbid the signing time here: it stands in the PDF's signature dictionary).
"""

from hashlib import sha256

from asn1crypto import algos, cms, core, tsp
from asn1crypto import x509 as asn1
from cryptography import x509
from cryptography.hazmat.primitives.serialization import Encoding

_SHA256 = {"algorithm": "sha256"}


def signed_attributes(certificate: x509.Certificate, digest: bytes) -> cms.CMSAttributes:
    """Return what the signature is of: the digest of the PDF's bytes, and the certificate's."""
    ours = _asn1_of(certificate)
    issuer = [asn1.GeneralName("directory_name", ours.issuer)]
    named = {
        "cert_hash": sha256(ours.dump()).digest(),
        "issuer_serial": {"issuer": issuer, "serial_number": ours.serial_number},
    }
    return cms.CMSAttributes(
        [
            {"type": "content_type", "values": ["data"]},
            {"type": "message_digest", "values": [digest]},
            {
                "type": "signing_certificate_v2",
                "values": [tsp.SigningCertificateV2({"certs": [named]})],
            },
        ]
    )


def signed_bytes(certificate: x509.Certificate, digest: bytes) -> bytes:
    """Return the bytes that the key signs (RFC 5652 5.4)."""
    out: bytes = signed_attributes(certificate, digest).dump()
    return out


def container_of(certificate: x509.Certificate, digest: bytes, signature: bytes) -> bytes:
    """Return the CMS as DER. digest: SHA-256 of the signed bytes of the PDF."""
    ours = _asn1_of(certificate)
    signer = cms.SignerInfo(
        {
            "version": "v1",
            "sid": cms.SignerIdentifier(
                "issuer_and_serial_number",
                {"issuer": ours.issuer, "serial_number": ours.serial_number},
            ),
            "digest_algorithm": algos.DigestAlgorithm(_SHA256),
            "signed_attrs": signed_attributes(certificate, digest),
            "signature_algorithm": algos.SignedDigestAlgorithm({"algorithm": "sha256_ecdsa"}),
            "signature": core.OctetString(signature),
        }
    )
    data = cms.SignedData(
        {
            "version": "v1",
            "digest_algorithms": [algos.DigestAlgorithm(_SHA256)],
            "encap_content_info": {"content_type": "data"},
            "certificates": [ours],
            "signer_infos": [signer],
        }
    )
    out: bytes = cms.ContentInfo({"content_type": "signed_data", "content": data}).dump()
    return out


def certificate_and_signature(container: bytes) -> tuple[bytes, bytes]:
    """Return the DER of the certificate in a container, and the signature.

    Nothing of it is proved yet. Errors: ValueError, TypeError, KeyError, IndexError.
    """
    data = cms.ContentInfo.load(container)["content"]
    certificate: bytes = data["certificates"][0].chosen.dump()
    signature: bytes = data["signer_infos"][0]["signature"].native
    return certificate, signature


def _asn1_of(certificate: x509.Certificate) -> asn1.Certificate:
    return asn1.Certificate.load(certificate.public_bytes(Encoding.DER))
