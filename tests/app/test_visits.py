"""What a visit's numbers do to the dates once they are saved, corrected or left lying."""

from datetime import timedelta
from types import SimpleNamespace

import pytest
from screen_hand import PUMP, PagelessApp, at, confirm, controls_in, in_use, save, texts

from pocketpump.app import draft_keeping
from pocketpump.app.screens.pump import dose_form
from pocketpump.app.screens.refills import refill_form, refill_list
from pocketpump.app.screens.safety import signs
from pocketpump.app.screens.today.today import today
from pocketpump.record import MemoryFiles, to_document
from pocketpump.record.journal.tinydb_storage import RecordDB

FILLED = {"filled_ml": 20.0, "strength_mcg_per_ml": 500.0}


def words(controls):
    return " ".join(texts(controls))


def noted(now="2026-03-20T12:00", filled="2026-01-12T09:00"):
    return in_use(now, filled)


def forecast_of(app):
    return app.services.forecast()[0]


def test_a_saved_refill_leaves_nothing_in_the_form(monkeypatch):
    # Whatever waits for the typing to rest must not come after the save.
    monkeypatch.setattr(draft_keeping, "_REST_S", 0.01)
    app = noted()
    app.draft("refill:").update(withdrawn_ml="4.1")
    app.services.save_draft("refill:", app.draft("refill:"))
    save(refill_form.refill, app)
    assert app.services.record.draft("refill:") == {}
    app.drafts.clear()
    assert "4.1" not in words(refill_form.refill(app))


def test_a_visit_typed_one_day_and_saved_another_is_of_the_day_it_was_typed():
    app = noted(now="2026-03-20T10:00")
    boxes = [
        c for c in controls_in(refill_form.refill(app)) if hasattr(c, "on_change") and c.on_change
    ]
    note = boxes[-1]
    note.on_change(SimpleNamespace(control=SimpleNamespace(value="typed in the waiting room")))
    app.time = at("2026-03-22T08:00")
    assert "You began this on an earlier day" in words(refill_form.refill(app))
    save(refill_form.refill, app)
    assert app.services.newest("refill").at == at("2026-03-20T10:00")


def test_a_dose_set_at_a_visit_goes_along_with_it_whatever_its_seconds():
    app = in_use()
    app.note("refill", "2026-03-20T09:00:40", FILLED)
    app.note("programme", "2026-03-20T09:00:05", dict(app.services.newest("programme").payload))
    last = app.services.newest("refill")
    app.query = {"id": last.id}
    app.draft(f"refill:{last.id}").update(time="07:30")
    save(refill_form.refill, app)
    assert app.services.newest("refill").at == at("2026-03-20T07:30")
    assert app.services.newest("programme").at == at("2026-03-20T07:30")


def test_a_dose_saved_for_a_day_before_the_one_that_runs_says_which_runs_on():
    app = in_use()
    app.draft("dose:").update({"dose": "180", "from": "day", "day": "2026-03-01", "time": "09:00"})
    save(dose_form.dose, app)
    (said,) = app.said
    assert said == (
        "The dose setting is saved. It is not what runs now: the newer setting of Thu 12 Mar 2026,"
        " 09:00 stays in force."
    )
    assert forecast_of(app).dose_mcg_per_day == pytest.approx(200)
    app.draft("dose:").update({"dose": "180", "from": "day", "day": "2026-03-20", "time": "09:00"})
    save(dose_form.dose, app)
    assert app.said[1:] == ["The dose setting is saved."]
    assert forecast_of(app).dose_mcg_per_day == pytest.approx(180)


def test_a_dose_saved_with_a_refill_of_the_past_says_which_runs_on():
    app = in_use()
    typed = {"day": "2026-03-01", "time": "09:00", "dose": "180", "dose changed": "yes"}
    app.draft("refill:").update(typed)
    save(refill_form.refill, app)
    confirm(refill_form.refill, app)
    assert "Thu 12 Mar 2026, 09:00 stays in force" in app.said[-1]
    assert forecast_of(app).dose_mcg_per_day == pytest.approx(200)


def test_the_alarm_volume_noted_with_a_back_dated_refill_counts():
    app = noted()
    app.services.record.add("pump", at("2026-03-20T11:00"), "UTC", PUMP)
    app.time += timedelta(minutes=1)
    app.draft("refill:").update(day="2026-02-20", time="09:00", alarm_volume_ml="4")
    save(refill_form.refill, app)
    assert forecast_of(app).situation.pump.alarm_volume_ml == 4.0


