"""A browser that cannot write at once keeps the record all the same, and says saved no sooner.

Chromium can; so here its worker is told that it cannot.
"""

import json
from collections.abc import Iterator
from pathlib import Path

import pytest
from phone_driving import Phone, offline_ready
from test_phone import ask, set_up

from pocketpump.exchange.backup.raw_files import read_raw_files

pytestmark = pytest.mark.browser

WITHOUT = "delete FileSystemFileHandle.prototype.createSyncAccessHandle;\n"
FULL = """
const put = IDBObjectStore.prototype.put;
IDBObjectStore.prototype.put = function (value, key) {
  const request = put.call(this, value, key);
  // The device is full, as the browser finds out when it comes to write.
  const text = value instanceof Uint8Array ? new TextDecoder().decode(value) : "";
  if (text.includes("This one does not fit")) request.onsuccess = () => this.transaction.abort();
  return request;
};
"""
NAMES = """async () => [
  (await indexedDB.databases()).map(({ name }) => name),
  await (await navigator.storage.getDirectory()).getDirectoryHandle('pocketpump')
    .then(() => true, () => false),
]"""


@pytest.fixture
def site(serve, built):
    return serve(built)


@pytest.fixture
def phone(playwright, tmp_path) -> Iterator[Phone]:
    """Keeps no offline copy: an old worker would come out of it."""
    made = Phone(playwright, tmp_path / "profile", service_workers="block")
    yield made
    made.close()


def begin_with(phone: Phone, built: Path, script: str) -> None:
    """Let the Python worker run ``script`` first, from the next page on."""
    (worker,) = built.glob("r-*/worker.js")
    body = script + worker.read_text()
    phone.context.route(
        "**/worker.js", lambda route: route.fulfill(body=body, content_type="text/javascript")
    )


@pytest.mark.thorough
def test_what_was_called_saved_outlives_a_kill_and_moves_to_better_files(phone, site, built):
    url = f"{site.url}#/questions"
    begin_with(phone, built, WITHOUT)
    hand = phone.open(url)
    ask(hand, "May I swim?")
    phone.kill()

    begin_with(phone, built, WITHOUT)
    hand = phone.open(url).see("May I swim?")
    assert hand.page.evaluate(NAMES) == [["pocketpump"], False]
    second = phone.open(url).see("already open in another tab")
    second.page.close()
    phone.close()

    # The browser has learnt it meanwhile.
    hand = phone.open(url).see("May I swim?")
    assert hand.page.evaluate(NAMES) == [[], True]
    ask(hand, "May I fly?")
    phone.kill()
    phone.open(url).see("May I swim?").see("May I fly?")


@pytest.mark.thorough
def test_what_could_not_be_kept_is_not_called_saved(phone, site, built):
    begin_with(phone, built, WITHOUT + FULL)
    url = f"{site.url}#/questions"
    hand = phone.open(url)
    ask(hand, "May I swim?")
    hand.type_into("A question for the next visit", "This one does not fit")
    hand.tap("Save the question")
    told = hand.page.locator("#glance-status")
    hand.until(lambda: "could not be kept" in told.inner_text(), "to be told")
    assert "does not fit" not in hand.words()
    hand.page.close()
    phone.open(url).see("May I swim?").miss("does not fit")


@pytest.mark.thorough
def test_a_window_that_keeps_no_files_says_so_before_anything_is_typed(phone, site, built):
    begin_with(phone, built, "delete StorageManager.prototype.getDirectory;\n")
    hand = phone.open(site.url).see("This browser window keeps no files").miss("Begin")
    assert hand.page.get_by_role("textbox").count() == 0


BROKEN_DATABASE = """
IDBFactory.prototype.open = () => { throw new DOMException("no", "InvalidStateError"); };
"""


def test_a_database_that_does_not_open_is_not_called_another_tab(phone, site, built):
    begin_with(phone, built, WITHOUT + BROKEN_DATABASE)
    page = phone.page()
    page.goto(site.url)
    told = page.locator("#glance-status")
    page.get_by_text("The browser could not open the files").first.wait_for(timeout=40_000)
    assert "another tab" not in told.inner_text()
    assert page.get_by_role("button", name="Load the page again").is_visible()


REMIND = """async () => {
  Object.defineProperty(Notification, "permission", { get: () => "granted" });
  let told = "";
  self.registration.showNotification = async (title, { body }) => { told = body; };
  await remind();
  return told;
}"""


@pytest.mark.parametrize("way", [WITHOUT, ""], ids=["database", "files"])
def test_the_page_and_the_service_worker_find_the_facts_where_they_are(
    playwright, tmp_path, site, built, way
):
    phone = Phone(playwright, tmp_path / "profile")
    begin_with(phone, built, way)
    hand = phone.open(site.url)
    # The service worker would find that this is not the file it was built with.
    phone.context.unroute_all()
    set_up(hand)
    offline_ready(hand.page)
    kept = hand.page.evaluate("storedFiles(PAGE.folder, PAGE.glanceFile)"
                              ".then(found => found.get(PAGE.glanceFile).text())")  # fmt: skip
    assert json.loads(kept)["refill_by"]
    # The facts as they are on the day after the refill-by date: more than two weeks before it
    # nothing is reminded of.
    (worker,) = phone.context.service_workers
    worker.evaluate("() => { const now = Date.now() + 40 * 864e5;"
                    " self.Date = class extends Date { constructor(...all)"
                    " { super(...(all.length ? all : [now])); } }; }")  # fmt: skip
    assert worker.evaluate(REMIND) == "A day you noted is past. Please look."
    # What the browser may have lost of the quick copy is found in the lasting one.
    hand.page.evaluate("localStorage.removeItem('pocketpump.glance')")
    hand.page.goto(f"{site.url}manifest.webmanifest")
    page = phone.page()
    page.goto(site.url)
    page.locator("#glance .count").wait_for(state="attached", timeout=40_000)
    assert page.evaluate("localStorage.getItem('pocketpump.glance')") == kept
    phone.close()


def test_the_files_in_a_database_are_saved_and_brought_in_elsewhere(phone, site, built):
    begin_with(phone, built, WITHOUT)
    hand = phone.open(f"{site.url}#/questions")
    ask(hand, "May I swim?")
    hand.page.evaluate("python.worker.terminate()")
    button = hand.page.get_by_role("button", name="Save the record's files")
    button.wait_for(state="visible", timeout=40_000)
    with hand.page.expect_download() as waiting:
        button.click()
    found = read_raw_files(Path(waiting.value.path()).read_bytes())
    assert [one.payload["text"] for one in found.entries if one.kind == "question"] == [
        "May I swim?"
    ]


def test_an_empty_database_never_takes_the_place_of_files(phone, site):
    url = f"{site.url}#/questions"
    hand = phone.open(url)
    ask(hand, "May I swim?")
    phone.close()
    page = phone.page()
    page.goto(f"{site.url}manifest.webmanifest")
    page.evaluate(
        """() => new Promise((done) => {
          const request = indexedDB.open("pocketpump", 1);
          request.onupgradeneeded = () => request.result.createObjectStore("parts");
          request.onsuccess = () => { request.result.close(); done(); };
        })"""
    )
    page.close()
    hand = phone.open(url).see("May I swim?")
    assert hand.page.evaluate(NAMES) == [[], True]
