"""The screen of signs as values: whom to call from the start, the answer on top, what is folded."""

import flet as ft
import pytest
from screen_hand import at, controls_in, in_use, texts

from pocketpump.app.parts import Pinned
from pocketpump.app.screens.diary.event import diary_event
from pocketpump.app.screens.safety.alerts import alerts
from pocketpump.app.screens.safety.contacts import contact
from pocketpump.app.screens.safety.signs import signs
from pocketpump.app.screens.safety.ticked_signs import DRAFT, FIELD
from pocketpump.app.screens.today.today import today
from pocketpump.core.safety.sign_table import FIRST_ASKED, SIGNS, SUBJECTS

FRIDAY_NIGHT = "2026-03-20T21:13"
FRIDAY_NOON = "2026-03-20T12:00"
AMBULANCE = {"name": "Emergency", "role": "local emergency number", "phone": "112",
             "emergency": True}  # fmt: skip
CLINIC = {"name": "Clinic", "role": "pump clinic", "phone": "020 7946 0112",
          "hours": "Mon–Fri 9–16", "emergency": False}  # fmt: skip


@pytest.fixture(autouse=True)
def no_telephone(monkeypatch):
    """A link that dials asks for a page of its own; there is none here."""
    monkeypatch.setattr(ft, "OpenUrl", lambda url, target=None: None)


def using(now: str, *contacts: dict):
    app = in_use(now=now, filled="2026-03-12T09:00")
    for one in contacts:
        app.note("contact", "2026-03-12T10:00", one)
    return app


def tick(app, *ids: str) -> None:
    draft = app.draft(DRAFT)
    draft[FIELD] = {**draft.get(FIELD, {}), **dict.fromkeys(ids, app.time.isoformat())}


def pinned(app) -> Pinned:
    (bar,) = [c for c in signs(app) if isinstance(c, Pinned)]
    return bar


def calls(app) -> list[tuple[str, bool]]:
    """The calls in sight, in order: words, and whether filled."""
    found = []
    for control in controls_in([pinned(app)]):
        words = [t.replace("\N{NO-BREAK SPACE}", " ") for t in texts([control])]
        if str(control.key or "").startswith("pinned:"):
            grounds = [getattr(c, "bgcolor", None) for c in controls_in([control])]
            grounds.append(getattr(getattr(control, "style", None), "bgcolor", None))
            found.append((words[0], ft.Colors.PRIMARY in grounds))
    return found


def tap(controls, key: str) -> None:
    """Tap the control ``key``, or the button in it."""
    *_, part = [c for c in controls_in(controls) if str(c.key or "") == key]
    (button, *_) = [c for c in controls_in([part]) if getattr(c, "on_click", None)]
    button.on_click()


def test_before_any_tick_both_numbers_are_in_sight_and_nothing_says_that_all_is_well():
    app = using(FRIDAY_NOON, AMBULANCE, CLINIC)
    assert calls(app) == [
        ("Call Emergency: 112", False),
        ("Call Clinic: 020 7946 0112", False),
    ]
    told = " ".join(texts(signs(app))).casefold()
    assert "tick what is there now" in told
    for word in ("all is well", "no sign", "nothing is wrong", "everything"):
        assert word not in told


@pytest.mark.parametrize(
    ("known", "missing", "role"),
    [
        ((CLINIC,), "Set the emergency number", "local emergency number"),
        ((AMBULANCE,), "Set the clinic's number", "pump clinic"),
        ((AMBULANCE, {**CLINIC, "phone": "ask Anna"}), "Set the clinic's number", "pump clinic"),
    ],
)
def test_a_number_not_set_says_which_and_leads_to_where_it_is_set(known, missing, role):
    app = using(FRIDAY_NOON, *known)
    tap([pinned(app)], f"button:{missing}")
    assert app.route == f"/contact?role={role.replace(' ', '+')}"


