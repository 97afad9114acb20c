"""Ticked warning signs that were not saved: how long they count, and what is asked of them."""

from datetime import UTC, datetime, timedelta

import flet as ft
import pytest
from test_diary_screens import Tab

from pocketpump.app.screens.diary.check_in import check_in
from pocketpump.app.screens.safety.signs import signs
from pocketpump.app.screens.safety.ticked_signs import DRAFT
from pocketpump.app.services import Services
from pocketpump.core.safety.sign_table import SUBJECTS
from pocketpump.record import MemoryFiles, Record

MORNING = datetime(2026, 3, 12, 8, tzinfo=UTC)
ASKED = "Still there?"


class Page(Tab):
    """A tab whose clock moves and whose buttons can be tapped."""

    page = None

    def __init__(self):
        self.now = MORNING
        record = Record.open(MemoryFiles(), clock=lambda: self.now)
        super().__init__(Services(record, lambda: self.now, "UTC"))
        self.said = []

    def refresh(self):
        pass

    def reveal(self, key):
        pass

    def refuse(self, sentence, key):
        pass

    def go(self, route):
        self.route = route

    def explain(self, name, lines):
        return ft.Text(name)

    def say(self, text, **_more):
        self.said.append(text)


def all_of(controls):
    for control in controls:
        if control is None:
            continue
        yield control
        yield from all_of(getattr(control, "controls", None) or [])
        inner = getattr(control, "content", None)
        if inner is not None and not isinstance(inner, str):
            yield from all_of([inner])


def words(screen, page) -> str:
    found = [getattr(c, "value", None) for c in all_of(screen(page))]
    return " ".join(text for text in found if isinstance(text, str))


def tap(screen, page, key) -> None:
    (button,) = [
        c for c in all_of(screen(page)) if str(c.key or "") == key and getattr(c, "on_click", None)
    ][-1:]
    button.on_click()


def unfold(page) -> None:
    """Unfold every subject, so that every sign can be ticked."""
    page.draft("signs")["open"] = [key for key, _ in SUBJECTS]


def tick(page, sign) -> None:
    unfold(page)
    *_, row = [c for c in all_of(signs(page)) if str(c.key or "") == f"tick:{sign}"]
    (button,) = [c for c in all_of([row]) if getattr(c, "on_click", None)]
    button.on_click()


def saved(page):
    return [dict(entry.payload) for entry in page.services.of_kind("check-in")]


def test_a_tick_of_these_hours_is_saved_with_the_check_in():
    page = Page()
    tick(page, "itch")
    page.now += timedelta(hours=5)
    page.draft(DRAFT)["stiffness"] = "6"
    assert ASKED not in words(signs, page) + words(check_in, page)
    tap(check_in, page, "button:Save")
    assert saved(page) == [{"stiffness": 6, "worries": ["itch"]}]


@pytest.mark.parametrize("days", [0.3, 4])
def test_a_tick_of_days_ago_is_asked_about_and_never_saved_unasked(days):
    page = Page()
    tick(page, "seizure")
    page.now += timedelta(days=days)
    page.draft(DRAFT)["stiffness"] = "3"
    # It still counts for what to do: a warning is not dropped by itself.
    told = words(signs, page)
    assert ASKED in told
    assert "Thu 12 Mar 2026, 08:00" in told
    assert "This is an emergency. Call now." in told
    tap(check_in, page, "button:Save")
    assert saved(page) == []
    assert "Nothing was saved yet" in words(check_in, page)
    tap(check_in, page, "button:Clear all")
    tap(check_in, page, "button:Save")
    assert saved(page) == [{"stiffness": 3}]
    assert "emergency. Call" not in words(signs, page)


def test_what_is_still_there_counts_from_now_on():
    page = Page()
    tick(page, "itch")
    page.now += timedelta(hours=20)
    tick(page, "sweating")
    assert ASKED in words(signs, page)  # the itch; the sweating is new
    tap(signs, page, "button:Yes, still there")
    page.now += timedelta(hours=1)
    page.draft(DRAFT)["stiffness"] = "6"
    tap(check_in, page, "button:Save")
    assert saved(page) == [{"stiffness": 6, "worries": ["itch", "sweating"]}]


def test_all_ticks_are_cleared_at_a_tap_and_one_tap_takes_one_away():
    page = Page()
    tick(page, "itch")
    tick(page, "fever")
    tick(page, "itch")
    assert page.draft(DRAFT)["worries"].keys() == {"fever"}
    tap(signs, page, "button:Clear all")
    assert page.draft(DRAFT)["worries"] == {}
    assert "Tick what is there now." in words(signs, page)


def test_the_worries_of_a_check_in_being_corrected_are_of_its_own_time():
    page = Page()
    entry = page.services.save("check-in", page.now, {"stiffness": 6, "worries": ["itch"]})
    page.now += timedelta(days=4)
    page.query = {"id": entry.id}
    assert ASKED not in words(check_in, page)
    page.draft(DRAFT + entry.id)["stiffness"] = "5"
    tap(check_in, page, "button:Save")
    assert saved(page) == [{"stiffness": 5, "worries": ["itch"]}]
