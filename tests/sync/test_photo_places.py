"""Where photos lie: a folder, a shared folder, a bucket of an S3-compatible store.

The store is a real server (moto's). boto3, another client than the program's, looks into it.
"""

import errno
import hashlib
import logging
import shutil
import threading
from collections.abc import Callable, Iterator
from http.server import BaseHTTPRequestHandler, HTTPServer
from pathlib import Path

import pytest
from fastapi import FastAPI
from fastapi.testclient import TestClient

from app import cli
from app.access.errors import NO_ROOM
from app.core.errors import RefusedError
from app.main import create_app
from app.settings import Settings
from app.store import backup, photo_places
from app.store.photo_places import copy_photo, place_of
from app.store.photos import MARK, FolderPhotos, PhotoPlace, PhotosAwayError, path_of
from app.sync.check import DailyCheck, all_faults
from tests.access.conftest import Clock
from tests.store.both import postgres_address, postgres_server, postgres_store, with_tables
from tests.store.photo_stores import KEY, SECRET, ObjectStore, object_store
from tests.sync.client import Phone, Refused
from tests.sync.conftest import code_for, fill
from tests.sync.test_photos import CLEAN, get, name, picture, take

__all__ = ["postgres_address", "postgres_server", "postgres_store", "with_tables"]

DATA = b"not looked into here"
NAME = hashlib.sha256(DATA).hexdigest()
OTHER = hashlib.sha256(b"another").hexdigest()


@pytest.fixture(scope="module")
def running() -> Iterator[ObjectStore]:
    with object_store() as store:
        yield store


