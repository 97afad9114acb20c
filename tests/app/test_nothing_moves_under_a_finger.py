"""After a refused save nothing moves under a finger that is on its way."""

import asyncio
from types import SimpleNamespace

import flet as ft
import pytest
from screen_hand import OpenTab, controls_in, in_use

from pocketpump.app.parts import tap_guard
from pocketpump.app.parts.control_tree import everything
from pocketpump.app.parts.tap_guard import TapGuard

REASON = "Nothing was saved yet. Tap a number for stiffness."


@pytest.fixture
def tab():
    return OpenTab(in_use().services, "/check-in")


def unseen_texts(tab: OpenTab) -> list[str]:
    """What takes room in the window without being seen."""
    every = [one for top in tab.page.views[0].controls for one in everything(top)]
    hidden = [one for one in every if getattr(one, "opacity", None) == 0]
    inner = [one for each in hidden for one in everything(each) if isinstance(one, ft.Text)]
    return [one.value for one in inner]


def test_a_refusal_is_told_once_beside_the_field_and_otherwise_at_the_button(tab):
    tab.tap("button:Save")
    assert tab.told().count(REASON) == 1
    assert [text for text in tab.told() if "Tap a number" in text] == [REASON]
    (at_button,) = [text for text in tab.told() if "marked" in text]
    assert at_button == ("Please check: Nothing was saved yet. See the marked answer.")


def test_a_mended_answer_keeps_the_room_of_its_trouble_and_so_does_the_button(tab):
    tab.tap("button:Save")
    at_button = next(text for text in tab.told() if "marked" in text)
    tab.tap("number:3")
    assert REASON not in tab.told()
    assert unseen_texts(tab) == [REASON, at_button]
    assert "It can be saved now." in tab.told()
    tab.tap("button:Save")
    assert tab.page.route == "/today"
    assert unseen_texts(tab) == []


def test_the_room_is_gone_when_the_screen_is_come_back_to_anew(tab):
    tab.tap("button:Save")
    tab.tap("number:3")
    tab.tap("button:Save")
    tab.app.go("/check-in")
    assert unseen_texts(tab) == []
    assert "It can be saved now." not in tab.told()


def test_mending_the_first_trouble_leaves_the_words_of_the_next_as_they_were():
    tab = OpenTab(in_use().services, "/refill")
    for field in ("Filled volume", "Strength"):
        tab.type(f"field:{field}", "much")
    tab.tap("button:Save the refill")
    beside = [text for text in tab.told() if '"much"' in text]
    assert len(beside) == 2
    tab.type("field:Filled volume", "20")
    assert [text for text in tab.told() if '"much"' in text] == beside[1:]


def test_what_cannot_be_marked_is_told_at_the_button():
    hand = in_use()
    tab = OpenTab(hand.services, "/pump")
    # The field it belongs to is folded away.
    tab.app.form_draft("pump")["felt_low_ml"] = "19.9"
    tab.type("field:Size of the reservoir", "15")
    tab.tap("button:Save the pump")
    assert any(
        "Nothing was saved yet. This must be less than" in text and "Please check" in text
        for text in tab.told()
    )


class Clock:
    now = 100.0

    def __call__(self):
        return self.now


@pytest.fixture
def clock(monkeypatch):
    """The clock of all tap guards that are made from now on."""
    clock = Clock()

    def made(guard):
        guard._clock = clock
        guard.wait()

    monkeypatch.setattr(tap_guard.TapGuard, "__init__", made)
    return clock


def button(tab: OpenTab, key: str):
    held = next(c for c in tab.controls if c.key == key)
    return next(c for c in controls_in([held]) if getattr(c, "on_click", None))


def counts(tab: OpenTab, key: str) -> bool:
    control = button(tab, key)
    return control.before_event(ft.ControlEvent(control=control, name="click"))


def test_a_tap_meant_for_what_lay_there_before_the_screen_was_scrolled_does_not_count(
    clock, monkeypatch
):
    async def scroll_to(self, **where):
        clock.now += 0.2

    async def sleep(_seconds):
        pass

    monkeypatch.setattr(ft.Column, "scroll_to", scroll_to)
    monkeypatch.setattr("pocketpump.app.shell.refused_save.asyncio", SimpleNamespace(sleep=sleep))
    tab = OpenTab(in_use().services, "/check-in")
    clock.now += 1
    tab.tap("button:Save")
    clock.now += 1
    (handler, args, more) = next(t for t in tab.tasks if t[0].__name__ == "_go")
    asyncio.run(handler(*args, **more))
    clock.now += 0.4
    assert not counts(tab, "number:3")
    assert not counts(tab, "button:Save")
    clock.now += 0.2
    assert counts(tab, "number:3")


def test_a_second_tap_on_the_close_of_a_message_presses_nothing_that_came_up(clock):
    tab = OpenTab(in_use().services, "/today")
    tab.app.say("Something was saved.")
    # It outlives the drawing that follows: see test_parts.
    guard = button(tab, "button:Show my card")._guard
    clock.now += 1
    tab.tap("notice:Close")
    clock.now += 0.3
    assert not guard.counts()
    clock.now += 0.3
    assert guard.counts()


def test_a_wait_begun_anew_ends_like_the_first():
    clock = Clock()
    guard = TapGuard(clock)
    clock.now += 10
    guard.wait()
    clock.now += 0.4
    assert not guard.counts()
    clock.now += 0.2
    assert guard.counts()
