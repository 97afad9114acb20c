"""Dose settings as people write them and as they read them.

Written: ``"200 mcg/day"``, ``"stopped"``, ``"00:00 15 mcg/h, 06:00 10 mcg/h"`` (a day
pattern), ``"Mon-Fri: 00:00 15 mcg/h; Sat-Sun: 00:00 12 mcg/h"`` (by weekday), boluses as
``"45 mcg x 4"`` or ``"45 mcg at 08:00, 12:00"``. German words are read as well, as they are
printed: ``"200 µg/Tag"``, ``"gestoppt"``, ``"Mo–Fr: 00:00 Uhr 15 µg/Std."``, ``"45 µg um 08:00"``.
Times are read as in every box for one ("6 Uhr", "8 pm"); but digits alone could be an amount.
"""

import re
from collections.abc import Iterable
from dataclasses import replace
from itertools import groupby

from pocketpump.core.errors import InputError, shown
from pocketpump.core.messages import joined, message, text_in
from pocketpump.core.pump.programme import (
    Programme,
    RateStep,
    RequestedBolus,
    TimedBolus,
    constant_rate,
    day_pattern,
    stopped,
)
from pocketpump.core.units.instants import WEEKDAYS
from pocketpump.core.units.quantity import (
    AMOUNT,
    DOSE,
    HOURLY_RATE,
    entered_quantity,
    parse_quantity,
)
from pocketpump.core.units.typed_dates import read_said_time, weekday_named

# More boluses than this in a day is a slip (own limit, no source).
MOST_BOLUSES = 48
_STOPPED = ("stopped", "gestoppt")
_DAY_NAME = r"([^\W\d_]{2,10})\.?"
_DAYS_OF = re.compile(
    rf"\s*{_DAY_NAME}(?:\s*(?:[-‐-―−]|\bto\b|\bbis\b)\s*{_DAY_NAME})?\s*:\s*(.*)", re.IGNORECASE
)
# What a time of day ends with that no amount does.
_HALF = r"\s*(?:uhr\b|[ap]\.?\s?m\b\.?)"
_STEP = re.compile(rf"([0-9]{{1,2}}(?:[:.h][0-9]{{2}})?{_HALF}|\S+)\s+(.+)", re.IGNORECASE)
_BEGINS_WITH_TIME = re.compile(rf"\s*[0-9]{{1,2}}(?:\.[0-9]{{2}})?{_HALF}", re.IGNORECASE)
# A comma between digits is a decimal comma; between steps a space or a time follows it.
_BETWEEN_STEPS = re.compile(rf",\s+|,(?=\d\d?:)|(?<=\D),(?=\d\d?{_HALF})", re.IGNORECASE)
_PATTERN_EXAMPLE = "00:00 15 mcg/h, 06:00 10 mcg/h, 22:00 20 mcg/h"


def parse_setting(text: str, clock_offset_minutes: int = 0, field: str = "programme") -> Programme:
    """Return the programme for a daily dose, a day pattern or the word "stopped".

    Raises `InputError` where it is none of them, or a daily dose of 0.
    """
    cleaned = text.strip()
    if cleaned.lower() in _STOPPED:
        return stopped()
    if ":" in cleaned or _BEGINS_WITH_TIME.match(cleaned):
        return parse_pattern(cleaned, clock_offset_minutes, field)
    dose = parse_quantity(cleaned, DOSE, field=field)
    if dose == 0:
        raise InputError(
            message('A daily dose of 0 means the pump is off: write "{word}".', word="stopped"),
            field,
        )
    return constant_rate(dose, clock_offset_minutes)


def parse_pattern(text: str, clock_offset_minutes: int = 0, field: str = "pattern") -> Programme:
    """Return the day pattern in ``text``; times are the pump's clock, rates an amount an hour.

    Raises `InputError` where it cannot be read, or a day has none or two.
    """
    parts = [part.strip() for part in text.split(";") if part.strip()]
    try:
        if len(parts) == 1 and _weekdays(parts[0]) is None:
            return day_pattern([_steps(parts[0], field)], clock_offset_minutes)
        days: list[list[RateStep]] = [[] for _ in range(7)]
        for part in parts:
            named = _weekdays(part)
            if named is None:
                raise InputError(
                    message(
                        'Say which days "{typed}" is for: write it like {example}.',
                        typed=shown(part),
                        example=f"Mon-Fri: {_PATTERN_EXAMPLE}",
                    ),
                    field,
                )
            weekdays, rest = named
            for weekday in weekdays:
                if days[weekday]:
                    raise InputError(
                        message(
                            "{weekday} is in the day pattern twice: give each day one pattern.",
                            # As it is typed, which is English in every language.
                            weekday=text_in(WEEKDAYS[weekday], None),
                        ),
                        field,
                    )
                days[weekday] = _steps(rest, field)
        return day_pattern(days, clock_offset_minutes)
    except InputError as error:
        raise InputError(str(error), field) from None


def parse_timed_bolus(text: str, field: str = "timed_bolus") -> TimedBolus:
    """Return the timed bolus in ``text``: "45 mcg x 4" or "45 mcg at 08:00, 12:00".

    Raises `InputError` where it cannot be read, or names a time twice.
    """
    amount_text, word, rest = _split_bolus(text, r"x|\u00d7|\*|at|um", field, "45 mcg x 4")
    amount = _bolus_amount(amount_text, field)
    if word in ("at", "um"):
        clocks = re.split(r",|\bund\b|\band\b", rest)
        minutes = tuple(sorted(_minute(part, field) for part in clocks))
        if len(set(minutes)) != len(minutes):
            raise InputError(
                message("A bolus has the same time twice: give each time once."), field
            )
        return TimedBolus(amount, len(minutes), minutes)
    return TimedBolus(amount, _count(rest, field))


