"""A refill visit's numbers against each other, in sentences for the person in the room."""

from dataclasses import dataclass, replace
from datetime import date, datetime, tzinfo

from pocketpump.core.messages import message
from pocketpump.core.pump.dose_steps import Origin
from pocketpump.core.pump.duplicates import duplicate_problem
from pocketpump.core.pump.forecast import forecast
from pocketpump.core.pump.programme import Programme
from pocketpump.core.pump.same_refill import agree
from pocketpump.core.pump.situation import Printout, Situation
from pocketpump.core.pump.timeline import Fill, Setting, minute_of
from pocketpump.core.refill_check.candidate_errors import (
    AGREEMENT,
    CandidateError,
    find_candidate_errors,
)
from pocketpump.core.refill_check.plausibility import Amounts, Odd, odd_amounts
from pocketpump.core.refill_check.refill_input import RefillInput
from pocketpump.core.refill_check.residual import missing_after_fill
from pocketpump.core.refill_check.withdrawn_check import compare_withdrawn
from pocketpump.core.units.instants import date_text, from_seconds, to_seconds
from pocketpump.core.units.quantity import entered_number, format_number

# So many errors are worth reading in a waiting room; the rest are less likely.
_MOST_ERRORS = 3


@dataclass(frozen=True, slots=True)
class Visit:
    """What was said and printed at one refill; volumes in mL, None where nothing was.

    ``programme`` is the dose setting the pump left with, ``alarm_volume_ml`` the alarm volume it
    was set to; None when not changed.
    """

    fill: Fill
    printed_alarm_on: date | None = None
    measured_after_ml: float | None = None
    programme: Programme | None = None
    alarm_volume_ml: float | None = None


@dataclass(frozen=True, slots=True)
class VisitCheck:
    """``asks`` are worth asking the clinic before leaving; ``agrees`` says what fits together.

    ``candidate_errors`` are those among the asks that would explain the printed date,
    likeliest first; ``other_notes`` says which other notes of the same refill do not agree with
    this one.
    """

    computed_alarm_on: date | None
    asks: tuple[str, ...]
    agrees: tuple[str, ...]
    candidate_errors: tuple[CandidateError, ...] = ()
    other_notes: tuple[str, ...] = ()


def check_visit(
    visit: Visit, situation: Situation, zone: tzinfo, origin: Origin | None = None
) -> VisitCheck:
    """Compare the visit's numbers with each other and with what ``situation`` knew before.

    Amounts unusual in print are asked about unless they were the same at the refill before;
    ``origin`` narrows what is usual for the dose. Later refills and the note with the id of this
    one are left out of account, so a visit can be checked again when it is corrected. The date is
    that of the forecast, with every note there is of this refill; the errors are of this note.
    """
    noted = with_visit(visit, situation)
    earlier, notes = _refills_up_to(noted, visit.fill)
    situation = replace(situation, pump=noted.pump).with_pump_of(visit.fill.at)
    asks: list[str] = []
    agrees: list[str] = []
    candidate_errors: tuple[CandidateError, ...] = ()
    refill_input = _refill_input(visit, situation, earlier, zone)
    computed = _computed_on(noted, notes, zone) or (
        refill_input.alarm_on() if refill_input else None
    )
    if refill_input is not None and computed is not None and visit.printed_alarm_on is not None:
        printed = visit.printed_alarm_on
        differing, agreeing = compare_alarm_dates(computed, printed)
        agrees += agreeing
        if differing:
            candidate_errors = find_candidate_errors(refill_input, printed)[:_MOST_ERRORS]
            asks += [*differing, *(candidate_error.text for candidate_error in candidate_errors)]
    left_asks, left_agrees = compare_withdrawn(visit.fill, earlier, situation)
    asks += left_asks
    agrees += left_agrees
    reservoir = situation.pump.reservoir_ml
    if reservoir is not None and visit.fill.volume_ml > reservoir:
        asks.append(
            message(
                "{filled} mL is more than the reservoir's {reservoir} mL: look at both numbers"
                " again.",
                filled=entered_number(visit.fill.volume_ml),
                reservoir=entered_number(reservoir),
            )
        )
    if (
        reservoir is not None
        and visit.measured_after_ml is not None
        and missing_after_fill(visit.fill.volume_ml, visit.measured_after_ml, reservoir)
    ):
        asks.append(
            message(
                "{missing} mL are missing right after the fill: ask the clinic at once, before you"
                " leave.",
                missing=format_number(visit.fill.volume_ml - visit.measured_after_ml, 2),
            )
        )
    asks += [odd.sentence for odd in _odd(visit, situation, refill_input, origin)]
    return VisitCheck(
        computed,
        tuple(asks),
        tuple(agrees),
        candidate_errors,
        tuple(
            duplicate_problem(note, visit.fill).sentence
            for note in notes
            if not agree((note, visit.fill))
        ),
    )


