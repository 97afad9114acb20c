"""A passphrase is seen only while its own eye shows it, on the screen where that was tapped."""

import asyncio

import flet as ft
import pytest
from screen_hand import OpenTab, controls_in, in_use

from pocketpump.app.parts.fields import SteadyField


@pytest.fixture
def tab() -> OpenTab:
    """The backup's screen with its two boxes."""
    tab = OpenTab(in_use().services, "/backup")
    tab.app.draft("backup")["lock"] = "yes"
    tab.app.refresh()
    return tab


def field(tab: OpenTab, label: str) -> list:
    return controls_in([next(c for c in tab.controls if c.key == f"field:{label}")])


def eye(tab: OpenTab, label: str) -> tuple:
    """What the button at the box shows: its icon, its word, and what it is called aloud."""
    (icon,) = [c for c in field(tab, label) if isinstance(c, ft.Icon)]
    (word,) = [c for c in field(tab, label) if isinstance(c, ft.Text) and c.semantics_label]
    return icon.icon, word.value, word.semantics_label


def hidden(tab: OpenTab) -> list[bool]:
    fields = [c for c in tab.controls if c.key in ("field:Passphrase", "field:The same again")]
    boxes = [c for c in controls_in(fields) if isinstance(c, SteadyField)]
    return [bool(box.password) for box in boxes]


def test_the_eye_says_and_shows_what_a_tap_on_it_does(tab):
    hides = eye(tab, "Passphrase")
    assert hides[1:] == ("Show", "Show: Passphrase")
    tab.tap("field:Passphrase")
    shows = eye(tab, "Passphrase")
    assert shows[1:] == ("Hide", "Hide: Passphrase")
    assert shows[0] != hides[0]
    assert eye(tab, "The same again")[1] == "Show"


def test_the_eye_gives_the_caret_back_to_the_box_that_had_it(tab, monkeypatch):
    entered = []

    async def focus(self):
        labels = ("Passphrase", "The same again")
        entered.append(next(one for one in labels if any(c is self for c in field(tab, one))))

    monkeypatch.setattr(SteadyField, "focus", focus)

    def look(label: str) -> None:
        tab.tap(f"field:{label}")
        tasks, tab.tasks = tab.tasks, []
        for handler, args, more in tasks:
            if handler == tab.app._secrets._enter:
                asyncio.run(handler(*args, **more))

    look("Passphrase")
    assert entered == []  # the keyboard of a phone stays down for who only looks
    (box,) = [c for c in field(tab, "The same again") if isinstance(c, SteadyField)]
    box.on_focus()
    look("Passphrase")
    assert entered == []
    look("The same again")
    assert entered == ["The same again"]


def test_a_passphrase_that_was_shown_is_hidden_again_on_coming_back(tab):
    assert hidden(tab) == [True, True]
    tab.tap("field:Passphrase")
    assert hidden(tab) == [False, True]
    tab.app.go("/today")
    tab.app.go("/backup")
    assert hidden(tab) == [True, True]
