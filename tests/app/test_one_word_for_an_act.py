"""An entry that was noted wrongly is corrected; only what the pump does is changed."""

import pytest
from screen_hand import OpenTab, in_use, texts

from pocketpump.app.screens.routes import ROUTES

TRIP = {"place": "Rome", "zone": "Europe/Rome", "leaves_on": "2026-04-01",
        "returns_on": "2026-04-09"}  # fmt: skip
CONTACT = {"name": "Clinic", "role": "pump clinic", "phone": "ask the ward", "emergency": False}


@pytest.mark.parametrize(
    ("kind", "payload", "shown_at", "button"),
    [
        ("check-in", {"stiffness": 3}, "/log", "Correct"),
        ("happening", {"what": "fall"}, "/log", "Correct"),
        ("contact", CONTACT, "/contacts", "Correct"),
        ("trip", TRIP, "/trip", "Correct this trip"),
    ],
)
def test_the_way_to_an_entry_s_form_and_its_title_say_correct(kind, payload, shown_at, button):
    hand = in_use()
    entry = hand.note(kind, "2026-03-19T10:00", payload)
    hand.query = {"id": entry.id}
    told = texts(ROUTES[shown_at].screen(hand))
    assert button in told
    assert not [text for text in told if text.startswith("Change")]


def test_every_title_of_a_correction_says_so():
    titles = [
        screen_route.correcting for screen_route in ROUTES.values() if screen_route.correcting
    ]
    assert len(titles) > 5
    assert [title for title in titles if not title.startswith("Correct ")] == []


@pytest.mark.parametrize("route", [route for route in ROUTES if route != "/dose"])
def test_no_button_of_a_screen_changes_what_is_no_setting_of_the_pump(route):
    tab = OpenTab(in_use().services, route)
    buttons = [c for c in tab.controls if getattr(c, "on_click", None)]
    words = [text for one in buttons for text in texts([one])]
    assert words
    assert [text for text in words if text.startswith("Change ") or text == "Change"] == []
