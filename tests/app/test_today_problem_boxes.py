"""Today: the sentence first, one box a problem, each with the button that mends it."""

import pytest
from screen_hand import controls_in, in_use, texts

from pocketpump.app.look import theme
from pocketpump.app.screens.today.today import today
from pocketpump.core.pump.programme import constant_rate
from pocketpump.core.pump.programme_payload import programme_to_payload
from pocketpump.core.safety.sign_table import EMERGENCY_SIGNS
from pocketpump.record.facts.state import state_by

REFILL = {"filled_ml": 20.0, "strength_mcg_per_ml": 500.0}


def corrected(app, **more):
    (refill,) = app.services.of_kind("refill")
    return app.services.record.correct(refill.id, {**refill.payload, **more})


def boxes(app) -> dict[str, tuple[str, list]]:
    """The boxes of problems by key: their words, and their buttons."""
    found = {}
    for control in controls_in(today(app)):
        key = str(control.key or "")
        if key.startswith("problem:") and key != "problem:/contacts":
            inner = controls_in([control])
            buttons = [one for one in inner if getattr(one, "on_click", None)]
            found[key] = (" ".join(texts([control])), buttons)
    return found


def leads_to(app, box) -> str:
    (button,) = box[1]
    button.on_click()
    return app.route


@pytest.mark.parametrize(
    ("now", "grave"),
    # E14 from 2026-03-12: call by 04-05, refill by 04-17, empty 05-01 (derived).
    [("2026-03-20T12:00", False), ("2026-04-06T12:00", False), ("2026-05-02T12:00", True)],
)
def test_the_first_words_are_the_sentence_and_only_trouble_has_its_colour(now, grave):
    app = in_use(now)
    drawn = today(app)
    answer, _ = app.services.forecast()
    state = state_by(app.services.record.alive, answer)
    assert state.is_grave == grave
    assert texts(drawn)[0] == state.sentence
    assert (EMERGENCY_SIGNS in texts(drawn)) == grave
    accents = [c for c in controls_in(drawn) if getattr(c, "bgcolor", None) == theme.ACCENT_WASH]
    assert bool(accents) == grave


def test_a_refill_typed_wrong_is_one_box_that_leads_to_that_refill():
    app = in_use()
    # Typed 200 for 2000; the clinic printed what 2000 gives: 180 days.
    entry = corrected(app, strength_mcg_per_ml=200.0, printed_alarm_on="2026-09-08")
    ((words, buttons),) = boxes(app).values()
    assert words.startswith("Probably 2000 mcg/mL, not 200 mcg/mL.")
    assert "Ask the clinic which is right" in words
    # The other slips are for the form.
    assert "If the " not in words
    assert leads_to(app, (words, buttons)) == f"/refill?id={entry.id}"


def test_an_overfull_reservoir_is_told_once():
    app = in_use()
    entry = corrected(app, filled_ml=25.0)
    for now in ("2026-03-20T12:00", "2026-04-20T12:00"):  # with its visit's questions, and after
        app.time = app.time.fromisoformat(f"{now}+00:00")
        told = [text for text in texts(today(app)) if "more than the reservoir" in text]
        assert len(told) == 1
        assert told[0].count("more than the reservoir") == 1
        (box,) = boxes(app).values()
        assert leads_to(app, box) == f"/refill?id={entry.id}"


def test_another_pump_without_a_refill_is_told_once_and_leads_to_the_refill():
    app = in_use()
    known = app.services.newest("pump").payload
    app.services.save("pump", app.services.now(), {**known, "implanted_on": "2026-03-19"})
    for day in ("2026-03-20T12:00", "2026-04-20T12:00"):  # while nothing else is due, and later
        app.time = app.time.fromisoformat(f"{day}+00:00")
        drawn = today(app)
        told = [text for text in texts(drawn) if "Another pump is noted" in text]
        assert len(told) == 1
        places = {getattr(one, "key", "") for one in controls_in(drawn)}
        assert {"state:new-pump", "problem:/refill"} & places


def test_a_date_printed_at_a_dose_change_leads_to_that_setting():
    app = in_use()
    setting = app.note("programme", "2026-03-15T09:00", {
        "programme": programme_to_payload(constant_rate(210)), "printed_alarm_on": "2026-06-01",
    })  # fmt: skip
    (box,) = boxes(app).values()
    assert "printed one Mon 1 Jun 2026" in box[0]
    assert leads_to(app, box) == f"/dose?id={setting.id}"


def test_twins_lead_to_the_refills():
    app = in_use()
    app.note("refill", "2026-03-12T09:20", REFILL)
    (box,) = boxes(app).values()
    assert leads_to(app, box) == "/refills"


def test_the_line_volume_is_asked_where_it_is_entered():
    app = in_use()
    app.note("refill", "2026-03-18T09:00", {**REFILL, "strength_mcg_per_ml": 1000.0})
    found = boxes(app)
    box = next(box for box in found.values() if "line" in box[0])
    assert leads_to(app, box) == "/pump"


def test_a_late_visit_is_told_once_and_leads_to_where_it_is_moved():
    app = in_use()
    corrected(app, next_visit_on="2026-05-01")
    shown = texts(today(app))
    assert shown[0].startswith("The visit on Fri 1 May 2026 is after the refill-by date")
    assert sum("is after the refill-by date" in text for text in shown) == 1
    # Once something graver stands at the head it gets its own box.
    app.time = app.time.fromisoformat("2026-04-20T12:00+00:00")
    shown = texts(today(app))
    assert shown[0].startswith("The refill-by date")
    (box,) = boxes(app).values()
    assert "The visit on Fri 1 May 2026 is after the refill-by date" in box[0]
    assert leads_to(app, box) == "/visit"


def test_a_late_visit_stands_in_a_warning_with_its_time_and_place_and_what_if_the_alarm_sounds():
    app = in_use()
    late = {"visit_on": "2026-05-01", "visit_time": "14:30", "place": "Town hospital"}
    app.note("visit", "2026-03-19T09:00", late)
    controls = controls_in(today(app))
    (box,) = [c for c in controls if c.key == "state:late-visit"]
    assert box.bgcolor == theme.ACCENT_WASH
    told = " ".join(texts([box]))
    assert "is after the refill-by date" in told
    assert "If the alarm sounds before that, call at once." in told
    assert "Visit at the clinic: at 14:30; Town hospital" in told


def test_a_missed_refill_is_grave_until_one_is_logged():
    app = in_use()
    app.note("happening", "2026-03-19T09:00", {"what": "missed refill"})
    assert texts(today(app))[0].startswith("A refill was missed and none is noted since.")
    app.note("refill", "2026-03-20T09:00", REFILL)
    assert texts(today(app))[0].startswith("By these numbers nothing is due.")


def test_no_trouble_is_told_twice_in_a_record_full_of_them():
    app = in_use("2026-04-20T12:00")
    corrected(app, filled_ml=25.0, printed_alarm_on="2026-03-20", next_visit_on="2026-06-01")
    app.note("happening", "2026-04-19T09:00", {"what": "missed refill"})
    lines = [line for text in texts(today(app)) for line in text.split("\n") if len(line) > 40]
    assert len(lines) == len(set(lines))
