"""Charts: what they describe of the data, and that what is placed keeps to its room."""

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from itertools import pairwise
from zoneinfo import ZoneInfo

import pytest
from exchange_records import NOW, Notes, usual
from hypothesis import given
from hypothesis import strategies as st
from test_sheet import with_a_diary

from pocketpump.core.diary.measures import Measure
from pocketpump.core.pump.programme import (
    RateStep,
    TimedBolus,
    constant_rate,
    day_pattern,
    stopped,
)
from pocketpump.exchange.charts.changes import periods_chart
from pocketpump.exchange.charts.days import axis_of_days, diary_chart, measure_chart, place_of
from pocketpump.exchange.charts.description import (
    Axis,
    Band,
    Chart,
    Dots,
    Interval,
    Line,
    Note,
    Panel,
    Range,
    ShiftAxis,
    round_top,
    thinned,
)
from pocketpump.exchange.charts.hours import pattern_chart
from pocketpump.exchange.charts.pace import pace_chart
from pocketpump.exchange.charts.placed import (
    SQUARE,
    Area,
    Spot,
    Stroke,
    Words,
    chart_placed,
)
from pocketpump.exchange.charts.placed_shifts import interval_placed
from pocketpump.record.facts.findings import findings_of
from pocketpump.record.facts.forecast import forecast_of
from pocketpump.record.facts.situation import situation_of


def diary_of(notes: Notes, first: date, last: date) -> Chart:
    situation, _ = situation_of(notes.entries)
    return diary_chart(findings_of(notes.entries, situation, NOW), situation, first, last)


def marks(chart: Chart, panel: int, kind: type) -> list:
    return [mark for mark in chart.panels[panel].marks if isinstance(mark, kind)]


def test_each_day_stands_with_its_lowest_its_median_and_its_highest():
    notes = usual()
    for score in (2, 7, 3):
        notes.note("check-in", "2026-02-02", {"stiffness": score})
    notes.note("check-in", "2026-02-04", {"stiffness": 5, "spasms": 4})
    chart = diary_of(notes, date(2026, 2, 1), date(2026, 2, 10))
    assert marks(chart, 0, Range) == [Range(1.5, 1.0, 2, 3, 7), Range(3.5, 1.0, 5, 5, 5)]
    assert marks(chart, 1, Range) == [Range(3.5, 1.0, 4, 4, 4)]
    assert chart.spoken.endswith("stiffness from 2 to 7, on 2 days.")


def test_of_a_long_time_several_days_stand_together_and_no_extreme_is_lost():
    notes = usual()
    for day in range(60):
        on = date(2025, 12, 1) + timedelta(days=day)
        notes.note("check-in", on.isoformat(), {"stiffness": 9 if day == 31 else 3})
    chart = diary_of(notes, date(2016, 3, 1), date(2026, 2, 28))
    ranges = marks(chart, 0, Range)
    assert len(ranges) <= 3
    assert max(one.high for one in ranges) == 9
    assert all(one.middle == 3 for one in ranges)
    assert "31 days" in chart.key


def test_dose_refills_and_events_stand_where_they_were():
    notes = usual()
    notes.note("programme", "2026-02-03", {"programme": {"days": [[[0, 240 / 24]]]}})
    # Noted again as it was: no change.
    notes.note("programme", "2026-02-04", {"programme": {"days": [[[0, 240 / 24]]]}})
    notes.note("happening", "2026-02-05", {"what": "fall"})
    notes.note("refill", "2026-02-07", {"filled_ml": 20.0, "strength_mcg_per_ml": 500.0})
    chart = diary_of(notes, date(2026, 2, 1), date(2026, 2, 10))
    nine = 9 / 24
    assert chart.cuts == (2 + nine,)
    assert chart.over == (4 + nine,)
    assert chart.under == (6 + nine,)
    # The setting of before the first day still ran on it.
    (line,) = marks(chart, 1, Line)
    wanted = ((0, 200), (2 + nine, 200), (2 + nine, 240), (10, 240))
    assert line.points == tuple(map(pytest.approx, wanted))
    assert [note.text for note in marks(chart, 1, Note)] == ["200", "240"]


