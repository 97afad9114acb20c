"""The clinic sheet: one or two pages for the next visit, put together from the record.

Here stands what is on it; `sheet_html` and `sheet_pdf` only set it on a page.
"""

from collections.abc import Iterable, Mapping, Sequence
from datetime import date, datetime, tzinfo
from itertools import pairwise
from typing import Any

from pocketpump.core.diary.events import event_words
from pocketpump.core.errors import InputError, Problem
from pocketpump.core.messages import joined, localized_number, message
from pocketpump.core.pump.dose_steps import percent_text, step_information
from pocketpump.core.pump.forecast import Forecast
from pocketpump.core.pump.programme_text import describe_programme
from pocketpump.core.pump.timeline import Setting
from pocketpump.core.refill_check.residual import check_residual
from pocketpump.core.units.instants import date_text, instant_text, local_date, to_seconds
from pocketpump.core.units.quantity import (
    DOSE,
    STRENGTH,
    VOLUME,
    entered_number,
    entered_quantity,
    format_quantity,
)
from pocketpump.exchange.papers.sheet_diary import check_in_lines, diary_lines
from pocketpump.exchange.papers.sheet_parts import Section, Sheet, Table
from pocketpump.record.entry.entries import Entry
from pocketpump.record.facts.booked_visit import reminders_of
from pocketpump.record.facts.forecast import forecast_of
from pocketpump.record.facts.situation import of_kind

CAUTION = message(
    "From the person's own notebook: noted and computed by hand and by PocketPump, which is no"
    " medical device. The clinic's own papers and instructions come first."
)
# More rows would push the coming dates off the page, unless an earlier day is asked for.
_FEWEST_ROWS = 6


def clinic_sheet(
    entries: Iterable[Entry], now: datetime, zone: tzinfo, since: date | None = None
) -> Sheet:
    """Return the sheet at ``now``, dates of ``zone``, from the entries that count, oldest first.

    ``since`` is the first day of what happened; without it, the day of the last refill. Of
    refills, settings and changes at least the newest few stand, more when ``since`` is earlier.
    Raises `InputError` while there is no pump, refill or dose setting, and when ``since`` is
    still to come.
    """
    kept = tuple(entries)
    answer, problems = forecast_of(kept, now, zone)
    first = since or local_date(answer.fill.at, zone)
    if first > answer.today:
        raise InputError(
            message("The sheet cannot begin after today: give an earlier day."), "since"
        )
    sections = (
        _now(answer),
        _unclear(problems),
        _questions(kept),
        _happened(kept, first, answer, zone),
        _diary(kept, first, answer, zone),
        _refills(kept, first, answer, zone),
        _settings(first, answer, zone),
        _coming(kept, answer),
    )
    return Sheet(
        message("Clinic sheet"),
        message("Made {instant}", instant=instant_text(answer.now)),
        CAUTION,
        tuple(section for section in sections if section is not None),
    )


