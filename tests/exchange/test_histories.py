"""Random histories of a record: every view tells one date, and what comes later changes nothing.

Settings, refills, corrections, removals, two entries in one minute, a replaced pump, other clocks
of the pump, zones whose clocks change, also at midnight.
"""

import random
from dataclasses import dataclass, field
from datetime import UTC, date, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest
from icalendar import Calendar

from pocketpump.core.pump.forecast import Forecast, forecast
from pocketpump.core.pump.programme import (
    Programme,
    RateStep,
    RequestedBolus,
    TimedBolus,
    constant_rate,
    day_pattern,
    stopped,
)
from pocketpump.core.pump.programme_payload import programme_to_payload
from pocketpump.core.refill_check.visit_check import check_visit
from pocketpump.core.safety.card import build_card
from pocketpump.core.units.instants import date_text
from pocketpump.exchange.calendar.record_calendar import calendar_of
from pocketpump.exchange.papers.sheet import clinic_sheet
from pocketpump.record import MemoryFiles, Record
from pocketpump.record.facts.card_facts import care_of
from pocketpump.record.facts.situation import situation_of, visit_of
from pocketpump.record.facts.state import state_by

FEW, MANY = 100, 2_000
ZONES = (
    "UTC", "Europe/Berlin", "America/New_York", "America/Santiago", "Asia/Beirut", "Africa/Cairo",
    "Australia/Lord_Howe", "Pacific/Kiritimati", "Asia/Kathmandu",
)  # fmt: skip


@dataclass
class History:
    """A record as it grew: ``instants`` are those at which something in it begins."""

    rng: random.Random
    record: Record
    zone_name: str
    instants: list[datetime] = field(default_factory=list)

    @property
    def zone(self) -> ZoneInfo:
        return ZoneInfo(self.zone_name)

    def add(self, kind: str, at: datetime, payload: dict) -> None:
        self.record.add(kind, at, self.zone_name, payload)
        self.instants.append(at)

    def some_instant(self, first: datetime) -> datetime:
        """A new minute; often one that is taken already, or within the same minute."""
        if self.instants and self.rng.random() < 0.2:
            return self.rng.choice(self.instants) + timedelta(seconds=self.rng.choice([0, 0, 5]))
        minutes = self.rng.randrange(300 * 1_440)
        return (first + timedelta(minutes=minutes)).astimezone(self.zone)


class Clock:
    """A clock of writing that moves on by a second each time."""

    def __init__(self) -> None:
        self.now = datetime(2026, 1, 1, tzinfo=UTC)

    def __call__(self) -> datetime:
        self.now += timedelta(seconds=1)
        return self.now


def random_programme(rng: random.Random) -> Programme:
    offset = rng.choice([0, 60, -300, 345])
    base = rng.choice([90.0, 200.0, 201.0, 480.0])
    kind = rng.choice(["constant", "constant", "pattern", "timed", "requested", "stopped"])
    if kind == "stopped":
        return stopped()
    if kind == "pattern":
        return day_pattern([[RateStep(0, base / 24), RateStep(360, base / 12),
                             RateStep(1_320, 0.0)]], offset)  # fmt: skip
    steady = constant_rate(base, offset)
    if kind == "timed":
        return Programme(steady.days, (TimedBolus(20.0, 2, (480, 1_200)),), None, offset)
    if kind == "requested":
        return Programme(steady.days, (), RequestedBolus(10.0, 4), offset)
    return steady


