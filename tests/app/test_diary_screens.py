"""The diary's screens and charts as values: whatever was noted, they draw and never break."""

from datetime import UTC, date, datetime, timedelta
from zoneinfo import ZoneInfo

import flet as ft
import pytest
from screen_hand import texts

from pocketpump.app.screens.diary.changes import changes
from pocketpump.app.screens.diary.check_in import check_in
from pocketpump.app.screens.diary.diary import diary
from pocketpump.app.screens.diary.event import diary_event
from pocketpump.app.screens.diary.log import log
from pocketpump.app.screens.diary.measures import measure, measures
from pocketpump.app.screens.pump.dose_form import dose
from pocketpump.app.screens.refills.refill_form import refill
from pocketpump.app.screens.safety.contacts import contacts
from pocketpump.app.screens.today.diary_box import how_is_it
from pocketpump.app.services import Services
from pocketpump.core.pump.programme import constant_rate
from pocketpump.core.pump.programme_payload import programme_to_payload
from pocketpump.record import MemoryFiles, Record
from pocketpump.record.demo import demo_folder, moved_to_now

NOW = datetime(2026, 3, 12, 20, tzinfo=UTC)
SCREENS = (changes, check_in, contacts, diary, diary_event, log, measure, measures, how_is_it)


class Tab:
    """As much of an open tab as a screen asks for."""

    scale, content_width = 1.0, 350.0

    def __init__(self, services, query=None):
        self.services = services
        self.query = query or {}
        self.drafts, self.saves = {}, {}

    def draft(self, name):
        return self.drafts.setdefault(name, {})

    form_draft = draft

    def explain(self, _name, lines):
        return lines

    def offer_save(self, place, save):
        self.saves[place] = save

    def save(self, place):
        self.saves[place]()


def notebook_with(*drafts) -> Services:
    record = Record.open(MemoryFiles(), clock=lambda: NOW)
    record.add_many(drafts)
    return Services(record, lambda: NOW, "UTC")


@pytest.mark.parametrize("screen", SCREENS, ids=lambda s: s.__name__)
def test_each_screen_draws_on_an_empty_record(screen):
    assert screen(Tab(notebook_with()))


# A number to dial needs an open page; the browser tests draw those.
@pytest.mark.parametrize(
    "screen", [s for s in SCREENS if s is not contacts], ids=lambda s: s.__name__
)
def test_each_screen_draws_the_demo(screen):
    record = Record.open(MemoryFiles(), clock=lambda: NOW)
    record.import_entries(moved_to_now(demo_folder(), NOW))
    assert screen(Tab(Services(record, lambda: NOW, "Europe/Amsterdam")))


@pytest.mark.parametrize("days_on", range(0, 30, 3))
def test_the_demo_always_has_a_check_in_of_these_days_and_nothing_to_come(days_on):
    now = NOW + timedelta(days=days_on)
    entries = moved_to_now(demo_folder(), now)
    last = max(e.at for e in entries if e.kind == "check-in")
    assert timedelta(0) <= now - last < timedelta(days=3)


def test_a_check_in_of_another_hand_is_drawn_with_what_can_be_read():
    odd = {"stiffness": 4, "spasms": 2, "severity": 3, "worries": ["a sign from later on"],
           "side_effects": ["hiccups"], "tablets_as_planned": False, "note": "x"}  # fmt: skip
    services = notebook_with(("check-in", NOW - timedelta(hours=1), "UTC", odd))
    for screen in (diary, log, how_is_it):
        assert screen(Tab(services))
    entry = services.of_kind("check-in")[0]
    assert check_in(Tab(services, {"id": entry.id}))


