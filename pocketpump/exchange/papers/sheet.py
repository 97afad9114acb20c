"""The clinic sheet: the visit in one look, then the tables, put together from the record.

Here stands what is on it, with `sheet_diary` and `sheet_tables`; `sheet_html` and `sheet_pdf` only
set it on a page. Nothing stands twice: what a picture tells is not told in words as well.
"""

from collections.abc import Iterable, Iterator
from datetime import date, datetime, timedelta, tzinfo

from pocketpump.core.errors import InputError, Problem
from pocketpump.core.messages import joined, message
from pocketpump.core.pump.forecast import Forecast
from pocketpump.core.pump.programme_text import describe_programme
from pocketpump.core.pump.reminders import booked_on
from pocketpump.core.refill_check.visit_check import check_visit
from pocketpump.core.units.instants import date_text, instant_text, local_date, short_date_text
from pocketpump.core.units.quantity import (
    DOSE,
    STRENGTH,
    VOLUME,
    entered_quantity,
    format_quantity,
)
from pocketpump.exchange.charts.hours import hours_chart, pattern_chart
from pocketpump.exchange.papers.sheet_changes import changes_sections, is_judged
from pocketpump.exchange.papers.sheet_diary import (
    happened_section,
    measures_section,
    scores_section,
)
from pocketpump.exchange.papers.sheet_parts import (
    ASKED,
    NOW,
    QUESTIONS,
    STATE,
    Section,
    Sheet,
    day_of,
)
from pocketpump.exchange.papers.sheet_tables import (
    coming_section,
    notes_section,
    refills_section,
    settings_section,
)
from pocketpump.record.entry.entries import Entry
from pocketpump.record.facts.booked_visit import booked_visit
from pocketpump.record.facts.card_facts import care_of
from pocketpump.record.facts.findings import Findings, findings_of
from pocketpump.record.facts.forecast import forecast_of
from pocketpump.record.facts.last_refill import last_refill, since_last_visit
from pocketpump.record.facts.situation import of_kind, origin_of, until, visit_of
from pocketpump.record.facts.state import state_by

CAUTION = message(
    "From the person's own notebook: noted and computed by hand and by PocketPump, which is no"
    " medical device. The clinic's own papers and instructions come first."
)
SINCE_VISIT, ONE_DAY = "visit", "day"
PERIODS = (
    (SINCE_VISIT, message("Since the last visit")),
    ("28", message("4 weeks")),
    ("91", message("3 months")),
    ("365", message("1 year")),
    # Note: the period begins with a day that the person names.
    (ONE_DAY, message("Since a day")),
)
"""The times that can be looked back at: a word to keep, and how it is offered."""


def first_day(period: str, entries: Iterable[Entry], now: datetime, zone: tzinfo) -> date:
    """Return the first day of one of `PERIODS` but `ONE_DAY`, which names its own."""
    if period == SINCE_VISIT:
        return since_last_visit(entries, now, zone)
    return local_date(now, zone) - timedelta(days=int(period) - 1)


def clinic_sheet(
    entries: Iterable[Entry],
    now: datetime,
    zone: tzinfo,
    since: date | None = None,
    *,
    named: bool = False,
) -> Sheet:
    """Return the sheet at ``now``, dates of ``zone``, from the entries that count, oldest first.

    ``since`` is the first day of what happened; without it, that of the last visit (a refill of
    today is of this visit). Of refills, settings and changes at least the newest few stand, more
    when ``since`` is earlier. ``named`` puts the person's name and birth date on it.
    Raises `InputError` while there is no pump, refill or dose setting, and when ``since`` is
    still to come.
    """
    kept = tuple(entries)
    answer, problems = forecast_of(kept, now, zone)
    first = since or since_last_visit(kept, now, zone)
    if first > answer.today:
        raise InputError(
            message("The sheet cannot begin after today: give an earlier day."), "since"
        )
    # What is noted for later, also of today, has not happened.
    past = until(kept, now)
    found = findings_of(past, answer.situation, answer.now)
    within = [one for one in past if first <= day_of(one, zone)]
    change, *more = changes_sections(found, first, answer, zone)
    state = _state(kept, answer)
    sections = (
        state,
        _now(answer, kept),
        _questions(kept),
        _asked(kept, problems, found, answer, zone, state.lead if state else ""),
        change,
        happened_section(within, found, first, answer, zone),
        *more[:1],
        refills_section(kept, first, answer, zone),
        settings_section(first, answer, zone),
        coming_section(kept, answer),
        *more[1:],
        _hours(found),
        scores_section(within),
        measures_section(within),
        notes_section(within, zone),
    )
    return Sheet(
        message("Clinic sheet"),
        _person(kept, now) if named else "",
        message("Made {instant}", instant=instant_text(answer.now)),
        CAUTION,
        tuple(section for section in sections if section is not None),
    )


def _person(entries: tuple[Entry, ...], now: datetime) -> str:
    care = care_of(entries, now)
    born = "" if care.born_on is None else message("born {day}", day=short_date_text(care.born_on))
    return joined(", ", filter(None, (care.name, born)))


