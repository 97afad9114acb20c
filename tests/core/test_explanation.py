"""How each number was worked out: the numbers in the words are the forecast's own."""

import random
import re
from dataclasses import replace
from datetime import UTC, timedelta

import pytest
from core_helpers import at, day, random_regimen

from pocketpump.core.pump.forecast import forecast
from pocketpump.core.pump.forecast_explanation import (
    all_explanations,
    explain_alarm,
    explain_refill_by,
    explain_volume,
)
from pocketpump.core.pump.programme import RequestedBolus, constant_rate, stopped
from pocketpump.core.pump.situation import Printout, Pump, Situation
from pocketpump.core.pump.timeline import Fill, Setting
from pocketpump.core.units.instants import date_text, instant_text, to_seconds

FILLED = at("2026-01-12T09:00")
E14 = Situation(
    Pump(2.0, felt_low_ml=3.0),
    (Fill(FILLED, 20, 500),),
    (Setting(FILLED, constant_rate(200)),),
    printouts=(Printout(FILLED, day("2026-02-27")),),
)


def numbers(text: str) -> list[float]:
    return [float(found) for found in re.findall(r"\d+(?:\.\d+)?", text)]


def text_of(working) -> str:
    return "\n".join(working.lines)


def look(situation, now):
    answer, _ = forecast(situation, now, UTC)
    return answer


@pytest.mark.parametrize("seed", range(60))
def test_every_number_shown_is_the_forecasts(seed):
    regimen = random_regimen(random.Random(seed))
    answer = look(regimen.situation(felt_low_ml=3.0), regimen.now())
    fill = answer.fill
    filled, pumped, *more = explain_volume(answer).lines
    assert numbers(filled)[-1] == pytest.approx(fill.volume_ml)
    if answer.volume_now_ml > 0:
        days = (to_seconds(answer.now) - to_seconds(fill.at)) / 86_400
        assert numbers(pumped)[0] == pytest.approx(days, abs=0.051)
        used = fill.volume_ml - answer.volume_now_ml
        assert numbers(pumped)[1] == pytest.approx(used, abs=0.0051)
        assert numbers(more[0])[-1] == pytest.approx(answer.volume_now_ml, abs=0.0051)
    else:
        assert instant_text(answer.empty_at) in pumped

    lines = explain_alarm(answer).lines
    flow = next(line for line in lines if line.startswith("Flow"))
    dose, strength, result = numbers(flow)
    assert dose == pytest.approx(answer.dose_mcg_per_day, abs=0.051)
    assert result == pytest.approx(answer.flow_ml_per_day, abs=5.1e-5)
    # The formula is true of the numbers it shows.
    assert dose / strength == pytest.approx(result, abs=2e-4)
    left = next(line for line in lines if line.startswith("To pump"))
    to_pump = answer.volume_now_ml - regimen.alarm_ml
    if to_pump > 0:
        assert numbers(left)[-1] == pytest.approx(to_pump, abs=0.0051)
    else:
        assert "nothing" in left
    text = "\n".join(lines)
    assert f"Alarm: {instant_text(answer.alarm_at)}." in text
    assert f"Empty: {instant_text(answer.empty_at)}." in text
    if answer.alarm_at is not None:
        for instant in (answer.alarm_earliest, answer.alarm_latest):
            assert instant_text(instant) in text

    text = text_of(explain_refill_by(answer))
    assert f"open: {date_text(answer.refill_by)}." in text
    assert f"on a day to call: {date_text(answer.call_by)}." in text
    assert f"({answer.refill_by_because})" in text
    assert f"Drug-age limit: {date_text(answer.drug_age_limit_at.date())}" in text


