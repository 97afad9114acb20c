"""When the app does not come, or goes, the page says so and gives card, days and the files."""

import json
import re
from datetime import date

import msgpack
import pytest
from phone_driving import private_files
from test_glance import CLINIC, PEOPLE, SAVED, facts_of, in_german
from trouble_driving import (
    WATCH_MS,
    gives_all,
    has_card_and_days,
    saved_files,
    slots_of,
    told,
    without,
)

from pocketpump.core.messages import text_in
from pocketpump.exchange.language.locales import locale
from pocketpump.web.page_words import PAGE_WORDS

pytestmark = pytest.mark.browser


def test_a_start_that_hangs_is_told_and_the_app_may_still_come(used, site):
    held = []
    page = used.page()
    page.route(re.compile(r"/pyodide\.asm\.wasm$"), lambda route: held.append(route))
    page.goto(site.url)
    told(page, "takes_long")
    gives_all(page)
    for route in held:
        route.continue_()
    page.locator("#glance").wait_for(state="hidden", timeout=60_000)


@pytest.mark.parametrize(
    ("blow", "name"),
    [
        ("python.worker.terminate()", "no_answer"),
        ("self.close()", "no_answer"),
        ("setTimeout(() => { throw new Error('blown') })", "stopped_working"),
    ],
)
def test_a_python_that_dies_while_the_app_is_used_is_told(used, site, blow, name):
    page = used.open(site.url).see("refill-by").page
    if blow.startswith("python."):
        page.evaluate(blow)
    else:
        page.workers[-1].evaluate(blow)
    told(page, name)
    gives_all(page)
    page.get_by_role("button", name="Load the page again").click()
    page.locator("#glance").wait_for(state="hidden", timeout=60_000)


def as_flet_sends(action: int, body: object) -> str:
    """The script by which the client tells Python that."""
    packed = bytes([0]) + bytes(msgpack.packb([action, body]))
    return f"jsSend('', new Uint8Array({list(packed)}))"


def test_a_session_that_crashes_is_told(used, site):
    page = used.open(site.url).see("refill-by").page
    # An event of Flet's without what its handler reads, at the page itself.
    event = {"target": 1, "name": "app_lifecycle_state_change", "data": None}
    page.evaluate(as_flet_sends(3, event))
    told(page, "stopped_working")
    assert "Traceback" not in page.locator("body").inner_text()
    gives_all(page)
    page.get_by_role("button", name="Load the page again").click()
    page.locator("#glance").wait_for(state="hidden", timeout=60_000)


def test_a_python_that_no_longer_listens_is_told(used, site):
    page = used.open(site.url).see("refill-by").page
    # No message of Flet's: its loop ends at the error, and nobody would hear of it.
    page.evaluate("jsSend('', new Uint8Array([0, 0x92, 99, 0x80]))")
    told(page, "stopped_working")
    gives_all(page)


def test_that_a_save_was_lost_is_told_whatever_was_told_before(used, site):
    page = used.open(site.url).see("refill-by").page
    page.evaluate("python.onMessage({ kind: 'failed', text: 'blown' })")
    told(page, "stopped_working")
    page.evaluate("python.onMessage({ kind: 'lost', text: 'not kept' })")
    told(page, "could_not_keep")
    page.evaluate("python.onMessage({ kind: 'failed', text: 'blown' })")
    told(page, "could_not_keep")


def test_a_python_that_was_only_busy_is_given_back(used, site):
    page = used.open(site.url).see("refill-by").page
    page.workers[-1].evaluate(
        "setTimeout(() => { const end = Date.now() + 20_000; while (Date.now() < end); })"
    )
    told(page, "no_answer")
    page.locator("#glance").wait_for(state="hidden", timeout=60_000)
    assert page.locator("flutter-view").get_attribute("inert") is None


def test_a_record_that_cannot_be_opened_is_told_with_card_days_and_files(used, site):
    page = used.page()
    page.goto(f"{site.url}manifest.webmanifest")
    # The names of the files are gone; what is in them is not.
    page.evaluate(
        """async () => {
          const folder = await (await navigator.storage.getDirectory())
            .getDirectoryHandle('pocketpump');
          for await (const [name, handle] of folder.entries()) {
            if (!name.startsWith('slot-') || !(await handle.getFile()).size) continue;
            const out = await handle.createWritable({ keepExistingData: true });
            await out.write({ type: 'write', position: 0, data: new Uint8Array(4096) });
            await out.close();
          }
        }"""
    )
    before = slots_of(page)
    page.goto(site.url)
    page.get_by_text("did not let PocketPump read the record").first.wait_for(timeout=WATCH_MS)
    has_card_and_days(page)
    found = saved_files(page)
    assert len(found.entries) > 50
    assert slots_of(page) == before


_OUTSIDE = """() => [...document.querySelectorAll('#glance *')]
  .filter((one) => one.getBoundingClientRect().right > innerWidth)
  .map((one) => one.textContent)"""