def test_friday_night_an_urgent_alarm_asks_for_the_emergency_number_first_and_says_why():
    app = using(FRIDAY_NIGHT, AMBULANCE, CLINIC)
    tick(app, "urgent alarm")
    assert calls(app) == [
        ("Call Emergency: 112", True),
        ("Call Clinic (closed now): 020 7946 0112", False),
    ]
    assert "your clinic is noted as closed now" in " ".join(texts(signs(app)))
    app.time = at(FRIDAY_NOON)
    assert calls(app) == [("Call Emergency: 112", False), ("Call Clinic: 020 7946 0112", True)]


def test_an_emergency_without_its_number_says_to_dial_it_and_fills_no_other_call():
    app = using(FRIDAY_NOON, CLINIC)
    tick(app, "breathing")
    assert calls(app) == [("Call Clinic: 020 7946 0112", False)]
    assert "Dial it yourself." in " ".join(texts([pinned(app)]))


def test_what_can_wait_fills_no_call():
    app = using(FRIDAY_NOON, AMBULANCE, CLINIC)
    tick(app, "constipation")
    assert [filled for _, filled in calls(app)] == [False, False]


def test_each_sign_is_asked_once_the_most_dangerous_in_the_open_the_rest_folded_by_subject():
    app = using(FRIDAY_NOON)

    def asked() -> list[str]:
        keys = [str(c.key or "") for c in controls_in(signs(app))]
        return [key.removeprefix("tick:") for key in keys if key.startswith("tick:")]

    assert asked() == list(FIRST_ASKED)
    for key, _ in SUBJECTS:
        tap(signs(app), f"subject:{key}")
    assert sorted(asked()) == sorted(sign.id for sign in SIGNS)
    tap(signs(app), "subject:pump")
    assert "pump moved" not in asked()


def test_a_folded_subject_shows_how_many_are_ticked_and_the_ticks_stay_at_the_top():
    app = using(FRIDAY_NOON)
    tick(app, "itch", "tingling")
    told = texts(signs(app))
    assert "2 ticked" in told
    assert told.index("Itching without a rash") < told.index("Any of these?")
    tap(signs(app), "tick:itch")  # the one at the top; the others are folded
    assert app.draft(DRAFT)[FIELD].keys() == {"tingling"}


def test_sedatives_are_asked_about_with_a_sign_of_too_much_and_make_it_more_urgent():
    app = using(FRIDAY_NOON)
    question = "Alcohol, sedatives or sleeping pills taken"
    tick(app, "itch")
    assert question not in texts(signs(app))
    tick(app, "dizzy")
    app.draft(DRAFT)[FIELD].pop("itch")
    assert "Tell the clinic at your next visit." in texts(signs(app))
    tap(signs(app), "tick:sedatives")
    told = texts(signs(app))
    assert "Tell the clinic at your next visit." not in told
    assert "Alcohol, sedatives or sleeping pills were taken." in told
    tap(signs(app), "button:Clear all")
    tick(app, "dizzy")
    assert "Tell the clinic at your next visit." in texts(signs(app))


def test_until_help_is_there_the_persons_own_plan_comes_before_the_usual_steps():
    app = using(FRIDAY_NOON, AMBULANCE)
    app.note("plan", "2026-03-12T10:00", {"text": "Our own steps."})
    assert "Our own steps." not in texts(signs(app))
    tick(app, "seizure")
    told = texts(signs(app))
    assert told.index("Our own steps.") < told.index("Until help is there")
    assert any("Do not drive yourself" in text for text in told)


@pytest.mark.parametrize(
    ("now", "first"), [("2026-05-01T21:13", "Emergency"), ("2026-05-01T12:00", "Clinic")]
)
def test_an_empty_pump_on_today_puts_the_emergency_number_first_while_the_clinic_is_closed(
    now, first
):
    # Both are a Friday; 20 mL at 0.4 mL/day are gone on day 50.
    app = using(now, CLINIC, AMBULANCE)
    told = texts(today(app))
    (said,) = [text for text in told if "By these numbers the pump is empty." in text]
    assert said
    called = [text for text in told if text.startswith("Call ") and "\n" in text]
    assert called[0].startswith(f"Call {first}")
    assert any("your clinic is noted as closed now" in text for text in told) == (
        first == "Emergency"
    )


