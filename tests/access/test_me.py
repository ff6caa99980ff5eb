"""/me: language and units, kept at once; and the language of who is not signed in."""

import pytest
from fastapi import FastAPI
from fastapi.testclient import TestClient

from app.store.tables import Person


def stored(app: FastAPI) -> tuple[str, str]:
    with app.state.server.database.read() as session:
        person = session.get_one(Person, "inga")
        return person.lang, person.units


def test_settings_hold_at_once(app: FastAPI, inga: TestClient) -> None:
    assert '<html lang="en">' in inga.get("/me").text
    kept = inga.post("/me", data={"lang": "es", "units": "mm"})
    assert (kept.status_code, kept.headers["location"]) == (303, "/me?kept=yes")
    shown = inga.get("/me?kept=yes").text
    assert '<html lang="es">' in shown
    assert "Idioma y unidades" in shown
    assert 'value="es" required checked' in shown
    assert 'value="mm" required checked' in shown
    assert stored(app) == ("es", "mm")


def test_an_english_again(app: FastAPI, inga: TestClient) -> None:
    inga.post("/me", data={"lang": "es", "units": "mm"})
    inga.post("/me", data={"lang": "en", "units": "in"})
    assert "Language and units" in inga.get("/me").text
    assert stored(app) == ("en", "in")


@pytest.mark.parametrize(
    "form",
    [
        {},
        {"lang": "es"},
        {"units": "mm"},
        {"lang": "xx", "units": "mm"},
        {"lang": "es", "units": "cubits"},
        {"lang": "../es", "units": "mm"},
        {"lang": "", "units": ""},
    ],
)
def test_what_there_is_not_is_refused_in_words(
    app: FastAPI, inga: TestClient, form: dict[str, str]
) -> None:
    refused = inga.post("/me", data=form)
    assert refused.status_code == 422 if form else 400 <= refused.status_code < 500
    if form:
        assert "Choose a language and the units." in refused.text
    assert stored(app) == ("en", "in")


def test_who_is_not_signed_in_signs_in_first(browser: TestClient) -> None:
    assert browser.get("/me").headers["location"] == "/sign-in?next=/me"
    assert browser.post("/me", data={"lang": "es", "units": "mm"}).status_code == 401


def test_another_site_cannot_change_them(app: FastAPI, inga: TestClient) -> None:
    form = {"lang": "es", "units": "mm"}
    other = inga.post("/me", data=form, headers={"Sec-Fetch-Site": "cross-site"})
    assert other.status_code == 403
    assert stored(app) == ("en", "in")


def test_sign_in_follows_the_browser(browser: TestClient) -> None:
    shown = browser.get("/sign-in", headers={"Accept-Language": "es-MX,es;q=0.9,en;q=0.5"}).text
    assert '<html lang="es">' in shown
    assert "<h1>Entrar</h1>" in shown
    assert "<h1>Sign in</h1>" in browser.get("/sign-in").text


def test_a_refusal_follows_it_too(browser: TestClient) -> None:
    form = {"name": "inga", "password": "wrong"}
    refused = browser.post("/sign-in", data=form, headers={"Accept-Language": "es"}).text
    assert "Ese nombre y esa contraseña no van juntos." in refused


def test_every_page_has_the_way_there(inga: TestClient) -> None:
    for path in ("/me", "/phones", "/pair/new"):
        assert 'href="/me"' in inga.get(path).text
