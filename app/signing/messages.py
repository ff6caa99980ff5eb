"""What the company's key signs of its records, beside PDFs. See SigningKey.sign for the form.

A phone's key signs other members (app/access/keys.py), a PDF other bytes: no signature of one kind
can be taken for another.
"""

from app.core.kinds import Json


def record_message(digest: str) -> Json:
    """Return what is signed of an issued revision. digest: of its snapshot."""
    return {"record": digest}


def export_message(seal: str) -> Json:
    """Return what is signed of an exported file. seal: the digest of all the rest of it."""
    return {"export": seal}
