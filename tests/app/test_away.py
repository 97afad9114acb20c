"""A trip over the booked visit or over the refill-by date: said on Today, the trip, its sheet."""

from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st
from screen_hand import controls_in, in_use, texts

from pocketpump.app.screens.more.trip import travel_paper, trip
from pocketpump.app.screens.today.today import today
from pocketpump.core.travel.away import away_at_refill, away_at_visit
from pocketpump.core.travel.trip import Stay, Trip
from pocketpump.exchange.papers.drawing.page import Text
from pocketpump.record.facts.away import away_of

AT_VISIT = (
    "You are away on Mon 16 Feb 2026, the day of your visit at the clinic. Move the visit, or the"
    " trip."
)
AT_REFILL = (
    "You are away from Sat 14 Feb 2026 to Sun 1 Mar 2026, and the refill is due by Thu 19 Feb"
    " 2026. Call the clinic early to plan it."
)
CALM = ("nothing is due", "Your refill is booked for")


def an_app(leaves="2026-02-14", returns="2026-03-01", visit="2026-02-16", now="2026-01-20T12:00"):
    """E14: filled 2026-01-12, call by 02-05, refill by 02-19 (derived)."""
    app = in_use(now=now, filled="2026-01-12T09:00")
    if visit:
        app.note("visit", "2026-01-19T11:00", {"visit_on": visit})
    made = app.note("trip", "2026-01-19T11:00", {"place": "Rome", "zone": "Europe/Rome",
                    "leaves_on": leaves, "returns_on": returns})  # fmt: skip
    app.query = {"id": made.id}
    return app


def told(screen, app) -> str:
    return " ".join(texts(screen(app)))


def sheet(app) -> str:
    made = travel_paper(app, app.query)
    return " ".join(t.letters for page in made.pages for t in page.drawn if isinstance(t, Text))


def keys(screen, app) -> list[str]:
    return [str(c.key) for c in controls_in(screen(app)) if c.key]


def is_calm(app) -> bool:
    return any(one in told(today, app) for one in CALM)


def test_a_visit_booked_on_a_day_of_the_trip_is_told_on_each_view():
    app = an_app()
    assert AT_VISIT in told(trip, app)
    assert "change the visit" in keys(trip, app)
    assert AT_VISIT in sheet(app)
    assert AT_VISIT in told(today, app)
    assert "change the visit" in keys(today, app)
    assert not is_calm(app)


@pytest.mark.parametrize("visit", ["2026-02-13", None, "moved", "cancelled"])
def test_it_is_not_told_of_a_visit_on_another_day(visit):
    app = an_app(visit="2026-02-16" if visit in ("moved", "cancelled") else visit)
    if visit == "moved":
        app.note("visit", "2026-01-19T12:00", {"visit_on": "2026-02-12"})
    if visit == "cancelled":
        app.note("visit", "2026-01-19T12:00", {"visit_on": "2026-02-16", "cancelled": True})
    for said in (told(trip, app), sheet(app), told(today, app)):
        assert "the day of your visit" not in said
    assert "change the visit" not in keys(trip, app)
    assert is_calm(app) is (visit in ("2026-02-13", "moved"))


def test_a_trip_that_is_removed_is_told_no_more():
    app = an_app()
    app.services.record.remove(app.query["id"])
    assert AT_VISIT not in told(today, app)
    assert is_calm(app)


def test_nothing_is_calm_while_a_trip_lasts_beyond_the_refill_by_date():
    app = an_app(visit=None)
    said = told(today, app)
    assert AT_REFILL in said
    assert not is_calm(app)
    assert keys(today, app).count("note the visit") == 1


@pytest.mark.parametrize(
    ("leaves", "returns"),
    [("2026-01-25", "2026-02-10"), ("2026-02-10", "2026-02-19"), ("2026-02-20", "2026-03-01")],
)
def test_a_trip_that_is_over_by_then_or_begins_later_leaves_today_calm(leaves, returns):
    assert is_calm(an_app(leaves, returns, visit=None))


def test_it_is_told_beside_a_sentence_that_is_not_calm():
    app = an_app(now="2026-02-06T12:00", visit=None)
    said = told(today, app)
    assert "Time to call the clinic" in said
    assert AT_REFILL in said


DAYS = st.integers(-60, 60).map(lambda n: date(2026, 2, 15) + timedelta(days=n))
TRIPS = st.tuples(DAYS, DAYS).map(sorted).map(
    lambda days: Trip(days[0], days[1], (Stay(days[0], "there", "UTC"),))
)  # fmt: skip


@given(TRIPS, DAYS)
def test_a_day_of_the_trip_is_one_from_the_start_to_the_return(made, visit_on):
    days = [made.leaves_on + timedelta(days=n)
            for n in range((made.returns_on - made.leaves_on).days + 1)]  # fmt: skip
    assert bool(away_at_visit(made, visit_on)) is (visit_on in days)
    assert away_at_visit(made, None) == ""


@given(TRIPS, st.none() | DAYS, st.none() | DAYS, DAYS)
def test_a_trip_keeps_from_the_refill_by_its_visit_or_its_last_day(made, visit_on, by, today_on):
    said = away_at_refill(made, visit_on, by, today_on)
    if visit_on is not None and visit_on >= today_on and away_at_visit(made, visit_on):
        assert said == away_at_visit(made, visit_on)
    elif said:
        assert made.returns_on >= today_on
        assert by is not None
        assert by >= today_on
        assert made.leaves_on <= by < made.returns_on
        # A visit before the start is the refill that is needed.
        assert visit_on is None or not today_on <= visit_on < made.leaves_on


@given(TRIPS, DAYS)
def test_a_visit_moved_to_before_the_start_is_enough(made, by):
    visit_on = made.leaves_on - timedelta(days=1)
    assert away_at_refill(made, visit_on, by, visit_on) == ""


@given(st.lists(TRIPS, max_size=4), DAYS)
def test_of_several_trips_the_first_that_keeps_from_the_refill_is_told(several, visit_on):
    app = in_use(now="2026-01-20T12:00", filled="2026-01-12T09:00")
    if visit_on > date(2026, 1, 20):
        app.note("visit", "2026-01-19T11:00", {"visit_on": visit_on.isoformat()})
    ids = {
        app.note("trip", "2026-01-19T11:00", {
            "place": "there", "zone": "UTC", "leaves_on": one.leaves_on.isoformat(),
            "returns_on": one.returns_on.isoformat()}).id: one
        for one in several
    }  # fmt: skip
    answer, _ = app.services.forecast()
    found = away_of(app.services.record.alive, answer)
    booked_on = visit_on if visit_on > date(2026, 1, 20) else None
    said = [(one.leaves_on, away_at_refill(one, booked_on, answer.refill_by, answer.today))
            for one in ids.values()]  # fmt: skip
    wanted = [day for day, sentence in said if sentence]
    assert (found is None) is (not wanted)
    if found is not None:
        assert ids[found.trip.id].leaves_on == min(wanted)
        app.services.record.remove(found.trip.id)
        after = away_of(app.services.record.alive, answer)
        assert after is None or after.trip.id != found.trip.id


def test_the_letter_is_to_be_signed_at_the_next_visit():
    lines = list(texts(trip(an_app())))
    signed = lines.index("Have the clinic sign it at your next visit.")
    assert any("Letter for the border" in line for line in lines[:signed])
