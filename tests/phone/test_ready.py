"""A page that is looked at has its worker awake, and ready before it is touched.

Browsers may end a worker whenever nothing waits for it (the Service Workers specification, "Service
Worker Has No Pending Events"); that they do so after about half a minute is common practice, no
source.
"""

from tests.browser.models import SEEN
from tests.phone.fixtures import Site
from tests.phone.work import STEP

SHOWN = "() => document.dispatchEvent(new Event('visibilitychange'))"
NUMBER = "() => vm.number()"
# whether a page that is asked for makes the core read the book anew
ASK = """async (path) => {
  const call = vm.call;
  let anew = false;
  vm.call = (name, thing) => { anew ||= Boolean(thing.news?.anew); return call(name, thing); };
  const url = new URL(path, location.origin);
  try { await act.answer(new Request(url), url); } finally { vm.call = call; }
  return anew;
}"""
LISTEN = """(() => {
  self.told = [];
  const post = ServiceWorker.prototype.postMessage;
  ServiceWorker.prototype.postMessage = function (what, ...more) {
    self.told.push(what);
    return post.call(this, what, ...more);
  };
})()"""
READY = "() => self.told.filter(({ kind }) => kind === 'ready')"


def test_a_phone_that_is_looked_at_again_is_ready_before_it_is_touched(site: Site) -> None:
    page = site.phone.page
    page.goto(STEP)
    site.phone.stop_worker()
    page.evaluate(SHOWN)
    for _ in range(SEEN // 50):
        page.wait_for_timeout(50)
        if page.context.service_workers and page.context.service_workers[-1].evaluate(NUMBER):
            break
    made = page.context.service_workers[-1]
    assert made.evaluate(NUMBER) == 1
    assert made.evaluate(ASK, STEP) is False
    page.evaluate(SHOWN)  # to one that runs it is a word, and no work
    assert made.evaluate(NUMBER) == 1


def test_a_page_that_is_looked_at_keeps_its_worker_awake(site: Site) -> None:
    page = site.phone.page
    page.add_init_script(LISTEN)
    page.clock.install()
    page.goto(STEP)
    assert page.evaluate(READY) == []  # it comes from a worker that is awake
    page.clock.run_for(25_000)
    assert page.evaluate(READY) == [{"kind": "ready", "path": STEP.partition("?")[0]}]


def test_a_page_that_nobody_sees_lets_its_worker_sleep(site: Site) -> None:
    page = site.phone.page
    page.add_init_script(LISTEN)
    page.add_init_script(
        "Object.defineProperty(document, 'visibilityState', { get: () => 'hidden' })"
    )
    page.clock.install()
    page.goto(STEP)
    page.clock.run_for(60_000)
    page.evaluate(SHOWN)
    assert page.evaluate(READY) == []
