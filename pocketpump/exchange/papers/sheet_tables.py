"""The tables of the clinic sheet: refills, dose settings, what is coming, notes."""

from bisect import bisect
from collections.abc import Mapping, Sequence
from datetime import date, tzinfo
from itertools import chain, pairwise
from typing import Any, TypeVar

from pocketpump.core.messages import joined, localized_number, message
from pocketpump.core.pump.delivery_ratio import Residual, residuals_of
from pocketpump.core.pump.dose_steps import percent_text, step_information
from pocketpump.core.pump.forecast import Forecast
from pocketpump.core.pump.programme_text import describe_programme
from pocketpump.core.pump.timeline import Setting
from pocketpump.core.units.instants import date_text, local_date, to_seconds
from pocketpump.core.units.quantity import STRENGTH, VOLUME, entered_number, entered_quantity
from pocketpump.exchange.charts.pace import pace_chart
from pocketpump.exchange.papers.sheet_parts import Section, Table, day_of
from pocketpump.record.entry.entries import Entry
from pocketpump.record.facts.booked_visit import reminders_of
from pocketpump.record.facts.last_refill import refills_noted

# More rows would push the coming dates off the page, unless an earlier day is asked for.
_FEWEST_ROWS = 6
_NONE = "–"
# Note: in the place of a day: another note of the refill above, which says something else or more.
_AGAIN = message("noted again")
_SAID_ALREADY = ("alarm", "clinic-alarm", "refill-by", "call-by", "next-visit")
"""The reminders whose days are told under "Now"."""
Told = TypeVar("Told")


def refills_section(
    entries: tuple[Entry, ...], first: date, answer: Forecast, zone: tzinfo
) -> Section:
    """Return the refills, newest first, with the pump's pace; see `_newest` for how many."""
    ratios = _ratios(answer)
    counted = {fill.id for fill in answer.situation.fills}
    rows = []
    for notes in refills_noted(entries, answer.now):
        entry = next((note for note in notes if note.id in counted), notes[-1])
        row = _refill_row(date_text(local_date(entry.at, zone)), entry, ratios.get(entry.id))
        others = (_refill_row(_AGAIN, note, None) for note in notes if note is not entry)
        told = (row, *(other for other in others if _says_otherwise(other, row)))
        rows.append((local_date(entry.at, zone), told))
    kept, lines = _newest(rows, first)
    pace = pace_chart(answer, zone)
    return Section(
        message("Refills"),
        picture=pace,
        lines=(*((pace.spoken,) if pace else ()), *lines),
        table=Table(
            (message("Day"), message("Filled"), message("Strength"), message("Expected"),
             message("Withdrawn"), message("Delivered ratio"), message("Clinic's alarm date")),
            tuple(chain(*kept)),
            (1.55, 0.85, 1.3, 1.0, 0.95, 1.3, 1.35),
        ),
    )  # fmt: skip


def settings_section(first: date, answer: Forecast, zone: tzinfo) -> Section:
    """Return the dose settings, newest first, with the percent of each change."""
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


def coming_section(entries: tuple[Entry, ...], answer: Forecast) -> Section | None:
    """Return what is coming, by day, besides what stands on the first page."""
    rows = tuple(
        (date_text(reminder.on), reminder.title, reminder.text)
        for reminder in reminders_of(entries, answer)
        # A visit that is too late is said to be so here.
        if reminder.code not in _SAID_ALREADY or (reminder.code == "next-visit" and reminder.urgent)
    )
    if not rows:
        return None
    # Note: the heads of a table: the day, what is to be done, and a sentence more about it.
    header = (message("Day"), message("What"), message("More"))
    return Section(message("Coming up"), table=Table(header, rows, (1.3, 1.6, 3.4)))


