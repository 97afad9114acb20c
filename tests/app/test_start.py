"""The first screen: the language is chosen there, and files and questions are of that language."""

import asyncio
from datetime import timedelta

import pytest
from loud import Loud
from screen_hand import PagelessApp, at, controls_in, in_use, texts

from pocketpump.app.screens.more.trip import travel_paper, trip
from pocketpump.app.screens.pump.what_if import what_if
from pocketpump.app.screens.refills.clinic_sheet import sheet
from pocketpump.app.screens.today.first_run import start
from pocketpump.core.messages import text_in
from pocketpump.exchange.backup.import_preview import preview
from pocketpump.exchange.language.locales import LANGUAGE_NAMES, locale
from pocketpump.exchange.papers.drawing.page import Text
from pocketpump.record.facts.situation import preferences_of

NOW = at("2026-03-20T12:00")
GERMAN = {"name": "language", "value": "de"}


def tap(screen, app, key: str):
    """Tap the button with this key; what it does may be awaited."""
    return next(c for c in controls_in(screen(app)) if c.key == key).on_click()


@pytest.fixture
def saved(monkeypatch):
    """The files handed over, by name."""
    files = {}

    async def save_file(_app, name, content):
        files[name] = content

    monkeypatch.setattr("pocketpump.app.screens.refills.clinic_sheet.save_file", save_file)
    return files


def test_the_start_offers_every_language_but_the_one_spoken_by_its_own_name():
    app = PagelessApp(NOW)
    names = set(LANGUAGE_NAMES.values())
    assert names & set(texts(start(app))) == names - {"English"}
    app.note("preference", "2026-03-20T11:00", GERMAN)
    shown = {text_in(text, Loud()) for text in texts(start(app))}
    assert names & shown == names - {"Deutsch"}


def test_a_language_chosen_at_the_start_is_kept_and_spoken_at_once():
    app, translated = PagelessApp(NOW), []
    app.speak = translated.append
    tap(start, app, "button:Deutsch")
    assert preferences_of(app.services.record.alive, app.services.now())["language"] == "de"
    app.time += timedelta(minutes=1)
    tap(start, app, "button:English")
    assert preferences_of(app.services.record.alive, app.services.now())["language"] == "en"
    assert translated == [locale("de"), None]


def test_a_backup_brought_in_after_the_language_was_chosen_is_not_taken_for_a_stranger_s():
    new, old = PagelessApp(NOW), in_use()
    new.note("preference", "2026-03-20T11:00", GERMAN)
    theirs = old.services.record.entries
    assert not preview(new.services.record.entries, theirs, old.services.zone).stranger
    new.note("question", "2026-03-20T11:00", {"text": "Is it mine?"})
    assert preview(new.services.record.entries, theirs, old.services.zone).stranger


def test_the_clinic_s_files_are_of_the_language_spoken(saved):
    app = in_use()

    def press(key):
        asyncio.run(tap(sheet, app, key))

    press("button:Save as a web page")
    assert b"Clinic sheet" in saved["2026-03-20 sheet.html"]
    app.locale = Loud()
    for key in ("Save as a web page", "Save as PDF", "Save the coming dates for a calendar"):
        press(f"button:{key}")
    assert b"CLINIC SHEET" in saved["2026-03-20 sheet.html"]
    assert b"CALL THE CLINIC" in saved["2026-03-20 dates.ics"]
    assert saved["2026-03-20 sheet.pdf"].startswith(b"%PDF")


def test_a_question_worked_out_by_what_if_is_kept_in_the_words_it_was_read_in():
    app = in_use()
    app.translated = lambda text: text_in(text, Loud())
    app.drafts["what if"] = {"what": "filled", "filled": "15"}
    tap(what_if, app, "button:Save this question")
    kept = app.services.newest("question").payload["text"]
    assert kept.startswith("IF THE PUMP WERE FILLED WITH 15 mL, WHEN")
    assert type(kept) is str


def test_the_travel_sheet_is_of_the_language_spoken():
    app = in_use()
    app.locale = Loud()
    app.translated = lambda text: text_in(text, Loud())
    made = app.note("trip", "2026-03-20T11:00", {"place": "Rome", "zone": "Europe/Rome",
                    "leaves_on": "2026-04-10", "returns_on": "2026-04-20"})  # fmt: skip
    app.query = {"id": made.id}
    tap(trip, app, "button:Travel sheet")
    assert app.route == f"/pages?of=travel&id={made.id}"
    paper = travel_paper(app, app.query)
    said = " ".join(t.letters for t in paper.pages[0].drawn if isinstance(t, Text))
    assert paper.title in said
    assert "TO PACK" in said