@pytest.fixture(autouse=True)
def keys(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("AWS_ACCESS_KEY_ID", KEY)
    monkeypatch.setenv("AWS_SECRET_ACCESS_KEY", SECRET)


@pytest.fixture
def bucket(running: ObjectStore) -> str:
    return running.make_bucket()


@pytest.fixture(params=["folder", "bucket", "folder in a bucket"])
def place(request: pytest.FixtureRequest, bucket: str, tmp_path: Path) -> PhotoPlace:
    places = {
        "folder": str(tmp_path / "shared"), "bucket": bucket, "folder in a bucket": bucket + "/a/b",
    }  # fmt: skip
    made = place_of(places[request.param])
    made.write_mark("m1")
    return made


def test_a_place_keeps_what_it_is_given_and_writes_nothing_over(place: PhotoPlace) -> None:
    assert (place.has_photo(NAME), place.read_photo(NAME)) == (False, None)
    assert list(place.photo_names()) == []
    place.keep_photo(NAME, DATA)
    place.keep_photo(OTHER, b"another")
    assert (place.has_photo(NAME), place.read_photo(NAME)) == (True, DATA)
    assert sorted(place.photo_names()) == sorted([NAME, OTHER])
    assert place.read_mark() == "m1"
    place.keep_photo(NAME, b"something else")
    assert place.read_photo(NAME) == DATA


def test_what_is_taken_away_is_gone_and_can_be_kept_again(place: PhotoPlace) -> None:
    place.keep_photo(NAME, DATA)
    place.keep_photo(OTHER, b"another")
    for _ in range(2):  # one that is not there is no fault
        place.drop_photo(NAME)
    assert (place.has_photo(NAME), place.read_photo(NAME)) == (False, None)
    assert list(place.photo_names()) == [OTHER]
    place.keep_photo(NAME, DATA)
    assert (place.has_photo(NAME), place.read_photo(NAME)) == (True, DATA)


def test_a_bucket_holds_them_under_the_names_of_a_folder(running: ObjectStore, bucket: str) -> None:
    made = place_of(bucket + "/door-books")
    made.keep_photo(NAME, DATA)
    assert running.objects(bucket) == {f"door-books/{NAME[:2]}/{NAME}.jpg": DATA}


@pytest.mark.parametrize(
    "text",
    ["s3://bucket", "https://host", "https://host/", f"https://{KEY}:x@host/b", "https://h/b?x=1"],
)
def test_an_address_that_is_none_is_refused_where_it_is_read(text: str) -> None:
    with pytest.raises(RefusedError) as refused:
        place_of(text)
    assert refused.value.code == "photos-address"


def start(settings: Settings, clock: Clock) -> FastAPI:
    app = create_app(settings, clock=clock)
    fill(app.state.server.database)
    return app


def paired(app: FastAPI, clock: Clock, person: str = "inga") -> Phone:
    phone = Phone(TestClient(app, raise_server_exceptions=False))
    phone.pair(code_for(app.state.server.database, person, clock.now))
    phone.pull()
    return phone


@pytest.fixture
def clock() -> Clock:
    return Clock()


@pytest.fixture
def app(bucket: str, tmp_path: Path, clock: Clock) -> Iterator[FastAPI]:
    made = start(Settings(tmp_path / "data", photos=bucket), clock)
    yield made
    made.state.server.database.close()


def test_a_photo_goes_into_the_bucket_and_comes_back_to_the_byte(
    app: FastAPI, clock: Clock, running: ObjectStore, bucket: str, tmp_path: Path
) -> None:
    phone = paired(app, clock)
    take(phone, CLEAN)
    assert phone.put_photo(CLEAN)["state"] == "stored"
    assert phone.put_photo(CLEAN)["state"] == "already"
    key = f"{name(CLEAN)[:2]}/{name(CLEAN)}.jpg"
    assert running.objects(bucket)[key] == CLEAN
    assert not list((tmp_path / "data").rglob("*.jpg"))
    answer = get(phone, name(CLEAN))
    assert answer.content == CLEAN  # type: ignore[attr-defined]
    assert answer.headers["content-security-policy"] == "default-src 'none'; sandbox"  # type: ignore[attr-defined]


def test_servers_with_folders_of_their_own_share_photos_by_the_bucket(
    postgres_store: Settings, bucket: str, tmp_path: Path, clock: Clock
) -> None:
    """As two machines that share no disk: one takes the photo, the other shows it."""
    settings = [
        Settings(tmp_path / folder, postgres=postgres_store.postgres, photos=bucket)
        for folder in ("one", "two")
    ]
    one = start(settings[0], clock)
    try:
        with pytest.raises(RefusedError) as refused:  # without the setting it is another's folder
            create_app(Settings(tmp_path / "two", postgres=postgres_store.postgres))
        assert refused.value.code == "photos-elsewhere"
        two = create_app(settings[1], clock=clock)
        phone = paired(one, clock)
        take(phone, CLEAN)
        phone.put_photo(CLEAN)
        phone.http = TestClient(two)
        assert get(phone, name(CLEAN)).content == CLEAN  # type: ignore[attr-defined]
        two.state.server.database.close()
    finally:
        one.state.server.database.close()
    again = create_app(settings[1], clock=clock)  # the second machine may be the first to start
    again.state.server.database.close()


@pytest.mark.control(30)
def test_a_store_that_does_not_answer_costs_no_entry_and_says_503(
    tmp_path: Path, clock: Clock, caplog: pytest.LogCaptureFixture
) -> None:
    with object_store() as store:
        bucket = store.make_bucket()
        app = start(Settings(tmp_path / "data", photos=bucket), clock)
        phone = paired(app, clock)
        take(phone, CLEAN)
        phone.put_photo(CLEAN)
    other = picture(65, 48)
    take(phone, other)
    with pytest.raises(Refused, match="503 photos-away"):
        phone.put_photo(other)
    assert get(phone, name(CLEAN)).status_code == 503  # type: ignore[attr-defined]
    phone.tick("op-1")
    assert [r["state"] for r in phone.push()] == ["stored"]
    app.state.server.database.photos._away_until = 0.0
    DailyCheck(app.state.server.database).look()  # says so, and does not end
    assert "does not answer" in caplog.text
    app.state.server.database.close()
    with pytest.raises(PhotosAwayError):
        create_app(Settings(tmp_path / "data", photos=bucket))


class Echo(BaseHTTPRequestHandler):
    """A store that refuses, and repeats what it was sent: real ones repeat the key's name."""

    def do_HEAD(self) -> None:
        self._refuse()

    def do_GET(self) -> None:
        self._refuse()

    def do_PUT(self) -> None:
        self._refuse()

    def _refuse(self) -> None:
        said = f"{self.headers['Authorization']} {SECRET}"
        body = (
            f"<Error><Code>Denied {said}</Code><Message>{said}</Message>"
            f"<Resource>/</Resource><RequestId>1</RequestId><HostId>1</HostId></Error>"
        ).encode()
        self.send_response(403)
        self.send_header("Content-Type", "application/xml")
        self.send_header("Content-Length", str(len(body)))
        self.end_headers()
        if self.command != "HEAD":
            self.wfile.write(body)

    def log_message(self, *_: object) -> None: ...


@pytest.mark.control(29)
def test_keys_are_in_no_log_error_or_setting(
    tmp_path: Path,
    caplog: pytest.LogCaptureFixture,
    capsys: pytest.CaptureFixture[str],
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    server = HTTPServer(("127.0.0.1", 0), Echo)
    thread = threading.Thread(target=server.serve_forever, args=(0.02,), daemon=True)
    thread.start()
    try:
        address = f"http://127.0.0.1:{server.server_port}/photos"
        monkeypatch.setenv("SILLBOOK_DATA", str(tmp_path / "data"))
        monkeypatch.setenv("SILLBOOK_PHOTOS", address)
        made = place_of(address)
        asks: list[Callable[[], object]] = [
            lambda: made.has_photo(NAME), lambda: made.read_photo(NAME), made.read_mark,
            lambda: made.keep_photo(NAME, DATA), lambda: list(made.photo_names()),
            lambda: made.write_mark("m"),
        ]  # fmt: skip
        with caplog.at_level(logging.DEBUG):
            for ask in asks:
                with pytest.raises(PhotosAwayError) as refused:
                    ask()
                assert KEY not in repr(refused.value)
            assert cli.main(["serve", "--port", "0"]) == 1
            cli.main(["settings"])
    finally:
        server.shutdown()
        server.server_close()
    said = caplog.text + "".join(capsys.readouterr())
    assert "photos cannot be reached" in said
    assert SECRET not in said
    assert KEY not in said


def test_a_folder_that_is_not_mounted_takes_nothing(tmp_path: Path, clock: Clock) -> None:
    """An empty mount point would take photos onto the disk below it, for this server alone."""
    shared = tmp_path / "shared"
    shared.mkdir()
    settings = Settings(tmp_path / "data", photos=str(shared))
    app = start(settings, clock)
    phone = paired(app, clock)
    take(phone, CLEAN)
    shutil.move(shared, tmp_path / "away")
    shared.mkdir()
    with pytest.raises(Refused, match="503 photos-away"):
        phone.put_photo(CLEAN)
    assert not list(shared.iterdir())
    shared.rmdir()
    shutil.move(tmp_path / "away", shared)
    assert phone.put_photo(CLEAN)["state"] == "stored"
    app.state.server.database.close()
    (shared / MARK).unlink()
    with pytest.raises(RefusedError) as refused:
        create_app(settings)
    assert refused.value.code == "photos-elsewhere"


@pytest.mark.parametrize("number", [errno.ENOSPC, errno.ESTALE, errno.ETIMEDOUT])
def test_no_room_and_a_network_that_hangs_are_no_faults_of_the_program(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, number: int
) -> None:
    """errno(3): each ends as 503 (see access/errors.py for those that mean no room)."""

    def fails(_: int) -> None:
        raise OSError(number, "it went wrong")

    made = FolderPhotos(tmp_path)
    with monkeypatch.context() as patch:
        patch.setattr("app.store.photos.os.fsync", fails)
        with pytest.raises(OSError if number in NO_ROOM else PhotosAwayError):
            made.keep_photo(NAME, DATA)
    assert not made.has_photo(NAME)


def test_a_copy_holds_the_bucket_s_photos_and_is_put_back_into_another(
    app: FastAPI, clock: Clock, running: ObjectStore, bucket: str, tmp_path: Path
) -> None:
    phone = paired(app, clock)
    take(phone, CLEAN)
    phone.put_photo(CLEAN)
    database = app.state.server.database
    copy = tmp_path / "copy"
    assert backup.back_up(tmp_path / "data", copy, database.photos) == []
    assert path_of(copy / "photos", name(CLEAN)).read_bytes() == CLEAN
    other = running.make_bucket()
    fresh = tmp_path / "fresh"
    backup.restore_copy(fresh, copy, named=other, place=place_of(other))
    assert CLEAN in running.objects(other).values()
    again = create_app(Settings(fresh, photos=other), clock=clock)
    with again.state.server.database.read() as session:
        assert list(all_faults(session, again.state.server.database.photos)) == []
    again.state.server.database.close()
    plain = tmp_path / "plain"  # and into the folder of the data
    backup.restore_copy(plain, copy)
    create_app(Settings(plain)).state.server.database.close()
    assert path_of(plain / "photos", name(CLEAN)).read_bytes() == CLEAN


@pytest.mark.control(38)
def test_what_is_wrong_in_the_bucket_is_said(
    app: FastAPI, clock: Clock, running: ObjectStore, bucket: str
) -> None:
    phone = paired(app, clock)
    take(phone, CLEAN)
    phone.put_photo(CLEAN)
    database, key = app.state.server.database, f"{name(CLEAN)[:2]}/{name(CLEAN)}.jpg"
    said: dict[str, list[str]] = {}
    for harm in ("none", "altered", "gone"):
        if harm == "altered":
            running.put(bucket, key, CLEAN[:-1])
        elif harm == "gone":
            running.take_away(bucket, key)
        with database.read() as session:
            said[harm] = list(all_faults(session, database.photos))
    assert said["none"] == []
    assert "is not what it is named by" in said["altered"][0]
    assert "its file is missing" in said["gone"][0]
    daily = DailyCheck(database)
    daily.look()
    assert daily.faults == [f"photo {name(CLEAN)}: its file is missing"]


def test_copy_moves_the_photos_and_each_start_finds_its_own(
    bucket: str, tmp_path: Path, clock: Clock, running: ObjectStore,
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str],
) -> None:  # fmt: skip
    """From the folder of the data into a bucket, and on into a shared folder."""
    data, shared = tmp_path / "data", tmp_path / "shared"
    app = start(Settings(data), clock)
    phone = paired(app, clock)
    take(phone, CLEAN)
    phone.put_photo(CLEAN)
    app.state.server.database.close()
    with pytest.raises(RefusedError) as refused:
        create_app(Settings(data, photos=bucket))
    assert refused.value.code == "photos-elsewhere"
    monkeypatch.setenv("SILLBOOK_DATA", str(data))
    assert cli.main(["copy", bucket]) == 0
    assert "read back there: 1" in capsys.readouterr().out
    assert CLEAN in running.objects(bucket).values()
    monkeypatch.setenv("SILLBOOK_PHOTOS", bucket)
    assert cli.main(["copy", str(shared)]) == 0
    for photos in ("", bucket, str(shared)):
        create_app(Settings(data, photos=photos)).state.server.database.close()
    taken = tmp_path / "another"
    created = create_app(Settings(taken)).state.server.database
    created.close()
    monkeypatch.setenv("SILLBOOK_DATA", str(taken))
    monkeypatch.setenv("SILLBOOK_PHOTOS", "")
    assert cli.main(["copy", bucket]) == 1
    assert "of another Sillbook" in capsys.readouterr().err


def test_a_damaged_photo_is_copied_nowhere(tmp_path: Path) -> None:
    source, target = FolderPhotos(tmp_path / "a"), FolderPhotos(tmp_path / "b")
    source.keep_photo(NAME, DATA[:-1])
    assert not copy_photo(NAME, source, target)
    assert not target.has_photo(NAME)
    assert not photo_places.is_whole_photo(source, NAME)
