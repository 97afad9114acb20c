"""When the app does not come, or goes, the page says so and gives card, days and the files."""

import json
import re
from datetime import date
from pathlib import Path

import pytest
from phone_driving import Phone, private_files, put_demo, record_in
from test_glance import CLINIC, PEOPLE, SAVED, facts_of, in_german

from pocketpump.exchange.raw_files import read_raw_files
from pocketpump.web.glance import PAGE_WORDS

pytestmark = pytest.mark.browser

WATCH_MS = 30_000
"""The page itself looks every three seconds, four times; a busy machine is given as much again."""


@pytest.fixture(scope="module")
def site(built):
    from phone_driving import Site

    made = Site(built)
    yield made
    made.stop()


@pytest.fixture
def phone(playwright, tmp_path):
    # Keeps no offline copy: what is blocked must not come out of it.
    made = Phone(playwright, tmp_path / "profile", service_workers="block")
    yield made
    made.close()


def told(page, name: str) -> None:
    """Wait until the page says it, above the card, and nothing lies over it."""
    text = re.sub(r"\{\w+\}", "", PAGE_WORDS[name])
    page.get_by_text(text).first.wait_for(state="visible", timeout=WATCH_MS)
    box = page.locator("#glance-status").bounding_box()
    assert box["y"] < 200
    on_top = page.evaluate(
        "([x, y]) => document.elementFromPoint(x, y).id", [box["x"] + 5, box["y"] + 5]
    )
    assert on_top == "glance-status"


def has_card_and_days(page) -> None:
    words = page.locator("#glance").inner_text()
    assert "Alarm date" in words
    assert "Stopping baclofen suddenly can kill" in words
    assert page.locator("#glance a[href^='tel:']").count() > 0


def slots_of(page) -> dict[str, bytes]:
    return {n: data for n, data in private_files(page).items() if n.startswith("slot-")}


def saved_files(page):
    """Press the button, and return the entries in the file that comes of it."""
    with page.expect_download() as waiting:
        page.get_by_role("button", name="Save the record's files").click()
    file = waiting.value
    assert re.fullmatch(r"pocketpump-files-\d{4}-\d\d-\d\d\.json", file.suggested_filename)
    page.get_by_text(f"The record's files are in {file.suggested_filename}").wait_for()
    return read_raw_files(Path(file.path()).read_bytes())


def gives_all(page) -> None:
    """Card, days, and a file with every entry, by which nothing of the record is touched."""
    has_card_and_days(page)
    before = slots_of(page)
    found = saved_files(page)
    assert slots_of(page) == before
    with record_in(before) as record:
        assert {one.id for one in found.entries} == {one.id for one in record.entries}
        assert len(found.entries) > 50
    assert found.problems == ()
    assert page.get_by_role("button", name="Load the page again").is_visible()


@pytest.fixture
def used(phone, site):
    """A phone on which the app was used, and closed."""
    put_demo(phone, site)
    hand = phone.open(site.url).see("refill-by")
    hand.page.close()
    phone.close()  # lets go of the files for certain
    return phone


def without(phone, pattern: str):
    page = phone.page()
    page.route(re.compile(pattern), lambda route: route.abort())
    return page


@pytest.mark.parametrize(
    ("file", "name"),
    [
        ("flutter.js", "could_not_load"),
        ("main.dart.js", "could_not_load"),
        # Flutter keeps to itself that it has nothing to draw with.
        ("canvaskit.wasm", "takes_long"),
    ],
)
def test_a_client_that_does_not_load_is_told(used, site, file, name):
    page = without(used, rf"/{re.escape(file)}$")
    page.goto(site.url)
    told(page, name)
    gives_all(page)


@pytest.mark.parametrize(
    ("file", "name"),
    [
        ("worker.js", "could_not_start"),
        ("pyodide.mjs", "could_not_start"),
        # Pyodide waits for it for ever.
        ("pyodide.asm.wasm", "takes_long"),
        ("tz.zip", "could_not_start"),
    ],
)
def test_a_python_that_does_not_start_is_told(used, site, file, name):
    page = without(used, rf"/{re.escape(file)}$")
    page.goto(site.url)
    told(page, name)
    gives_all(page)


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


def test_the_first_visit_has_no_files_to_save(phone, site):
    page = without(phone, r"/worker\.js$")
    page.goto(site.url)
    told(page, "could_not_start")
    assert page.get_by_role("button", name="Load the page again").is_visible()
    assert not page.locator("#save-files").is_visible()


def test_it_is_said_in_the_language_of_the_person(phone, site):
    page = without(phone, r"/worker\.js$")
    page.goto(f"{site.url}manifest.webmanifest")
    facts = in_german(SAVED)
    # As an older version wrote them, which knew fewer sentences.
    del facts["words"]
    page.evaluate("facts => localStorage.setItem('pocketpump.glance', facts)", json.dumps(facts))
    page.goto(site.url)
    page.get_by_text("Die App ließ sich nicht starten").wait_for()


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


def test_facts_that_cannot_be_read_stop_nothing(phone, site):
    page, failures = with_facts(phone, site, "{nonsense")
    for text in spoilt(facts_of(SAVED, name="Mara", contacts=PEOPLE)):
        page.evaluate("text => localStorage.setItem('pocketpump.glance', text)", text)
        page.reload()
        page.locator("#glance-ways").wait_for(state="visible", timeout=WATCH_MS)
        words = page.locator("#glance").inner_text()
        assert failures == [], text
        assert not re.search(r"undefined|\[object|NaN|null", words), text
        if not text.startswith('{"language"'):
            assert "cannot be read" in words or text in ("{}", ""), text


def test_what_can_be_read_of_the_facts_is_shown(phone, site):
    facts = facts_of(SAVED, name="Mara", contacts=PEOPLE)
    facts["states"][0]["from_at"] = "soon"
    facts["alarm_on"] = 5
    facts["card"]["lines"].insert(0, None)
    page, failures = with_facts(phone, site, json.dumps(facts))
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
