"""What happened and what the diary says, for the clinic sheet: nothing noted is left out."""

from collections.abc import Mapping, Sequence
from datetime import date, tzinfo
from statistics import median
from typing import Any

from pocketpump.core.diary.check_ins import SCALES, side_effect_words
from pocketpump.core.diary.events import event_words
from pocketpump.core.diary.measures import by_name, measure_words
from pocketpump.core.messages import joined, message, plural_message
from pocketpump.core.pump.forecast import Forecast
from pocketpump.core.safety.signs import sign_words
from pocketpump.core.units.instants import date_text
from pocketpump.core.units.quantity import entered_number, format_number
from pocketpump.exchange.charts.days import diary_chart
from pocketpump.exchange.papers.sheet_parts import HAPPENED, Section, Table, day_of
from pocketpump.record.entry.entries import Entry
from pocketpump.record.facts.diary import measures_of
from pocketpump.record.facts.findings import Findings

Payload = Mapping[str, Any]
_NAMED = {
    "pain": message("Pain"),
    "sleep": message("Sleep"),
    "sleepiness": message("Sleepiness"),
    "ease": message("Walking and moving over"),
}
_SHOWN = ("stiffness", "spasms")
"""The scores that the picture of the days shows."""


def happened_section(
    within: Sequence[Entry], found: Findings, first: date, answer: Forecast, zone: tzinfo
) -> Section:
    """Return the picture of the days, what was ticked at check-ins, and what happened.

    ``within`` are the entries from ``first`` to now.
    """
    check_ins = [entry for entry in within if entry.kind == "check-in"]
    rows = tuple(
        (date_text(day_of(entry, zone)), _event(entry.payload))
        for entry in within
        if entry.kind == "happening"
    )
    lines = (*_counted(check_ins), *_drift(found))
    # East of home the person's own day may have begun already.
    last = max([answer.today, *(entry.at.date() for entry in check_ins)])
    if not rows and not check_ins:
        lines = (*lines, message("Nothing is noted."))
    return Section(
        message("What happened since {day}", day=date_text(first)),
        HAPPENED,
        picture=diary_chart(found, answer.situation, first, last) if check_ins else None,
        facts=_ticked(check_ins, zone),
        lines=lines,
        table=Table((message("Day"), message("What happened")), rows, (1, 3)) if rows else None,
    )


def scores_section(within: Sequence[Entry]) -> Section | None:
    """Return the scores that no picture shows: of how many days, lowest, median, highest."""
    check_ins = [entry for entry in within if entry.kind == "check-in"]
    rows = []
    for name, words in _NAMED.items():
        values = [float(e.payload[name]) for e in check_ins if e.payload.get(name) is not None]  # type: ignore[arg-type]
        if values:
            rows.append((words, *_numbers(values)))
    strengths = [float(e.payload["severity"]) for e in check_ins if e.payload.get("severity")]  # type: ignore[arg-type]
    if strengths:
        rows.append((message("Strength of spasms, 1 to 3"), *_numbers(strengths)))
    if not rows:
        return None
    header = (
        message("Score, 0 to 10"), message("Check-ins"), message("Lowest"), message("Median"),
        message("Highest"),
    )  # fmt: skip
    return Section(message("Other scores"), table=Table(header, tuple(rows), (2, 1, 1, 1, 1)))


def measures_section(within: Sequence[Entry]) -> Section | None:
    """Return each measure with its newest value, and how far it went from lowest to highest."""
    rows = []
    for name, measures in by_name(measures_of(within)).items():
        newest = measures[-1]
        values = [one.value for one in measures]
        rows.append(
            (
                measure_words(name),
                _measured(newest.value, newest.unit),
                date_text(newest.at.date()),
                message(
                    "{lowest} to {highest}, {count} times",
                    lowest=entered_number(min(values)),
                    highest=entered_number(max(values)),
                    count=len(values),
                )
                if len(values) > 1
                else "–",
                "–" if newest.goal is None else _measured(newest.goal, newest.unit),
            )
        )
    if not rows:
        return None
    header = (
        # Note: the heads of a table: what was measured, its newest value, on which day.
        message("Measure"), message("Newest"), message("Day"), message("In this time"),
        message("Goal"),
    )  # fmt: skip
    return Section(message("Measures"), table=Table(header, tuple(rows), (1.8, 1, 1.3, 1.6, 0.9)))


def _event(payload: Payload) -> str:
    felt = message("The pump feels different.") if payload.get("feels_different") else ""
    told = (event_words(str(payload["what"])), str(payload.get("note", "")), felt)
    return joined(": ", filter(None, told))


def _counted(check_ins: Sequence[Entry]) -> tuple[str, ...]:
    scores = [float(entry.payload["stiffness"]) for entry in check_ins]  # type: ignore[arg-type]
    if not scores:
        return ()
    return (
        plural_message(
            "{count} check-in, stiffness {lowest} to {highest} of 10, middle {middle}.",
            "{count} check-ins, stiffness {lowest} to {highest} of 10, middle {middle}.",
            len(scores),
            lowest=format_number(min(scores), 1),
            highest=format_number(max(scores), 1),
            middle=format_number(median(scores), 1),
        ),
    )


def _drift(found: Findings) -> tuple[str, ...]:
    """Return what the diary can say besides the changes; what it cannot is said in one place."""
    told = [found.drift.sentence] if found.drift.verdict == "steady" else []
    if found.sudden.verdict in ("above", "below"):
        told.append(found.sudden.sentence)
    return tuple(told)


def _ticked(check_ins: Sequence[Entry], zone: tzinfo) -> tuple[tuple[str, str], ...]:
    """Return each thing ticked with on how many days, and on which last."""
    days: dict[str, dict[date, None]] = {}

    def tick(words: str, entry: Entry) -> None:
        days.setdefault(words, {})[day_of(entry, zone)] = None

    for entry in check_ins:
        payload: Payload = entry.payload
        for sign in payload.get("worries", ()):
            tick(sign_words([sign]), entry)
        for effect in payload.get("side_effects", ()):
            tick(side_effect_words(effect).capitalize(), entry)
        if payload.get("sedatives"):
            tick(message("Alcohol, sedatives or sleeping pills taken"), entry)
        if payload.get("tablets_as_planned") is False:
            tick(message("Tablets not taken as planned"), entry)
    return tuple((words, _days_told(tuple(on))) for words, on in days.items())


def _days_told(on: Sequence[date]) -> str:
    if len(on) == 1:
        return date_text(on[0])
    return plural_message(
        "{count} day, last {day}", "{count} days, last {day}", len(on), day=date_text(max(on))
    )


def _numbers(values: Sequence[float]) -> tuple[str, str, str, str]:
    lowest, middle, highest = (
        format_number(value, 1) for value in (min(values), median(values), max(values))
    )
    return f"{len(values)}", lowest, middle, highest


def _measured(value: float, unit: str) -> str:
    # Note: a number and the unit that the person has typed.
    return message("{number} {unit}", number=entered_number(value), unit=unit)


assert set(_NAMED) | set(_SHOWN) == set(SCALES)
