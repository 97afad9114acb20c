"""The words for a programme by weekday on a trip: the days, and a sentence for each hour."""

from collections.abc import Callable, Sequence

from pocketpump.core.messages import joined, message
from pocketpump.core.pump.clinic_days import WEEKDAYS
from pocketpump.core.travel.trip import ClockRow
from pocketpump.core.travel.week_there import runs_of


def weekdays_text(weekdays: Sequence[int]) -> str:
    """Return days of the week (0 is Monday) in words, those that follow each other as one."""
    if len(weekdays) == 7:
        return message("Every day")
    runs: list[str] = []
    for first, last in runs_of(weekdays):
        if first == last:
            runs.append(WEEKDAYS[first])
        elif (first + 1) % 7 == last:
            runs += [WEEKDAYS[first], WEEKDAYS[last]]
        else:
            runs.append(message("{first} to {last}", first=WEEKDAYS[first], last=WEEKDAYS[last]))
    return joined(", ", runs)


def week_sentence(row: ClockRow, weekdays: Sequence[int]) -> str:
    """Return in plain words when an hour of the pump comes on some ``weekdays`` there."""
    of_pump = [(day - row.day_shift) % 7 for day in weekdays]
    if len(weekdays) == 1:
        day, there = WEEKDAYS[of_pump[0]], WEEKDAYS[weekdays[0]]
        shifted = bool(row.day_shift)
        return _ONE_DAY[shifted, row.is_bolus](day, row.pump_clock, row.local_clock, there)
    days = weekdays_text(of_pump)
    return _DAYS[row.day_shift, row.is_bolus](days, row.pump_clock, row.local_clock)


_ONE_DAY: dict[tuple[bool, bool], Callable[[str, str, str, str], str]] = {
    # Note: {day} and {pump} by the pump's clock; at {clock} on the day {there} of the place.
    (False, False): lambda day, pump, clock, _: message(
        "On {day}, your step of {pump} comes at {clock} there.", day=day, pump=pump, clock=clock
    ),
    (False, True): lambda day, pump, clock, _: message(
        "On {day}, your bolus of {pump} comes at {clock} there.", day=day, pump=pump, clock=clock
    ),
    (True, False): lambda day, pump, clock, there: message(
        "On {day}, your step of {pump} comes at {clock} on {there} there.",
        day=day, pump=pump, clock=clock, there=there,
    ),
    (True, True): lambda day, pump, clock, there: message(
        "On {day}, your bolus of {pump} comes at {clock} on {there} there.",
        day=day, pump=pump, clock=clock, there=there,
    ),
}  # fmt: skip
_DAYS: dict[tuple[int, bool], Callable[[str, str, str], str]] = {
    # Note: {days} like "Monday to Friday" and {pump} by the pump's clock, {clock} at the place.
    (-2, False): lambda days, pump, clock: message(
        "{days}: your step of {pump} comes at {clock} there, two days before.",
        days=days, pump=pump, clock=clock,
    ),
    (-1, False): lambda days, pump, clock: message(
        "{days}: your step of {pump} comes at {clock} there, the day before.",
        days=days, pump=pump, clock=clock,
    ),
    (0, False): lambda days, pump, clock: message(
        "{days}: your step of {pump} comes at {clock} there.", days=days, pump=pump, clock=clock
    ),
    (1, False): lambda days, pump, clock: message(
        "{days}: your step of {pump} comes at {clock} there, the day after.",
        days=days, pump=pump, clock=clock,
    ),
    (2, False): lambda days, pump, clock: message(
        "{days}: your step of {pump} comes at {clock} there, two days after.",
        days=days, pump=pump, clock=clock,
    ),
    (-2, True): lambda days, pump, clock: message(
        "{days}: your bolus of {pump} comes at {clock} there, two days before.",
        days=days, pump=pump, clock=clock,
    ),
    (-1, True): lambda days, pump, clock: message(
        "{days}: your bolus of {pump} comes at {clock} there, the day before.",
        days=days, pump=pump, clock=clock,
    ),
    (0, True): lambda days, pump, clock: message(
        "{days}: your bolus of {pump} comes at {clock} there.", days=days, pump=pump, clock=clock
    ),
    (1, True): lambda days, pump, clock: message(
        "{days}: your bolus of {pump} comes at {clock} there, the day after.",
        days=days, pump=pump, clock=clock,
    ),
    (2, True): lambda days, pump, clock: message(
        "{days}: your bolus of {pump} comes at {clock} there, two days after.",
        days=days, pump=pump, clock=clock,
    ),
}  # fmt: skip
