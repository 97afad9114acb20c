"""Every handler of every screen is run by the app, so that none can end the tab."""

import dataclasses

import flet as ft
import pytest
from every_view import ListeningPage, opened, routes_of
from flet.controls.services import url_launcher
from mangling import BASES, NOW, journal

from pocketpump.app.main import tab
from pocketpump.app.services import Services
from pocketpump.app.shell import event_handling
from pocketpump.app.shell.event_handling import guard
from pocketpump.record import to_document


class Runner:
    """Keeps what it was asked to run."""

    def __init__(self):
        self.ran = []

    def run(self, place, act):
        self.ran.append((place, act()))

    def failed(self, place, error):
        self.ran.append((place, error))


def everything_in(control, seen):
    """Look into each field of ``control``, whatever type flet declares for it."""
    if id(control) in seen:
        return
    seen[id(control)] = control
    for field in dataclasses.fields(control):
        if field.name.startswith("_") or field.name in ("key", "data"):
            continue
        value = getattr(control, field.name)
        for inner in value if isinstance(value, list) else [value]:
            if isinstance(inner, ft.BaseControl):
                everything_in(inner, seen)


def handlers_of(control):
    names = [one.name for one in dataclasses.fields(control) if one.name.startswith("on_")]
    return [(name, value) for name in names if callable(value := getattr(control, name))]


def test_no_handler_of_any_screen_is_forgotten(monkeypatch):
    monkeypatch.setattr(url_launcher, "shared_service", lambda _type: None)
    record = opened("record", journal([to_document(one) for one in BASES["small"]()]), NOW)
    page = ListeningPage()
    tab(Services(record, lambda: NOW, "Europe/Amsterdam"))(page)
    looked_at = 0
    for route in routes_of(record):
        page.navigate(route)
        seen = {}
        for control in page.views[0].controls:
            everything_in(control, seen)
        for control in seen.values():
            for name, handler in handlers_of(control):
                looked_at += 1
                assert handler.__code__.co_filename == event_handling.__file__, (
                    route,
                    control,
                    name,
                )
    assert looked_at > 500


@pytest.mark.parametrize(
    "place",
    [
        lambda button: ft.Container(content=button),
        lambda button: ft.Row(controls=[button]),
        lambda button: ft.Stack(controls=[ft.Column(controls=[button])]),
        lambda button: ft.TextField(suffix=button),
        lambda button: ft.AppBar(actions=[button]),
        lambda button: ft.ExpansionTile(title="More", controls=[button]),
        lambda button: ft.ListTile(title="A", trailing=button),
    ],
)
def test_a_handler_is_reached_wherever_a_control_can_hold_another(place):
    runner = Runner()
    button = ft.Button("Save", on_click=lambda _event: "saved")
    guard(place(button), runner)
    button.on_click(None)
    assert runner.ran == [((), "saved")]
