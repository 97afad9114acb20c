"""Forms: text in, values or one clear sentence out, whatever was typed."""

import random
from datetime import UTC, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest

from pocketpump.app.forms.fields import Amount, Whole
from pocketpump.app.forms.form import Form
from pocketpump.app.screens.pump import dose_form, pump
from pocketpump.app.screens.refills import refill_form
from pocketpump.app.services import Services
from pocketpump.core.pump.programme import RequestedBolus, TimedBolus
from pocketpump.core.pump.programme_payload import programme_from_payload, programme_to_payload
from pocketpump.core.pump.programme_text import parse_setting, with_boluses
from pocketpump.core.units.quantity import STRENGTH, VOLUME
from pocketpump.record import MemoryFiles, Record

NOW = datetime(2026, 1, 20, 9, 7, tzinfo=UTC)
BERLIN = ZoneInfo("Europe/Berlin")
VOLUME_FIELD = Amount("volume", "Volume", dimension=VOLUME)


class FakeApp:
    """An app without a page: drafts, a query, and a count of what was said."""

    def __init__(self, query=None):
        self.drafts = {}
        self.query = query or {}
        self.said = []
        self.saves = {}
        self.services = Services(Record.open(MemoryFiles(), clock=lambda: NOW), lambda: NOW, "UTC")

    def draft(self, name):
        return self.drafts.setdefault(name, {})

    form_draft = draft

    def refresh(self):
        pass

    def back(self):
        self.route = ""

    def reveal(self, key):
        pass

    def refuse(self, sentence, key):
        pass

    def go(self, route):
        self.route = route

    def offer_save(self, place, save):
        self.saves[place] = save

    def save(self, place):
        self.saves[place]()

    def say(self, text, **more):
        self.said.append((text, more))


def form_with(*fields, **texts) -> Form:
    app = FakeApp()
    app.draft("form").update(texts)
    return Form(app, "form", {}, fields=fields)


def assert_one_sentence(text: str) -> None:
    assert text[-1] in ".", text
    assert "\n" not in text
    assert "Traceback" not in text
    assert len(text) < 260, text


def test_an_amount_may_leave_its_unit_out_or_write_another():
    form = form_with(
        VOLUME_FIELD, Amount("strength", "Strength", dimension=STRENGTH), volume="20",
        strength="2 mg/mL",
    )  # fmt: skip
    assert form.answer("volume") == 20.0
    assert form.answer("strength") == 2000.0
    assert form_with(VOLUME_FIELD, volume="0,5").answer("volume") == 0.5


def test_an_untouched_field_follows_its_default_and_a_touched_one_does_not():
    app = FakeApp()
    form = Form(app, "form", {"day": "2026-01-20", "dose": "200"})
    form.put("dose", "210")
    later = Form(app, "form", {"day": "2026-01-21", "dose": "220"})
    assert (later.text("day"), later.text("dose")) == ("2026-01-21", "210")


def test_trouble_is_told_only_after_the_first_try_to_save():
    form = form_with(VOLUME_FIELD, volume="x")
    assert form.answer("volume") is None
    assert form.error("volume") == ""
    form.put("tried", True)
    assert form.error("volume").startswith('"x" is not a volume')


def test_an_instant_to_come_is_refused():
    form = form_with(day="2026-01-21", time="09:00", tried=True)
    form.instant("day", "time", latest=NOW)
    assert "still to come" in form.error("day")


PIECES = ["", " ", "0", "-1", "20", "40 mL", "1,000", "1e9", "NaN", "inf", "½", "\x00", "9" * 400,
          "2026-02-30", "31/12/2025", "3/4/2026", "24:00", "12:60", "00:00", "2 am", "mcg", "mg/mL",
          "Mon-Fri: 00:00 15 mcg/h", "Sat: 25:00 x", "08:00, 08:00", "4", "999", "\u202e1", "‰",
          "00:00 15 mcg/h, 06:00", "constant rate", "\ud800", "10 mg/20 mL"]  # fmt: skip