def _odd(
    visit: Visit, situation: Situation, refill_input: RefillInput | None, origin: Origin | None
) -> list[Odd]:
    """Return what is unusual about this refill and was not so at the refill before."""
    running = refill_input.programme.dose_mcg_per_day if refill_input else None
    dose_before = running
    if refill_input is not None and _set_at(visit, situation) is not None:
        was = refill_input.programme_before
        dose_before = was.dose_mcg_per_day if was else None
    known = Amounts(reservoir_ml=situation.pump.reservoir_ml, origin=origin)
    present = replace(
        known,
        strength_mcg_per_ml=visit.fill.strength_mcg_per_ml,
        filled_ml=visit.fill.volume_ml,
        dose_mcg_per_day=running,
        dose_before_mcg_per_day=dose_before or 0.0,
    )
    past = replace(known, dose_mcg_per_day=dose_before)
    if refill_input is not None and refill_input.before is not None:
        past = replace(
            past,
            strength_mcg_per_ml=refill_input.before.strength_mcg_per_ml,
            filled_ml=refill_input.before.volume_ml,
        )
    told = odd_amounts(past)
    return [odd for odd in odd_amounts(present) if odd not in told]


def check_change(
    setting: Setting, printed_on: date, situation: Situation, now: datetime, zone: tzinfo
) -> VisitCheck:
    """Compare the alarm date printed at a dose change with the one computed with ``setting``.

    Takes the place of a setting with the same id, so a correction can be checked again. Says
    nothing of a change before the last refill: its printout was of another fill.
    """
    others = [one for one in situation.settings if not one.id or one.id != setting.id]
    # A setting noted ahead is checked at its own instant: up to then another one runs.
    at = max(now, setting.at, key=to_seconds)
    answer, _ = forecast(replace(situation, settings=(*others, setting)), at, zone)
    if (
        answer is None
        or answer.alarm_at is None
        or minute_of(setting.at) < minute_of(answer.fill.at)
    ):
        return VisitCheck(None, (), ())
    computed = answer.alarm_at.date()
    return VisitCheck(computed, *compare_alarm_dates(computed, printed_on))


def compare_alarm_dates(computed: date, printed: date) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """Return what to ask and what agrees between the computed and the printed alarm date."""
    if abs(printed - computed) <= AGREEMENT:
        text = message(
            "The clinic's alarm date agrees with the computed one, {day}.", day=date_text(computed)
        )
        return (), (text,)
    text = message(
        "The computed alarm date is {computed}, the printed one {printed}. Ask the clinic which is"
        " right.",
        computed=date_text(computed),
        printed=date_text(printed),
    )
    return (text,), ()


def _before(settings: tuple[Setting, ...], fill: Fill) -> tuple[Setting, ...]:
    """Return what is noted for a minute before that of ``fill``: one minute is one visit."""
    return tuple(one for one in settings if minute_of(one.at) < minute_of(fill.at))


def _refills_up_to(situation: Situation, fill: Fill) -> tuple[tuple[Fill, ...], tuple[Fill, ...]]:
    """Return the refills before that of ``fill``, and all notes of its own, both oldest first."""
    refills = [situation.notes_of(one) for one in situation.fills]
    own = next(n for n, notes in enumerate(refills) if fill in notes)
    return situation.fills[:own], refills[own]


def with_visit(visit: Visit, situation: Situation) -> Situation:
    """Return the situation with the visit noted, in the place of a note of the same id.

    As when it is saved, the alarm volume set at it is that of the pump in the body now.
    """
    id, at = visit.fill.id, visit.fill.at
    pump = situation.pump
    if visit.alarm_volume_ml is not None:
        pump = replace(pump, alarm_volume_ml=visit.alarm_volume_ml)
    fills = (note for note in situation.refill_notes if not id or note.id != id)
    printouts = [one for one in situation.printouts if not id or one.id != id]
    if visit.printed_alarm_on is not None:
        printouts.append(Printout(at, visit.printed_alarm_on, id))
    settings = situation.settings
    if visit.programme is not None:
        settings = (*settings, Setting(at, visit.programme))
    return replace(
        situation,
        pump=pump,
        fills=(*fills, visit.fill),
        settings=settings,
        printouts=tuple(printouts),
        noted_twice=(),
    )


def _computed_on(noted: Situation, notes: tuple[Fill, ...], zone: tzinfo) -> date | None:
    """Return the alarm date in the forecast right after the last of the refill's ``notes``."""
    last = max((note.at for note in notes), key=to_seconds)
    # What is noted within one minute is one visit.
    after = from_seconds((minute_of(last) + 1) * 60 - 0.001, zone)
    answer, _ = forecast(noted, after, zone)
    return None if answer is None or answer.alarm_at is None else answer.alarm_at.date()


def _refill_input(
    visit: Visit, situation: Situation, earlier: tuple[Fill, ...], zone: tzinfo
) -> RefillInput | None:
    running = _set_at(visit, situation) or situation.programme_counted_at(visit.fill.at)
    if running is None:
        return None
    return RefillInput(
        fill=visit.fill,
        programme=running,
        alarm_volume_ml=situation.pump.alarm_volume_ml,
        zone=zone,
        fills=earlier,
        settings=_before(situation.settings, visit.fill),
        line_volume_ml=situation.pump.line_volume_ml,
    )


def _set_at(visit: Visit, situation: Situation) -> Programme | None:
    """Return the dose setting that was made at the visit; None when none was."""
    minute = minute_of(visit.fill.at)
    at_visit = (s.programme for s in situation.settings if minute_of(s.at) == minute)
    return visit.programme or next(at_visit, None)
