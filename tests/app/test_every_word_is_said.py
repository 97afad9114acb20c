"""No screen of the demo holds a word that could not be said in another language."""

import re
from datetime import datetime
from zoneinfo import ZoneInfo

import pytest
from loud import Loud
from screen_hand import PagelessApp, controls_in, texts

from pocketpump.app.screens.routes import ROUTES
from pocketpump.app.shell.translation import translate
from pocketpump.exchange.language.locales import LANGUAGE_NAMES
from pocketpump.record.demo import demo_folder, moved_to_now

ZONE = "Europe/Amsterdam"
PLAIN = {"mcg", "mL", "ml", "mg", "h", "d", "day", "Mon", "Sun", "Sat", "Fri", "ERASE", "hh", "mm"}
"""Units, and what must be typed just so."""


def words(value) -> set[str]:
    """Every word of a payload, however deep: what the person typed."""
    if isinstance(value, dict):
        return set().union(*map(words, value.values()), *map(words, value))
    if isinstance(value, (list, tuple)):
        return set().union(*map(words, value), set())
    return set(re.findall(r"[^\W\d_]+", str(value)))


def names(controls) -> list[str]:
    """What a screen reader or an empty box says besides."""
    found = [
        getattr(control, name, None)
        for control in controls_in(controls)
        for name in ("label", "semantics_label", "hint_text", "tooltip")
    ]
    return [text for text in found if isinstance(text, str)]


@pytest.fixture
def app(monkeypatch):
    # A page would be asked for the means to dial.
    monkeypatch.setattr("pocketpump.app.parts.calls.ft.OpenUrl", lambda *_, **__: None)
    app = PagelessApp(datetime(2026, 3, 20, 12, tzinfo=ZoneInfo(ZONE)), ZONE)
    app.services.record.import_entries(moved_to_now(demo_folder(), app.time))
    app.locale = Loud()
    return app


# The card speaks by its own phrases.
@pytest.mark.parametrize("route", [route for route in ROUTES if route != "/card"])
def test_every_word_is_said_or_typed(app, route):
    typed = set().union(*(words(dict(e.payload)) for e in app.services.record.entries))
    typed |= (
        {word for name in LANGUAGE_NAMES.values() for word in words(name)} | words(ZONE) | PLAIN
    )
    controls = [c for c in ROUTES[route].screen(app) if c is not None]
    for control in controls:
        translate(control, Loud())
    left = {
        text: found
        for text in [*texts(controls), *names(controls)]
        if (found := {w for w in words(text) if not w.isupper() and w not in typed})
    }
    assert left == {}
