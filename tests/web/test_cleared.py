"""The browser's storage cleared, while the app is open or before it starts, is always told."""

import pytest
from test_phone import ask

pytestmark = pytest.mark.browser

ONLY_THE_FILES = """async () => {
  const root = await navigator.storage.getDirectory();
  await root.removeEntry('pocketpump', { recursive: true });
}"""


@pytest.fixture
def site(serve, built):
    return serve(built)


def test_a_save_after_the_storage_was_cleared_is_not_called_saved(phone, site):
    hand = phone.open(f"{site.url}#/questions")
    ask(hand, "May I swim?")
    devtools = phone.context.new_cdp_session(hand.page)
    devtools.send("Storage.clearDataForOrigin", {"origin": site.url.rstrip("/"),
                                                 "storageTypes": "file_systems"})  # fmt: skip
    hand.type_into("A question for the next visit", "Is this kept?")
    hand.tap("Save the question")
    told = hand.page.locator("#glance-status")
    hand.until(lambda: "has cleared PocketPump's files" in told.inner_text(), "to be told")
    assert told.bounding_box()["y"] < 200, "above the card, where it is seen"
    assert "Is this kept?" not in hand.words()


def test_files_cleared_while_closed_are_missed_at_the_next_start(phone, site):
    hand = phone.open(f"{site.url}#/questions")
    ask(hand, "May I swim?")
    phone.close()  # lets go of the files for certain
    page = phone.page()
    page.goto(f"{site.url}manifest.webmanifest")
    page.evaluate(ONLY_THE_FILES)
    page.close()
    hand = phone.open(site.url).see("its files are gone").see("I have a backup")
    hand.page.close()
    phone.open(site.url).see("its files are gone")