def _state(entries: tuple[Entry, ...], answer: Forecast) -> Section | None:
    """Return what Today says first; None while nothing is to be done."""
    state = state_by(entries, answer)
    if state.word == "calm":
        return None
    # Note: the heading over what matters before all else, as "Call the clinic now".
    return Section(message("What comes first"), STATE, lead=state.sentence)


def _now(answer: Forecast, entries: tuple[Entry, ...]) -> Section:
    zone = answer.now.tzinfo
    programme = answer.programme
    picture = pattern_chart(programme)
    strength = entered_quantity(answer.fill.strength_mcg_per_ml, STRENGTH)
    under = [strength, programme.mode]
    in_picture = picture is not None and all(one.start_minutes for one in programme.timed)
    is_plain = programme.mode in ("constant rate", "stopped")
    if not is_plain and (programme.requested or not in_picture):
        under.append(message("{pattern} (pump's clock)", pattern=describe_programme(programme)))
    filled = message(
        # Note: the day of the refill and its volume.
        "{day}, {volume}",
        day=date_text(answer.fill.at.astimezone(zone).date()),
        volume=entered_quantity(answer.fill.volume_ml, VOLUME),
    )
    why = answer.refill_by_because
    refill_by = message("{day} ({why})", day=date_text(answer.refill_by), why=why)
    facts = [
        *_to_come(answer, entries),
        (message("Refill by"), refill_by),
        (message("Alarm date, computed"), _alarm(answer)),
        (message("Last refill"), filled),
        (message("In the pump, computed"), format_quantity(answer.volume_now_ml, VOLUME, 1)),
    ]
    if answer.printed_alarm_on is not None:
        day = date_text(answer.printed_alarm_on)
        told = (
            message("{day}, printed before the last dose change", day=day)
            if answer.printed_is_old
            else day
        )
        facts.append((message("Alarm date, clinic's"), told))
    return Section(
        # Note: the heading over how things stand.
        message("Now"),
        NOW,
        lead=entered_quantity(answer.dose_mcg_per_day, DOSE),
        under=tuple(under),
        picture=picture,
        facts=tuple(facts),
    )


def _to_come(answer: Forecast, entries: tuple[Entry, ...]) -> Iterator[tuple[str, str]]:
    """Yield the next visit, and by when the clinic is called while that has to be done."""
    booked = booked_visit(entries, answer.now)
    visit_on = booked.on if booked is not None and booked.on >= answer.today else None
    # Note: no visit at the clinic.
    told: str = message("none noted")
    if booked is not None and visit_on is not None:
        clock = "" if booked.clock is None else f"{booked.clock:%H:%M}"
        told = joined(", ", filter(None, (date_text(visit_on), clock, booked.place)))
    yield message("Next visit"), told
    # Of a day to call that is past, what comes first tells.
    if booked_on(answer, visit_on) is None and answer.call_by >= answer.today:
        yield message("Call the clinic by"), date_text(answer.call_by)


def _alarm(answer: Forecast) -> str:
    if answer.alarm_at is None:
        # Note: there is no alarm date.
        return message("none")
    text = date_text(answer.alarm_at.date())
    if answer.alarm_earliest is None or answer.alarm_latest is None:
        return text
    return message(
        "{day} (from {earliest} to {latest})",
        day=text,
        earliest=date_text(answer.alarm_earliest.date()),
        latest=date_text(answer.alarm_latest.date()),
    )


def _asked(
    entries: tuple[Entry, ...],
    problems: Iterable[Problem],
    found: Findings,
    answer: Forecast,
    zone: tzinfo,
    said: str,
) -> Section | None:
    """Return what the clinic is asked to look at beside ``said``; questions stand apart."""
    told = [problem.sentence for problem in problems]
    refill = last_refill(entries, answer.now)
    if refill:
        origin = origin_of(entries, answer.now)
        # Of a refill noted twice the note that counts for the dates and for the pace.
        counts = next((note for note in refill if note.id == answer.fill.id), refill[-1])
        check = check_visit(visit_of(counts), answer.situation, zone, origin)
        told = [*check.asks, *told]
    if found.hours is not None and found.hours.disagree:
        told.append(found.hours.sentence)
    if found.drift.verdict in ("rising", "falling"):
        told.append(found.drift.sentence)
    lines = tuple(line for line in dict.fromkeys(told) if line != said)
    return Section(message("Please look at"), ASKED, lines=lines, listed=True) if lines else None


def _questions(entries: tuple[Entry, ...]) -> Section:
    asked = tuple(
        str(entry.payload["text"])
        for entry in of_kind(entries, "question")
        if not entry.payload.get("answered")
    )
    if not asked:
        # Note: no question to the clinic.
        none = (message("None noted."),)
        return Section(message("Questions"), QUESTIONS, lines=none, room=2)
    return Section(message("Questions"), QUESTIONS, lines=asked, listed=True, room=1)


def _hours(found: Findings) -> Section | None:
    """Return the hours of the day where they can be judged."""
    hours = found.hours
    if hours is None or not is_judged(hours):
        return None
    # Hours that stand out are told on the first page.
    lines = () if hours.disagree else (hours.sentence,)
    return Section(message("Hours of the day"), picture=hours_chart(hours), lines=lines)
