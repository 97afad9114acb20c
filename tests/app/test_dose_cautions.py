"""A stopped pump and a dose far from the last one: told before anything is saved."""

import pytest
from screen_hand import confirm, controls_in, in_use, save, texts

from pocketpump.app.screens.pump import dose_form
from pocketpump.app.screens.pump.what_if import what_if
from pocketpump.app.screens.refills import refill_form
from pocketpump.app.shared_texts import EMERGENCY_SIGNS

DOSE, REFILL = (
    (dose_form.dose, "dose:", {}),
    (refill_form.refill, "refill:", {"dose changed": "yes"}),
)
TRY = (what_if, "what if", {"what": "setting"})


def drawn(screen, name, start, **typed):
    app = in_use()
    app.draft(name).update({**start, **typed})
    return app, texts(screen(app))


def kept(app) -> int:
    return len(app.services.of_kind("programme"))


@pytest.mark.parametrize(("screen", "name", "start"), [DOSE, REFILL, TRY])
@pytest.mark.parametrize(
    "typed",
    [{"mode": "stopped"}, {"mode": "day pattern", "days": "same", "steps": [("00:00", "0")]}],
)
def test_stopping_is_told_with_its_signs_where_it_is_chosen(screen, name, start, typed):
    _, shown = drawn(screen, name, start, **typed)
    (caution,) = [text for text in shown if EMERGENCY_SIGNS in text]
    assert "Never stop the pump yourself" in caution
    assert not [text for text in drawn(screen, name, start)[1] if EMERGENCY_SIGNS in text]


def test_no_question_for_the_clinic_proposes_to_stop():
    assert any("If the dose setting were" in t for t in drawn(*TRY, dose="220")[1])
    assert not any("If the dose setting were" in t for t in drawn(*TRY, mode="stopped")[1])


@pytest.mark.parametrize(("screen", "name", "start"), [DOSE, REFILL])
def test_the_percent_of_the_change_stands_beside_the_dose(screen, name, start):
    assert any("+10 %" in text for text in drawn(screen, name, start, dose="220")[1])


@pytest.mark.parametrize(("screen", "name", "start"), [DOSE, REFILL])
def test_ten_times_the_dose_is_asked_about_and_then_saved(screen, name, start):
    app, shown = drawn(screen, name, start, dose="2000")
    assert any("10 times" in text for text in shown)
    save(screen, app)
    assert kept(app) == 1
    assert any("Nothing was saved yet." in text for text in texts(screen(app)))
    save(screen, app)
    assert kept(app) == 1
    confirm(screen, app)
    assert kept(app) == 2


def test_another_dose_after_the_question_is_asked_anew():
    app, _ = drawn(*DOSE, dose="2000")
    save(dose_form.dose, app)
    app.draft("dose:")["dose"] = "4800"
    assert not [c for c in controls_in(dose_form.dose(app)) if c.key == "tick:sure"]
    save(dose_form.dose, app)
    assert kept(app) == 1


@pytest.mark.parametrize(("screen", "name", "start"), [DOSE, REFILL])
def test_a_usual_step_is_saved_at_once(screen, name, start):
    app, _ = drawn(screen, name, start, dose="220")
    save(screen, app)
    assert kept(app) == 2


def test_a_note_added_to_an_unusual_dose_is_saved_at_once():
    app, _ = drawn(*DOSE, dose="2000")
    save(dose_form.dose, app)
    confirm(dose_form.dose, app)
    entry = app.services.newest("programme")
    app.query = {"id": entry.id}
    app.draft(f"dose:{entry.id}")["note"] = "x"
    save(dose_form.dose, app)
    assert app.services.newest("programme").payload["note"] == "x"
