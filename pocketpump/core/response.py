"""What a change of the dose setting was followed by: before against after, said honestly.

Days are compared, not check-ins: the median of each day. The days right after the change
(settling days) are left out. The effect of an infusion change is full at 24-48 hours
(label); many people and clinics wait 3-5 days before they judge (common practice).
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from statistics import median

from pocketpump.core.booking import USUAL_SETTLING_DAYS
from pocketpump.core.diary import STIFFNESS, Happening, Reading, between, daily_medians
from pocketpump.core.instants import to_seconds
from pocketpump.core.response_text import also_text, response_lines, response_sentence
from pocketpump.core.situation import changes_among
from pocketpump.core.statistics import Shift, hodges_lehmann, variance_inflation
from pocketpump.core.timeline import Setting, in_order
from pocketpump.core.verdict import CONFIDENCE, FEWEST_DAYS, Sample, verdict_of

WINDOW_DAYS = 28
"""At most so many days on either side (own choice): long enough to see, short enough to be
about this change."""


@dataclass(frozen=True, slots=True)
class Response:
    """What one change was followed by on one scale.

    ``verdict`` is "not enough", "settling", "lower", "higher" or "no clear change";
    ``shift`` in points (None while there is not enough); ``inflation`` the factor by which
    the likeness of neighbouring days widened the interval; ``sentence`` says it, with
    the numbers of days and check-ins; ``lines`` are the working, among them ``also``, what
    else happened in that time ("" when nothing did).
    """

    setting: Setting
    scale: str
    before: Sample
    after: Sample
    shift: Shift | None
    inflation: float
    verdict: str
    sentence: str
    lines: tuple[str, ...]
    also: str


def changes_of(settings: Iterable[Setting], now: datetime) -> tuple[Setting, ...]:
    """Return the first setting and each that differs from the one before, up to ``now``.

    What is noted again as it was (at a refill, from a printout) is no change.
    """
    known = in_order(s for s in settings if to_seconds(s.at) <= to_seconds(now))
    return (*known[:1], *(change.after for change in changes_among(known)))


def responses(
    settings: Iterable[Setting],
    marks: Sequence[Reading],
    now: datetime,
    *,
    scale: str = STIFFNESS,
    settling_days: int = USUAL_SETTLING_DAYS,
    happenings: Iterable[Happening] = (),
) -> tuple[Response, ...]:
    """Return the response to each change of the setting up to ``now``, oldest first.

    The first setting is no change, and one noted again neither. ``marks`` are all readings of
    ``scale``, in order of time. A side reaches at most `WINDOW_DAYS` and never into another
    change or its settling days. ``happenings`` in that time are told beside the response.
    """
    known = tuple(happenings)
    ordered = changes_of(settings, now)
    settle = timedelta(days=settling_days)
    found = []
    for index, setting in enumerate(ordered[1:], start=1):
        following = ordered[index + 1].at if index + 1 < len(ordered) else now
        window = timedelta(days=WINDOW_DAYS)
        earliest = max(setting.at - window, ordered[index - 1].at + settle)
        begin = setting.at + settle
        end = max(begin, min(begin + window, following))
        before = between(marks, earliest, setting.at)
        after = between(marks, begin, end)
        also = [h for h in known if earliest <= h.at < end]
        found.append(_response(setting, scale, before, after, begin > now, also))
    return tuple(found)


def _response(
    setting: Setting,
    scale: str,
    before: Sequence[Reading],
    after: Sequence[Reading],
    settling: bool,
    happened: Sequence[Happening],
) -> Response:
    days_before, days_after = daily_medians(before), daily_medians(after)
    side, other = _sample(days_before, before), _sample(days_after, after)
    shift, inflation = None, 1.0
    if min(side.days, other.days) >= FEWEST_DAYS:
        values = tuple(days_before.values()), tuple(days_after.values())
        inflation = variance_inflation(values)
        shift = hodges_lehmann(*values, confidence=CONFIDENCE, inflation=inflation)
    verdict = verdict_of(shift, settling)
    also = also_text(happened)
    return Response(
        setting,
        scale,
        side,
        other,
        shift,
        inflation,
        verdict,
        response_sentence(setting, scale, side, other, shift, verdict),
        response_lines(scale, side, other, shift, inflation, also),
        also,
    )


def _sample(days: dict[date, float], marks: Sequence[Reading]) -> Sample:
    ordered = list(days)
    middle = median(days.values()) if days else None
    first, last = (ordered[0], ordered[-1]) if ordered else (None, None)
    return Sample(len(days), len(marks), middle, first, last)
