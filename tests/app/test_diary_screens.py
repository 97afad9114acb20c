"""The diary's screens and charts as values: whatever was noted, they draw and never break."""

from datetime import UTC, date, datetime, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pocketpump.app.notebook import Notebook
from pocketpump.app.parts.axis import TimeAxis, ValueAxis, round_top, thinned
from pocketpump.app.screens.changes import changes
from pocketpump.app.screens.check_in import check_in
from pocketpump.app.screens.contacts import contacts
from pocketpump.app.screens.diary import diary
from pocketpump.app.screens.happening import happening
from pocketpump.app.screens.log import log
from pocketpump.app.screens.measures import measure, measures
from pocketpump.app.screens.now import how_is_it
from pocketpump.record import MemoryFiles, Record
from pocketpump.record.demo import demo_folder, moved_to_now

NOW = datetime(2026, 3, 12, 20, tzinfo=UTC)
SCREENS = (changes, check_in, contacts, diary, happening, log, measure, measures, how_is_it)


class Tab:
    """As much of an open tab as a screen asks for."""

    scale, room = 1.0, 350.0

    def __init__(self, notebook, query=None):
        self.services = notebook
        self.query = query or {}
        self.drafts = {}

    def draft(self, name):
        return self.drafts.setdefault(name, {})

    def explain(self, _name, lines):
        return lines

    def attempt(self, action):
        return action

    def has(self, _route):
        return False


def notebook_with(*drafts) -> Notebook:
    record = Record.open(MemoryFiles(), clock=lambda: NOW)
    record.add_many(drafts)
    return Notebook(record, lambda: NOW, "UTC")


@pytest.mark.parametrize("screen", SCREENS, ids=lambda s: s.__name__)
def test_each_screen_draws_on_an_empty_record(screen):
    assert screen(Tab(notebook_with()))


# A number to dial needs an open page; the browser tests draw those.
@pytest.mark.parametrize(
    "screen", [s for s in SCREENS if s is not contacts], ids=lambda s: s.__name__
)
def test_each_screen_draws_the_demo(screen):
    record = Record.open(MemoryFiles(), clock=lambda: NOW)
    record.absorb(moved_to_now(demo_folder(), NOW))
    assert screen(Tab(Notebook(record, lambda: NOW, "Europe/Amsterdam")))


@pytest.mark.parametrize("days_on", range(0, 30, 3))
def test_the_demo_always_has_a_check_in_of_these_days_and_nothing_to_come(days_on):
    now = NOW + timedelta(days=days_on)
    entries = moved_to_now(demo_folder(), now)
    last = max(e.at for e in entries if e.kind == "check-in")
    assert timedelta(0) <= now - last < timedelta(days=3)


def test_a_check_in_of_another_hand_is_drawn_with_what_can_be_read():
    odd = {"stiffness": 4, "spasms": 2, "severity": 3, "worries": ["a sign from later on"],
           "side_effects": ["hiccups"], "tablets_as_planned": False, "note": "x"}  # fmt: skip
    notebook = notebook_with(("check-in", NOW - timedelta(hours=1), "UTC", odd))
    for screen in (diary, log, how_is_it):
        assert screen(Tab(notebook))
    entry = notebook.of_kind("check-in")[0]
    assert check_in(Tab(notebook, {"id": entry.id}))


DAYS = st.integers(0, 4_000)


@given(DAYS, DAYS, st.floats(200, 1_000))
def test_days_stand_in_order_inside_the_axis(first, length, right):
    begin = date(2020, 1, 1) + timedelta(days=first)
    axis = TimeAxis(begin, begin + timedelta(days=length), 40, right)
    places = [axis.x_of_day(begin + timedelta(days=d)) for d in (0, length // 2, length)]
    assert places == sorted(places)
    assert 40 <= places[0] <= places[-1] <= right
    ticks = axis.ticks(4)
    assert 1 <= len(ticks) <= 4
    assert [x for x, _ in ticks] == sorted(x for x, _ in ticks)


@given(st.lists(st.floats(0, 1e5), max_size=9))
def test_the_top_of_an_axis_is_at_or_above_all_values_and_not_far(values):
    top = round_top(values)
    most = max(values, default=0.0)
    assert top >= most * (1 - 1e-6)
    assert most < 1e-9 or top <= most * 2 + 1e-9


@given(st.floats(-1e3, 1e3))
def test_values_outside_stand_at_the_edge(value):
    axis = ValueAxis(0, 10, 20, 160)
    assert 20 <= axis.y_of(value) <= 160
    assert axis.y_of(0) == 160
    assert axis.y_of(10) == 20


@given(st.integers(1, 5_000), st.integers(1, 200))
def test_thinning_leaves_at_most_so_many(count, most):
    assert -(-count // thinned(count, most)) <= most