def random_payload(rng: random.Random, kind: str, at: datetime) -> dict:
    if kind == "pump":
        line = {"line_volume_ml": rng.choice([0.2, 0.6])} if rng.random() < 0.5 else {}
        return {
            "reservoir_ml": 40.0, "alarm_volume_ml": rng.choice([1.0, 2.0]),
            **rng.choice([{"serial": "A1"}, {"serial": "A1"}, {"serial": "B2"}, {}]), **line,
            **_implanted(rng, at),
        }  # fmt: skip
    if kind == "programme":
        made = {"programme": programme_to_payload(random_programme(rng))}
        return made | _printed(rng, at)
    left = {}
    if rng.random() < 0.6:
        left["withdrawn_ml"] = rng.choice([0.0, 0.3, 2.0, 4.5])
    if rng.random() < 0.5:
        left["expected_ml"] = rng.choice([0.0, 2.5, 4.0])
    bridged = {} if rng.random() < 0.4 else {"bridged": rng.random() < 0.5}
    return {
        "filled_ml": rng.choice([18.0, 20.0, 40.0]),
        "strength_mcg_per_ml": rng.choice([500.0, 500.0, 1_000.0, 2_000.0]),
        **left, **bridged, **_printed(rng, at),
    }  # fmt: skip


def _implanted(rng: random.Random, at: datetime) -> dict:
    if rng.random() < 0.6:
        return {}
    return {"implanted_on": (at.date() + timedelta(days=rng.randint(-200, 100))).isoformat()}


def _printed(rng: random.Random, at: datetime) -> dict:
    if rng.random() < 0.6:
        return {}
    return {"printed_alarm_on": (at.date() + timedelta(days=rng.randint(10, 180))).isoformat()}


def random_history(seed: int) -> History:
    rng = random.Random(seed)
    number = iter(range(10**6))
    files = Record.open(MemoryFiles(), clock=Clock(), make_id=lambda: f"e-{next(number):06}")
    history = History(rng, files, rng.choice(ZONES))
    first = datetime(2025, rng.randint(1, 12), rng.randint(1, 28), 9, 30, tzinfo=history.zone)
    history.add("pump", first - timedelta(days=1), random_payload(rng, "pump", first))
    for _ in range(rng.randint(1, 5)):
        at = history.some_instant(first)
        history.add("refill", at, random_payload(rng, "refill", at))
        if rng.random() < 0.5:
            history.add("programme", at, random_payload(rng, "programme", at))
    for _ in range(rng.randint(1, 4)):
        at = history.some_instant(first)
        history.add("programme", at, random_payload(rng, "programme", at))
    for _ in range(rng.choice([0, 0, 1, 3])):
        at = history.some_instant(first)
        history.add("pump", at, random_payload(rng, "pump", at))
    for _ in range(rng.randint(0, 3)):
        old = rng.choice(
            [one for one in history.record.alive if one.kind in ("refill", "programme")] or [None]
        )
        if old is None:
            break
        if rng.random() < 0.5:
            history.record.remove(old.id)
        else:
            at = old.at if rng.random() < 0.5 else history.some_instant(first)
            payload = random_payload(rng, old.kind, at)
            history.record.correct(old.id, payload, at, history.zone_name)
            history.instants.append(at)
    return history


def look(entries, now: datetime, zone: ZoneInfo) -> Forecast | None:
    situation, _ = situation_of(entries, now)
    return None if situation is None else forecast(situation, now, zone)[0]


def dates_of(answer: Forecast | None) -> tuple | None:
    """Everything dated in a forecast, and what it was computed from."""
    if answer is None:
        return None
    return (
        answer.fill, answer.programme, answer.volume_now_ml, answer.alarm_at,
        answer.alarm_earliest, answer.alarm_latest, answer.empty_at, answer.empty_earliest,
        answer.drug_age_limit_at, answer.printed_in_force, answer.paced_alarm_at, answer.ratio,
        answer.refill_by, answer.refill_by_because, answer.call_by,
    )  # fmt: skip


