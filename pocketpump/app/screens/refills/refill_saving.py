"""What the refill form has read: asked about before leaving the room, and saved."""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import date, datetime
from typing import Any

from pocketpump.app.services import Services, same_minute
from pocketpump.core.pump.dose_steps import dose_before
from pocketpump.core.pump.forecast import forecast
from pocketpump.core.pump.programme import Programme
from pocketpump.core.pump.programme_payload import programme_to_payload
from pocketpump.core.pump.state import late_visit
from pocketpump.core.pump.timeline import Fill, minute_of
from pocketpump.core.refill_check.plausibility import Amounts, Odd, odd_amounts
from pocketpump.core.refill_check.visit_check import Visit, VisitCheck, check_visit, with_visit
from pocketpump.core.units.instants import to_seconds
from pocketpump.record import Entry
from pocketpump.record.facts.situation import origin_of

_NEEDED = {"filled_ml", "strength_mcg_per_ml"}


@dataclass(frozen=True)
class RefillAnswers:
    """What the form says so far; None where it says nothing or nothing readable."""

    at: datetime | None
    payload: dict[str, Any]
    programme: Programme | None
    alarm_volume_ml: float | None


def save_refill(services: Services, read: RefillAnswers, old: Entry | None) -> list[str]:
    """Save the refill and what came with it, all or nothing; return the ids for the undo."""
    assert read.at is not None  # a form without an error has an instant
    if old is not None:
        return _correct(services, read.at, read.payload, old)
    entries: list[tuple[str, datetime, Mapping[str, Any]]] = [("refill", read.at, read.payload)]
    if read.programme is not None:
        payload = {"programme": programme_to_payload(read.programme)}
        entries.append(("programme", read.at, payload))
    pump = services.newest("pump")
    if pump is not None and read.alarm_volume_ml not in (None, pump.payload["alarm_volume_ml"]):
        # What the pump is set to now must not hide behind an entry of a later instant.
        at = max(read.at, pump.at, key=to_seconds)
        entries.append(("pump", at, {**pump.payload, "alarm_volume_ml": read.alarm_volume_ml}))
    return [entry.id for entry in services.save_together(entries)]


def _correct(services: Services, at: datetime, payload: Mapping[str, Any], old: Entry) -> list[str]:
    """Correct the refill; a dose setting made at that visit goes along to another instant."""
    if same_minute(old.at, at):
        return [services.save("refill", old.at, payload, old.id).id]
    moved = [(old.id, payload, at, services.zone_name)]
    moved += [
        (setting.id, setting.payload, at, services.zone_name)
        for setting in services.of_kind("programme")
        if minute_of(setting.at) == minute_of(old.at)
    ]
    return [entry.id for entry in services.record.correct_many(moved)]


def check_refill(services: Services, read: RefillAnswers, old: Entry | None) -> VisitCheck:
    """Return what is worth asking about before leaving the room; ``old`` is what it corrects."""
    situation, _ = services.situation()
    visit = _visit(read, old)
    if situation is None or visit is None:
        return VisitCheck(None, (), ())
    return check_visit(
        visit, situation, services.zone, origin_of(services.record.alive, services.now())
    )


def _visit(read: RefillAnswers, old: Entry | None) -> Visit | None:
    payload = read.payload
    if read.at is None or not payload.keys() >= _NEEDED:
        return None
    printed = payload.get("printed_alarm_on")
    return Visit(
        fill=Fill(
            read.at,
            payload["filled_ml"],
            payload["strength_mcg_per_ml"],
            payload.get("bridged"),
            id=old.id if old else "",
            expected_ml=payload.get("expected_ml"),
            withdrawn_ml=payload.get("withdrawn_ml"),
        ),
        printed_alarm_on=date.fromisoformat(printed) if printed else None,
        measured_after_ml=payload.get("measured_after_ml"),
        programme=read.programme,
        alarm_volume_ml=read.alarm_volume_ml,
    )


def late_next_visit(services: Services, read: RefillAnswers, old: Entry | None) -> str:
    """Return what to say of the next visit, were the refill saved as read; "" if it is in time."""
    situation, _ = services.situation()
    on, visit = read.payload.get("next_visit_on"), _visit(read, old)
    if not on or situation is None or visit is None:
        return ""
    answer, _ = forecast(with_visit(visit, situation), services.now(), services.zone)
    # The visit noted with an earlier refill was for the one after it.
    if answer is None or visit.fill not in answer.situation.notes_of(answer.fill):
        return ""
    return late_visit(date.fromisoformat(on), answer.refill_by)


def refill_odds(services: Services, read: RefillAnswers) -> tuple[Odd, ...]:
    """Return what is unusual about the amounts typed so far."""
    situation, _ = services.situation()
    at = read.at or services.now()
    amounts = Amounts(
        strength_mcg_per_ml=read.payload.get("strength_mcg_per_ml"),
        filled_ml=read.payload.get("filled_ml"),
        alarm_volume_ml=read.alarm_volume_ml,
        origin=origin_of(services.record.alive, services.now()),
    )
    if situation is not None:
        amounts = replace(amounts, reservoir_ml=situation.with_pump_of(at).pump.reservoir_ml)
        ran = dose_before(situation.settings, at)
        dose = ran if read.programme is None else read.programme.dose_mcg_per_day
        amounts = replace(amounts, dose_mcg_per_day=dose, dose_before_mcg_per_day=ran)
    # The size of the pump is asked about where it is typed, a dose where it is new.
    own = {"reservoir"} if read.programme is not None else {"reservoir", "dose"}
    return tuple(odd for odd in odd_amounts(amounts) if odd.field not in own)


def known_odds(services: Services, read: RefillAnswers, known: Entry | None) -> tuple[Odd, ...]:
    """Return what is as unusual about ``known``, the refill corrected or the one before."""
    if known is None:
        return ()
    pump = services.newest("pump")
    alarm: Any = pump.payload["alarm_volume_ml"] if pump else None
    return refill_odds(services, replace(read, payload=dict(known.payload), programme=None,
                                         alarm_volume_ml=alarm))  # fmt: skip
