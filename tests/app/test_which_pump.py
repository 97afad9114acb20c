"""Another pump or a slip of the pen: asked once, for what past refills have shown hangs on it."""

from datetime import timedelta

import pytest
from screen_hand import PUMP, PagelessApp, at, save, texts

from pocketpump.app.screens.pump.pump import pump
from pocketpump.core.pump.programme import constant_rate
from pocketpump.core.pump.programme_payload import programme_to_payload
from pocketpump.record.facts.situation import pumps_at

QUESTION = "Is this another pump than before?"
REFILL = {"filled_ml": 20.0, "strength_mcg_per_ml": 500.0}
NUMBER = {"serial": "SN123"}
DATED = {"serial": "SN123", "implanted_on": "2020-02-20"}


def taught(*pumps, now="2026-03-20T12:00") -> PagelessApp:
    """A pump that two refills have shown to be fast."""
    app = PagelessApp(at(now))
    for month, known in enumerate(pumps, 1):
        app.note("pump", f"2025-0{month}-01T11:00", {**PUMP, **known})
    app.note(
        "programme", "2025-01-01T11:00", {"programme": programme_to_payload(constant_rate(200))}
    )
    app.note("refill", "2025-12-12T09:00", REFILL)
    for when in ("2026-01-21T09:00", "2026-03-02T09:00"):
        app.note("refill", when, {**REFILL, "expected_ml": 4.0, "withdrawn_ml": 2.0})
    return app


def typed(app, **fields) -> PagelessApp:
    app.draft("pump").update({"more": True, **fields})
    return app


def learnt(app) -> int:
    return app.services.forecast()[0].ratio.counted


def dates(app):
    answer, _ = app.services.forecast()
    return answer.refill_by, answer.call_by, answer.alarm_earliest


@pytest.mark.parametrize(
    ("known", "fields", "asked"),
    [
        ([NUMBER], {"serial": "5N123"}, True),
        ([DATED], {"implanted_on": "2026-02-20"}, True),
        ([{}], {"implanted_on": "2026-02-20"}, True),
        # The same number however it is written, a day that is learnt or mended, other amounts.
        ([NUMBER], {"serial": "sn-0123"}, False),
        ([DATED], {"implanted_on": "2019-02-20"}, False),
        ([{}], DATED, False),
        ([DATED], {"alarm_volume_ml": "1"}, False),
    ],
)
def test_it_is_asked_only_where_it_would_count_as_another_pump(known, fields, asked):
    app = typed(taught(*known), **fields)
    before, was = app.services.record.alive, dates(app)
    assert (QUESTION in texts(pump(app))) == asked
    save(pump, app)
    assert (app.services.record.alive == before) == asked
    assert learnt(app) == 2
    if "alarm_volume_ml" not in fields:
        assert dates(app) == was


@pytest.mark.parametrize("known", [[NUMBER], [NUMBER, {**NUMBER, "alarm_volume_ml": 1.0}]])
def test_a_correction_of_the_number_keeps_what_refills_have_shown(known):
    app = typed(taught(*known), serial="5N123", which_pump="same")
    was, count = dates(app), len(app.services.of_kind("pump"))
    save(pump, app)
    assert dates(app) == was
    assert len(app.services.of_kind("pump")) == count
    assert {one.payload["serial"] for one in app.services.of_kind("pump")} == {"5N123"}
    assert app.said == ["The pump is saved."]


def test_a_day_after_known_refills_cannot_be_a_correction():
    app = typed(taught(DATED), implanted_on="2026-02-20", which_pump="same")
    before = app.services.record.alive
    save(pump, app)
    assert app.services.record.alive == before
    assert [text for text in texts(pump(app)) if "look at the day again" in text]
    typed(app, implanted_on="2020-02-21")
    save(pump, app)
    assert learnt(app) == 2


@pytest.mark.parametrize("fields", [{"serial": "X9"}, {"implanted_on": "2026-02-20"}])
def test_another_pump_is_a_new_entry_and_what_it_means_is_said(fields):
    app = typed(taught(DATED if "implanted_on" in fields else NUMBER), which_pump="other", **fields)
    save(pump, app)
    assert len(app.services.of_kind("pump")) == 2
    if "serial" in fields:
        # The fill in the body was still filled into the pump before.
        app.time += timedelta(days=1)
        app.note("refill", "2026-03-21T09:00", REFILL)
    assert learnt(app) == 0
    (said,) = app.said
    assert "what past refills have shown no longer counts" in said


@pytest.mark.parametrize(
    ("known", "slip"),
    [([{}], {"implanted_on": "2026-02-20"}), ([NUMBER], {"serial": "5N123"})],
)
def test_emptying_a_slip_brings_back_what_refills_have_shown(known, slip):
    app = taught(*known)
    before = dates(app), learnt(app)
    save(pump, typed(app, **slip, which_pump="other"))
    assert len(pumps_at(app.services.record.alive, app.services.now())) == 2
    app.time += timedelta(minutes=5)
    save(pump, typed(app, **dict.fromkeys(slip, "")))
    assert len(pumps_at(app.services.record.alive, app.services.now())) == 1
    assert (dates(app), learnt(app)) == before


def test_another_pump_whose_implant_day_is_not_known_is_no_correction_of_the_one_before():
    app = taught(DATED)
    save(pump, typed(app, serial="X9", implanted_on="", which_pump="other"))
    assert [one.payload["serial"] for one in app.services.of_kind("pump")] == ["SN123", "X9"]
    # The fill in the body was still filled into the pump before.
    app.time += timedelta(days=1)
    app.note("refill", "2026-03-21T09:00", REFILL)
    assert learnt(app) == 0
