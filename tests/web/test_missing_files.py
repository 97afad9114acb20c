"""A file of the app that does not come is told as that, with what helps, and at once."""

import re

import pytest
from trouble_driving import WATCH_MS, gives_all, told, without

from pocketpump.web.page_words import PAGE_WORDS

pytestmark = pytest.mark.browser

NEEDED = (
    "flutter.js",
    "main.dart.js",
    "canvaskit.js",
    "canvaskit.wasm",
    "worker.js",
    "pyodide.mjs",
    "pyodide.asm.mjs",
    "pyodide.asm.wasm",
    "tz.zip",
)
"""Without any one of these there is no app."""

WAYS = {
    "blocked": lambda route: route.abort("blockedbyclient"),
    "not there": lambda route: route.fulfill(status=404),
    # As the page of a network that wants a password first.
    "something else": lambda route: route.fulfill(
        content_type="text/html", body="<!doctype html><title>Log in</title>"
    ),
}

EVERY = [(file, way) for file in NEEDED for way in WAYS]
SAMPLE = {
    ("canvaskit.wasm", "blocked"),
    ("canvaskit.wasm", "something else"),
    ("pyodide.asm.wasm", "not there"),
    ("pyodide.asm.wasm", "something else"),
    ("worker.js", "blocked"),
    ("main.dart.js", "something else"),
    ("tz.zip", "something else"),
}
"""The others are told by the same ways: of a script, and of what Python's side fetches."""


@pytest.mark.parametrize(
    ("file", "way"),
    [
        pytest.param(*one, marks=() if one in SAMPLE else pytest.mark.thorough, id=" ".join(one))
        for one in EVERY
    ],
)
def test_a_file_that_does_not_come_is_told_at_once(used, site, file, way):
    page = used.page()
    page.route(re.compile(rf"/{re.escape(file)}$"), WAYS[way])
    page.goto(site.url)
    page.locator("#glance-ways").wait_for(state="visible", timeout=WATCH_MS)
    # The first that is said, not what is said when it has taken long.
    assert page.locator("#glance-status").get_attribute("data-say") == "could_not_load"
    told(page, "could_not_load")
    gives_all(page)


@pytest.mark.parametrize(
    "file",
    [
        "rive_native.js",
        *(
            pytest.param(one, marks=pytest.mark.thorough)
            for one in ("roboto.woff2", "MaterialIcons-Regular.otf", "PocketPumpLatin.ttf",
                        "site.zip", "snapshot.bin.gz", "manifest.webmanifest")
        ),
    ],
)  # fmt: skip
def test_what_the_app_can_do_without_raises_no_alarm(used, site, file):
    page = used.page()
    blocked = []
    page.route(re.compile(rf"/{re.escape(file)}$"), lambda route: blocked.append(route.abort()))
    page.goto(site.url)
    page.locator("#glance").wait_for(state="hidden", timeout=60_000)
    assert blocked
    page.wait_for_timeout(3_000)
    assert page.locator("#glance").is_hidden()


def test_the_first_visit_is_told_nothing_of_what_was_saved(uncached, site):
    held = []
    page = uncached.page()
    page.route(re.compile(r"/main\.dart\.js$"), lambda route: held.append(route))
    page.goto(site.url, wait_until="commit")
    told(page, "takes_long_first")
    assert "saved" not in page.locator("#glance").inner_text()
    for route in held:
        route.continue_()
    page.locator("#glance").wait_for(state="hidden", timeout=60_000)


def test_what_is_shown_is_said_to_be_as_it_was_saved(used, site):
    page = without(used, r"/worker\.js$")
    page.goto(site.url)
    told(page, "could_not_load")
    page.get_by_text(PAGE_WORDS["as_saved"]).wait_for(state="visible")
    shown = [page.get_by_text(PAGE_WORDS["as_saved"]), page.locator("#glance-facts")]
    said, facts = (one.bounding_box() for one in shown)
    assert said["y"] < facts["y"]
