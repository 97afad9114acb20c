"""A device that slept wakes to no false word: first the app gets its full time to answer."""

import pytest

pytestmark = pytest.mark.browser

NIGHT_MS = 8 * 3_600_000
FULL_MS = 18_000
"""The page looks every three seconds; of the fifth unanswered look it tells for certain."""

_NOTED = """() => {
  window.toldOf = [];
  const real = glance.takeBack;
  glance.takeBack = (name, ...rest) => { toldOf.push(name); real(name, ...rest); };
}"""
_HIDDEN = "is => Object.defineProperty(document, 'hidden', { configurable: true, get: () => is })"


def _by_the_clocks(page) -> None:
    page.clock.fast_forward(NIGHT_MS)


def _hidden(page) -> None:
    page.evaluate(_HIDDEN, True)
    page.clock.run_for(60_000)
    page.evaluate(_HIDDEN, False)


def _by_the_wall_clock_alone(page) -> None:
    page.evaluate("ms => { const real = Date.now; Date.now = () => real() + ms; }", NIGHT_MS)
    page.clock.run_for(3_000)


SLEEPS = pytest.mark.parametrize("sleep", [_by_the_clocks, _hidden, _by_the_wall_clock_alone])


@pytest.fixture
def page(uncached, site):
    """The page under a clock of our own, with neither Python nor the client ever coming."""
    made = uncached.page()
    for name in ("worker.js", "main.dart.js"):
        made.route(f"**/{name}", lambda route: None)
    made.clock.install()
    made.goto(site.url, wait_until="commit")
    made.wait_for_function("() => typeof trouble === 'object' && document.body.lastChild")
    made.clock.pause_at("2100-01-01")
    made.evaluate(_NOTED)
    return made


def told_of(page) -> list[str]:
    return page.evaluate("toldOf")


@SLEEPS
def test_a_device_that_slept_during_the_start_is_given_its_full_time(page, sleep):
    page.clock.run_for(9_500)
    assert told_of(page) == []
    sleep(page)
    page.clock.run_for(9_000)
    assert told_of(page) == []
    page.clock.run_for(FULL_MS)
    assert told_of(page) == ["takes_long_first"]


@SLEEPS
def test_an_app_that_slept_is_given_its_full_time_to_answer(page, sleep):
    page.evaluate("trouble.appIsShown()")
    page.clock.run_for(12_500)
    assert told_of(page) == []
    sleep(page)
    page.clock.run_for(9_000)
    assert told_of(page) == []
    page.clock.run_for(FULL_MS)
    assert told_of(page) == ["no_answer"]


def test_what_was_told_already_is_told_no_second_time(page):
    page.evaluate("trouble.appIsShown()")
    page.clock.run_for(FULL_MS)
    _by_the_clocks(page)
    page.clock.run_for(2 * FULL_MS)
    # It would scroll the person back to the top.
    assert told_of(page) == ["no_answer"]
    page.evaluate("trouble.answered()")
    assert page.locator("#glance").is_hidden()
    page.clock.run_for(2 * FULL_MS)
    assert told_of(page) == ["no_answer", "no_answer"]
