from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pocketpump.app.parts.level_layout import LevelMark, Vessel, amount_y, keep_apart, place_marks

VESSEL = Vessel(left=10, right=110, top=20, bottom=220, radius=30, capacity_ml=20)


def test_levels_are_to_scale():
    assert VESSEL.y_of(0) == 220
    assert VESSEL.y_of(20) == 20
    assert VESSEL.y_of(10) == 120
    assert VESSEL.y_of(5) - VESSEL.y_of(10) == VESSEL.y_of(10) - VESSEL.y_of(15)


@pytest.mark.parametrize(("volume", "edge"), [(-3, 220), (25, 20)])
def test_what_is_out_of_bounds_stands_at_the_edge(volume, edge):
    assert VESSEL.y_of(volume) == edge


def test_the_wall_curves_only_near_the_bottom():
    assert VESSEL.inset(100) == 0
    assert VESSEL.inset(190) == 0
    assert 0 < VESSEL.inset(205) < 30
    assert VESSEL.inset(220) == pytest.approx(30)


def test_labels_far_apart_stand_at_their_lines():
    marks = [LevelMark("empty", 0), LevelMark("full", 20), LevelMark("half", 10)]
    placed = place_marks(marks, VESSEL, label_height=24, floor=240, ceiling=0)
    assert [p.mark.label for p in placed] == ["full", "half", "empty"]
    assert [p.label_y for p in placed] == [p.y for p in placed]


def test_labels_that_collide_make_room_around_their_middle():
    assert keep_apart([100, 104], 24, 0, 240) == [90, 114]


@given(
    st.lists(st.floats(0, 240), max_size=6).map(sorted),
    st.floats(1, 60),
)
def test_labels_never_overlap_leave_or_change_order(wanted, gap):
    spots = keep_apart(wanted, gap, 12, 228)
    assert len(spots) == len(wanted)
    room = min(gap, 216 / max(len(wanted) - 1, 1))
    assert all(b - a >= room - 1e-6 for a, b in pairwise(spots))
    assert all(12 - 1e-6 <= spot <= 228 + 1e-6 for spot in spots)


@given(st.floats(0, 20), st.lists(st.floats(0, 20), max_size=3))
def test_the_amount_is_never_written_across_a_line(volume, marks):
    lines = [VESSEL.y_of(mark) for mark in marks]
    y = amount_y(VESSEL, volume, lines, text_height=24)
    assert all(abs(line - y) >= 24 * 0.69 for line in lines)
