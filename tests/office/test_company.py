"""The company at the office: kept by administrators, said by records that are issued after."""

import html
import io

import pytest
from fastapi import FastAPI
from fastapi.testclient import TestClient
from PIL import Image
from PIL.PngImagePlugin import PngInfo
from sqlmodel import select

from app.homeowner import issuing
from app.store.company import company_of
from app.store.tables import Opening
from tests.demo.conftest import enter
from tests.office.conftest import errors, fields

PATH = "/office/company"


def kept(app: FastAPI) -> tuple[str, str]:
    with app.state.server.database.read() as session:
        ours = company_of(session)
    return ours.name, ours.telephone


def test_administrator_changes_the_company(app: FastAPI) -> None:
    oda = enter(app, "administrator")
    form = fields(oda.get(PATH).text, PATH)
    assert (form["name"], form["telephone"]) == kept(app)
    answer = oda.post(PATH, data={"name": " Osier & Sons ", "telephone": "555-0142"})
    assert kept(app) == ("Osier & Sons", "555-0142")
    assert "Kept." in answer.text
    assert fields(answer.text, PATH)["name"] == "Osier & Sons"


def test_what_is_wrong_is_said_at_the_field_and_what_was_typed_stays(app: FastAPI) -> None:
    oda = enter(app, "administrator")
    before = kept(app)
    answer = oda.post(PATH, data={"name": " ", "telephone": "5" * 61})
    assert answer.status_code == 422
    assert errors(html.unescape(answer.text)) == {
        "f-name": "Give the name of the company.",
        "f-telephone": "At most 60 characters fit here.",
    }
    assert fields(answer.text, PATH)["telephone"] == "5" * 61
    assert kept(app) == before


def test_supervisor_is_not_shown_the_way_there(app: FastAPI, office: TestClient) -> None:
    assert f'href="{PATH}"' not in office.get("/office/index").text
    assert office.get(PATH).status_code == 403
    assert f'href="{PATH}"' in enter(app, "administrator").get("/office/index").text


def picture(kind: str) -> bytes:
    """Return an invented logo with words in its file."""
    drawn = Image.new("RGBA", (1200, 300), (0, 80, 40, 255))
    out = io.BytesIO()
    if kind == "PNG":
        told = PngInfo()
        told.add_text("Comment", "secret words")  # PNG, third edition, 11.3.3.2 tEXt
        drawn.save(out, kind, pnginfo=told)
    else:
        drawn.convert("RGB").save(out, kind, comment=b"secret words")
    return out.getvalue()


@pytest.mark.parametrize("kind", ["PNG", "JPEG"])
def test_logo_is_drawn_anew_and_shown_to_everybody(app: FastAPI, kind: str) -> None:
    oda = enter(app, "administrator")
    got = oda.post(PATH + "/logo", files={"logo": ("../logo.png", picture(kind))})
    assert got.status_code == 200, got.text
    shown = TestClient(app).get("/company/logo.png")
    assert shown.headers["content-type"] == "image/png"
    assert b"secret words" not in shown.content
    assert Image.open(io.BytesIO(shown.content)).size == (600, 150)  # fits 600 by 600
    assert oda.post(PATH + "/logo", files={"logo": ("", b"")}).status_code == 200
    assert TestClient(app).get("/company/logo.png").status_code == 404


@pytest.mark.parametrize(
    "data",
    [
        b"<svg xmlns='http://www.w3.org/2000/svg'><script/></svg>",
        b"GIF89a",
        b"\x89PNG\r\n\x1a\n\x00",
    ],
)
def test_what_is_no_png_or_jpeg_is_refused(app: FastAPI, data: bytes) -> None:
    oda = enter(app, "administrator")
    got = oda.post(PATH + "/logo", files={"logo": ("logo.png", data)})
    assert got.status_code == 422
    assert "cannot be read" in got.text
    assert TestClient(app).get("/company/logo.png").status_code == 404


def test_address_stands_on_records_that_are_issued_after(app: FastAPI) -> None:
    oda = enter(app, "administrator")
    given = {"name": "Osier & Sons", "telephone": "555-0142", "address": "3 Weir Lane, Sampleton"}
    assert oda.post(PATH, data=given).status_code == 200
    with app.state.server.database.read() as session:
        opening = session.exec(select(Opening.id)).first()
        assert issuing.about(session, str(opening))["company_address"] == "3 Weir Lane, Sampleton"
