"""The vendored MicroPython loads in the two places where the field book may load it."""

from collections.abc import Iterator

import pytest
from playwright.sync_api import BrowserContext

from tests.parity.server import serving


@pytest.fixture
def address() -> Iterator[str]:
    with serving() as at:
        yield at


def test_loads_in_a_page_by_a_script_element(fresh_context: BrowserContext, address: str) -> None:
    page = fresh_context.new_page()
    page.goto(address + "/loaded-by-page")
    version = page.evaluate(
        """async () => {
            const mp = await loadMicroPython({url: "/micropython.wasm"});
            mp.runPython("import sys; v = '%d.%d.%d' % sys.implementation.version[:3]");
            return mp.globals.get("v");
        }"""
    )
    assert version == "1.27.0"


def test_loads_in_a_classic_service_worker(fresh_context: BrowserContext, address: str) -> None:
    page = fresh_context.new_page()
    page.goto(address)
    page.evaluate(
        """async () => {
            const taken = new Promise(r => navigator.serviceWorker.oncontrollerchange = r);
            await navigator.serviceWorker.register("/service-worker.js");
            await taken;
        }"""
    )
    response = page.goto(address + "/sum")
    assert response is not None
    assert response.from_service_worker
    assert response.text() == "5050"


def test_the_policy_of_a_page_does_not_let_it_run(
    fresh_context: BrowserContext, address: str
) -> None:
    page = fresh_context.new_page()
    page.goto(address)
    error = page.evaluate(
        """async () => {
            const bytes = new Uint8Array([0, 97, 115, 109, 1, 0, 0, 0]);
            try { await WebAssembly.compile(bytes); return ""; } catch (e) { return String(e); }
        }"""
    )
    assert "unsafe-eval" in error
