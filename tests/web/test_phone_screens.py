"""Every screen of the phone app, without a network: drawn, and its files made in the browser."""

from __future__ import annotations

import io
import os
import shutil
from datetime import UTC, datetime
from pathlib import Path

import pytest
from phone_driving import Phone, Site, offline_ready
from pypdf import PdfReader

from pocketpump.app.screens.routes import ROUTES
from pocketpump.exchange.backup.backup import write_backup
from pocketpump.exchange.papers.card_phrases import LANGUAGES, phrases
from pocketpump.record.demo import demo_folder, moved_to_now

pytestmark = pytest.mark.browser

# Longer than the four words the app asks for, and of no dictionary.
WORDS = "quiet lamp under seven hills"
THOROUGH = os.environ.get("POCKETPUMP_THOROUGH")


@pytest.fixture(scope="module")
def story(tmp_path_factory) -> Path:
    """The demo's record as a backup file."""
    now = datetime.now(UTC)
    path = tmp_path_factory.mktemp("story") / "story.json"
    path.write_bytes(write_backup(moved_to_now(demo_folder(), now), now))
    return path


def bring_in(hand, file: Path, words: str = "") -> None:
    with hand.page.expect_file_chooser() as waiting:
        hand.tap("Choose a file")
    waiting.value.set_files(file)
    if words:
        hand.type_into("Passphrase", words).tap("Open it")
    hand.see("What it would add").tap("Bring it in").see("entries were brought in.")


def kept(hand, button: str, path: Path) -> Path:
    with hand.page.expect_download(timeout=60_000) as waiting:
        hand.tap(button)
    waiting.value.save_as(path)
    return path


def told_wrong(phone: Phone) -> list[str]:
    """What the console said of files that are not there and of errors in Python."""
    signs = ("Traceback", "Error", "Failed", "not found")
    return [text for text in phone.said if any(sign in text for sign in signs)]


@pytest.fixture(scope="module")
def prepared(playwright, built, story, tmp_path_factory) -> tuple[Path, str]:
    """A browser's profile with the demo's record in it, and the address it belongs to."""
    site, profile = Site(built), tmp_path_factory.mktemp("prepared") / "profile"
    phone = Phone(playwright, profile)
    hand = phone.open(f"{site.url}#/start/copy")
    bring_in(hand, story)
    offline_ready(hand.page)
    phone.close()
    site.stop()
    return profile, site.url


@pytest.fixture
def offline(prepared, tmp_path) -> str:
    """The address of the app on ``phone``, where it is kept; nobody serves it any more."""
    profile, url = prepared
    shutil.copytree(profile, tmp_path / "profile")
    return url


@pytest.mark.thorough
def test_every_screen_is_drawn_without_a_network(offline, phone):
    hand = phone.open(f"{offline}#/today").see("refill-by")
    for route, screen_route in list(ROUTES.items())[:: 1 if THOROUGH else 4]:
        hand.page.evaluate("route => { location.hash = `#${route}`; }", route)
        hand.see(screen_route.title)
        hand.page.wait_for_timeout(300)
    assert told_wrong(phone) == []


@pytest.mark.thorough
def test_the_card_is_there_from_a_cold_start_in_every_language(offline, phone, tmp_path):
    hand = phone.open(f"{offline}#/card").see("Mara Holm").see(phrases("en")["stopping"])
    hand.screenshot("web-card")
    for code in LANGUAGES[1:] if THOROUGH else ("ar", "de", "ja"):
        # Three languages are named in English on the button, for the client lacks their script.
        name = {"ar": "Arabic", "zh": "Chinese", "ja": "Japanese"}.get(code, phrases(code).name)
        hand.tap("Language:").tap(name).see(phrases(code)["stopping"])
    hand.screenshot("web-card-last-language")
    # The drawn pages hold letters of every script.
    picture = kept(hand, "Share as a picture", tmp_path / "card.png").read_bytes()
    assert picture.startswith(b"\x89PNG\r\n\x1a\n")
    page = kept(hand, "Save as a page", tmp_path / "card.html").read_text(encoding="utf-8")
    assert phrases("ja")["stopping"] in page
    hand.tap("Print (with")
    drawn = PdfReader(kept(hand, "Save as PDF", tmp_path / "card.pdf"))
    assert drawn.metadata.title == phrases("ja")["title"]
    assert told_wrong(phone) == []


@pytest.mark.thorough
def test_a_locked_backup_made_here_opens_on_another_phone(
    offline, phone, playwright, serve, built, tmp_path
):
    hand = phone.open(f"{offline}#/backup").tap("Yes, with a passphrase")
    hand.type_into("Passphrase", WORDS).type_into("The same again", WORDS)
    file = kept(hand, "Make the backup", tmp_path / "locked.json")
    assert b"Mara Holm" not in file.read_bytes()

    other = Phone(playwright, tmp_path / "other")
    try:
        new = other.open(f"{serve(built).url}#/start/copy")
        bring_in(new, file, WORDS)
        new.see("refill-by").screenshot("web-restored")
    finally:
        other.close()


@pytest.mark.thorough
def test_the_clinic_sheet_and_a_photo_need_no_server(offline, phone, tmp_path):
    hand = phone.open(f"{offline}#/sheet").see("for the next visit")
    sheet = PdfReader(io.BytesIO(kept(hand, "Save as PDF", tmp_path / "s.pdf").read_bytes()))
    words = "\n".join(page.extract_text() for page in sheet.pages)
    assert "Drug-age limit" in words
    calendar = kept(hand, "Save the coming dates", tmp_path / "dates.ics").read_bytes()
    assert calendar.startswith(b"BEGIN:VCALENDAR")

    photo = tmp_path / "letter.png"
    photo.write_bytes(hand.page.screenshot())
    hand.page.evaluate("location.hash = '#/papers'")
    with hand.page.expect_file_chooser() as waiting:
        hand.tap("Add a photo")
    waiting.value.set_files(photo)
    hand.see("letter.png")
    phone.close()
    hand = phone.open(f"{offline}#/papers").see("letter.png")
    again = kept(hand, "Save as a file", tmp_path / "again.png")
    assert again.read_bytes() == photo.read_bytes()
