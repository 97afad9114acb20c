"""What is saved without a time of the person's own is of the instant of the tap on Save."""

from datetime import datetime, timedelta
from types import SimpleNamespace

import pytest
from screen_hand import OpenTab, at, in_use

MORNING, LATER = "2026-03-20T08:00", "2026-03-20T13:30"


@pytest.fixture
def hand():
    return in_use(MORNING)


def fill(tab: OpenTab, route: str) -> None:
    """Answer the least that the screen at ``route`` needs."""
    if route == "/check-in":
        tab.tap("number:3")
    elif route == "/happening":
        tab.tap("option:fall")
    elif route == "/measure":
        tab.tap("option:Timed walk of 10 m")
        tab.type("field:Value", "12")
    elif route == "/dose":
        tab.tap("option:day")


FORMS = {
    "/check-in": ("check-in", "button:Save"),
    "/happening": ("happening", "button:Save the note"),
    "/measure": ("measure", "button:Save the measure"),
    "/dose": ("programme", "button:Save the dose setting"),
    "/pump": ("pump", "button:Save the pump"),
    "/device": ("device", "button:Save the reading"),
    "/clinic-days": ("clinic days", "button:Save the clinic's days"),
    "/questions": ("question", "button:Save the question"),
}


@pytest.mark.parametrize("later", [LATER, "2026-03-21T00:10", "2026-03-22T07:00"])
@pytest.mark.parametrize("route", FORMS)
def test_a_form_left_open_is_saved_as_of_the_tap(hand, route, later):
    kind, button = FORMS[route]
    tab = OpenTab(hand.services, route)
    fill(tab, route)
    if route == "/device":
        tab.type("field:Months left", "30")
    if route == "/questions":
        tab.type("field:A question for the next visit", "May I swim?")
    hand.time = at(later)
    tab.tap(button)
    assert hand.services.newest(kind).at == at(later)


def test_an_untouched_refill_is_of_the_tap_and_one_that_was_begun_of_its_beginning(hand):
    tab = OpenTab(hand.services, "/refill")
    hand.time = at(LATER)
    tab.tap("button:Save the refill")
    assert hand.services.newest("refill").at == at(LATER)
    tab = OpenTab(hand.services, "/refill")
    tab.type("field:Withdrawn volume", "4")
    hand.time = at("2026-03-21T09:00")
    tab.tap("button:Save the refill")
    assert hand.services.newest("refill").at == at(LATER)
    assert hand.services.newest("refill").payload["withdrawn_ml"] == 4.0


@pytest.mark.parametrize("route", ["/happening", "/dose"])
def test_a_time_that_was_typed_holds_with_the_day_beside_it(hand, route):
    kind, button = FORMS[route]
    tab = OpenTab(hand.services, route)
    fill(tab, route)
    tab.type("field:Time, about", "07:15")
    hand.time = at("2026-03-21T09:00")
    tab.app.refresh()
    tab.tap(button)
    assert hand.services.newest(kind).at == at("2026-03-20T07:15")


def test_an_earlier_check_in_keeps_the_time_that_was_typed(hand):
    tab = OpenTab(hand.services, "/check-in")
    fill(tab, "/check-in")
    tab.tap("button:Add more")
    tab.tap("option:earlier")
    tab.type("field:Time, about", "07:15")
    hand.time = at("2026-03-21T09:00")
    tab.tap("button:Save the check-in")
    assert hand.services.newest("check-in").at == at("2026-03-20T07:15")


def test_a_time_that_was_still_to_come_when_drawn_is_taken_when_it_has_come(hand):
    tab = OpenTab(hand.services, "/happening")
    fill(tab, "/happening")
    tab.type("field:Time, about", "08:05")
    hand.time += timedelta(minutes=6)
    tab.tap("button:Save the note")
    assert hand.services.newest("happening").at == at("2026-03-20T08:05")


def test_signs_that_grew_old_since_the_drawing_are_asked_about_and_not_saved(hand):
    tab = OpenTab(hand.services, "/check-in")
    tab.app.draft("check-in:")["worries"] = {"fever": at(MORNING).isoformat()}
    fill(tab, "/check-in")
    hand.time = at("2026-03-20T14:30")
    tab.tap("button:Save")
    assert hand.services.newest("check-in") is None
    assert any("Still there?" in text for text in tab.told())


def test_a_sign_ticked_on_a_screen_left_open_is_of_the_tap(hand):
    tab = OpenTab(hand.services, "/signs")
    row = next(str(c.key) for c in tab.controls if str(c.key or "").startswith("tick:"))
    hand.time = at(LATER)
    tab.tap(row)
    (ticked,) = tab.app.draft("check-in:")["worries"].values()
    assert datetime.fromisoformat(ticked) == at(LATER)


def test_the_pumps_clock_is_compared_when_it_is_typed(hand):
    tab = OpenTab(hand.services, "/dose")
    tab.tap("option:day pattern")
    steps = [("00:00", "8"), ("06:00", "9")]
    tab.app.draft("dose:")["steps"] = steps
    tab.app.refresh()
    hand.time = at("2026-03-20T13:30")
    label = next(str(c.key) for c in tab.controls if "The pump's clock when" in str(c.key))
    tab.type(label, "13:30")
    tab.tap("option:day")
    tab.tap("button:Save the dose setting")
    programme = hand.services.newest("programme").payload["programme"]
    assert programme.get("clock_offset_minutes", 0) == 0


def test_what_is_not_saved_by_a_tap_is_no_event(hand):
    # The drawing that a save is worked out from is never shown.
    tab = OpenTab(hand.services, "/questions")
    tab.tap("button:Save the question")
    assert hand.services.of_kind("question") == ()
    assert SimpleNamespace(n=tab.drawn) == SimpleNamespace(n=1)
