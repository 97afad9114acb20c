"""The screen "Visit booked": noted by telephone, checked at once, moved and cancelled."""

from datetime import date, timedelta

import pytest
from screen_hand import at, controls_in, in_use, save, texts

from pocketpump.app.screens.refills import refill_form, refill_list
from pocketpump.app.screens.refills.visit import visit
from pocketpump.app.screens.today.today import today
from pocketpump.record.facts.booked_visit import booked_visit


# E14: filled 2026-01-12, call by 02-05, refill by 02-19 (derived).
def noted(now="2026-02-06T12:00"):
    return in_use(now, "2026-01-12T09:00")


def fill_in(app, **answers):
    """Type into the form that is shown, whichever visit it is of."""
    visit(app)
    name = next(name for name in reversed(app.drafts) if name.startswith("visit:"))
    app.draft(name).update(answers)
    save(visit, app)


def tap(controls, key):
    next(c for c in controls_in(controls) if c.key == key).on_click()


def words(controls):
    return " ".join(texts(controls))


def counted(app):
    found = booked_visit(app.services.record.alive, app.services.now())
    return found and found.on


def test_a_visit_is_booked_without_the_refill_form():
    app = noted()
    fill_in(app, visit_on="16 Feb 2026", visit_time="10.30", place="Pump clinic")
    (entry,) = app.services.of_kind("visit")
    assert entry.payload == {
        "visit_on": "2026-02-16", "visit_time": "10:30", "place": "Pump clinic"
    }  # fmt: skip
    assert entry.at == app.time
    assert len(app.services.of_kind("refill")) == 1
    assert "Your refill is booked for Mon 16 Feb 2026" in words(today(app))
    assert app.route == "/today"
    assert "at 10:30; Pump clinic" in words(refill_list.refills(app))


def test_a_day_after_the_refill_by_date_is_told_in_the_form_and_on_today():
    app = noted()
    app.draft("visit:")["visit_on"] = "20 Feb 2026"
    late = "The visit on Fri 20 Feb 2026 is after the refill-by date, Thu 19 Feb 2026."
    assert late in words(visit(app))
    save(visit, app)
    assert late in words(today(app))
    app.draft(f"visit:{app.services.newest('visit').id}")["visit_on"] = "19 Feb 2026"
    assert late not in words(visit(app))


def test_a_day_without_refills_is_asked_about():
    app = noted()
    app.draft("visit:")["visit_on"] = "15 Feb 2026"
    assert "there are no refills on Sun 15 Feb 2026" in words(visit(app))
    app.draft("visit:")["visit_on"] = "16 Feb 2026"
    assert "there are no refills" not in words(visit(app))


@pytest.mark.parametrize("answers", [{"visit_on": ""}, {"visit_on": "5 Feb 2026"},
                                     {"visit_on": "16 Feb 2026", "visit_time": "26"}])  # fmt: skip
def test_no_day_a_day_gone_by_and_no_time_save_nothing(answers):
    app = noted()
    fill_in(app, **answers)
    assert app.services.of_kind("visit") == ()


def test_a_moved_visit_takes_the_place_of_the_one_before():
    app = noted()
    fill_in(app, visit_on="16 Feb 2026", note="bring the card")
    app.time += timedelta(days=1)
    fill_in(app, visit_on="17 Feb 2026")
    (entry,) = app.services.of_kind("visit")
    assert entry.payload == {"visit_on": "2026-02-17", "note": "bring the card"}
    assert entry.at == app.time
    assert counted(app) == date(2026, 2, 17)


@pytest.mark.parametrize("by_refill", [True, False])
def test_a_cancelled_visit_asks_for_the_call_again_and_can_be_taken_back(by_refill):
    app = noted()
    if by_refill:
        (old,) = app.services.of_kind("refill")
        app.services.record.correct(old.id, {**old.payload, "next_visit_on": "2026-02-16"})
    else:
        fill_in(app, visit_on="16 Feb 2026")
    app.time += timedelta(hours=1)
    assert "Time to call the clinic" not in words(today(app))
    fill_in(app, stands="no")
    assert counted(app) is None
    assert "Time to call the clinic" in words(today(app))
    app.services.record.undo(app.services.newest("visit").id)
    assert counted(app) == date(2026, 2, 16)


