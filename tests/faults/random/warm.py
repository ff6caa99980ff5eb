"""What an office loads and compiles at its first requests, done once for all its forks."""

import functools
import gc
import hashlib
import io
import shutil
from pathlib import Path

from PIL import Image
from starlette.testclient import TestClient

from app.main import create_app
from app.settings import Settings
from app.store import database as databases
from tests.faults.random import door
from tests.faults.random.office import Mortal, config
from tests.sync.client import Phone

AT = "http://127.0.0.1"


def warm(data: Path) -> None:
    """Be an office in this folder and a phone that works with it, twice; then clear it all away.

    Forks find modules, routes and statements ready. They still open the database themselves: an
    engine remembers nothing of it but how statements are written in SQL.
    """
    databases.make_engine = functools.cache(databases.make_engine)
    codes = door.new_office(data)
    template = data.parent / "template"
    shutil.copytree(data, template)
    for code in codes:
        app = create_app(Settings(data))
        http = TestClient(Mortal(app), AT)
        _work(Phone(http, AT), code)
        http.get("/entry-at-the-office?op-1")
        http.get("/crew?op-1,inga")
        http.get("/as-at-the-start")
        config(app).load()
        app.state.server.database.close()
    for folder in (data, template):
        shutil.rmtree(folder)
    gc.collect()
    gc.freeze()  # what is shared with the offices stays shared


def _work(phone: Phone, code: str) -> None:
    phone.pair(code)
    phone.pull()
    picture = io.BytesIO()
    Image.new("RGB", (16, 12)).save(picture, "JPEG")
    name = hashlib.sha256(picture.getvalue()).hexdigest()
    taken = {"step": "A", "task": "shot", "sha256": name, "size": 1, "width": 16, "height": 12}
    phone.write("op-1", "photo.taken", taken)
    phone.tick("op-1")
    phone.push()
    phone.put_photo(picture.getvalue())
    phone.pull()