TORONTO, BERLIN = ZoneInfo("America/Toronto"), ZoneInfo("Europe/Berlin")
LATE = datetime(2026, 3, 10, 23, 30, 41, tzinfo=TORONTO)  # 11 March 04:30 in Berlin
NOTED = {
    "check-in": (check_in, {"stiffness": 5}),
    "happening": (diary_event, {"what": "fall"}),
    "measure": (
        measure,
        {"name": "Walk", "value": 20.0, "unit": "s", "lower_is_better": True},
    ),
    # These two ask for the time in the zone of the device, to the minute.
    "refill": (refill, {"filled_ml": 20.0, "strength_mcg_per_ml": 500.0}),
    "programme": (dose, {"programme": programme_to_payload(constant_rate(200.0))}),
}


class Travelled(Tab):
    """A tab at home in Berlin, correcting what was noted in Toronto."""

    page = None

    def __init__(self, kind, **typed):
        record = Record.open(MemoryFiles(), clock=lambda: NOW)
        self.entry = record.add(kind, LATE, "America/Toronto", NOTED[kind][1])
        super().__init__(Services(record, lambda: NOW, "Europe/Berlin"), {"id": self.entry.id})
        name = {"programme": "dose"}.get(kind, kind)
        self.draft(f"{name}:{self.entry.id}").update(typed)
        self._screen = NOTED[kind][0]

    def refresh(self):
        pass

    def go(self, _route):
        pass

    def say(self, _text, **_more):
        pass

    def explain(self, _name, _lines, title=""):
        return ft.Text(title)

    def saved(self):
        buttons = [
            c for c in all_of(self._screen(self)) if str(c.key or "").startswith("button:Save")
        ]
        buttons[-1].on_click()
        (entry,) = self.services.of_kind(self.entry.kind)
        assert entry.id != self.entry.id
        return entry


def all_of(controls):
    for control in filter(None, controls):
        yield control
        yield from all_of(getattr(control, "controls", None) or [])
        inner = getattr(control, "content", None)
        if inner is not None and not isinstance(inner, str):
            yield from all_of([inner])


@pytest.mark.parametrize("kind", NOTED)
def test_correcting_something_else_leaves_instant_and_zone_as_they_were(kind):
    tab = Travelled(kind, note="x")
    entry = tab.saved()
    assert entry.payload["note"] == "x"
    assert (entry.at, entry.zone) == (LATE, "America/Toronto")
    assert entry.at.isoformat() == LATE.isoformat()


@pytest.mark.parametrize("kind", ["check-in", "happening"])
def test_a_corrected_time_is_one_of_the_place_where_it_was(kind):
    # On the screens it stands as it was on the wall there, so it is corrected there too.
    entry = Travelled(kind, time="22:00").saved()
    assert entry.at.isoformat() == "2026-03-10T22:00:00-04:00"
    assert entry.zone == "America/Toronto"


def test_a_corrected_day_of_a_measure_is_one_of_the_place_where_it_was():
    entry = Travelled("measure", day="2026-03-08").saved()
    assert entry.at.date() == date(2026, 3, 8)
    assert entry.zone == "America/Toronto"


def test_the_hour_that_comes_twice_stays_the_one_it_was():
    second = datetime(2025, 10, 26, 2, 30, tzinfo=BERLIN, fold=1)
    record = Record.open(MemoryFiles(), clock=lambda: NOW)
    old = record.add("check-in", second, "Europe/Berlin", {"stiffness": 5})
    services = Services(record, lambda: NOW, "Europe/Berlin")
    typed = datetime(2025, 10, 26, 2, 30, tzinfo=BERLIN)
    entry = services.save("check-in", typed, {"stiffness": 4}, old.id)
    assert entry.at.isoformat() == old.at.isoformat() == "2025-10-26T02:30:00+01:00"


@pytest.mark.parametrize("screen", [changes, diary], ids=lambda s: s.__name__)
def test_that_the_change_need_not_be_the_cause_stands_in_sight(screen):
    record = Record.open(MemoryFiles(), clock=lambda: NOW)
    record.import_entries(moved_to_now(demo_folder(), NOW))
    told = texts(screen(Tab(Services(record, lambda: NOW, "Europe/Amsterdam"))))
    assert any("not that the change was the cause" in text for text in told)