@pytest.mark.parametrize(
    ("screen", "name", "fields"),
    [
        (pump.pump, "pump", ["reservoir_ml", "alarm_volume_ml", "tolerance_percent",
                             "drug_age_limit_days", "line_volume_ml", "felt_low_ml", "model"]),
        (refill_form.refill, "refill:", ["day", "time", "filled_ml", "strength_mcg_per_ml",
                                    "printed_alarm_on", "note"]),
        (dose_form.dose, "dose:", ["dose", "timed amount", "requested amount", "times", "most",
                              "weekdays", "clock", "day", "time", "printed_alarm_on"]),
    ],
)  # fmt: skip
@pytest.mark.parametrize("count", [300, pytest.param(1_500, marks=pytest.mark.thorough)])
def test_odd_answers_by_the_hundred_are_saved_or_explained(screen, name, fields, count):
    rng = random.Random(20260121)
    saved = 0
    for _ in range(count):
        app = FakeApp()
        draft = app.draft(name)
        draft |= {
            "reservoir_ml": "20",
            "filled_ml": "20",
            "strength_mcg_per_ml": "500",
            "dose": "200",
        }
        for field in fields:
            if rng.random() < 0.3:
                draft[field] = rng.choice(PIECES)
        draft["mode"] = rng.choice(["constant rate", "day pattern", "stopped"])
        draft["timed"], draft["requested"] = rng.choice(["yes", "no"]), rng.choice(["yes", "no"])
        draft["days"] = rng.choice(["same", "weekdays"])
        draft["steps"] = [(rng.choice(PIECES), rng.choice(PIECES)) for _ in range(3)]
        before = len(app.services.record.entries)
        _tap_save(screen, app)
        if len(app.services.record.entries) > before:
            saved += 1
        else:
            controls = _all(screen(app))
            assert any("Nothing was saved yet." in text for text in _texts(controls)), draft
            for sentence in _beside_fields(controls):
                assert_one_sentence(sentence)
    assert saved > 20


def _tap_save(screen, app) -> None:
    buttons = [c for c in _all(screen(app)) if str(c.key or "").startswith("button:Save")]
    buttons[-1].on_click()


def _texts(controls) -> list[str]:
    return [c.value for c in controls if isinstance(getattr(c, "value", None), str)]


def _beside_fields(controls) -> list[str]:
    rows = [c for c in controls if c.key == "error"]
    return [text for row in rows for text in _texts(_all([row]))]


def _all(controls) -> list:
    found = []
    for control in controls:
        if control is None:
            continue
        found.append(control)
        inner = list(getattr(control, "controls", None) or [])
        content = getattr(control, "content", None)
        if content is not None and not isinstance(content, str):
            inner.append(content)
        found += _all(inner)
    return found


def test_a_save_that_fails_keeps_what_was_typed_and_says_so():
    app = FakeApp()
    app.services.record.close()
    app.draft("pump").update({"reservoir_ml": "20", "model": "grey"})
    _tap_save(pump.pump, app)
    texts = _texts(_all(pump.pump(app)))
    assert any("Nothing was saved yet. Saving is switched off" in text for text in texts)
    assert app.draft("pump")["model"] == "grey"


def test_undo_of_a_saved_entry_takes_it_back():
    app = FakeApp()
    app.draft("pump").update({"reservoir_ml": "20"})
    _tap_save(pump.pump, app)
    text, more = app.said[-1]
    assert text == "The pump is saved."
    assert app.services.newest("pump") is not None
    more["undo"]()
    assert app.services.newest("pump") is None


def saved_programme(text: str, *, offset=60, timed=(), requested=None, at=NOW):
    programme = with_boluses(parse_setting(text, offset), timed, requested)
    return {"programme": programme_to_payload(programme)}, programme