def test_a_visit_said_at_the_refill_is_moved_without_touching_the_refill():
    app = noted()
    (old,) = app.services.of_kind("refill")
    old = app.services.record.correct(old.id, {**old.payload, "next_visit_on": "2026-02-16"})
    assert "Mon 16 Feb 2026" in words(visit(app))
    app.time += timedelta(hours=1)
    fill_in(app, visit_on="17 Feb 2026")
    assert app.services.of_kind("refill") == (old,)
    assert counted(app) == date(2026, 2, 17)
    # Whoever corrects the refill later is told which of the two counts.
    app.query = {"id": old.id}
    assert "Since then Tue 17 Feb 2026 was noted, and that counts" in words(refill_form.refill(app))


def test_a_visit_that_is_past_is_not_moved_but_a_new_one_noted():
    app = noted()
    fill_in(app, visit_on="16 Feb 2026")
    app.time = at("2026-02-17T12:00")
    assert "The visit of Mon 16 Feb 2026 is past" in words(today(app))
    fill_in(app, visit_on="18 Feb 2026")
    assert [e.payload["visit_on"] for e in app.services.of_kind("visit")] == [
        "2026-02-16", "2026-02-18"
    ]  # fmt: skip
    assert counted(app) == date(2026, 2, 18)


@pytest.mark.parametrize(
    ("now", "visit_on"),
    [("2026-02-06T12:00", ""), ("2026-01-20T12:00", ""), ("2026-02-20T12:00", ""),
     ("2026-02-06T12:00", "2026-02-20"), ("2026-02-06T12:00", "2026-02-16")],
)  # fmt: skip
def test_the_way_to_note_or_move_a_visit_stands_on_today_and_among_the_refills(now, visit_on):
    app = noted(now)
    if visit_on:
        app.note("visit", "2026-01-15T12:00", {"visit_on": visit_on})
    for screen in (today, refill_list.refills):
        ways = [c for c in controls_in(screen(app))
                if c.key in ("note the visit", "change the visit")]  # fmt: skip
        assert ways
        for way in ways:
            app.route = ""
            way.on_click()
            assert app.route == "/visit"


def test_the_number_of_a_clinic_gives_its_name_as_the_place():
    app = noted()
    app.note("contact", "2026-01-02T09:00", {"name": "Pump clinic", "role": "pump clinic",
                                             "phone": "+31 20 123 45 67"})  # fmt: skip
    app.draft("visit:")["visit_on"] = "16 Feb 2026"
    tap(visit(app), "place:Pump clinic")
    save(visit, app)
    assert app.services.newest("visit").payload["place"] == "Pump clinic"


def test_the_refill_form_tells_at_once_that_the_next_visit_is_too_late():
    app = noted("2026-02-16T10:00")
    app.draft("refill:").update(next_visit_on="2026-03-27")
    # Filled 2026-02-16 with 45 days to the alarm, so refill by 03-26 (derived).
    late = "The visit on Fri 27 Mar 2026 is after the refill-by date, Thu 26 Mar 2026."
    assert late in words(refill_form.refill(app))
    app.draft("refill:")["next_visit_on"] = "2026-03-26"
    assert "after the refill-by date" not in words(refill_form.refill(app))


def test_a_long_place_and_a_long_note_are_refused_with_a_word_and_stay_typed():
    app = noted()
    app.draft("visit:").update(visit_on="16 Feb 2026", place="x" * 500)
    save(visit, app)
    assert app.services.of_kind("visit") == ()
    assert "“place” must be at most 200 characters long" in words(visit(app))
    assert app.draft("visit:")["place"] == "x" * 500