@pytest.mark.parametrize("width", [320, 390])
@pytest.mark.parametrize("size", ["100%", "200%"])
def test_nothing_runs_out_of_a_small_screen_or_with_large_text(used, site, width, size):
    page = without(used, r"/worker\.js$")
    page.set_viewport_size({"width": width, "height": 700})
    page.goto(site.url)
    told(page, "could_not_load")
    has_card_and_days(page)
    page.evaluate("size => { document.documentElement.style.fontSize = size; }", size)
    assert page.evaluate(_OUTSIDE) == []


def test_the_first_visit_has_no_files_to_save(uncached, site):
    page = without(uncached, r"/worker\.js$")
    page.goto(site.url)
    told(page, "could_not_load")
    assert "saved" not in page.locator("#glance").inner_text()
    assert page.get_by_role("button", name="Load the page again").is_visible()
    assert not page.locator("#save-files").is_visible()


def test_it_is_said_in_the_language_of_the_person(uncached, site):
    page = without(uncached, r"/worker\.js$")
    page.goto(f"{site.url}manifest.webmanifest")
    facts = in_german(SAVED)
    # As an older version wrote them, which knew fewer sentences.
    del facts["words"]
    page.evaluate("facts => localStorage.setItem('pocketpump.glance', facts)", json.dumps(facts))
    page.goto(site.url)
    page.get_by_text(text_in(PAGE_WORDS["could_not_load"], locale("de"))).wait_for()


# ---- facts that are not as they should be -------------------------------------------------


def with_facts(phone, site, text: str):
    """The page alone, with that in the place of its facts; and what went wrong in it."""
    page = without(phone, r"/worker\.js$|/main\.dart\.js$")
    failures = []
    page.on("pageerror", lambda error: failures.append(str(error)))
    page.goto(f"{site.url}manifest.webmanifest")
    page.evaluate("text => localStorage.setItem('pocketpump.glance', text)", text)
    page.goto(site.url)
    page.locator("#glance-ways").wait_for(state="visible", timeout=WATCH_MS)
    return page, failures


def spoilt(facts: dict) -> list[str]:
    """The facts with each of their parts, one after the other, replaced by something else."""
    whole = json.dumps(facts)
    texts = [whole[:-20], "[]", '"x"', "5", "{}", "nonsense", ""]
    others = (5, "x", [], {}, [None], True, "2026-99-99")

    def places(value, path=()):
        if isinstance(value, dict):
            for key in value:
                yield (*path, key)
                yield from places(value[key], (*path, key))
        elif isinstance(value, list):
            for at in range(min(2, len(value))):
                yield (*path, at)
                yield from places(value[at], (*path, at))

    for number, path in enumerate(places(facts)):
        for other in (others[number % 7], others[(number + 3) % 7]):
            copy = json.loads(whole)
            inside = copy
            for step in path[:-1]:
                inside = inside[step]
            inside[path[-1]] = other
            texts.append(json.dumps(copy))
    return texts


def test_facts_that_cannot_be_read_stop_nothing(uncached, site):
    page, failures = with_facts(uncached, site, "{nonsense")
    for text in spoilt(facts_of(SAVED, name="Mara", contacts=PEOPLE)):
        page.evaluate("text => localStorage.setItem('pocketpump.glance', text)", text)
        page.reload()
        page.locator("#glance-ways").wait_for(state="visible", timeout=WATCH_MS)
        words = page.locator("#glance").inner_text()
        assert failures == [], text
        assert not re.search(r"undefined|\[object|NaN|null", words), text
        if not text.startswith('{"language"'):
            assert "cannot be read" in words or text in ("{}", ""), text


def test_what_can_be_read_of_the_facts_is_shown(uncached, site):
    facts = facts_of(SAVED, name="Mara", contacts=PEOPLE)
    facts["states"][0]["from_at"] = "soon"
    facts["alarm_on"] = 5
    facts["card"]["lines"].insert(0, None)
    page, failures = with_facts(uncached, site, json.dumps(facts))
    assert failures == []
    words = page.locator("#glance").inner_text()
    assert PAGE_WORDS["left_out"] in words
    assert "days past refill-by" in words or "days to refill-by" in words
    assert page.locator("#glance .state").count() == 0, "no state may pass for a milder one"
    assert "Mara" in words
    assert CLINIC.phone in words
    assert date.today().isoformat() not in words  # noqa: DTZ011 nothing is made up


def test_the_app_starts_over_facts_that_cannot_be_read_and_mends_them(used, site):
    page = used.page()
    page.goto(f"{site.url}manifest.webmanifest")
    page.evaluate(
        """async () => {
          localStorage.setItem('pocketpump.glance', '{"states":5,"card":[],"refill_by":{}}');
          const folder = await (await navigator.storage.getDirectory())
            .getDirectoryHandle('pocketpump');
          const out = await (await folder.getFileHandle('glance.json')).createWritable();
          await out.write('{"states":');
          await out.close();
        }"""
    )
    page.goto(site.url)
    page.locator("#glance").wait_for(state="hidden", timeout=60_000)
    facts = json.loads(private_files(page)["glance.json"])
    assert facts["card"]["lines"]
    assert json.loads(page.evaluate("localStorage.getItem('pocketpump.glance')")) == facts
