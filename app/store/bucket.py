"""Photos in a bucket of an S3-compatible store, by the library minio (the extra `bucket`).

Keys come from AWS_ACCESS_KEY_ID and AWS_SECRET_ACCESS_KEY, from the file of the store's own
tools, or from the machine. They are in no setting, error or line of the log.
"""

import io
import os
import time
from collections.abc import Callable, Iterator
from pathlib import PurePosixPath
from typing import TypeVar
from urllib.parse import SplitResult

import urllib3
from minio import Minio
from minio.credentials import AWSConfigProvider, ChainedProvider, EnvAWSProvider, IamAwsProvider
from minio.error import MinioException, S3Error

from app.store.photos import MARK, PhotosAwayError

T = TypeVar("T")
CONNECT_SECONDS, READ_SECONDS = 3.0, 15.0
QUIET_SECONDS = 5.0  # a store that did not answer is not asked again for so long
MOST_KNOWN = 100_000  # names that are known to be there
MOST_BYTES = 64 * 1024 * 1024
_ABSENT = ("NoSuchKey", "NoSuchObject")


class BucketPhotos:
    """Photos in a bucket, under names like those of a folder: ab/ab12….jpg"""

    is_near = False

    def __init__(self, address: SplitResult) -> None:
        self._bucket, _, folder = address.path.strip("/").partition("/")
        self._folder = PurePosixPath(folder)
        self.name = f"{address.scheme}://{address.hostname}/{self._bucket}"
        timeout = urllib3.Timeout(connect=CONNECT_SECONDS, read=READ_SECONDS)
        http = urllib3.PoolManager(timeout=timeout, retries=False, maxsize=8)
        self._client = Minio(
            address.netloc,
            secure=address.scheme == "https",
            region=os.environ.get("AWS_REGION") or "us-east-1",
            http_client=http,
            credentials=ChainedProvider(
                [EnvAWSProvider(), AWSConfigProvider(), IamAwsProvider(http_client=http)]
            ),
        )
        self._known: set[str] = set()
        self._away_until = 0.0

    def has_photo(self, sha256: str) -> bool:
        """Return whether a photo is there; what once was there is not asked for again."""
        if sha256 not in self._known and self._stat(sha256):
            self._know(sha256)
        return sha256 in self._known

    def _stat(self, sha256: str) -> bool:
        key = self._key(sha256)
        return self._ask(lambda: self._client.stat_object(self._bucket, key)) is not None

    def _know(self, sha256: str) -> None:
        if len(self._known) >= MOST_KNOWN:
            self._known.clear()
        self._known.add(sha256)

    def read_photo(self, sha256: str) -> bytes | None:
        """Return the bytes of a photo, or None where it is not there."""
        return self._read(self._key(sha256))

    def keep_photo(self, sha256: str, data: bytes) -> None:
        """Write a photo that is not there, whole or not at all; kept when this returns."""
        if not self._stat(sha256):
            self._write(self._key(sha256), data, "image/jpeg")
        self._know(sha256)

    def drop_photo(self, sha256: str) -> None:
        """Take a photo away that nothing names; one that is not there is no fault."""
        key = self._key(sha256)
        self._ask(lambda: self._client.remove_object(self._bucket, key))
        self._known.discard(sha256)

    def photo_names(self) -> Iterator[str]:
        """Yield the names of all that are there."""
        prefix = self._path("").removesuffix("/") + "/" if self._folder.parts else None
        listed = self._client.list_objects(self._bucket, prefix=prefix, recursive=True)
        while (one := self._ask(lambda: next(listed, None))) is not None:
            path = PurePosixPath(one.object_name or "")
            if path.suffix == ".jpg":
                yield path.stem

    def read_mark(self) -> str:
        """Return what was written by write_mark, or ""."""
        return (self._read(self._path(MARK)) or b"").decode("ascii", "replace").strip()

    def write_mark(self, mark: str) -> None:
        """Write whose photos these are. The bucket must be there."""
        self._write(self._path(MARK), mark.encode("ascii") + b"\n", "text/plain")

    def _key(self, sha256: str) -> str:
        return self._path(f"{sha256[:2]}/{sha256}.jpg")

    def _path(self, name: str) -> str:
        return str(self._folder / name).removeprefix("./")

    def _read(self, key: str) -> bytes | None:
        def work() -> bytes:
            answer = self._client.get_object(self._bucket, key)
            try:
                return bytes(answer.read(MOST_BYTES))
            finally:
                answer.close()
                answer.release_conn()

        return self._ask(work)

    def _write(self, key: str, data: bytes, kind: str) -> None:
        def work() -> bool:
            self._client.put_object(self._bucket, key, io.BytesIO(data), len(data), kind)
            return True

        if not self._ask(work):
            raise PhotosAwayError(self.name, "it did not take it")

    def _ask(self, work: Callable[[], T]) -> T | None:
        """Return what the store answers, or None where it has no such thing.

        Of an error only its code is told: the store's own words may repeat keys.
        """
        if time.monotonic() < self._away_until:
            raise PhotosAwayError(self.name, "it did not answer just now")
        try:
            return work()
        except S3Error as error:
            if error.code in _ABSENT:
                return None
            raise PhotosAwayError(self.name, _plain_code(error.code)) from None
        except (MinioException, urllib3.exceptions.HTTPError, OSError, ValueError) as error:
            self._away_until = time.monotonic() + QUIET_SECONDS
            raise PhotosAwayError(self.name, type(error).__name__) from None


def _plain_code(code: str | None) -> str:
    """Return the code of a store's error if it is a plain word, as every known one is."""
    return code if code and code.isalnum() and len(code) < 60 else "an unknown error"