def parse_requested_bolus(text: str, field: str = "requested_bolus") -> RequestedBolus:
    """Return the requested bolus in ``text``: "25 mcg x 4" is at most four a day."""
    amount_text, _, rest = _split_bolus(text, r"x|\u00d7|\*", field, "25 mcg x 4")
    return RequestedBolus(_bolus_amount(amount_text, field), _count(rest, field))


def with_boluses(
    programme: Programme, timed: tuple[TimedBolus, ...], requested: RequestedBolus | None
) -> Programme:
    """Return ``programme`` as the background of the given boluses."""
    return replace(programme, timed=timed, requested=requested)


def describe_programme(programme: Programme, places: int = 2) -> str:
    """Return the setting in one line, as it was typed; what has no end to ``places`` decimals."""
    if programme.mode == "stopped":
        return message("stopped")
    text = _describe_background(programme, places)
    extras = [_describe_timed(bolus) for bolus in programme.timed]
    if programme.requested:
        request = programme.requested
        extras.append(
            message(
                "up to {times} x {amount} a day on request",
                times=request.max_per_day,
                amount=entered_quantity(request.amount_mcg, AMOUNT),
            )
        )
    for extra in extras:
        text = message("{setting}, plus {bolus}", setting=text, bolus=extra)
    return text


def clock_text(minute: int) -> str:
    """Return a minute of the day as hours and minutes: 1320 is 22:00."""
    return f"{minute // 60 % 24:02d}:{minute % 60:02d}"


def _describe_background(programme: Programme, places: int) -> str:
    if len(programme.rates) == 1:
        return entered_quantity(programme.background_mcg_per_day, DOSE, places)
    told = []
    for day in programme.days:
        rates = [entered_quantity(s.rate_mcg_per_hour, HOURLY_RATE, places) for s in day]
        clocks = [clock_text(step.start_minute) for step in day]
        told.append(joined(", ", (joined(" ", pair) for pair in zip(clocks, rates, strict=True))))
    return by_weekday(told)


def by_weekday(told: Iterable[str]) -> str:
    """Return what is ``told`` of each day of the week; days that are alike stand together."""
    groups: list[tuple[list[int], str]] = [
        ([weekday for weekday, _ in days], steps)
        for steps, days in groupby(enumerate(told), key=lambda one: one[1])
    ]
    if len(groups) == 1:
        return groups[0][1]
    return joined("; ", (joined(": ", (_span(days), steps)) for days, steps in groups))


def _describe_timed(bolus: TimedBolus) -> str:
    amount = entered_quantity(bolus.amount_mcg, AMOUNT)
    if bolus.start_minutes:
        clocks = ", ".join(clock_text(minute) for minute in bolus.start_minutes)
        return message("{amount} at {clocks}", amount=amount, clocks=clocks)
    return message("{times} x {amount} a day", times=bolus.per_day, amount=amount)


def _span(weekdays: list[int]) -> str:
    first, last = WEEKDAYS[weekdays[0]], WEEKDAYS[weekdays[-1]]
    return first if first == last else joined("-", (first, last))


def _weekdays(part: str) -> tuple[list[int], str] | None:
    match = _DAYS_OF.fullmatch(part)
    if match is None:
        return None
    first, last = (weekday_named(name.lower()) for name in (match[1], match[2] or match[1]))
    if first is None or last is None:
        return None
    return [(first + i) % 7 for i in range((last - first) % 7 + 1)], match[3]


def _steps(text: str, field: str) -> list[RateStep]:
    steps = []
    for part in _BETWEEN_STEPS.split(text.strip()):
        match = _STEP.fullmatch(part.strip())
        if match is None:
            raise InputError(
                message(
                    '"{typed}" is not a time and a rate: write it like {example}.',
                    typed=shown(part),
                    example=_PATTERN_EXAMPLE,
                ),
                field,
            )
        rate = parse_quantity(match[2], HOURLY_RATE, field=field)
        steps.append(RateStep(_minute(match[1], field), rate))
    return steps


def _minute(text: str, field: str) -> int:
    try:
        clock = read_said_time(text)
    except InputError:
        raise InputError(
            message('"{typed}" is not a time of day: write it like 06:30.', typed=shown(text)),
            field,
        ) from None
    return clock.hour * 60 + clock.minute


def _split_bolus(text: str, words: str, field: str, example: str) -> tuple[str, str, str]:
    cleaned = " ".join(text.split())
    match = re.fullmatch(rf"(.*?\D)\s?({words})\s?(\S.*)", cleaned)
    if match is None or len(text.strip().splitlines()) > 1:
        raise InputError(
            message(
                '"{typed}" is not a bolus: write it like {example}.',
                typed=shown(text),
                example=example,
            ),
            field,
        )
    return match[1], match[2], match[3]


def _bolus_amount(text: str, field: str) -> float:
    amount = parse_quantity(text, AMOUNT, field=field)
    if amount == 0:
        raise InputError(message("A bolus of 0 mcg is none: leave the bolus out."), field)
    return amount


def _count(text: str, field: str) -> int:
    if not re.fullmatch(r"[0-9]{1,3}", text.strip()) or not 0 < int(text) <= MOST_BOLUSES:
        raise InputError(
            message(
                '"{typed}" is not a number of boluses a day: write a whole number from 1 to'
                " {most}.",
                typed=shown(text),
                most=MOST_BOLUSES,
            ),
            field,
        )
    return int(text)