def test_a_gap_in_the_diary_breaks_the_line():
    notes = usual()
    for day in (1, 2, 20, 21):
        notes.note("check-in", f"2026-01-{day:02d}", {"stiffness": 4})
    chart = diary_of(notes, date(2026, 1, 1), date(2026, 1, 31))
    assert [len(line.points) for line in marks(chart, 0, Line)] == [2, 2]


@pytest.mark.parametrize(("first", "last", "ticks"), [
    (date(2026, 2, 1), date(2026, 2, 1), ["1 Feb"]),
    (date(2026, 2, 1), date(2026, 2, 28), ["1 Feb", "10 Feb", "19 Feb", "28 Feb"]),
    (date(2016, 2, 1), date(2026, 2, 1), ["Feb 2016", "Jun 2019", "Oct 2022", "Feb 2026"]),
])  # fmt: skip
def test_dates_are_spread_over_the_axis(first, last, ticks):
    axis = axis_of_days(first, last)
    assert [text for _, text in axis.ticks] == ticks
    assert (axis.low, axis.high) == (0, (last - first).days + 1)


def test_a_pattern_is_drawn_by_the_pump_s_hours_and_an_even_rate_is_not():
    assert pattern_chart(constant_rate(200.0)) is None
    assert pattern_chart(stopped()) is None
    day = [RateStep(0, 12.0), RateStep(360, 8.0)]
    chart = pattern_chart(day_pattern([day]))
    (panel,) = chart.panels
    assert panel.marks[0] == Line(((0, 12), (6, 12), (6, 8), (24, 8)), filled=True)
    assert [one.text for one in panel.marks if isinstance(one, Note)] == ["12", "8"]
    weekend = pattern_chart(day_pattern([day] * 5 + [[RateStep(0, 9.0)]] * 2))
    assert [panel.title for panel in weekend.panels] == [
        "Mon-Fri: rate, mcg/h", "Sat-Sun: rate, mcg/h",
    ]  # fmt: skip


def test_a_bolus_stands_at_its_hour():
    programme = replace(constant_rate(200.0), timed=(TimedBolus(45.0, 2, (480, 1_200)),))
    (panel,) = pattern_chart(programme).panels
    assert [mark.points[0][0] for mark in panel.marks if isinstance(mark, Line)][1:] == [8, 20]
    assert [mark.text for mark in panel.marks if isinstance(mark, Note)][1:] == ["45 mcg"] * 2


def test_the_days_before_and_after_a_change_stand_beside_the_band_of_what_is_likely():
    situation, _ = situation_of(with_a_diary().entries)
    (response,) = findings_of(with_a_diary().entries, situation, NOW).responses
    chart = periods_chart(response, "said")
    pale, strong = marks(chart, 0, Dots)
    assert len(strong.points) == len(response.before.days) + len(response.after.days)
    assert len(pale.points) == len(response.not_compared)
    (band,) = marks(chart, 0, Band)
    middle, shift = response.before.middle, response.shift
    assert (band.low, band.high) == pytest.approx((middle + shift.low, middle + shift.high))


def test_the_line_of_a_change_stands_on_its_day_by_the_clock_of_the_check_ins():
    situation, _ = situation_of(with_a_diary().entries)
    (response,) = findings_of(with_a_diary().entries, situation, NOW).responses
    # Noted at half past eleven at night in Toronto, when at home it was the day after.
    at = datetime(2026, 1, 11, 23, 30, tzinfo=ZoneInfo("America/Toronto"))
    response = replace(response, steps=(replace(response.steps[0], at=at),))
    chart = periods_chart(response, "said")
    days = [score.day for score in (*response.before.days, *response.not_compared)]
    first = min(*days, at.date())
    assert chart.cuts == ((at.date() - first).days + 0.5,)
    # The chart of the diary has the same day.
    assert int(place_of(at, first)) == int(chart.cuts[0])


