"""The language is chosen on a screen, kept in the record and spoken from then on."""

import json
from datetime import UTC, date, datetime, timedelta
from types import SimpleNamespace

import flet as ft
import pytest
from loud import Loud
from screen_hand import PagelessApp, at, controls_in, in_use, texts

from pocketpump.app.draft_keeping import Keep
from pocketpump.app.forms.fields import Whole
from pocketpump.app.forms.form import Form
from pocketpump.app.main import PLACES, tab
from pocketpump.app.parts import stepper
from pocketpump.app.parts.fields import SteadyField
from pocketpump.app.screens.card.card import emergency_card
from pocketpump.app.screens.error_screen import error_screen
from pocketpump.app.screens.more import language
from pocketpump.app.screens.routes import ROUTES
from pocketpump.app.screens.safety.contacts import contact
from pocketpump.app.shell.shell import App
from pocketpump.app.shell.translation import translate
from pocketpump.core.messages import text_in
from pocketpump.core.safety.contacts import EMERGENCY_ROLE
from pocketpump.core.units.quantity import format_number
from pocketpump.exchange.charts.days import axis_of_days
from pocketpump.record import MemoryFiles, Record
from pocketpump.record.facts.situation import preferences_of

NOW = datetime(2026, 3, 20, 12, tzinfo=UTC)


@pytest.fixture
def loud(monkeypatch):
    """German is English in capitals."""

    def locale(code):
        return Loud() if code == "de" else None

    monkeypatch.setattr(language, "locale", locale)
    monkeypatch.setattr("pocketpump.app.main.locale", locale)


def page_at(route: str):
    """As much of flet's page as a drawn screen needs."""
    return SimpleNamespace(
        route=route,
        views=[SimpleNamespace()],
        width=390,
        title="",
        update=lambda: None,
        run_task=lambda *_args, **_more: SimpleNamespace(cancel=lambda: None),
    )


def shown(page) -> list[str]:
    return texts(page.views[0].controls)


def tap(page, key: str) -> None:
    """Tap the button inside what has this key."""
    held = next(c for c in controls_in(page.views[0].controls) if c.key == key)
    next(c for c in controls_in([held]) if getattr(c, "on_click", None)).on_click()


def test_choosing_german_keeps_it_and_speaks_it_at_once(loud):
    hand = in_use()
    page, book = page_at("/look"), hand.services
    App(
        page, book, ROUTES, PLACES, home="/today", error_screen=error_screen, now=book.now
    ).refresh()
    assert "Text size" in shown(page)
    tap(page, "option:de")
    assert preferences_of(book.record.alive, book.now())["language"] == "de"
    assert {"TEXT SIZE", "LANGUAGE", "TODAY", "English", "Deutsch"} <= set(shown(page))
    assert "Text size" not in shown(page)
    assert page.title == "TEXT SIZE AND COLOURS – POCKETPUMP"
    hand.time += timedelta(minutes=1)
    tap(page, "option:en")
    assert preferences_of(book.record.alive, book.now())["language"] == "en"
    assert "Text size" in shown(page)


def test_the_client_is_told_the_language():
    page, book = page_at("/look"), in_use().services
    App(
        page, book, ROUTES, PLACES, home="/today", error_screen=error_screen, now=book.now
    ).refresh()
    tap(page, "option:de")
    assert page.locale_configuration.current_locale == ft.Locale("de")


def test_a_tab_opens_in_the_language_that_was_chosen(loud):
    app = in_use()
    app.note("preference", "2026-03-20T11:00", {"name": "language", "value": "de"})
    page = page_at("/more")
    tab(app.services)(page)
    assert "TEXT SIZE, COLOURS, LANGUAGE" in shown(page)


def test_an_unknown_language_is_english():
    app = in_use()
    app.note("preference", "2026-03-20T11:00", {"name": "language", "value": "tlh"})
    assert language.language_of(app.services) == "en"


