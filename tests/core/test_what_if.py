"""What if: the same arithmetic with other numbers."""

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta

import pytest

from pocketpump.core.pump.forecast import forecast
from pocketpump.core.pump.programme import constant_rate
from pocketpump.core.pump.situation import Printout, Pump, Situation
from pocketpump.core.pump.timeline import Fill, Setting
from pocketpump.core.pump.what_if import WhatIf, what_if


def situation(filled: datetime, dose: float, strength: float, volume=20.0) -> Situation:
    return Situation(
        Pump(alarm_volume_ml=2.0),
        (Fill(filled, volume, strength),),
        (Setting(filled, constant_rate(dose)),),
        printouts=(Printout(filled, date(2026, 2, 26)),),
    )


E14 = situation(datetime(2026, 1, 12, 9, tzinfo=UTC), 200, 500)


def test_a_raise_shortens_the_fill_as_in_the_worked_example():
    # E19, derived: 20 mL at 1000, 300 mcg/d from 2026-03-01, on 03-31 raised to 360: 2026-04-25,
    # was 04-30.
    start = datetime(2026, 3, 1, 9, tzinfo=UTC)
    both = what_if(
        situation(start, 300, 1000),
        WhatIf(programme=constant_rate(360)),
        datetime(2026, 3, 31, 9, tzinfo=UTC),
        UTC,
    )
    assert both is not None
    assert [answer.alarm_at.date() for answer in both] == [date(2026, 4, 30), date(2026, 4, 25)]


@pytest.mark.parametrize(("alarm_ml", "days"), [(1, 95), (2, 90), (2.7, 86.5), (4, 80)])
def test_another_alarm_volume_moves_only_the_alarm(alarm_ml, days):
    # E9, derived from the volumes in Rigoli 2004: 20 mL at 0.2 mL/day.
    filled = datetime(2026, 1, 12, 9, tzinfo=UTC)
    both = what_if(situation(filled, 200, 1000), WhatIf(alarm_volume_ml=alarm_ml), filled, UTC)
    assert both is not None
    now, then = both
    assert then.alarm_at == filled + timedelta(days=days)
    assert then.empty_at == now.empty_at


def test_another_strength_or_volume_counts_as_a_refill_now():
    now = datetime(2026, 2, 1, 9, tzinfo=UTC)
    both = what_if(E14, WhatIf(strength_mcg_per_ml=1000.0), now, UTC)
    assert both is not None
    # E9: 20 mL at 0.2 mL/day down to 2 mL: 90 days; property: twice the strength, twice the days.
    assert both[1].alarm_at == now + timedelta(days=90)
    both = what_if(E14, WhatIf(filled_ml=10.0), now, UTC)
    assert both is not None
    # 8 mL at 0.4 mL/day, by hand.
    assert both[1].alarm_at == now + timedelta(days=20)


def test_the_printed_date_counts_now_but_not_for_other_numbers():
    now = datetime(2026, 1, 20, 9, tzinfo=UTC)
    both = what_if(E14, WhatIf(programme=constant_rate(100)), now, UTC)
    assert both is not None
    assert both[0].printed_alarm_on == date(2026, 2, 26)
    assert both[1].printed_alarm_on is None
    assert both[1].refill_by > both[0].refill_by


def test_no_change_is_the_forecast_itself_and_no_refill_is_none():
    now = datetime(2026, 1, 20, 9, tzinfo=UTC)
    both = what_if(E14, WhatIf(), now, UTC)
    assert both is not None
    assert both[0] == both[1]
    empty = Situation(Pump(2.0), (), E14.settings)
    assert what_if(empty, WhatIf(filled_ml=10.0), now, UTC) is None


@pytest.mark.parametrize(("before", "tried"), [(500.0, 2000.0), (2000.0, 500.0)])
def test_a_tried_strength_counts_the_earlier_date_of_with_and_without_a_bridge(before, tried):
    now = datetime(2026, 1, 20, 9, tzinfo=UTC)
    known = situation(datetime(2026, 1, 12, 9, tzinfo=UTC), 200, before)
    known = replace(known, pump=replace(known.pump, line_volume_ml=0.35))
    alarms = []
    for bridged in (True, False):
        refilled = replace(known, fills=(*known.fills, Fill(now, 20, tried, bridged)))
        answer, _ = forecast(refilled, now, UTC)
        assert answer is not None
        alarms.append(answer.alarm_at)
    assert alarms[0] != alarms[1]
    both = what_if(known, WhatIf(strength_mcg_per_ml=tried), now, UTC)
    assert both is not None
    assert both[1].alarm_at == min(alarms)