def test_the_pace_stands_around_as_told():
    entries = usual().entries
    answer, _ = forecast_of(entries, NOW, UTC)
    chart = pace_chart(answer, UTC)
    dots = [point for mark in marks(chart, 0, Dots) for point in mark.points]
    # E25, derived: fill 20, expected 4.0, withdrawn 6.5: ratio 0.844.
    assert dots == [(0.5, pytest.approx(0.844, abs=1e-3))]
    (band,) = marks(chart, 0, Band)
    assert (band.low, band.high) == pytest.approx((0.855, 1.145))


def test_a_measure_stands_with_its_goal():
    at = datetime(2026, 2, 1, 9, tzinfo=UTC)
    taken = [Measure(at + timedelta(days=n), "Stairs", 20.0 + n, "steps", 30.0) for n in range(3)]
    chart = measure_chart(taken, "said")
    lines = marks(chart, 0, Line)
    assert [line.dashed for line in lines] == [True, False]
    assert lines[0].points[0][1] == 30
    assert [value for _, value in lines[1].points] == [20, 21, 22]


@pytest.mark.parametrize(("values", "top"), [
    ([], 1), ([0.0], 1), ([0.3], 0.3), ([7.0], 8), ([101.0], 150), ([1000.0], 1000),
])  # fmt: skip
def test_an_axis_ends_at_a_round_number(values, top):
    assert round_top(values) == pytest.approx(top)


@given(st.integers(0, 4_000), st.integers(0, 4_000))
def test_dates_stand_in_order_inside_the_axis(begin, length):
    first = date(2020, 1, 1) + timedelta(days=begin)
    axis = axis_of_days(first, first + timedelta(days=length))
    places = [value for value, _ in axis.ticks]
    assert 1 <= len(places) <= 4
    assert places == sorted(set(places))
    assert axis.low <= places[0] <= places[-1] <= axis.high


@given(st.lists(st.floats(0, 1e5), max_size=9))
def test_the_top_of_an_axis_is_at_or_above_all_values_and_not_far(values):
    top = round_top(values)
    most = max(values, default=0.0)
    assert top >= most * (1 - 1e-6)
    assert most < 1e-9 or top <= most * 2 + 1e-9


@given(st.floats(-1e3, 1e3))
def test_values_outside_stand_at_the_edge(value):
    assert 0 <= Axis(0, 10).share(value) <= 1
    assert (Axis(0, 10).share(0), Axis(0, 10).share(10)) == (0, 1)


