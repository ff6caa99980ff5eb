"""A real S3-compatible store for tests: moto's server, looked into by boto3, another client."""

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from itertools import count
from typing import Any

import boto3
from moto.server import ThreadedMotoServer

KEY, SECRET = "AKIDINVENTEDKEY", "invented/secret+key"
_NUMBERS = count(1)


@dataclass
class ObjectStore:
    """A store that runs, and what another client sees in it."""

    address: str
    client: Any

    def make_bucket(self) -> str:
        """Make a bucket; returns its address, as SILLBOOK_PHOTOS takes it."""
        name = f"photos-{next(_NUMBERS)}"
        self.client.create_bucket(Bucket=name)
        return f"{self.address}/{name}"

    def objects(self, address: str) -> dict[str, bytes]:
        """Return all that is in a bucket."""
        name = address.removeprefix(self.address + "/").partition("/")[0]
        listed = self.client.list_objects_v2(Bucket=name).get("Contents", [])
        keys = [one["Key"] for one in listed]
        return {k: self.client.get_object(Bucket=name, Key=k)["Body"].read() for k in keys}

    def put(self, address: str, key: str, data: bytes) -> None:
        """Put something there behind the program's back."""
        name = address.removeprefix(self.address + "/").partition("/")[0]
        self.client.put_object(Bucket=name, Key=key, Body=data)

    def take_away(self, address: str, key: str) -> None:
        """Take something away behind the program's back."""
        name = address.removeprefix(self.address + "/").partition("/")[0]
        self.client.delete_object(Bucket=name, Key=key)


@contextmanager
def object_store(port: int = 0) -> Iterator[ObjectStore]:
    """Run a store on this machine."""
    server = ThreadedMotoServer("127.0.0.1", port, verbose=False)
    server.start()
    host, number = server.get_host_and_port()
    address = f"http://{host}:{number}"
    client = boto3.client(
        "s3",
        endpoint_url=address,
        aws_access_key_id=KEY,
        aws_secret_access_key=SECRET,
        region_name="us-east-1",
    )
    try:
        yield ObjectStore(address, client)
    finally:
        server.stop()
