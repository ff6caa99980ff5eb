"""A copy of the data as one file that only the owner of a key opens.

The file is a tar packed by age (https://age-encryption.org/v1), which other programs open as well:
`age -d -i KEY FILE | tar x`.
"""

import shutil
import tarfile
from pathlib import Path

import pyrage

from app.core.errors import InputError
from app.core.quantity.messages import Msg

SUFFIX = ".tar.age"


def read_recipient(text: str) -> pyrage.x25519.Recipient:
    """Return a public key ("age1…"). Errors: InputError 'backup-recipient'."""
    try:
        return pyrage.x25519.Recipient.from_str(text.strip())
    except pyrage.RecipientError as error:
        words = Msg("{text} is no public key of age: it begins with age1.", text=text[:80])
        raise InputError("backup-recipient", words) from error


def seal_copy(folder: Path, recipient: pyrage.x25519.Recipient) -> Path:
    """Pack a copy that was read back into FOLDER.tar.age; the folder goes. Errors: OSError."""
    packed = folder.with_name(folder.name + ".tar")
    sealed = folder.with_name(folder.name + SUFFIX)
    half = sealed.with_name(sealed.name + ".part")
    try:
        with tarfile.open(packed, "w") as tar:
            tar.add(folder, arcname=folder.name)
        packed.chmod(0o600)
        pyrage.encrypt_file(str(packed), str(half), [recipient])
        half.chmod(0o600)
        half.replace(sealed)
    finally:
        packed.unlink(missing_ok=True)
        half.unlink(missing_ok=True)
    shutil.rmtree(folder)
    return sealed


def open_copy(sealed: Path, key: Path, place: Path) -> Path:
    """Unpack a sealed copy into a place that is there; returns the copy's folder.

    key: a file with the secret key, as age-keygen writes it.
    Errors: InputError 'backup-key' where the key is none, or not this copy's; OSError.
    """
    packed = place / "copy.tar"
    try:
        lines = key.read_text("utf-8").split()
        found = [line for line in lines if line.startswith("AGE-SECRET-KEY-")]
        identities = [pyrage.x25519.Identity.from_str(line) for line in found]
        pyrage.decrypt_file(str(sealed), str(packed), identities)
    except (pyrage.IdentityError, pyrage.DecryptError, UnicodeDecodeError) as error:
        words = Msg("The key in {path} does not open this copy.", path=str(key))
        raise InputError("backup-key", words) from error
    with tarfile.open(packed) as tar:
        tar.extractall(place, filter="data")
    packed.unlink()
    return next(path for path in place.iterdir() if path.is_dir())
