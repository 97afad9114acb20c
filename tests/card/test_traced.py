"""Outlines of pictures: as much ink inside as there was, holes the other way round."""

from math import hypot

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from pocketpump.exchange.papers.drawing.traced import traced

SIDE = 26
PARTS = 6


def area(contour):
    """Twice signed by direction: clockwise on the page is positive."""
    ends = zip(contour, [*contour[1:], contour[0]], strict=True)
    return sum(ax * by - bx * ay for (ax, ay), (bx, by) in ends) / 2


def length(contour):
    ends = zip(contour, [*contour[1:], contour[0]], strict=True)
    return sum(hypot(bx - ax, by - ay) for (ax, ay), (bx, by) in ends)


def picture(is_inked):
    """Rows of alpha: of each pixel as much as is inked of it."""
    steps = [(i + 0.5) / PARTS for i in range(PARTS)]
    return [
        bytes(
            round(255 * sum(is_inked(x + a, y + b) for a in steps for b in steps) / PARTS**2)
            for x in range(SIDE)
        )
        for y in range(SIDE)
    ]


def disc(x, y, radius):
    return lambda px, py: hypot(px - x, py - y) <= radius


def ink(rows):
    return sum(map(sum, rows)) / 255


CENTRE = st.floats(11, 15)
FEW = settings(max_examples=25)


@FEW
@given(CENTRE, CENTRE, st.floats(3, 10))
def test_a_disc_has_the_area_of_its_ink_and_lies_where_it_was(x, y, radius):
    rows = picture(disc(x, y, radius))
    [contour] = traced(rows)
    assert area(contour) == pytest.approx(ink(rows), abs=0.1 * length(contour))
    for px, py in contour:
        assert hypot(px - x, py - y) == pytest.approx(radius, abs=0.3)


@FEW
@given(CENTRE, CENTRE, st.floats(7, 10), st.floats(3, 5))
def test_a_ring_has_a_hole_that_runs_the_other_way(x, y, radius, hole):
    rows = picture(lambda px, py: hole < hypot(px - x, py - y) <= radius)
    inner, outer = sorted(traced(rows), key=area)
    assert area(inner) < 0 < area(outer)
    assert area(outer) + area(inner) == pytest.approx(
        ink(rows), abs=0.1 * (length(inner) + length(outer))
    )


@FEW
@given(st.floats(3, 9), st.floats(3, 9), st.floats(14, 24), st.floats(14, 24))
def test_a_rectangle_is_four_corners_with_straight_sides(left, top, right, below):
    rows = picture(lambda x, y: left <= x <= right and top <= y <= below)
    [contour] = traced(rows)
    assert len(contour) <= 16
    # Besides the sides, each corner is cut off a little.
    assert area(contour) == pytest.approx(ink(rows), abs=0.1 * length(contour) + 1)


@given(st.lists(st.binary(min_size=9, max_size=9), min_size=1, max_size=9))
def test_of_any_picture_every_contour_closes_within_it(rows):
    for contour in traced(rows, tolerance=0.0):
        assert len(contour) > 2
        assert all(-0.5 < x < 9.5 and -0.5 < y < len(rows) + 0.5 for x, y in contour)


@given(
    st.lists(st.lists(st.sampled_from([0, 255]), min_size=7, max_size=7), min_size=1, max_size=7)
)
def test_of_black_and_white_the_area_is_the_ink_but_for_the_corners(values):
    rows = [bytes(row) for row in values]
    contours = traced(rows, tolerance=0.0)
    inked = [(x, y) for y, row in enumerate(values) for x, value in enumerate(row) if value]
    # A corner cut off or filled is an eighth of a pixel; a pixel has four.
    assert abs(sum(map(area, contours)) - len(inked)) <= len(inked) / 2 + 1e-9


def test_without_ink_there_is_no_outline():
    assert traced([]) == traced([bytes(5)] * 5) == ()
    # Grey that is no ink.
    assert traced([bytes([127] * 5)] * 5) == ()


def test_corners_that_face_each_other_are_joined_by_dark_neighbours_alone():
    light, dark = [bytes([255, 0]), bytes([0, 255])], [bytes([255, 120]), bytes([120, 255])]
    assert len(traced(light)) == 2
    assert len(traced(dark)) == 1
