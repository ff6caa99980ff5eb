"""Messages that come while no page is open, as the browser hands them to a worker.

Delivery is by the browser's debugging protocol (ServiceWorker.deliverPushMessage): no push service
answers here, so what the browser itself gives of one, its address, is put in its place.
"""

import json
from collections.abc import Iterator
from typing import Any

import pytest
from playwright.sync_api import Browser, Page

from app.store.push_keys import fresh_push_key
from tests.browser import setup
from tests.browser.chromium import launch_at
from tests.browser.models import PASSWORDS, SEEN, SignIn
from tests.browser.seen import expect

# what PushManager gives where a push service answers: an address and two keys
SUBSCRIBES = """
const given = {
  endpoint: "https://push.example.net/one",
  options: { applicationServerKey: new Uint8Array([4]).buffer },
  getKey: (name) => new Uint8Array(name === "auth" ? 16 : 65).fill(4).buffer,
  unsubscribe: async () => { window.subscribedNow = null; return true; },
};
PushManager.prototype.subscribe = async () => { window.subscribedNow = given; return given; };
PushManager.prototype.getSubscription = async () => window.subscribedNow || null;
"""
SHOWN = """async (scope) => {
  const made = await navigator.serviceWorker.getRegistration(scope);
  const shown = await made.getNotifications();
  return shown.map(({ title, lang, data }) => ({ title, lang, path: data.path }));
}"""


@pytest.fixture(scope="module", autouse=True)
def push_key() -> Any:
    """Every server of this file has a key: its variable is set before the server starts."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("SILLBOOK_PUSH", fresh_push_key())
        yield


@pytest.fixture(scope="module")
def chromium(chromium: Browser) -> Iterator[Browser]:
    """A Chromium that shows messages; what the other tests use may show none."""
    path = setup.find(whole=True)
    assert path, "no usable Chromium: run `python -m tests.browser.setup`"
    browser = launch_at(chromium.browser_type, path)
    yield browser
    browser.close()


def deliver(page: Page, scope: str, data: str) -> None:
    """Hand a message to the worker of a scope."""
    session = page.context.new_cdp_session(page)
    found: dict[str, str] = {}

    def note(event: Any) -> None:
        for one in event["registrations"]:
            found[one["scopeURL"]] = one["registrationId"]

    session.on("ServiceWorker.workerRegistrationUpdated", note)
    session.send("ServiceWorker.enable")
    origin = page.evaluate("location.origin")
    for _ in range(50):
        if origin + scope in found:
            break
        page.wait_for_timeout(100)
    session.send(
        "ServiceWorker.deliverPushMessage",
        {"origin": origin, "registrationId": found[origin + scope], "data": data},
    )
    page.wait_for_timeout(500)


def shown(page: Page, scope: str) -> list[Any]:
    for _ in range(50):
        found: list[Any] = page.evaluate(SHOWN, scope)
        if found:
            return found
        page.wait_for_timeout(100)
    return []


def message(path: str, title: str = "Question: Marrow Lane B") -> str:
    return json.dumps({"title": title, "path": path, "lang": "en", "tag": "t1"})


def test_the_office_is_told_in_its_browser(phone: Page) -> None:
    phone.context.grant_permissions(["notifications"])
    phone.add_init_script(SUBSCRIBES)
    SignIn(phone).as_("nadia")
    phone.goto("/office/notices")
    phone.get_by_role("button", name="Tell me in this browser").click()
    expect(phone.get_by_text("until you sign out here")).to_be_visible(timeout=SEEN)
    page = "/office/o/marrow-lane-b#queries-title"
    deliver(phone, "/office/", message(page))
    told = {"title": "Question: Marrow Lane B", "lang": "en", "path": page}
    assert shown(phone, "/office/") == [told]
    phone.get_by_role("button", name="Tell me no more").click()
    expect(phone.get_by_role("button", name="Tell me in this browser")).to_be_visible(timeout=SEEN)


def test_the_crews_phone_is_told_while_it_has_no_network(phone: Page) -> None:
    phone.context.grant_permissions(["notifications"])
    phone.add_init_script(SUBSCRIBES)
    SignIn(phone).as_("tobin")
    phone.goto("/pair/here")
    phone.get_by_label("Your password, once more").fill(PASSWORDS["tobin"])
    phone.get_by_role("button", name="Make this phone work offline").click()
    ready = phone.get_by_role("heading", name="Ready: you can go offline now")
    expect(ready).to_be_visible(timeout=3 * SEEN)
    phone.goto("/field/person")
    phone.get_by_role("button", name="Tell me on this phone").click()
    expect(phone.get_by_text("This phone says at once when")).to_be_visible(timeout=SEEN)
    deliver(phone, "/field", message("/field/o/marrow-lane-b/queries", "Your question is answered"))
    [told] = shown(phone, "/field")
    assert told["path"] == "/field/o/marrow-lane-b/queries"
    # what is no message of ours leads nowhere else
    phone.evaluate(
        """async () => {
          const made = await navigator.serviceWorker.getRegistration("/field");
          (await made.getNotifications()).forEach((one) => one.close());
        }"""
    )
    deliver(phone, "/field", '{"title": "x", "path": "//elsewhere.example/"}')
    assert [one["path"] for one in shown(phone, "/field")] == ["/field"]
