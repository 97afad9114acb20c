"""The pace of the pump: at each refill what it delivered against what it was told."""

from datetime import tzinfo

from pocketpump.core.messages import message, plural_message
from pocketpump.core.pump.delivery_ratio import residuals_of
from pocketpump.core.pump.forecast import Forecast
from pocketpump.core.units.instants import month_text
from pocketpump.core.units.quantity import format_number
from pocketpump.exchange.charts.description import (
    FULL,
    OPEN,
    Axis,
    Band,
    Chart,
    Dots,
    Line,
    Mark,
    Panel,
)

_MOST_LESSONS = 8
"""More dots than this cannot be told apart on a phone; the newest matter most."""


def pace_chart(answer: Forecast, zone: tzinfo) -> Chart | None:
    """Return a dot a refill around "as told", over the band of the flow accuracy.

    None before the first lesson. An open dot is of a refill that is held back.
    """
    every = residuals_of(answer.timeline, answer.situation.pump_since)
    lessons = [one for one in every if one.shows_ratio]
    if not lessons:
        return None
    shown = lessons[-_MOST_LESSONS:]
    tolerance = answer.situation.pump.tolerance_percent / 100
    reach = max([2 * tolerance, *(abs(one.ratio - 1) for one in shown)]) * 1.15 or 0.1
    days = {fill.id: fill.at.astimezone(zone).date() for fill in answer.timeline.fills}
    places = [(number + 0.5, one) for number, one in enumerate(shown)]
    x = Axis(0.0, len(shown), tuple((at, month_text(days[one.id])) for at, one in places))
    y = Axis(
        1 - reach,
        1 + reach,
        (
            # Note: beside a narrow chart; at most 9 letters.
            (1 - reach, message("less")),
            # Note: beside a narrow chart; at most 9 letters.
            (1.0, message("as told")),
            # Note: beside a narrow chart; at most 9 letters.
            (1 + reach, message("more")),
        ),
    )
    far_less = answer.ratio.far_less
    marks: list[Mark] = [Band(x.low, x.high, 1 - tolerance, 1 + tolerance)]
    marks += [Line(((at, 1.0), (at, one.ratio))) for at, one in places]
    for how, held in ((FULL, False), (OPEN, True)):
        marks.append(Dots(tuple((at, one.ratio) for at, one in places
                                if (one.id in far_less) == held), how))  # fmt: skip
    return Chart(x, (Panel("", y, tuple(marks)),), _spoken(answer, len(lessons)),
                 message("Each dot is a refill; the band is the usual flow accuracy."))  # fmt: skip


def _spoken(answer: Forecast, count: int) -> str:
    low, high = answer.ratio.band()
    return plural_message(
        "Delivery ratio {mean}, between {low} and {high}, from {counted} of {count}"
        " measured refill.",
        "Delivery ratio {mean}, between {low} and {high}, from {counted} of {count}"
        " measured refills.",
        count,
        mean=format_number(answer.ratio.mean, 2),
        low=format_number(low, 2),
        high=format_number(high, 2),
        counted=answer.ratio.counted,
    )
