"""From entries to the situation the core computes from."""

import re
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import replace
from datetime import date, datetime
from typing import Any

from pocketpump.core.errors import InputError, Problem
from pocketpump.core.messages import message
from pocketpump.core.pump.clinic_days import WORKDAYS, ClinicDays, read_rule
from pocketpump.core.pump.dose_steps import Origin
from pocketpump.core.pump.programme_payload import programme_from_payload
from pocketpump.core.pump.reminders import USUAL_SETTLING_DAYS
from pocketpump.core.pump.situation import (
    USUAL_DRUG_AGE_LIMIT_DAYS,
    USUAL_LEAD_DAYS,
    USUAL_MARGIN_DAYS,
    USUAL_READING_ERROR_ML,
    USUAL_TOLERANCE_PERCENT,
    Habits,
    Printout,
    Pump,
    Situation,
)
from pocketpump.core.pump.timeline import Fill, Setting
from pocketpump.core.refill_check.visit_check import Visit
from pocketpump.core.units.instants import to_seconds
from pocketpump.record.entry.entries import Entry, by_minute
from pocketpump.record.entry.readable import readable
from pocketpump.record.facts.pumps import PumpInBody, pumps_of

MOST_SETTLING_DAYS = 60
"""A longer time to settle is a slip or from elsewhere (own choice, no source)."""
_COMPUTED = ("pump", "refill", "programme", "clinic days", "visit")
"""The kinds that dates and reminders are computed from."""


def of_kind(entries: Iterable[Entry], kind: str) -> tuple[Entry, ...]:
    """Return the entries of one kind, in the order given."""
    return tuple(entry for entry in entries if entry.kind == kind)


_STANDING = frozenset({"pump", "care", "plan", "clinic days", "device", "backup", "preference"})
"""The kinds of which the newest says how things are; none of them is noted ahead."""


def until(entries: Iterable[Entry], now: datetime) -> tuple[Entry, ...]:
    """Return the entries dated no later than ``now``, in the order given."""
    now_s = to_seconds(now)
    return tuple(entry for entry in entries if to_seconds(entry.at) <= now_s)


def editable(entries: Iterable[Entry], kind: str, now: datetime | None) -> tuple[Entry, ...]:
    """Return the entries of ``kind`` that may say how things are at ``now``, in the order given.

    What is dated later hides nothing that holds now: a clock that was once set forward must not
    make it the newest for years. Only where there is nothing else does it count, and only of
    what is never noted ahead: better the pump of a wrong clock than no pump.
    """
    found = of_kind(entries, kind)
    if now is None:
        return found
    return until(found, now) or (found if kind in _STANDING else ())


def newest(entries: Iterable[Entry], kind: str, now: datetime | None = None) -> Entry | None:
    """Return the entry of ``kind`` that was noted last (`by_minute`); None without one.

    With ``now``, that of what holds then; see :func:`editable`. Of pumps it is that of the one in
    the body then: of one to come nothing counts yet.
    """
    if kind == "pump" and now is not None:
        pumps = pumps_at(tuple(entries), now)
        return pumps[-1].entry if pumps else None
    found = editable(entries, kind, now)
    return max(found, key=by_minute, default=None)


def situation_of(
    entries: Iterable[Entry], now: datetime | None = None
) -> tuple[Situation | None, tuple[Problem, ...]]:
    """Return the situation told by the ``entries`` that count now, and what cannot be read.

    ``now`` is as for :func:`newest`; refills and dose settings dated later are set apart.
    The situation is None while there is no pump entry. A payload that cannot be read (from a
    damaged or foreign copy) is left out and told of; it never stops the rest.
    """
    kept, problems = _computed(entries)
    pumps = pumps_at(kept, now)
    if not pumps:
        sentence = message("There is no pump yet: enter its size and alarm.")
        lacking = Problem("no-pump", sentence)
        return None, (*problems, lacking)
    # Of two in one minute the one written last is to count, which the core takes as given last.
    noted = (one for one in kept if one.kind in ("refill", "programme"))
    ordered = sorted(noted, key=lambda one: (one.written_at, one.id))
    situation = Situation(
        pump=_pump_of(pumps[-1].entry.payload),
        fills=tuple(map(fill_of, of_kind(ordered, "refill"))),
        settings=tuple(map(setting_of, of_kind(ordered, "programme"))),
        habits=habits_of(newest(kept, "clinic days", now)),
        pumps_from=tuple(one.since for one in pumps[1:]),
        pumps_before=_pumps_before(pumps),
        printouts=tuple(_printouts_of(ordered)),
    )
    if now is not None:
        situation = situation.until(now)
    return situation, problems


def _computed(entries: Iterable[Entry]) -> tuple[tuple[Entry, ...], tuple[Problem, ...]]:
    """Return the entries that dates are computed from, and what of them cannot be read."""
    kept, unread = readable(entry for entry in entries if entry.kind in _COMPUTED)
    return kept, tuple(problem for one in unread for problem in one.problems)


def _printouts_of(entries: Iterable[Entry]) -> Iterator[Printout]:
    for entry in entries:
        if entry.payload.get("printed_alarm_on"):
            yield Printout(
                entry.at, date.fromisoformat(str(entry.payload["printed_alarm_on"])), entry.id
            )


