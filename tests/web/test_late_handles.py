"""A browser that cannot write at once keeps the record all the same, and says saved no sooner.

Chromium can; so here its worker is told that it cannot.
"""

from collections.abc import Iterator
from pathlib import Path

import pytest
from phone_driving import Phone
from test_phone import ask

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
