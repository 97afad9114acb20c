"""What the diary says, all at once: the same for the diary's screens and the clinic sheet."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime, time, timedelta
from itertools import pairwise
from math import isclose

from pocketpump.core.diary.check_ins import (
    SPASMS,
    STIFFNESS,
    CheckIn,
    DiaryEvent,
    between,
    readings,
)
from pocketpump.core.diary.drift import LAST_CHANGE, Drift, drift
from pocketpump.core.diary.hours import Hours, hours
from pocketpump.core.diary.response import Response, changes_of, responses
from pocketpump.core.diary.sudden_change import LOOK_BACK_DAYS, Sudden, sudden_change
from pocketpump.core.messages import message
from pocketpump.core.pump.situation import Situation
from pocketpump.core.units.instants import to_seconds
from pocketpump.core.units.quantity import entered_number
from pocketpump.record.entry.entries import Entry
from pocketpump.record.facts.card_facts import trips_in
from pocketpump.record.facts.diary import check_ins_of, diary_events_of
from pocketpump.record.facts.situation import settling_days_of


@dataclass(frozen=True, slots=True)
class Findings:
    """Every sentence the diary can give at one instant; each part carries its own working.

    ``responses`` are oldest first, one for each run of changes, for stiffness and for spasms;
    ``drift`` and ``hours`` look at the time since the last change had settled; ``hours`` is None
    without a setting.
    """

    check_ins: tuple[CheckIn, ...]
    diary_events: tuple[DiaryEvent, ...]
    responses: tuple[Response, ...]
    spasm_responses: tuple[Response, ...]
    drift: Drift
    sudden: Sudden
    hours: Hours | None


def findings_of(entries: Iterable[Entry], situation: Situation | None, now: datetime) -> Findings:
    """Return what the ``entries`` that count now say at ``now`` (aware, in the person's zone)."""
    kept = tuple(entries)
    check_ins = check_ins_of(kept)
    diary_events = diary_events_of(kept)
    settling = settling_days_of(kept, now)
    settings = changes_of(situation.settings if situation else (), now)
    stiffness, spasms = readings(check_ins, STIFFNESS), readings(check_ins, SPASMS)
    settled = settings[-1].at + timedelta(days=settling) if settings else None
    running = situation.running_since(now) if situation else None
    # Another clock of the pump is no change of the dose, but its hours lie elsewhere from then on.
    alike = max(
        (at for at in (settled, running and running.at) if at), key=to_seconds, default=None
    )
    # Note: it follows "since".
    first_setting = message("the first dose setting")
    since_what = LAST_CHANGE if len(settings) > 1 else first_setting
    around = (*diary_events, *_refills(situation), *_trips(kept))
    also = sorted(around, key=lambda h: h.at)
    lately = between(stiffness, now - timedelta(days=LOOK_BACK_DAYS), now + timedelta(days=1))
    return Findings(
        check_ins=check_ins,
        diary_events=diary_events,
        responses=responses(settings, stiffness, now, settling_days=settling, diary_events=also),
        spasm_responses=responses(
            settings, spasms, now, scale=SPASMS, settling_days=settling, diary_events=also
        ),
        drift=drift(stiffness, now, since=settled, since_what=since_what),
        sudden=sudden_change(lately, now.date()),
        hours=None if running is None else hours(stiffness, running.programme, now, since=alike),
    )


def _trips(entries: Iterable[Entry]) -> list[DiaryEvent]:
    """Return the trips that can be read as what else happened, from the day of leaving on."""
    told = []
    for entry, trip in trips_in(entries):
        zone = entry.at.tzinfo
        leaves, returns = (
            datetime.combine(day, time(), zone) for day in (trip.leaves_on, trip.returns_on)
        )
        told.append(DiaryEvent(leaves, message("a trip"), until=returns))
    return told


def _refills(situation: Situation | None) -> list[DiaryEvent]:
    """Return the refills as what else happened: new drug, above all of another strength."""
    fills = situation.fills if situation else ()
    told = [DiaryEvent(fill.at, message("a refill")) for fill in fills[:1]]
    for before, fill in pairwise(fills):
        one, other = before.strength_mcg_per_ml, fill.strength_mcg_per_ml
        what = (
            message("a refill")
            if isclose(one, other, rel_tol=1e-3)  # typed with more or fewer digits
            else message(
                "a refill with another strength ({before}, then {after} mcg/mL)",
                before=entered_number(one),
                after=entered_number(other),
            )
        )
        told.append(DiaryEvent(fill.at, what))
    return told
