"""Spoilt records on the real phone build: it starts, and card, backup and Today are drawn.

The record's files are put where the browser keeps them, as damage or another program would
have left them there; those of which the most cannot be read.
"""

from __future__ import annotations

import base64
import sys
from pathlib import Path

import pytest
from phone_driving import _PUT_ALL, Found, Phone
from playwright.sync_api import Error

from pocketpump.record.journal.slots import SlotFiles
from pocketpump.web.build import SLOTS

HERE = Path(__file__).parent
sys.path.append(str(HERE.parent / "app"))

from every_view import opened  # noqa: E402
from mangling import BASES, NAME, NOW, mangled  # noqa: E402

pytestmark = pytest.mark.browser

BROKEN = "This screen could not be drawn"


@pytest.fixture
def site(serve, built):
    return serve(built)


@pytest.fixture
def phone(playwright, tmp_path):
    # Keeps no offline copy: each record is to meet a fresh start.
    made = Phone(playwright, tmp_path / "profile", service_workers="block")
    yield made
    made.close()


def worst(count: int, among: int) -> list[int]:
    """The seeds below ``among`` whose records open with the most troubles."""
    entries, troubles = BASES["small"](), {}
    for seed in range(among):
        kind, data = mangled(seed, entries)
        record = opened(kind, data, NOW) if kind == "record" else None
        if record is not None:
            troubles[seed] = 10 * len(record.unread) + len(record.problems)
    return sorted(troubles, key=lambda seed: (-troubles[seed], seed))[:count]


def files_of(seed: int) -> dict[str, str]:
    """The spoilt record as the browser keeps it: name of the slot to its bytes in base 64."""
    kind, data = mangled(seed, BASES["small"]())
    assert kind == "record"
    slots = [Found(b"") for _ in range(SLOTS)]
    SlotFiles(slots).append(NAME, data)
    parts = (slot.read(slot.get_size(), 0) for slot in slots)
    return {f"slot-{at:02}": base64.b64encode(part).decode() for at, part in enumerate(parts)}


def put(phone: Phone, url: str, files: dict[str, str]) -> None:
    page = phone.page()
    page.goto(f"{url}manifest.webmanifest")
    # The tab before lets go of its files a moment after it was closed.
    for left in reversed(range(100)):
        try:
            page.evaluate(_PUT_ALL, files)
            break
        except Error:
            if not left:
                raise
            page.wait_for_timeout(100)
    page.close()


SHOWN = {
    "/backup": ("Make the backup",),
    "/card": ("Share as a picture",),
    # A record whose pump cannot be read asks for it there.
    "/today": ("How is it now?", "Go on setting up"),
    "/refills": ("Log a refill",),
    "/doses": ("Log a dose change",),
    "/log": ("All check-ins",),
    "/record": ("Entries ever written",),
}
"""What stands on each screen that is drawn, one of them at least."""


def walk(hand) -> None:
    for route, words in SHOWN.items():
        hand.page.evaluate("route => { location.hash = `#${route}`; }", route)
        hand.until(lambda these=words: any(one in hand.words() for one in these), f"for {route}")
        assert BROKEN not in hand.words()


@pytest.mark.parametrize(
    ("count", "among"), [(3, 300), pytest.param(200, 6_000, marks=pytest.mark.thorough)]
)
def test_the_worst_records_leave_no_dead_screen_on_the_phone(site, phone, count, among):
    dead = {}
    for seed in worst(count, among):
        put(phone, site.url, files_of(seed))
        phone.said.clear()
        hand = phone.open(f"{site.url}#/backup")
        try:
            walk(hand)
            assert not [text for text in phone.said if "Traceback" in text]
        except (AssertionError, pytest.fail.Exception) as error:
            dead[seed] = str(error)
        hand.page.close()
    assert dead == {}