def fill_of(entry: Entry) -> Fill:
    """Return the fill that a refill entry speaks of."""
    payload: Mapping[str, Any] = entry.payload
    return Fill(
        at=entry.at,
        volume_ml=float(payload["filled_ml"]),
        strength_mcg_per_ml=float(payload["strength_mcg_per_ml"]),
        bridged=payload.get("bridged"),
        id=entry.id,
        expected_ml=payload.get("expected_ml"),
        withdrawn_ml=payload.get("withdrawn_ml"),
    )


def visit_of(entry: Entry) -> Visit:
    """Return what a refill entry says of its visit, to be checked again."""
    payload: Mapping[str, Any] = entry.payload
    printed = payload.get("printed_alarm_on")
    return Visit(
        fill=fill_of(entry),
        printed_alarm_on=date.fromisoformat(str(printed)) if printed else None,
        measured_after_ml=payload.get("measured_after_ml"),
    )


def setting_of(entry: Entry) -> Setting:
    """Return the dose setting of an entry; raises `InputError` when it cannot be read."""
    programme = entry.payload["programme"]
    if not isinstance(programme, Mapping):
        raise InputError(message("A dose setting in the record cannot be read: enter it again."))
    return Setting(entry.at, programme_from_payload(programme), entry.id)


def habits_of(entry: Entry | None) -> Habits:
    """Return the clinic's days and the person's margins; Monday to Friday until told otherwise.

    Raises `InputError` when the entry (from a damaged or foreign copy) cannot be read.
    """
    payload: Mapping[str, Any] = entry.payload if entry else {}
    try:
        return Habits(
            margin_days=int(payload.get("margin_days", USUAL_MARGIN_DAYS)),
            lead_days=int(payload.get("lead_days", USUAL_LEAD_DAYS)),
            clinic_days=ClinicDays(
                open_weekdays=frozenset(payload.get("open_weekdays", WORKDAYS)),
                closed_on=_days(payload, "closed_on"),
                opened_on=_days(payload, "opened_on"),
                rule=read_rule(str(payload.get("rule", ""))),
            ),
        )
    except (TypeError, ValueError):
        raise InputError(
            message("The clinic days cannot be read, so Monday to Friday counts: enter them again.")
        ) from None


def has_begun(entries: Iterable[Entry]) -> bool:
    """Return whether anything is noted; what was chosen about the app itself is nothing yet."""
    return any(entry.kind != "preference" for entry in entries)


def preferences_of(entries: Iterable[Entry], now: datetime) -> dict[str, str]:
    """Return the preferences that count at ``now`` among ``entries`` (oldest first), by name.

    What was chosen under a clock that ran ahead gives way to what was chosen by ``now``.
    """
    kept = of_kind(entries, "preference")
    now_s = to_seconds(now)
    ahead_first = sorted(kept, key=lambda entry: to_seconds(entry.at) <= now_s)
    return {str(one.payload["name"]): str(one.payload["value"]) for one in ahead_first}


def origin_of(entries: Iterable[Entry], now: datetime) -> Origin | None:
    """Return where the stiffness comes from, if the person has noted it."""
    chosen = preferences_of(entries, now)
    cause = chosen.get("origin", "")
    if cause not in ("spinal", "cerebral"):
        return None
    return Origin(cause, chosen.get("child") == "yes")


def settling_days_of(entries: Iterable[Entry], now: datetime) -> int:
    """Return how many days after a change its effect can be judged; the usual ones if odd."""
    text = preferences_of(entries, now).get("settling days", "")
    if re.fullmatch("[0-9]{1,3}", text) and int(text) <= MOST_SETTLING_DAYS:
        return int(text)
    return USUAL_SETTLING_DAYS


def _days(payload: Mapping[str, Any], field: str) -> frozenset[date]:
    return frozenset(date.fromisoformat(day) for day in payload.get(field, ()))


def pumps_at(entries: Sequence[Entry], now: datetime | None) -> tuple[PumpInBody, ...]:
    """Return the pumps that ``entries``, all readable, tell of up to ``now``; see `pumps_of`."""
    refills = entries if now is None else until(entries, now)
    filled_at = [one.at for one in of_kind(refills, "refill")]
    return pumps_of(editable(entries, "pump", now), filled_at, now)


def _pumps_before(pumps: Sequence[PumpInBody]) -> tuple[Pump, ...]:
    """Return every pump but the last, as it was when the next one came."""
    before = [_pump_of(one.entry.payload) for one in pumps[:-1]]
    if before and not pumps[-1].implanted_on:
        # The last refill before it was noted may be in either: the earlier alarm is the safe one.
        own = _pump_of(pumps[-1].entry.payload).alarm_volume_ml
        before[-1] = replace(before[-1], alarm_volume_ml=max(own, before[-1].alarm_volume_ml))
    return tuple(before)


def _pump_of(payload: Mapping[str, Any]) -> Pump:
    return Pump(
        alarm_volume_ml=float(payload["alarm_volume_ml"]),
        reservoir_ml=float(payload["reservoir_ml"]),
        tolerance_percent=float(payload.get("tolerance_percent", USUAL_TOLERANCE_PERCENT)),
        drug_age_limit_days=int(payload.get("drug_age_limit_days", USUAL_DRUG_AGE_LIMIT_DAYS)),
        line_volume_ml=payload.get("line_volume_ml"),
        felt_low_ml=payload.get("felt_low_ml"),
        reading_error_ml=float(payload.get("reading_error_ml", USUAL_READING_ERROR_ML)),
    )
