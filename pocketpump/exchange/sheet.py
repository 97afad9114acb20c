"""The clinic sheet: one or two pages for the next visit, put together from the record.

Here stands what is on it; `sheet_html` and `sheet_pdf` only set it on a page.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, tzinfo
from itertools import pairwise
from typing import Any

from pocketpump.core.errors import InputError, Problem
from pocketpump.core.instants import date_text, instant_text, local_date, to_seconds
from pocketpump.core.outlook import Outlook, outlook
from pocketpump.core.programme_text import describe_programme
from pocketpump.core.quantity import DOSE, STRENGTH, VOLUME, format_number, format_quantity
from pocketpump.core.refill import check_residual
from pocketpump.core.steps import percent_text, step_information
from pocketpump.core.timeline import Setting
from pocketpump.exchange.sheet_diary import check_in_lines, diary_lines
from pocketpump.record.entries import Entry
from pocketpump.record.situation import of_kind, reminders_of, situation_of

CAUTION = (
    "From the person's own notebook: noted and computed by hand and by PocketPump, which is no"
    " medical device. The clinic's own papers and instructions come first."
)
# More rows would push the coming dates off the page, unless an earlier day is asked for.
_FEWEST_ROWS = 6


@dataclass(frozen=True, slots=True)
class Table:
    """Rows under a header; ``widths`` are the columns' shares of the page's width."""

    header: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    widths: tuple[float, ...]


@dataclass(frozen=True, slots=True)
class Section:
    """A heading and what stands under it: facts (name, value), lines, a table; any may be empty.

    ``listed`` says that the lines are points to go through one by one.
    """

    title: str
    facts: tuple[tuple[str, str], ...] = ()
    lines: tuple[str, ...] = ()
    table: Table | None = None
    listed: bool = False


@dataclass(frozen=True, slots=True)
class Sheet:
    """The clinic sheet, from top to bottom."""

    title: str
    made: str
    caution: str
    sections: tuple[Section, ...]


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
    situation, problems = situation_of(kept, now)
    answer = None
    if situation is not None:
        answer, more = outlook(situation, now, zone)
        problems += more
    if answer is None:
        raise InputError(problems[-1].sentence)
    first = since or local_date(answer.fill.at, zone)
    if first > answer.today:
        raise InputError("The sheet cannot begin after today: give an earlier day.", "since")
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
        "Clinic sheet",
        f"Made {instant_text(answer.now)}",
        CAUTION,
        tuple(section for section in sections if section is not None),
    )


def _now(answer: Outlook) -> Section:
    zone = answer.now.tzinfo
    facts = [
        ("Last refill", instant_text(answer.fill.at.astimezone(zone))),
        (
            "Filled",
            f"{format_quantity(answer.fill.volume_ml, VOLUME)} of"
            f" {format_quantity(answer.fill.strength_mcg_per_ml, STRENGTH)}",
        ),
        (
            "Dose setting",
            f"{answer.programme.mode}, {format_quantity(answer.dose_mcg_per_day, DOSE, 1)}",
        ),
    ]
    if answer.programme.mode not in ("constant rate", "stopped"):
        facts.append(("Pattern", f"{describe_programme(answer.programme)} (pump's clock)"))
    facts += [
        ("In the pump, computed", format_quantity(answer.volume_now_ml, VOLUME, 1)),
        ("Alarm date, computed", _alarm(answer)),
    ]
    if answer.printed_alarm_on is not None:
        old = ", printed before the last dose change" if answer.printed_is_old else ""
        facts.append(("Alarm date, clinic's", date_text(answer.printed_alarm_on) + old))
    facts.append(("Refill by", f"{date_text(answer.refill_by)} ({answer.refill_by_because})"))
    return Section("Now", facts=tuple(facts))


def _alarm(answer: Outlook) -> str:
    if answer.alarm_at is None:
        return "none"
    text = date_text(answer.alarm_at.date())
    if answer.alarm_earliest is None or answer.alarm_latest is None:
        return text
    window = (date_text(answer.alarm_earliest.date()), date_text(answer.alarm_latest.date()))
    return f"{text} (from {window[0]} to {window[1]})"


def _unclear(problems: Iterable[Problem]) -> Section | None:
    told = tuple(dict.fromkeys(problem.sentence for problem in problems))
    return Section("To be cleared up", lines=told, listed=True) if told else None


def _questions(entries: tuple[Entry, ...]) -> Section | None:
    asked = tuple(
        str(entry.payload["text"])
        for entry in of_kind(entries, "question")
        if not entry.payload.get("answered")
    )
    return Section("Questions", lines=asked, listed=True) if asked else None


def _happened(entries: tuple[Entry, ...], first: date, answer: Outlook, zone: tzinfo) -> Section:
    def within(kind: str) -> list[Entry]:
        return [
            entry
            for entry in of_kind(entries, kind)
            if first <= local_date(entry.at, zone) <= answer.today
        ]

    rows = tuple(
        (
            date_text(local_date(entry.at, zone)),
            ": ".join(
                filter(None, (str(entry.payload["what"]), str(entry.payload.get("note", ""))))
            ),
        )
        for entry in within("happening")
    )
    lines = check_in_lines(within("check-in"))
    if not rows and not lines:
        lines = ("Nothing is noted.",)
    table = Table(("Day", "What happened"), rows, (1, 3)) if rows else None
    return Section(f"What happened since {date_text(first)}", lines=lines, table=table)


def _diary(
    entries: tuple[Entry, ...], first: date, answer: Outlook, zone: tzinfo
) -> Section | None:
    lines = diary_lines(entries, answer.situation, answer.now, zone, first)
    return Section("What the diary says", lines=lines) if lines else None


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
    return kept, (f"The newest {count} of {len(rows)} stand here; the app has them all.",)


def _refills(entries: tuple[Entry, ...], first: date, answer: Outlook, zone: tzinfo) -> Section:
    refills = [e for e in of_kind(entries, "refill") if to_seconds(e.at) <= to_seconds(answer.now)]
    rows = [
        (local_date(entry.at, zone), _refill_row(before, entry, zone))
        for before, entry in pairwise([None, *refills])
        if entry
    ]
    kept, lines = _newest(rows, first)
    return Section(
        "Refills",
        lines=lines,
        table=Table(
            ("Day", "Filled", "Strength", "Expected", "Withdrawn", "Delivered ratio",
             "Clinic's alarm date"),
            kept,
            (1.55, 0.85, 1.3, 0.95, 1.05, 0.95, 1.55),
        ),
    )  # fmt: skip


def _refill_row(before: Entry | None, entry: Entry, zone: tzinfo) -> tuple[str, ...]:
    payload: Mapping[str, Any] = entry.payload

    def volume(field: str) -> str:
        return format_quantity(float(payload[field]), VOLUME) if field in payload else "–"

    printed = payload.get("printed_alarm_on")
    return (
        date_text(local_date(entry.at, zone)),
        volume("filled_ml"),
        format_quantity(float(payload["strength_mcg_per_ml"]), STRENGTH),
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
    return "–" if check.delivered_ratio is None else f"{check.delivered_ratio:.2f}"


def _settings(first: date, answer: Outlook, zone: tzinfo) -> Section:
    now_s = to_seconds(answer.now)
    known = [s for s in answer.situation.settings if to_seconds(s.at) <= now_s]
    known.sort(key=lambda setting: to_seconds(setting.at))
    rows = [
        (local_date(after.at, zone), _setting_row(before, after, zone))
        for before, after in pairwise([None, *known])
        if after
    ]
    kept, lines = _newest(rows, first)
    return Section(
        "Dose settings",
        lines=lines,
        table=Table(
            ("From", "Setting", "mcg/day", "Change"),
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
        format_number(dose, 1),
        percent_text(step_information(was, dose, None).percent),
    )


def _coming(entries: tuple[Entry, ...], answer: Outlook) -> Section:
    rows = tuple(
        (date_text(reminder.on), reminder.title, reminder.text)
        for reminder in reminders_of(entries, answer)
    )
    return Section("Coming up", table=Table(("Day", "What", "More"), rows, (1.3, 1.6, 3.4)))