def test_a_refill_added_to_the_history_leaves_the_pump_as_it_is():
    app = noted()
    app.draft("refill:").update(day="2025-10-20", time="09:00", alarm_volume_ml="4")
    assert "Alarm volume" not in words(refill_form.refill(app))
    save(refill_form.refill, app)
    assert len(app.services.of_kind("refill")) == 2
    assert forecast_of(app).situation.pump.alarm_volume_ml == 2.0


def test_correcting_a_visits_day_moves_its_dose_along_and_keeps_the_clinics_date():
    app = noted()
    visit = {"day": "2026-03-12", "time": "09:00", "dose changed": "yes", "dose": "260",
             "printed_alarm_on": "2026-03-29"}  # fmt: skip
    app.draft("refill:").update(visit)
    save(refill_form.refill, app)
    before = forecast_of(app).refill_by
    entry = app.services.newest("refill")
    app.query = {"id": entry.id}
    app.draft("refill:" + entry.id)["day"] = "2026-03-10"
    save(refill_form.refill, app)
    assert app.services.newest("programme").at == app.services.newest("refill").at
    assert not forecast_of(app).printed_is_old
    assert forecast_of(app).refill_by <= before


def test_of_two_dates_handed_out_at_once_the_earlier_counts():
    app = noted()
    visit = {**FILLED, "printed_alarm_on": "2026-04-26"}
    app.services.record.add("refill", at("2026-03-12T09:00"), "UTC", visit)
    app.draft("dose:").update({"mode": "constant rate", "dose": "200", "from": "refill",
                               "printed_alarm_on": "2026-04-10"})  # fmt: skip
    save(dose_form.dose, app)
    assert str(forecast_of(app).printed_alarm_on) == "2026-04-10"


def test_what_a_refill_raised_is_still_told_after_it_is_saved():
    app = noted(filled="2026-02-08T09:00")
    odd = {**FILLED, "expected_ml": 4.0, "withdrawn_ml": 6.5, "measured_after_ml": 17.0}
    app.services.record.add("refill", at("2026-03-20T09:00"), "UTC", odd)
    for screen in (today, refill_list.refills):
        told = words(screen(app))
        assert "more than expected was left" in told
        assert "missing right after the fill" in told
    app.time += timedelta(days=20)
    assert "missing right after" not in words(today(app))
    assert "missing right after" in words(refill_list.refills(app))


# What another program, or a damaged copy, may have written where ours never would.
SPOILT = [
    ("refill", {"filled_ml": 20.0, "strength_mcg_per_ml": 0.0}),
    ("refill", {**FILLED, "withdrawn_ml": "much"}),
    ("refill", {**FILLED, "printed_alarm_on": "soon"}),
    ("refill", {**FILLED, "next_visit_on": "soon"}),
    ("refill", {}),
    ("pump", {"reservoir_ml": 20.0}),
    ("programme", {"programme": "much"}),
    ("clinic days", {"open_weekdays": [0], "lead_days": 10**9}),
]


@pytest.mark.parametrize(("kind", "payload"), SPOILT)
def test_one_spoilt_entry_stops_no_screen_and_is_told(kind, payload):
    files = MemoryFiles()
    good = noted()
    entry = good.services.record.add("question", at("2026-03-01T09:00"), "UTC", {"text": "?"})
    documents = [to_document(one) for one in good.services.record.entries]
    spoilt = {**to_document(entry), "kind": kind, "payload": payload}
    with RecordDB(files) as db:
        db.table("entries").insert_multiple([*documents[:-1], spoilt])
    app = PagelessApp(at("2026-03-20T12:00"), files=files)
    answer, problems = app.services.forecast()
    assert answer.fill.strength_mcg_per_ml == 500.0
    assert any(problem.ids == (entry.id,) for problem in problems), problems
    for screen in (today, signs.signs):
        screen(app)


def test_a_newer_versions_field_does_not_make_an_entry_unreadable():
    files = MemoryFiles()
    good = noted()
    documents = [to_document(one) for one in good.services.record.entries]
    for document in documents:
        document["payload"] = {**document["payload"], "colour of the syringe": "blue"}
    with RecordDB(files) as db:
        db.table("entries").insert_multiple(documents)
    assert PagelessApp(at("2026-03-20T12:00"), files=files).services.forecast()[1] == ()


def test_the_form_says_what_is_left_by_the_record_and_asks_about_another_strength():
    app = noted(now="2026-02-16T09:00")
    # 35 days at 0.4 mL/day use 14 of 20 mL.
    assert "By your record it is 6 mL." in words(refill_form.refill(app))
    assert "is that planned" not in words(refill_form.refill(app))
    app.draft("refill:").update(strength_mcg_per_ml="2 mg/mL")
    told = words(refill_form.refill(app))
    assert "The strength was 500 mcg/mL last time and is 2000 mcg/mL now: is that planned?" in told