def test_a_missed_refill_is_told_and_asks_for_the_call_without_any_sign():
    app = using(FRIDAY_NOON, CLINIC)
    app.note("happening", "2026-03-19T10:00", {"what": "missed refill", "follow_up_done": False})
    told = " ".join(texts(signs(app)))
    assert "A refill was missed" in told
    assert "Call the clinic today. Do so even without any of these signs." in told


def saved(app, **fields):
    app.draft("happening:").update(fields)
    *_, button = [
        c for c in controls_in(diary_event(app)) if str(c.key or "") == "button:Save the note"
    ]
    button.on_click()
    return app


@pytest.mark.parametrize(
    ("what", "ticked"),
    [("fever or infection", {"fever"}), ("urgent alarm heard", {"urgent alarm"}),
     ("blow to the pump", {"pump hit"}), ("vomiting", {"vomiting"})],
)  # fmt: skip
def test_a_happening_leads_to_the_signs_with_what_it_is_ticked(what, ticked):
    app = saved(using(FRIDAY_NOON), what=what)
    assert app.route == "/signs"
    assert app.draft(DRAFT)[FIELD].keys() == ticked
    assert app.said == ["The note is saved."]


def test_a_fall_after_which_the_pump_feels_different_leads_to_the_signs_and_stays_open():
    app = saved(using(FRIDAY_NOON), what="fall", done="different")
    assert app.route == "/signs"
    assert app.draft(DRAFT)[FIELD].keys() == {"pump moved", "pump hit"}
    (entry,) = app.services.of_kind("happening")
    assert entry.payload["follow_up_done"] is False
    app.query = {"id": entry.id}
    chosen = [c.key for c in controls_in(diary_event(app)) if c.key == "option:different"]
    assert chosen
    assert app.draft(f"happening:{entry.id}") == {}


def test_a_pump_that_feels_different_long_after_a_fall_is_told_on_today_until_it_was_looked_at():
    app = using(FRIDAY_NOON, CLINIC)
    fall = {"what": "fall", "follow_up_done": False}
    entry = app.note("happening", "2026-03-15T10:00", fall)
    assert alerts(app) == []
    app.query = {"id": entry.id}
    app.draft(f"happening:{entry.id}")["done"] = "different"
    *_, button = [c for c in controls_in(diary_event(app)) if c.key == "button:Save the note"]
    button.on_click()
    assert app.route == "/signs"
    assert set(app.draft(DRAFT)[FIELD].values()) == {app.time.isoformat()}
    assert any("You noted: " in text for text in texts(alerts(app)))
    (entry,) = app.services.of_kind("happening")
    app.services.record.correct(entry.id, {**entry.payload, "follow_up_done": True})
    assert alerts(app) == []


def test_what_happened_days_ago_is_not_ticked_as_of_now():
    app = saved(using(FRIDAY_NOON), what="fever or infection", day="2026-03-10", time="10:00")
    assert app.route != "/signs"
    assert FIELD not in app.draft(DRAFT)


def test_a_missed_refill_and_changed_skin_open_their_subject_with_nothing_ticked():
    app = saved(using(FRIDAY_NOON), what="skin over the pump changed")
    assert app.route == "/signs"
    assert FIELD not in app.draft(DRAFT) or not app.draft(DRAFT)[FIELD]
    assert "Skin over the pump is getting thin" in texts(signs(app))


def test_a_scan_planned_says_to_ask_first_beside_the_clinics_number():
    app = using(FRIDAY_NOON, CLINIC)
    app.draft("happening:")["what"] = "scan planned"
    told = " ".join(texts(diary_event(app)))
    assert "Ask the pump team before any MRI scan. Have the pump checked after it." in told
    assert "020 7946 0112" in told
    assert saved(app, what="scan planned").route == "/today"