@pytest.mark.parametrize(
    ("text", "timed", "requested"),
    [
        ("200.123 mcg/day", (), None),
        ("00:00 15.1234 mcg/h, 06:00 10 mcg/h", (), RequestedBolus(25.0, 4)),
        ("Mon-Fri: 00:00 15 mcg/h, 06:00 10.125 mcg/h; Sat-Sun: 00:00 12 mcg/h",
         (TimedBolus(45.0, 2, (480, 840)),), RequestedBolus(12.5, 3)),
        ("120 mcg/day", (TimedBolus(45.0, 4),), None),
        ("stopped", (), None),
    ],
)  # fmt: skip
def test_correcting_only_the_note_keeps_every_part_of_a_setting(text, timed, requested):
    app = FakeApp()
    payload, programme = saved_programme(text, timed=timed, requested=requested)
    entry = app.services.record.add("programme", NOW - timedelta(days=3), "UTC", payload)
    app.query["id"] = entry.id
    app.draft(f"dose:{entry.id}")["note"] = "as printed"
    _tap_save(dose_form.dose, app)
    (corrected,) = app.services.of_kind("programme")
    assert corrected.payload["note"] == "as printed"
    kept = programme_from_payload(corrected.payload["programme"])
    assert kept.timed == programme.timed
    assert kept.requested == programme.requested
    for mine, theirs in zip(kept.days, programme.days, strict=True):
        for a, b in zip(mine, theirs, strict=True):
            assert a.start_minute == b.start_minute
            assert a.rate_mcg_per_hour == pytest.approx(b.rate_mcg_per_hour, rel=1e-9)
    if any(len(day) > 1 for day in programme.days) or any(b.start_minutes for b in timed):
        assert kept.clock_offset_minutes == 60


def test_the_pumps_clock_is_compared_now_and_not_at_the_change():
    # A setting of July corrected in November in Rome: when it is 11:00 here (UTC+1) the pump
    # shows 12:00, so its clock is UTC+2 (derived).
    app = FakeApp()
    november = datetime(2026, 11, 25, 10, 0, tzinfo=UTC)
    app.services.clock, app.services.place = (lambda: november), "Europe/Rome"
    payload, _ = saved_programme("00:00 15 mcg/h, 06:00 10 mcg/h", offset=120)
    july = datetime(2026, 7, 1, 8, 0, tzinfo=UTC)
    entry = app.services.record.add("programme", july, "Europe/Rome", payload)
    app.query["id"] = entry.id
    app.draft(f"dose:{entry.id}")["clock"] = "12:00"
    _tap_save(dose_form.dose, app)
    (corrected,) = app.services.of_kind("programme")
    assert programme_from_payload(corrected.payload["programme"]).clock_offset_minutes == 120


def test_an_unreadable_row_leaves_no_daily_sum():
    app = FakeApp()
    app.draft("dose:").update(mode="day pattern", steps=[("00:00", "15"), ("06:00", "ten")])
    assert not any("mcg a day" in text for text in _texts(_all(dose_form.dose(app))))


def test_correcting_keeps_what_the_form_does_not_show():
    app = FakeApp()
    record = app.services.record
    known = {"reservoir_ml": 20.0, "alarm_volume_ml": 2.0, "tip_level": "T10"}
    record.add("pump", NOW - timedelta(days=9), "UTC", known)
    app.draft("pump")["alarm_volume_ml"] = "3"
    _tap_save(pump.pump, app)
    assert app.services.newest("pump").payload["tip_level"] == "T10"
    assert app.services.newest("pump").payload["alarm_volume_ml"] == 3.0
    filled = NOW - timedelta(days=5)
    entry = record.add("refill", filled, "UTC", {"filled_ml": 20.0, "strength_mcg_per_ml": 500.0,
                                                 "drug": "baclofen"})  # fmt: skip
    app.query["id"] = entry.id
    app.draft(f"refill:{entry.id}")["filled_ml"] = "19.5"
    _tap_save(refill_form.refill, app)
    (corrected,) = app.services.of_kind("refill")
    assert corrected.payload["drug"] == "baclofen"
    assert corrected.payload["filled_ml"] == 19.5


@pytest.mark.parametrize(
    ("screen", "what"), [(refill_form.refill, "refill"), (dose_form.dose, "setting")]
)
def test_an_entry_that_is_gone_is_not_offered_as_a_new_one(screen, what):
    texts = _texts(_all(screen(FakeApp({"id": "no-such-entry"}))))
    assert any(what in text and "was removed, or" in text for text in texts)


