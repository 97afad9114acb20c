"""What the page must give when the app does not come, or goes."""

from __future__ import annotations

import re
from pathlib import Path

from phone_driving import Phone, private_files, record_in

from pocketpump.exchange.backup.raw_files import read_raw_files
from pocketpump.web.page_words import PAGE_WORDS

WATCH_MS = 30_000
"""The page itself looks every three seconds, four times; a busy machine is given as much again."""


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
    """Hold the page to the card, the days and a number to call."""
    words = page.locator("#glance").inner_text()
    assert "Alarm date" in words
    assert "Stopping baclofen suddenly can kill" in words
    assert page.locator("#glance a[href^='tel:']").count() > 0


def slots_of(page) -> dict[str, bytes]:
    """The files of the record, as they are on the device now."""
    return {n: data for n, data in private_files(page).items() if n.startswith("slot-")}


def saved_files(page):
    """Press the button, and return the entries in the file that comes of it."""
    with page.expect_download() as waiting:
        page.get_by_role("button", name="Save the record's files").click()
    file = waiting.value
    assert re.fullmatch(r"\d{4}-\d\d-\d\d notes files\.json", file.suggested_filename)
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


def without(phone: Phone, pattern: str):
    """A new tab to which nothing comes whose address matches ``pattern``."""
    page = phone.page()
    page.route(re.compile(pattern), lambda route: route.abort())
    return page
