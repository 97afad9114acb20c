"""The sentences about stiffness by the hour beside the rate by the hour."""

from collections.abc import Sequence

from pocketpump.core.diary.check_ins import SCALE_WORDS, STIFFNESS
from pocketpump.core.diary.hour_spans import (
    FEW_DAYS,
    FEWEST_DAYS,
    JUDGED,
    LEAST_RATE_SHARE,
    RATE_CHANGES,
    Disagreement,
    Span,
)
from pocketpump.core.diary.response_text import points_text
from pocketpump.core.messages import joined, message, plural_message
from pocketpump.core.units.quantity import format_number

_SCORE = SCALE_WORDS[STIFFNESS]
_BESIDE = {
    "at": message("while the rate, then and in the four hours before, is about its daily mean"),
    "below": message("while the rate, then and in the four hours before, is below its daily mean"),
    "at or below": message(
        "while the rate, then and in the four hours before, is at or below its daily mean"
    ),
    "above": message("while the rate, then and in the four hours before, is above its daily mean"),
}


def hours_sentence(days: int, spans: Sequence[Span], disagree: Sequence[Disagreement]) -> str:
    """Return what the ``days`` of a diary say by the hour, and of which hours they say it."""
    judged = [span for span in spans if span.coverage == JUDGED]
    if not judged and not any(span.coverage == RATE_CHANGES for span in spans):
        return message(
            "{score} by the hour: not enough to say ({days}). Needed are {needed} days with a"
            " check-in at about the same hour and one at another hour, and that on most days.",
            score=_SCORE.capitalize(),
            days=_days_text(days),
            needed=FEWEST_DAYS,
        )
    if not judged:
        return message(
            "{score} by the hour: not enough to say ({days}). Of the hours noted on enough days"
            " the rate changes in each, or in the four hours before.",
            score=_SCORE.capitalize(),
            days=_days_text(days),
        )
    if not disagree:
        return message(
            "No hours stand out where {score} and the pump's rate disagree, of those that could be"
            " judged: {spans} ({days} days).",
            score=_SCORE,
            spans=_names(judged),
            days=days,
        )
    parts = joined("; ", map(_part, disagree))
    return message("Hours to show the clinic: {parts}.", parts=parts)


def _part(one: Disagreement) -> str:
    values = {
        "span": one.span.name,
        "score": _SCORE,
        "points": points_text(one.shift.points),
        "beside": _BESIDE[one.level],
        "days": one.days,
    }
    if one.shift.points > 0:
        # Note: {beside} is like "while the rate is at its daily mean".
        return message(
            "from {span} {score} is higher by about {points} than in the rest of the day,"
            " {beside} ({days} days)",
            **values,
        )
    # Note: {beside} is like "while the rate is at its daily mean".
    return message(
        "from {span} {score} is lower by about {points} than in the rest of the day,"
        " {beside} ({days} days)",
        **values,
    )


def hours_lines(spans: Sequence[Span]) -> tuple[str, ...]:
    """Return the working: every span, which could not be judged and why, and how it is done."""
    lines = [
        message(
            "{span}: median {score} {median} ({days}), rate {rate} mcg/h.",
            span=span.name,
            score=_SCORE,
            median="–" if span.middle is None else format_number(span.middle, 1),
            days=_days_text(span.days),
            rate=format_number(span.rate_mcg_per_h, 2),
        )
        for span in spans
    ]
    few, changing = (
        [span for span in spans if span.coverage == why] for why in (FEW_DAYS, RATE_CHANGES)
    )
    if few:
        lines.append(
            message("Not judged, as too few days have these and other hours: {spans}.",
                   spans=_names(few))
        )  # fmt: skip
    if changing:
        lines.append(
            message("Not judged, as the rate changes then or in the four hours before: {spans}.",
                   spans=_names(changing))
        )  # fmt: skip
    return (
        *lines,
        message(
            "One score a span and day. Each span is compared with the rest of the same day by"
            " ranks (Wilcoxon), and only when it was noted on most days. The hours are those of"
            " the wall clock where the check-in was made; the rate counts by its own weekday."
        ),
        message(
            "A rate counts as above or below its daily mean from {percent} % on. It acts later"
            " than it runs: after a bolus most at about 4 hours, a new steady rate from 6 to 8"
            " hours on (label). The 4 hours before are looked at, anything slower is not.",
            percent=format_number(LEAST_RATE_SHARE * 100, 0),
        ),
    )


def _names(spans: Sequence[Span]) -> str:
    return joined(", ", (span.name for span in spans))


def _days_text(days: int) -> str:
    return plural_message("{count} days", "{count} days", days)