@given(st.integers(1, 5_000), st.integers(1, 200))
def test_thinning_leaves_at_most_so_many(count, most):
    assert -(-count // thinned(count, most)) <= most


ROOMS = [(182, 74, 2.47), (182, 48, 2.47), (320, 500, 14), (240, 420, 19.6)]


@pytest.mark.parametrize(("width", "height", "label"), ROOMS)
def test_what_is_placed_keeps_to_its_room(width, height, label):
    notes = with_a_diary()
    late = NOW.replace(hour=23, minute=59)
    notes.record.add("happening", late, "UTC", {"what": "fall"})
    chart = diary_of(notes, date(2025, 12, 10), NOW.date())
    things = chart_placed(chart, width, height, label)
    for thing in things:
        if isinstance(thing, Area):
            assert 0 <= thing.x <= thing.x + thing.width <= width
            assert 0 <= thing.y <= thing.y + thing.height <= height
        elif isinstance(thing, Stroke):
            assert all(0 <= x <= width and 0 <= y <= height for x, y in thing.points)
        elif isinstance(thing, Spot):
            assert thing.radius <= thing.y <= height - thing.radius
            assert thing.radius <= thing.x <= width - thing.radius
        else:
            assert label * 0.5 <= thing.y <= height
    titles = [one.y for one in things if isinstance(one, Words) and one.bold]
    assert titles == sorted(titles)
    assert min(b - a for a, b in pairwise(titles)) > label


AXIS = ShiftAxis("Stiffness", Axis(-4, 4), "less stiff", "more stiff")


def test_less_lies_to_the_left_and_an_end_beyond_the_axis_at_its_edge():
    clear = interval_placed(Interval(-3, -2, -1, True, ""), AXIS, 80, 5, 2)
    (spot,) = (one for one in clear if isinstance(one, Spot))
    assert (spot.x, spot.kind) == (20, SQUARE)
    open_ended = interval_placed(
        Interval(float("-inf"), 1, float("inf"), False, ""), AXIS, 80, 5, 2
    )
    strokes = [one.points for one in open_ended if isinstance(one, Stroke)]
    assert ((0, 2.5), (80, 2.5)) in strokes
    (spot,) = (one for one in open_ended if isinstance(one, Spot))
    assert spot.kind != SQUARE


@pytest.mark.parametrize("points", [-4.0, 4.0])
def test_a_shift_at_the_edge_of_its_axis_is_drawn_whole(points):
    found = interval_placed(Interval(-4, points, 4, True, ""), AXIS, 80, 5, 2)
    (spot,) = (one for one in found if isinstance(one, Spot))
    assert spot.radius <= spot.x <= 80 - spot.radius
    # Both ends lie on the axis: a short upright line, and no arrow.
    assert len([one for one in found if isinstance(one, Stroke)]) == 5


def test_an_end_beyond_the_axis_is_an_arrow():
    found = interval_placed(Interval(float("-inf"), 1, 3, False, ""), AXIS, 80, 5, 2)
    arrows = [one.points for one in found if isinstance(one, Stroke) and len(one.points) == 3]
    ((above, end, below),) = arrows
    assert end == (0, 2.5)
    assert above[0] == below[0] > 0
    assert above[1] < 2.5 < below[1]


def test_words_for_a_picture_are_singular_of_one():
    notes = usual().note("check-in", "2026-02-10", {"stiffness": 5})
    spoken = diary_of(notes, date(2026, 2, 1), NOW.date()).spoken
    assert spoken.endswith("stiffness from 5 to 5, on 1 day.")
    answer, _ = forecast_of(usual().entries, NOW, UTC)
    assert pace_chart(answer, UTC).spoken.endswith("from 1 of 1 measured refill.")


def test_numbers_over_a_line_do_not_run_into_each_other_and_the_newest_stands():
    steps = [(0.0, 1.0), (5.0, 1.1), (5.2, 1.2), (9.9, 1.3)]
    marks = tuple(Note(at, value, f"{value:.2f}", begins=True) for at, value in steps)
    panel = Panel("", Axis(0, 2, ((0, "0"), (2, "2"))), marks)
    things = chart_placed(Chart(Axis(0, 10), (panel,), ""), 240, 120, 14)
    words = [one for one in things if isinstance(one, Words) and "." in one.text]
    assert [one.text for one in words] == ["1.00", "1.20", "1.30"]
    assert all(0 <= one.x <= 240 - 4 * 7 for one in words)


@pytest.mark.parametrize("count", [1, 2, 4, 8])
@pytest.mark.parametrize("width", [150, 240, 600])
def test_words_under_a_chart_do_not_run_into_each_other(count, width):
    ticks = tuple((n + 0.5, f"Jan {20 + n}") for n in range(count))
    panel = Panel("", Axis(0, 1, ((0, "0"), (1, "1"))), ())
    things = chart_placed(Chart(Axis(0, count, ticks), (panel,), ""), width, 120, 14)
    words = [one for one in things if isinstance(one, Words) and "Jan" in one.text]
    share = {"left": 0.0, "middle": 0.5, "right": 1.0}
    # A letter of Roboto is about half as wide as it is high.
    edges = [(w.x - share[w.anchor] * 42, w.x + (1 - share[w.anchor]) * 42) for w in words]
    assert words
    assert all(right <= left for (_, right), (left, _) in pairwise(edges))