def test_a_printed_date_before_the_refill_is_questioned_beside_the_field():
    app = FakeApp()
    known = {"filled_ml": "20", "strength_mcg_per_ml": "500", "printed_alarm_on": "2025-02-26"}
    app.draft("refill:").update(day="2026-01-12", time="09:00", **known)
    _tap_save(refill_form.refill, app)
    assert app.services.of_kind("refill") == ()
    assert any(
        "not after the refill" in text for text in _beside_fields(_all(refill_form.refill(app)))
    )


def test_an_unknown_bridge_is_kept_as_unknown():
    app = FakeApp()
    record = app.services.record
    record.add("refill", NOW - timedelta(days=50), "UTC",
               {"filled_ml": 20.0, "strength_mcg_per_ml": 500.0})  # fmt: skip
    record.add("pump", NOW, "UTC", {"reservoir_ml": 20.0, "alarm_volume_ml": 2.0})
    app.draft("refill:").update(strength_mcg_per_ml="2000")
    _tap_save(refill_form.refill, app)
    assert "bridged" not in app.services.newest("refill").payload


THIRD = 10_000 / 30  # mcg/mL, when 10 mg were made up to 30 mL


@pytest.mark.parametrize("typed", ["", "10 mg/30 mL", "333.333"])
def test_a_strength_of_a_third_is_the_same_strength_again(typed):
    app = FakeApp()
    filled = NOW - timedelta(days=30)
    first = {"filled_ml": 20.0, "strength_mcg_per_ml": THIRD}
    app.services.record.add("refill", filled, "UTC", first)
    app.draft("refill:").update(alarm_volume_ml="2", withdrawn_ml="4")
    if typed:
        app.draft("refill:")["strength_mcg_per_ml"] = typed
    assert not any("bridge" in text for text in _texts(_all(refill_form.refill(app))))
    _tap_save(refill_form.refill, app)
    again = app.services.newest("refill")
    assert again.at == NOW
    assert again.payload["strength_mcg_per_ml"] == THIRD


def test_correcting_the_note_keeps_every_digit_of_a_refill():
    app = FakeApp()
    exact = {"filled_ml": 19.123456, "strength_mcg_per_ml": THIRD, "withdrawn_ml": 4.987654,
             "expected_ml": 4.1234567, "measured_after_ml": 18.7654321}  # fmt: skip
    entry = app.services.record.add("refill", NOW - timedelta(days=5), "UTC", exact)
    app.query["id"] = entry.id
    app.draft(f"refill:{entry.id}")["note"] = "x"
    _tap_save(refill_form.refill, app)
    assert dict(app.services.newest("refill").payload) == {**exact, "note": "x"}


@pytest.mark.parametrize(
    ("now", "typed", "refused"),
    [
        # Berlin's clocks went from 03:00 back to 02:00 on 25 October 2026 (tz database).
        (datetime(2026, 10, 25, 2, 10, fold=1, tzinfo=BERLIN), "02:50", False),
        (datetime(2026, 10, 25, 2, 10, fold=0, tzinfo=BERLIN), "02:50", True),
        (datetime(2026, 10, 25, 2, 10, fold=1, tzinfo=BERLIN), "03:00", True),
    ],
)
def test_in_the_hour_that_comes_twice_a_time_already_gone_is_taken(now, typed, refused):
    form = form_with(day="2026-10-25", time=typed, tried=True)
    form.instant("day", "time", latest=now)
    assert bool(form.error("day")) == refused


@pytest.mark.parametrize(
    ("text", "sentence"),
    [
        ("180.5", "Write a number without decimals, from 1 to 400."),
        ("500", "Write a number from 1 to 400."),
        ("180", ""),
    ],
)
def test_a_whole_number_says_what_is_wrong_with_it(text, sentence):
    days = Whole("days", "Days", unit="", low=1, high=400)
    form = form_with(days, days=text, tried=True)
    form.answer("days")
    assert form.error("days") == sentence