def notes_section(entries: Sequence[Entry], zone: tzinfo) -> Section | None:
    """Return what was written to check-ins, refills, settings …; None without any."""
    rows = tuple(
        (date_text(day_of(entry, zone)), _OF[entry.kind], told)
        for entry in entries
        if entry.kind in _OF and (told := _written(entry))
    )
    if not rows:
        return None
    # Note: the heads of a table: the day, what the note belongs to, and the note itself.
    header = (message("Day"), message("Noted with"), message("Note"))
    return Section(message("Notes"), table=Table(header, rows, (1.3, 1.0, 4.0)))


def _written(entry: Entry) -> str:
    """Return the note of an entry, and what the clinic read of the battery."""
    told = [str(entry.payload.get("note") or "").strip()]
    months = entry.payload.get("months_left")
    if isinstance(months, int | float):
        # Note: so long the battery of the pump is said to last.
        told.insert(0, message("{months} months left", months=entered_number(months)))
    return joined("; ", filter(None, told))


_OF = {
    "check-in": message("Check-in"),
    "refill": message("Refill"),
    "programme": message("Dose setting"),
    "measure": message("Measure"),
    "visit": message("Visit"),
    # Note: what the clinic read of the pump's battery.
    "device": message("Battery"),
}


def _newest(
    rows: Sequence[tuple[date, Told]], first: date
) -> tuple[tuple[Told, ...], tuple[str, ...]]:
    """Return the rows to print, newest first, and what to say of those left out.

    ``rows`` are (day, what stands), oldest first; all from ``first`` on stand, and at least the
    newest `_FEWEST_ROWS`.
    """
    count = max(_FEWEST_ROWS, sum(day >= first for day, _ in rows))
    kept = tuple(told for _, told in reversed(rows[-count:]))
    if len(kept) == len(rows):
        return kept, ()
    left_out = message(
        "The newest {count} of {total} stand here; the app has them all.",
        count=count,
        total=len(rows),
    )
    return kept, (left_out,)


def _refill_row(day: str, entry: Entry, ratio: Residual | None) -> tuple[str, ...]:
    payload: Mapping[str, Any] = entry.payload

    def volume(field: str) -> str:
        return entered_quantity(float(payload[field]), VOLUME) if field in payload else _NONE

    printed = payload.get("printed_alarm_on")
    return (
        day,
        volume("filled_ml"),
        entered_quantity(float(payload["strength_mcg_per_ml"]), STRENGTH),
        volume("expected_ml"),
        volume("withdrawn_ml"),
        _ratio(ratio),
        date_text(date.fromisoformat(str(printed))) if printed else _NONE,
    )


def _says_otherwise(other: tuple[str, ...], row: tuple[str, ...]) -> bool:
    """Return whether another note of a refill says anything that its ``row`` does not."""
    return any(cell not in (_NONE, told) for cell, told in zip(other[1:], row[1:], strict=True))


def _ratios(answer: Forecast) -> dict[str, Residual]:
    """Return what each refill showed, also of pumps before; of two pumps none shows anything."""
    since = sorted(to_seconds(at) for at in answer.situation.pumps_from)
    pumps = [bisect(since, to_seconds(fill.at)) for fill in answer.timeline.fills]
    alone = {
        fill.id
        for fill, (before, pump) in zip(answer.timeline.fills[1:], pairwise(pumps), strict=True)
        if before == pump
    }
    return {one.id: one for one in residuals_of(answer.timeline) if one.id in alone}


def _ratio(shown: Residual | None) -> str:
    if shown is None or shown.ratio < 0 or not (shown.shows_ratio or shown.found_dry):
        return _NONE
    ratio = localized_number(f"{shown.ratio:.2f}")
    # Of a reservoir found empty nobody can tell what it would have delivered.
    return message("at least {ratio}", ratio=ratio) if shown.found_dry else ratio


def _setting_row(before: Setting | None, after: Setting, zone: tzinfo) -> tuple[str, ...]:
    dose = after.programme.dose_mcg_per_day
    was = before.programme.dose_mcg_per_day if before else 0.0
    return (
        date_text(local_date(after.at, zone)),
        describe_programme(after.programme),
        entered_number(dose),
        percent_text(step_information(was, dose, None).percent),
    )
