"""The picture of the days before and after a change: every day, and a band only for a number."""

from datetime import date, timedelta

import flet.canvas as cv
import pytest

from pocketpump.app.look import theme
from pocketpump.app.parts.periods_chart import PeriodsPicture, periods_chart

FIRST = date(2026, 3, 1)
CHANGE = FIRST + timedelta(days=10)


def days(start: int, count: int, score: float = 5):
    return [(FIRST + timedelta(days=start + n), score) for n in range(count)]


def shapes_of(scale=1.0, width=310.0, **changed):
    picture = {
        "before": days(0, 9),
        "after": days(15, 12, 3),
        "pale": days(11, 4),
        "steps": [CHANGE],
        "middle": 5.0,
        "likely": (2.0, 4.0),
        "top": 10,
    } | changed
    drawn = periods_chart(PeriodsPicture(**picture), width=width, scale=scale, spoken="said")
    while not hasattr(drawn, "shapes"):
        drawn = drawn.content
    return drawn.shapes


def of_kind(shapes, kind):
    return [one for one in shapes if isinstance(one, kind)]


def test_each_day_is_a_dot():
    counts = [len(one.points) for one in of_kind(shapes_of(), cv.Points)]
    assert counts == [4, 9 + 12]


def test_the_band_spans_the_likely_values_over_the_days_after():
    shapes = shapes_of()
    (band,) = of_kind(shapes, cv.Rect)
    pale, clear = of_kind(shapes, cv.Points)
    before, after = clear.points[:9], clear.points[9:]
    assert band.x <= after[0].x
    assert after[-1].x <= band.x + band.width
    assert before[-1].x < band.x
    # The days after score 3, in the middle of 2 to 4.
    assert band.y + band.height / 2 == pytest.approx(after[0].y, abs=0.1)
    assert all(point.x < band.x for point in pale.points)


def test_days_of_which_none_is_compared_are_all_pale():
    nothing = {"before": [], "after": [], "middle": None, "likely": None}
    (only,) = [one for one in of_kind(shapes_of(**nothing), cv.Points) if one.points]
    assert only.paint.color == theme.LINE
    assert len(only.points) == 4


def test_without_a_number_there_is_no_band():
    assert not of_kind(shapes_of(likely=None), cv.Rect)


def test_each_step_of_a_run_of_changes_is_a_dashed_line():
    steps = [CHANGE, CHANGE + timedelta(days=5), CHANGE + timedelta(days=9)]
    dashed = [
        one
        for one in of_kind(shapes_of(steps=steps), cv.Line)
        if one.paint.stroke_dash_pattern and one.paint.color == theme.INK
    ]
    assert len(dashed) == 3


@pytest.mark.parametrize("scale", [1.0, 2.0])
@pytest.mark.parametrize(
    "changed",
    [
        {"before": [], "middle": None, "likely": None},
        {"after": [], "likely": None},
        {"before": days(0, 1), "after": [], "pale": [], "steps": [FIRST], "likely": None},
        {"likely": (0.0, 10.0)},
        {"likely": (10.0, 10.0)},
    ],
)
def test_whatever_there_is_stays_inside_the_picture(scale, changed):
    shapes = shapes_of(scale, **changed)
    for one in of_kind(shapes, cv.Points):
        assert all(0 <= point.x <= 310 for point in one.points)
    for one in of_kind(shapes, cv.Rect):
        assert one.x >= 0
        assert one.x + one.width <= 310