def test_who_only_chose_a_language_still_begins_at_the_start(loud):
    app = PagelessApp(NOW)
    app.note("preference", "2026-03-20T11:00", {"name": "language", "value": "de"})
    page = page_at("")
    tab(app.services)(page)
    assert "BEGIN" in shown(page)


def stepped_box(value: str, taps: list[str], typed: str | None = None) -> SteadyField:
    """The box of a stepper drawn in another language, after ``typed``, and what "more" gave."""
    drawn = stepper("Alarm", value, taps.append, unit="mL", step="0.1")
    translate(drawn, Loud())
    parts = controls_in([drawn])
    box = next(c for c in parts if isinstance(c, SteadyField))
    if typed is not None:
        box.value = typed
    next(c for c in parts if c.key == "more").on_click()
    return box


@pytest.mark.parametrize(
    ("value", "typed", "shows", "then"),
    [
        (format_number(0.5), None, "0,5", "0.6"),
        # What would read two ways ("1,125") is drawn so that it reads in one.
        (format_number(1.125), None, "1,1250", "1.225"),
        (format_number(0.5), "0,75", "0,75", "0.85"),
        ("0,5", None, "0,5", "0.6"),
        (format_number(0.5), "1,125", "1,125", "1,125"),
    ],
)
def test_stepping_goes_on_from_a_decimal_comma(value, typed, shows, then):
    taps: list[str] = []
    assert stepped_box(value, taps, typed).value == shows
    assert taps == [then]


def test_a_stepped_number_is_shown_with_a_comma_and_kept_as_plain_text():
    taps: list[str] = []
    stepped_box(format_number(0.5), taps)
    assert text_in(taps[0], Loud()) == "0,6"
    files, saved = MemoryFiles(), []
    app = PagelessApp(NOW, files=files)
    form = Form(app, "form", {}, keep=Keep("form", dict, saved.append))
    form.put("alarm", taps[0])
    app.services.save_draft("form", app.drafts["form"])
    again = Record.open(files, clock=lambda: NOW).draft("form")
    assert again == {"alarm": "0.6"}
    assert type(again["alarm"]) is str
    assert json.dumps(app.drafts["form"]) == '{"alarm": "0.6"}'


def test_a_number_drawn_with_a_comma_reads_as_the_number_it_was():
    app = PagelessApp(NOW)
    alarm = Whole("alarm", "Alarm", unit="", high=5)
    form = Form(app, "form", {"alarm": format_number(1.125)}, fields=[alarm])
    assert form.answer("alarm") is None  # read, and found to have decimals
    form.put("tried", "yes")
    assert form.error("alarm").startswith("Write a number without decimals")


def test_dates_under_a_chart_are_said():
    days = axis_of_days(date(2026, 2, 1), date(2026, 2, 26)).ticks
    assert [text for _, text in days][::3] == ["1 Feb", "26 Feb"]
    assert text_in(days[-1][1], Loud()) == "26 FEB"
    first = date(2025, 2, 26)
    years = axis_of_days(first, first + timedelta(days=365)).ticks
    assert [text for _, text in years][::3] == ["Feb 2025", "Feb 2026"]
    assert text_in(years[0][1], Loud()) == "FEB 2025"


def test_the_card_speaks_its_own_language_whatever_the_app_does():
    before = texts(emergency_card(in_use()))
    drawn = emergency_card(in_use())
    for control in drawn:
        translate(control, Loud())
    sheet = next(control for control in drawn if control.key == "sheet")
    told = texts([sheet])
    assert told
    assert set(told) <= set(before)


def test_a_name_filled_in_for_the_person_is_of_the_language_spoken():
    app = PagelessApp(at("2026-03-20T12:00"))
    app.query = {"role": EMERGENCY_ROLE}
    app.translated = lambda text: text_in(text, Loud())
    assert "EMERGENCY" in texts(contact(app))
