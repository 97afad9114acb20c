"""In the demo no button dials, wherever it stands on a screen; each says so instead."""

import flet as ft
import pytest
from screen_hand import PagelessApp, at, controls_in

from pocketpump.app.parts import call_button
from pocketpump.app.screens.card.card import emergency_card
from pocketpump.app.shell.demo_calls import mark_demo_calls

NOW = at("2026-03-20T12:00")


@pytest.fixture(autouse=True)
def _without_a_page(monkeypatch):
    """Let a link be made where no page is that would follow it."""
    monkeypatch.setattr(ft.OpenUrl, "__post_init__", lambda *_: None)


def links(control) -> list[str]:
    actions = [getattr(one, "action", None) for one in controls_in([control])]
    return [action.url for action in actions if isinstance(action, ft.OpenUrl)]


def test_every_number_of_a_screen_is_told_of_and_not_dialled():
    button = call_button("Clinic", "112", "112", first=True, key="a")
    page = ft.OutlinedButton("Page", action=ft.OpenUrl("https://example.org"))
    window = ft.Column([ft.Container(ft.Column([button])), page])
    assert links(window) == ["tel:112", "https://example.org"]
    said = []
    mark_demo_calls(window, lambda: said.append("told"))
    assert links(window) == ["https://example.org"]
    [box] = [one for one in controls_in([button]) if getattr(one, "on_click", None)]
    box.on_click(None)
    assert said == ["told"]


def test_the_numbers_on_the_card_are_links_that_can_be_muted():
    app = PagelessApp(NOW)
    app.note("pump", "2026-01-01T11:00", {"reservoir_ml": 20.0, "alarm_volume_ml": 2.0})
    contact = {"name": "Clinic", "role": "pump clinic", "phone": "+44 20 7946 0101",
               "emergency": True, "on_card": True}  # fmt: skip
    app.note("contact", "2026-01-01T11:00", contact)
    window = ft.Column(list(emergency_card(app)))
    assert links(window) == ["tel:+442079460101"]
    mark_demo_calls(window, lambda: None)
    assert links(window) == []
