"""The clinic sheet: the visit in one look, then the tables, put together from the record.

Here stands what is on it, with `sheet_diary` and `sheet_tables`; `sheet_html` and `sheet_pdf` only
set it on a page. Nothing stands twice: what a picture tells is not told in words as well.
"""

from collections.abc import Iterable
from dataclasses import replace
from datetime import date, datetime, timedelta, tzinfo

from pocketpump.core.diary.hour_spans import JUDGED
from pocketpump.core.diary.hours import Hours
from pocketpump.core.diary.response import Response
from pocketpump.core.errors import InputError, Problem
from pocketpump.core.messages import joined, message, plural_message
from pocketpump.core.pump.forecast import Forecast
from pocketpump.core.pump.programme_text import describe_programme
from pocketpump.core.refill_check.visit_check import check_visit
from pocketpump.core.units.instants import date_text, instant_text, local_date, short_date_text
from pocketpump.core.units.quantity import (
    DOSE,
    STRENGTH,
    VOLUME,
    entered_quantity,
    format_quantity,
)
from pocketpump.exchange.charts.changes import change_text, is_told, shifts_chart
from pocketpump.exchange.charts.hours import hours_chart, pattern_chart
from pocketpump.exchange.papers.sheet_diary import (
    happened_section,
    measures_section,
    scores_section,
)
from pocketpump.exchange.papers.sheet_parts import ASKED, CHANGE, NOW, QUESTIONS, Section, Sheet
from pocketpump.exchange.papers.sheet_tables import (
    coming_section,
    notes_section,
    refills_section,
    settings_section,
)
from pocketpump.record.entry.entries import Entry
from pocketpump.record.facts.card_facts import care_of
from pocketpump.record.facts.findings import Findings, findings_of
from pocketpump.record.facts.forecast import forecast_of
from pocketpump.record.facts.last_refill import last_refill, since_last_visit
from pocketpump.record.facts.situation import of_kind, origin_of, visit_of

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
_FEWEST_CHANGES = 3
_MOST_CHANGES = 4
"""More changes than this stand on the pages after the first."""
_NOT_THE_CAUSE = message(
    "Each change: what came after it by the person's own scores, not that the change was the cause."
)


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
    found = findings_of(kept, answer.situation, answer.now)
    within = [one for one in kept if first <= local_date(one.at, zone) <= answer.today]
    change, earlier = _changes(found, first, answer, zone)
    sections = (
        _now(answer),
        change,
        _asked(kept, problems, found, answer, zone),
        _questions(kept),
        happened_section(within, found, first, answer, zone),
        refills_section(kept, first, answer, zone),
        settings_section(first, answer, zone),
        coming_section(kept, answer),
        earlier,
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


def _now(answer: Forecast) -> Section:
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
    facts = [
        (message("Last refill"), filled),
        (message("In the pump, computed"), format_quantity(answer.volume_now_ml, VOLUME, 1)),
        (message("Alarm date, computed"), _alarm(answer)),
    ]
    if answer.printed_alarm_on is not None:
        day = date_text(answer.printed_alarm_on)
        told = (
            message("{day}, printed before the last dose change", day=day)
            if answer.printed_is_old
            else day
        )
        facts.append((message("Alarm date, clinic's"), told))
    why = answer.refill_by_because
    refill_by = message("{day} ({why})", day=date_text(answer.refill_by), why=why)
    facts.append((message("Refill by"), refill_by))
    return Section(
        # Note: the heading over how things stand.
        message("Now"),
        NOW,
        lead=entered_quantity(answer.dose_mcg_per_day, DOSE),
        under=tuple(under),
        picture=picture,
        facts=tuple(facts),
    )


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


def _changes(
    found: Findings, first: date, answer: Forecast, zone: tzinfo
) -> tuple[Section, Section | None]:
    """Return the last change and what it and those before it were followed by; and the rest."""
    title = message("Last change, and what followed")
    changes = answer.situation.changes()
    if not changes:
        settings = answer.situation.settings
        day = date_text(local_date(settings[0].at, zone))
        none = message("None since the first dose setting, {day}", day=day)
        return Section(title, CHANGE, lead=none, lines=_not_enough([], found)), None
    last = changes[-1]
    doses = {one.after.id: one.before.programme.dose_mcg_per_day for one in changes}
    lead = joined(
        ": ",
        (
            date_text(local_date(last.at, zone)),
            change_text(last.before.programme.dose_mcg_per_day, last.after),
        ),
    )
    pairs = list(zip(found.responses, found.spasm_responses, strict=True))
    if not found.check_ins:
        return Section(title, CHANGE, lead=lead), None
    lately = sum(local_date(one.setting.at, zone) >= first for one in found.responses)
    shown = pairs[-max(lately, _FEWEST_CHANGES) :]
    told = [pair for pair in shown if is_told(pair)]
    lines = _not_enough([pair[0] for pair in shown if not is_told(pair)], found)
    if len(pairs) > len(shown):
        lines = (
            *lines,
            plural_message(
                "{count} earlier change is not listed here; the app has them all.",
                "{count} earlier changes are not listed here; the app has them all.",
                len(pairs) - len(shown),
            ),
        )
    if any(pair[0].comparison or pair[1].comparison for pair in told):
        lines = (_NOT_THE_CAUSE, *lines)
    newest, rest = told[-_MOST_CHANGES:], told[:-_MOST_CHANGES]
    picture = shifts_chart(newest, doses, zone) if newest else None
    if picture is not None and newest[-1][0].steps == (last.after,):
        # The lead has said when and what.
        row = replace(picture.rows[0], label=message("The last change"), detail="")
        picture = replace(picture, rows=(row, *picture.rows[1:]))
    earlier = None
    if rest:
        earlier = Section(
            message("Earlier changes, and what followed"), picture=shifts_chart(rest, doses, zone)
        )
    return Section(title, CHANGE, lead=lead, picture=picture, lines=lines), earlier


def _not_enough(changes: list[Response], found: Findings) -> tuple[str, ...]:
    """Return what there is not enough to say of, in one line; nothing without check-ins."""
    if not found.check_ins:
        return ()
    what: list[str] = []
    if changes:
        days = joined(", ", (date_text(one.setting.at.date()) for one in reversed(changes)))
        what.append(message("what followed the change of {days}", days=days))
    if found.drift.verdict == "not enough":
        what.append(message("a slow drift of stiffness"))
    if found.hours is not None and not _is_judged(found.hours):
        what.append(message("stiffness by the hour"))
    if not what:
        return ()
    return (message("Not enough to say yet: {what}.", what=joined("; ", what)),)


def _asked(
    entries: tuple[Entry, ...],
    problems: Iterable[Problem],
    found: Findings,
    answer: Forecast,
    zone: tzinfo,
) -> Section | None:
    """Return what the clinic is asked to look at; the person's own questions stand apart."""
    told = [problem.sentence for problem in problems]
    refill = last_refill(entries, answer.now)
    if refill:
        origin = origin_of(entries, answer.now)
        check = check_visit(visit_of(refill[-1]), answer.situation, zone, origin)
        told = [*check.asks, *check.other_notes, *told]
    if found.hours is not None and found.hours.disagree:
        told.append(found.hours.sentence)
    if found.drift.verdict in ("rising", "falling"):
        told.append(found.drift.sentence)
    lines = tuple(dict.fromkeys(told))
    return Section(message("Please look at"), ASKED, lines=lines, listed=True) if lines else None


def _questions(entries: tuple[Entry, ...]) -> Section | None:
    asked = tuple(
        str(entry.payload["text"])
        for entry in of_kind(entries, "question")
        if not entry.payload.get("answered")
    )
    if not asked:
        return None
    return Section(message("Questions"), QUESTIONS, lines=asked, listed=True, room=1)


def _hours(found: Findings) -> Section | None:
    """Return the hours of the day where they can be judged."""
    hours = found.hours
    if hours is None or not _is_judged(hours):
        return None
    # Hours that stand out are told on the first page.
    lines = () if hours.disagree else (hours.sentence,)
    return Section(message("Hours of the day"), picture=hours_chart(hours), lines=lines)


def _is_judged(hours: Hours) -> bool:
    return any(span.coverage == JUDGED for span in hours.spans)