def faces_of(history: History, entries, now: datetime, answer: Forecast) -> None:
    """Hold calendar file, sheet and card to the forecast, each read back from what it shows."""
    zone = history.zone
    computed = answer.alarm_at.date() if answer.alarm_at else None
    _, calendar = calendar_of(history.record.entries, now, zone, full_titles=True)
    events = {
        str(event["UID"]).split("@")[0].rsplit("-", 1)[-1]: event
        for event in Calendar.from_ical(calendar).walk("VEVENT")
    }
    titles = {str(e["SUMMARY"]): e["DTSTART"].dt for e in events.values()}
    assert titles["Refill by"] == max(answer.refill_by, answer.today)
    alarm_day = titles.get("Alarm date, computed")
    assert alarm_day == (computed if computed and computed >= answer.today else None)
    sheet = clinic_sheet(entries, now, zone)
    said = str(sheet)
    assert date_text(answer.refill_by) in said
    assert computed is None or date_text(computed) in said
    card = build_card(care_of(entries, now), answer, now)
    is_stopped = answer.programme.mode == "stopped"
    assert card.value("refill_by") == ("" if is_stopped else answer.refill_by.isoformat())
    agreed = answer.printed_in_force == computed
    if computed is not None and not (agreed and is_stopped):
        assert card.value("alarm_date") == computed.isoformat()
    assert state_by(entries, answer).word


def check_agrees(entries, answer: Forecast, zone: ZoneInfo) -> bool:
    """Hold the check of the last refill to the forecast of its own instant; if there is one."""
    entry = next(one for one in entries if one.id == answer.fill.id)
    # What is noted within one minute is one visit: asked at its end, once the last note of the
    # refill is written.
    noted = max((one.at for one in answer.situation.notes_of(answer.fill)), key=datetime.timestamp)
    visited = noted.replace(second=59, microsecond=0)
    then = look(entries, visited, zone)
    if then is None or then.fill.id != entry.id:
        return False  # there was no setting yet, or by the end of the minute another refill counts
    last = next(one for one in answer.situation.notes_of(answer.fill) if one.at == noted)
    visit = visit_of(next(one for one in entries if one.id == last.id))
    situation, _ = situation_of(entries, max(answer.now, visited, key=datetime.timestamp))
    then_situation, _ = situation_of(entries, visited)
    # The alarm volume is that of the pump of the instant asked about, as it was known then.
    if then_situation.with_pump_of(visited).pump != situation.with_pump_of(visited).pump:
        situation = then_situation
    computed = check_visit(visit, situation, zone).computed_alarm_on
    wanted: date | None = then.alarm_at.date() if then.alarm_at else None
    assert computed == wanted
    return True


def one_history(seed: int) -> int:
    history = random_history(seed)
    rng, zone, entries = history.rng, history.zone, history.record.alive
    checked = 0
    instants = sorted(history.instants)
    for instant in rng.sample(instants, min(3, len(instants))):
        now = (instant + timedelta(minutes=rng.choice([0, 1, 600, 40_000]))).astimezone(zone)
        answer = look(entries, now, zone)
        until_now = [one for one in entries if one.at.timestamp() <= now.timestamp()]
        # What is dated later changes nothing that was true before it.
        assert dates_of(look(until_now, now, zone)) == dates_of(answer)
        if answer is not None:
            faces_of(history, entries, now, answer)
            checked += check_agrees(entries, answer, zone)
    later = history.record.alive[0]
    now = rng.choice(instants).astimezone(zone)
    before = dates_of(look(history.record.alive, now, zone))
    for _ in range(3):
        kind = rng.choice(["refill", "programme", "pump"])
        at = now + timedelta(minutes=rng.choice([1, 500, 10**6]))
        history.add(kind, at, random_payload(rng, kind, at))
        assert dates_of(look(history.record.alive, now, zone)) == before
    assert later in history.record.alive
    return checked


@pytest.mark.parametrize("seed", range(0, FEW, 10))
def test_every_view_tells_one_date_and_what_comes_later_changes_nothing(seed):
    assert sum(one_history(one) for one in range(seed, seed + 10)) > 0


@pytest.mark.thorough
@pytest.mark.parametrize("seed", range(FEW, MANY, 100))
def test_every_view_tells_one_date_in_thousands_of_histories(seed):
    assert sum(one_history(one) for one in range(seed, min(MANY, seed + 100))) > 0