def test_a_check_in_with_high_stiffness_offers_the_signs_until_closed_and_counts_nothing_itself():
    app = using(FRIDAY_NOON, CLINIC)
    app.note("check-in", "2026-03-20T11:00", {"stiffness": 8, "side_effects": ["nausea"]})
    told = " ".join(texts(alerts(app)))
    assert "may be a warning sign" in told
    assert "Call the pump clinic" not in told
    tap(alerts(app), "button:See what to do")
    assert app.route == "/signs"
    assert app.draft(DRAFT)[FIELD].keys() == {"stiffness back", "nausea"}
    tap(alerts(app), "offer:Close")
    assert alerts(app) == []
    app.note("check-in", "2026-03-20T11:30", {"stiffness": 9})
    assert "may be a warning sign" in " ".join(texts(alerts(app)))
    app.note("check-in", "2026-03-20T11:40", {"stiffness": 2})
    assert alerts(app) == []


def test_stiffness_far_above_the_usual_is_offered_too_and_an_offer_ends_after_hours():
    app = using(FRIDAY_NOON)
    for day in range(9, 20):
        app.note("check-in", f"2026-03-{day:02}T12:00", {"stiffness": 2})
    app.note("check-in", "2026-03-20T11:00", {"stiffness": 5})
    assert "may be a warning sign" in " ".join(texts(alerts(app)))
    app.time = at("2026-03-20T23:30")
    assert alerts(app) == []


def test_what_today_asks_for_knows_the_closed_clinic_and_the_sedatives():
    app = using(FRIDAY_NIGHT, AMBULANCE, CLINIC)
    app.note("check-in", "2026-03-20T20:00", {"stiffness": 3, "worries": ["urgent alarm"]})
    told = texts(alerts(app))
    assert any("your clinic is noted as closed now" in text for text in told)
    assert next(t for t in told if "\n" in t and t.startswith("Call ")).startswith("Call Emergency")
    app.note("check-in", "2026-03-20T20:30", {"stiffness": 3, "worries": ["dizzy", "sleepy"]})
    before = " ".join(texts(alerts(app)))
    app.note("check-in", "2026-03-20T20:40",
             {"stiffness": 3, "worries": ["dizzy", "sleepy"], "sedatives": True})  # fmt: skip
    after = " ".join(texts(alerts(app)))
    assert "Call the pump clinic today." in before
    assert "Call the local emergency number now." in after


@pytest.mark.parametrize(
    ("hours", "said"),
    [("Mon–Fri 9–16", "Read as: Mon–Fri 9:00–16:00. Open now."),
     ("Sat 9-12", "Read as: Sat 9:00–12:00. Closed now."),
     ("when Anna is there", "PocketPump cannot read these hours."), ("", "")],
)  # fmt: skip
def test_the_hours_of_a_clinic_say_how_they_were_read(hours, said):
    app = using(FRIDAY_NOON)
    app.query = {"role": "pump clinic"}
    app.draft("contact:pump clinic")["hours"] = hours
    told = texts(contact(app))
    readings = [t for t in told if t.startswith(("Read as", "PocketPump cannot"))]
    assert len(readings) == bool(said)
    assert not said or readings[0].startswith(said)


def test_a_new_clinic_is_not_taken_to_answer_day_and_night():
    app = using(FRIDAY_NIGHT)
    app.query = {"role": "pump clinic"}
    app.draft("contact:pump clinic").update(name="Clinic", phone="020 7946 0112",
                                            hours="Mon-Fri 9-16")  # fmt: skip
    *_, button = [
        c for c in controls_in(contact(app)) if str(c.key or "") == "button:Save the number"
    ]
    button.on_click()
    assert app.services.newest("contact").payload["emergency"] is False