def _now(answer: Forecast) -> Section:
    zone = answer.now.tzinfo
    facts = [
        (message("Last refill"), instant_text(answer.fill.at.astimezone(zone))),
        (
            # Note: the refill's volume and strength.
            message("Filled"),
            message(
                "{volume} of {strength}",
                volume=entered_quantity(answer.fill.volume_ml, VOLUME),
                strength=entered_quantity(answer.fill.strength_mcg_per_ml, STRENGTH),
            ),
        ),
        (
            message("Dose setting"),
            joined(
                ", ",
                (answer.programme.mode, entered_quantity(answer.dose_mcg_per_day, DOSE)),
            ),
        ),
    ]
    if answer.programme.mode not in ("constant rate", "stopped"):
        pattern = message("{pattern} (pump's clock)", pattern=describe_programme(answer.programme))
        facts.append((message("Pattern"), pattern))
    facts += [
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
    # Note: the heading over how things stand.
    title = message("Now")
    return Section(title, facts=tuple(facts))


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


def _unclear(problems: Iterable[Problem]) -> Section | None:
    told = tuple(dict.fromkeys(problem.sentence for problem in problems))
    return Section(message("To be cleared up"), lines=told, listed=True) if told else None


def _questions(entries: tuple[Entry, ...]) -> Section | None:
    asked = tuple(
        str(entry.payload["text"])
        for entry in of_kind(entries, "question")
        if not entry.payload.get("answered")
    )
    return Section(message("Questions"), lines=asked, listed=True) if asked else None


def _happened(entries: tuple[Entry, ...], first: date, answer: Forecast, zone: tzinfo) -> Section:
    def within(kind: str) -> list[Entry]:
        return [
            entry
            for entry in of_kind(entries, kind)
            if first <= local_date(entry.at, zone) <= answer.today
        ]

    rows = tuple(
        (
            date_text(local_date(entry.at, zone)),
            joined(
                ": ",
                filter(
                    None,
                    (
                        event_words(str(entry.payload["what"])),
                        str(entry.payload.get("note", "")),
                    ),
                ),
            ),
        )
        for entry in within("happening")
    )
    lines = check_in_lines(within("check-in"))
    if not rows and not lines:
        lines = (message("Nothing is noted."),)
    table = Table((message("Day"), message("What happened")), rows, (1, 3)) if rows else None
    title = message("What happened since {day}", day=date_text(first))
    return Section(title, lines=lines, table=table)


def _diary(
    entries: tuple[Entry, ...], first: date, answer: Forecast, zone: tzinfo
) -> Section | None:
    lines = diary_lines(entries, answer.situation, answer.now, zone, first)
    return Section(message("What the diary says"), lines=lines) if lines else None


def _newest(
    rows: Sequence[tuple[date, tuple[str, ...]]], first: date
) -> tuple[tuple[tuple[str, ...], ...], tuple[str, ...]]:
    """Return the rows to print, newest first, and what to say of those left out.

    ``rows`` are (day, cells), oldest first; all from ``first`` on stand, and at least the
    newest `_FEWEST_ROWS`.
    """
    count = max(_FEWEST_ROWS, sum(day >= first for day, _ in rows))
    kept = tuple(cells for _, cells in reversed(rows[-count:]))
    if len(kept) == len(rows):
        return kept, ()
    left_out = message(
        "The newest {count} of {total} stand here; the app has them all.",
        count=count,
        total=len(rows),
    )
    return kept, (left_out,)


def _refills(entries: tuple[Entry, ...], first: date, answer: Forecast, zone: tzinfo) -> Section:
    refills = [e for e in of_kind(entries, "refill") if to_seconds(e.at) <= to_seconds(answer.now)]
    rows = [
        (local_date(entry.at, zone), _refill_row(before, entry, zone))
        for before, entry in pairwise([None, *refills])
        if entry
    ]
    kept, lines = _newest(rows, first)
    return Section(
        message("Refills"),
        lines=lines,
        table=Table(
            (message("Day"), message("Filled"), message("Strength"), message("Expected"),
             message("Withdrawn"), message("Delivered ratio"), message("Clinic's alarm date")),
            kept,
            (1.55, 0.85, 1.3, 1.0, 0.95, 1.3, 1.35),
        ),
    )  # fmt: skip


def _refill_row(before: Entry | None, entry: Entry, zone: tzinfo) -> tuple[str, ...]:
    payload: Mapping[str, Any] = entry.payload

    def volume(field: str) -> str:
        return entered_quantity(float(payload[field]), VOLUME) if field in payload else "–"

    printed = payload.get("printed_alarm_on")
    return (
        date_text(local_date(entry.at, zone)),
        volume("filled_ml"),
        entered_quantity(float(payload["strength_mcg_per_ml"]), STRENGTH),
        volume("expected_ml"),
        volume("withdrawn_ml"),
        _ratio(before, payload),
        date_text(date.fromisoformat(str(printed))) if printed else "–",
    )


def _ratio(before: Entry | None, payload: Mapping[str, Any]) -> str:
    if before is None or not {"expected_ml", "withdrawn_ml"} <= payload.keys():
        return "–"
    filled = float(before.payload["filled_ml"])  # type: ignore[arg-type]
    try:
        # The tolerance only sets a flag, which this table does not show.
        check = check_residual(filled, payload["expected_ml"], payload["withdrawn_ml"], 0.0)
    except InputError:
        return "–"
    if check.delivered_ratio is None:
        return "–"
    ratio = localized_number(f"{check.delivered_ratio:.2f}")
    # Of a reservoir found empty nobody can tell what it would have delivered.
    return joined("", ("≥ ", ratio)) if check.found_dry else ratio


def _settings(first: date, answer: Forecast, zone: tzinfo) -> Section:
    rows = [
        (local_date(after.at, zone), _setting_row(before, after, zone))
        for before, after in pairwise([None, *answer.situation.settings])
        if after
    ]
    kept, lines = _newest(rows, first)
    return Section(
        message("Dose settings"),
        lines=lines,
        table=Table(
            # Note: the day from which the setting counts.
            (message("From"), message("Setting"), message("mcg/day"), message("Percent")),
            kept,
            (1.3, 3.2, 0.8, 0.8),
        ),
    )


def _setting_row(before: Setting | None, after: Setting, zone: tzinfo) -> tuple[str, ...]:
    dose = after.programme.dose_mcg_per_day
    was = before.programme.dose_mcg_per_day if before else 0.0
    return (
        date_text(local_date(after.at, zone)),
        describe_programme(after.programme),
        entered_number(dose),
        percent_text(step_information(was, dose, None).percent),
    )


def _coming(entries: tuple[Entry, ...], answer: Forecast) -> Section:
    rows = tuple(
        (date_text(reminder.on), reminder.title, reminder.text)
        for reminder in reminders_of(entries, answer)
    )
    # Note: the heads of a table: the day, what is to be done, and a sentence more about it.
    header = (message("Day"), message("What"), message("More"))
    return Section(message("Coming up"), table=Table(header, rows, (1.3, 1.6, 3.4)))
