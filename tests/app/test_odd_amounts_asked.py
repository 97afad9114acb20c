"""Unusual amounts are asked about where they are typed and before they are saved, never refused."""

import pytest
from screen_hand import confirm, in_use, save, texts

from pocketpump.app.screens.pump import dose_form, pump
from pocketpump.app.screens.pump.what_if import what_if
from pocketpump.app.screens.refills import refill_form
from pocketpump.app.screens.refills.refill_list import refills

REFILL = (refill_form.refill, "refill:", "refill")
PUMP = (pump.pump, "pump", "pump")
DOSE = (dose_form.dose, "dose:", "programme")


@pytest.mark.parametrize(
    ("form", "typed", "words"),
    [
        # Screening dose only: label; supplied strengths: injectable-drugs handbook.
        (REFILL, {"strength_mcg_per_ml": "50"}, "screening dose"),
        (REFILL, {"strength_mcg_per_ml": "200"}, "unusual strength"),
        # Half a day: 20 mL at 50 mcg/mL are 1000 mcg. 30 to 180 days: hospital leaflets.
        (REFILL, {"strength_mcg_per_ml": "50", "dose changed": "yes", "dose": "2000"},
         "less than a day"),
        (REFILL, {"filled_ml": "2"}, "unusual filling"),
        (REFILL, {"alarm_volume_ml": "0.2"}, "unusual alarm volume"),
        (PUMP, {"reservoir_ml": "99"}, "unusual size"),
        (PUMP, {"alarm_volume_ml": "0.2"}, "unusual alarm volume"),
        # 12-2003 mcg/day: label.
        (DOSE, {"dose": "2100"}, "outside the 12 to 2003 mcg/day"),
        # 60 mcg a day entered as 60 mcg an hour, 24 times: medication-safety alert.
        (DOSE, {"dose": "4800"}, "24 times"),
        (DOSE, {"dose": "2"}, "13 years"),
    ],
)  # fmt: skip
def test_an_unusual_amount_is_told_at_once_asked_about_and_then_saved(form, typed, words):
    screen, name, kind = form
    app = in_use()
    app.draft(name).update(typed)
    count = len(app.services.of_kind(kind))
    assert [text for text in texts(screen(app)) if words in text]
    save(screen, app)
    assert len(app.services.of_kind(kind)) == count
    assert [t for t in texts(screen(app)) if "Nothing was saved yet." in t and words in t]
    confirm(screen, app)
    assert len(app.services.of_kind(kind)) == count + 1


@pytest.mark.parametrize(
    ("form", "typed", "words"),
    [
        (REFILL, {"strength_mcg_per_ml": "0.0000001"}, "less than 1 mcg/mL, which no pump uses"),
        (REFILL, {"filled_ml": "1000"}, "more than 100 mL, which no pump uses"),
        (PUMP, {"reservoir_ml": "1000"}, "more than 100 mL, which no pump uses"),
    ],
)
def test_an_impossible_amount_is_refused_beside_its_field(form, typed, words):
    screen, name, _ = form
    app = in_use()
    app.draft(name).update(typed)
    before = app.services.record.alive
    save(screen, app)
    confirm(screen, app)
    assert app.services.record.alive == before
    assert [text for text in texts(screen(app)) if words in text]
    assert not [text for text in texts(screen(app)) if "unusual" in text]


def test_what_is_usual_is_saved_at_once():
    app = in_use()
    app.draft("refill:").update(strength_mcg_per_ml="1000")
    save(refill_form.refill, app)
    assert len(app.services.of_kind("refill")) == 2


def test_an_unusual_strength_that_was_in_the_pump_before_is_told_but_not_asked_again():
    app = in_use()
    compounded = {"filled_ml": 20.0, "strength_mcg_per_ml": 3000.0}
    app.note("refill", "2026-03-13T09:00", compounded)
    assert [text for text in texts(refill_form.refill(app)) if "unusual strength" in text]
    save(refill_form.refill, app)
    assert len(app.services.of_kind("refill")) == 3


def test_an_unusual_strength_stands_in_the_refill_check_after_it_was_saved():
    app = in_use()
    app.draft("refill:").update(strength_mcg_per_ml="200")
    save(refill_form.refill, app)
    confirm(refill_form.refill, app)
    assert [text for text in texts(refills(app)) if "unusual strength" in text]


def test_no_caution_stands_twice_over_the_save_button():
    app = in_use()
    typed = {"strength_mcg_per_ml": "200", "dose changed": "yes", "dose": "4800"}
    app.draft("refill:").update(typed)
    shown = texts(refill_form.refill(app))
    for words in ("unusual strength", "24 times", "outside the 12 to 2003"):
        assert len([text for text in shown if words in text]) == 1, words


@pytest.mark.parametrize(
    ("typed", "words"),
    [
        ({"what": "strength", "strength": "50"}, "screening dose"),
        ({"what": "filled", "filled": "2"}, "unusual filling"),
        ({"what": "alarm", "alarm": "9"}, "unusual alarm volume"),
        ({"what": "setting", "dose": "4800"}, "24 times"),
    ],
)
def test_what_if_says_what_is_unusual_about_the_numbers_tried(typed, words):
    app = in_use()
    assert not [text for text in texts(what_if(app)) if words in text]
    app.draft("what if").update(typed)
    assert [text for text in texts(what_if(app)) if words in text]


def test_the_size_of_the_reservoir_is_a_plain_number():
    app = in_use()
    app.draft("pump").update(reservoir_ml="16.5")
    save(pump.pump, app)
    assert app.services.newest("pump").payload["reservoir_ml"] == 16.5
    assert not [text for text in texts(pump.pump(app)) if text in ("20 mL", "40 mL")]
    app.draft("pump").update(reservoir_ml="")
    save(pump.pump, app)
    assert [text for text in texts(pump.pump(app)) if "Write the size in mL." in text]
