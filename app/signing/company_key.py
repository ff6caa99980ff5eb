"""The key that this company signs with: where it is, when it is made, and by which it is replaced.

The private key is a file in the folder of the data, outside the tables: a dump of the database,
and whoever reads one, cannot sign. It is not encrypted: the server starts without anybody there, so
that a password would lie beside it. The certificates of all keys are in the tables, for good.
"""

import time
from pathlib import Path

from sqlmodel import Session, col, select

from app.core.errors import RefusedError
from app.core.quantity.messages import Msg
from app.signing.certificate import pem_of, since_when
from app.signing.key import SigningKey, make_key, read_key, write_key
from app.store.company import company_of
from app.store.company_keys import add_company_key, company_keys
from app.store.records import Issued

FILE = "signing-key.pem"


def key_path(session: Session) -> Path:
    """Return where the private key is kept: beside the database."""
    folder: Path = session.info["folder"]
    return folder / FILE


def start_keys(session: Session) -> None:
    """Compare file and tables at the start of the server.

    A key that somebody put there signs from now on. A database from before there were keys gets
    one. Errors: RefusedError 'signing-key-missing', 'signing-key-damaged'.
    """
    key = read_key(key_path(session))
    known = [row.fingerprint for row in company_keys(session)]
    if key is None and known:
        raise _missing(key_path(session))
    if key is not None and known[-1:] != [key.fingerprint]:
        if key.fingerprint in known:
            words = Msg(
                "The signing key that is there was replaced by another: it must not sign again."
            )
            raise RefusedError("signing-key-retired", words)
        add_company_key(session, key.fingerprint, pem_of(key.certificate))
    if key is None and session.exec(select(col(Issued.opening)).limit(1)).first() is not None:
        rotate_key(session)


def _missing(path: Path) -> RefusedError:
    words = Msg(
        "The company's signing key is not there: {path}. Put it back from a copy. If it is lost: "
        "sillbook key rotate, and publish the fingerprint of the new one.",
        path=str(path),
    )
    return RefusedError("signing-key-missing", words)


def current_key(session: Session) -> SigningKey:
    """Return the key that signs now; raises RefusedError 'signing-key-missing' where none is."""
    key = read_key(key_path(session))
    if key is None:
        raise _missing(key_path(session))
    return key


def key_for_signing(session: Session) -> SigningKey:
    """Return the key that signs now; the first one is made when it is first needed.

    So its certificate can name the company. Errors: RefusedError 'signing-key-missing'.
    """
    return current_key(session) if company_keys(session) else rotate_key(session)


def rotate_key(session: Session, now: int = 0) -> SigningKey:
    """Make the key that signs from now on; the private half of the one before is gone.

    now: seconds since 1970, 0 for the clock's. A file that is there and in no table (of a
    transaction that did not end) is taken, not replaced.
    """
    known = company_keys(session)
    left = None if known else read_key(key_path(session))
    key = left or make_key(company_of(session).name, now or int(time.time()))
    add_company_key(session, key.fingerprint, pem_of(key.certificate))
    write_key(key_path(session), key)
    return key


def signing_time(key: SigningKey, issued: int) -> int:
    """Return the time that a signature names: when it was issued, never before the key was there.

    Seconds since 1970.
    """
    return max(issued, since_when(key.certificate))