def test_the_working_of_e14_can_be_followed_by_hand():
    # E14 at day 8: 3.2 mL used, 16.8 left, 14.8 to the alarm at 0.4 mL/day (derived).
    answer = look(E14, FILLED + timedelta(days=8))
    text = "\n".join(text_of(working) for working in all_explanations(answer))
    for piece in (
        "Pumped in the 8 days since: 3.2 mL.",
        "20 − 3.2 = 16.8 mL.",
        "200 ÷ 500 mcg/mL = 0.4 mL/day.",
        "16.8 − 2 = 14.8 mL.",
        "Alarm: Thu 26 Feb 2026, 09:00. Empty: Tue 3 Mar 2026, 09:00.",
        "Alarm date Thu 26 Feb 2026 less the margin of 7 days.",
        "The clinic's alarm date Fri 27 Feb 2026 less the same margin.",
        # 17 mL at 0.4 mL/day are 42.5 days: 02-23 at 21:00.
        "You have felt it at 3 mL: reached on Mon 23 Feb 2026; less the same margin.",
        "(felt volume)",
        "Mon 16 Feb 2026.",
    ):
        assert piece in text, piece


@pytest.mark.parametrize("days", [0, 8, 44, 45, 46, 49, 50, 51, 90])
def test_every_subtraction_shown_is_true(days):
    # E14 is at its alarm volume on day 45 and empty on day 50.
    answer = look(E14, FILLED + timedelta(days=days))
    text = "\n".join(text_of(working) for working in all_explanations(answer))
    shown = re.findall(r"([\d.]+) − ([\d.]+) = ([\d.]+)", text)
    assert len(shown) == (2 if days < 45 else 1 if days < 50 else 0)
    for filled, taken, left in shown:
        assert float(filled) - float(taken) == pytest.approx(float(left), abs=0.011)
    assert ("all of it was pumped by Tue 3 Mar 2026, 09:00" in text) == (days >= 50)


def test_during_a_bridge_the_flow_shown_is_the_flow_that_runs():
    # 500 -> 2000 with a bridge: 200 mcg/day still run at 200 / 500 = 0.4 mL/day for 21 h (E23).
    changed = FILLED + timedelta(days=30)
    situation = replace(
        E14,
        pump=Pump(2.0, line_volume_ml=0.35),
        fills=(*E14.fills, Fill(changed, 20, 2000, True)),
    )
    during = look(situation, changed + timedelta(hours=20))
    assert during.flow_ml_per_day == pytest.approx(0.4)
    flow = explain_alarm(during).lines[1]
    assert "200 ÷ 500 mcg/mL (bridge" in flow
    assert "= 0.4 mL/day." in flow
    after = look(situation, changed + timedelta(hours=22))
    assert after.flow_ml_per_day == pytest.approx(0.1)
    assert "200 ÷ 2000 mcg/mL = 0.1 mL/day." in explain_alarm(after).lines[1]
    told = "a line of up to 1 mL is counted in the earliest date."
    assert told not in text_of(explain_alarm(during))
    unknown = look(replace(situation, pump=Pump(2.0)), changed + timedelta(hours=20))
    assert told in text_of(explain_alarm(unknown))


def test_a_stopped_pump_has_workings_without_dates_of_alarm():
    answer = look(replace(E14, settings=(Setting(FILLED, stopped()),)), FILLED)
    text = "\n".join(text_of(working) for working in all_explanations(answer))
    assert "Alarm: never. Empty: never." in text
    assert "= 0 mL/day." in text
    assert "inf" not in text
    assert "nan" not in text
    assert "None" not in text


def test_a_date_cannot_be_read_the_wrong_way_round():
    assert date_text(day("2026-02-03")) == "Tue 3 Feb 2026"


def test_boluses_on_request_are_said_to_be_counted_at_their_most():
    asked = replace(constant_rate(200), requested=RequestedBolus(25.0, 4))
    since = (Setting(FILLED - timedelta(days=9), asked), Setting(FILLED, constant_rate(200)))
    now = FILLED + timedelta(days=3)
    until_now = (since[0], Setting(now, constant_rate(200)))
    said = [
        text_of(explain_volume(look(replace(E14, settings=settings), now)))
        for settings in ((Setting(FILLED, asked),), since, until_now)
    ]
    assert ["each allowed one" in text for text in said] == [True, False, True]
