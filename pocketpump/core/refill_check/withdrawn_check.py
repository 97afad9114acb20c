"""What was withdrawn at a refill against what was expected, in sentences."""

from pocketpump.core.errors import InputError
from pocketpump.core.messages import message
from pocketpump.core.pump.delivery_ratio import learn_ratio, residuals_of
from pocketpump.core.pump.situation import Situation
from pocketpump.core.pump.timeline import Fill, Timeline
from pocketpump.core.pump.timeline_builder import build_timeline
from pocketpump.core.refill_check.residual import check_residual
from pocketpump.core.units.quantity import format_number

# One refill alone is judged by its own limits (own choice, no source).
_TOGETHER = 2


def compare_withdrawn(
    fill: Fill, earlier: tuple[Fill, ...], situation: Situation
) -> tuple[list[str], list[str]]:
    """Return what to ask and what agrees about the volume withdrawn at ``fill``.

    ``earlier`` are the refills before it, ``situation`` is as of the pump in the body then. What
    nobody expected in print is what the programme would have left.
    """
    withdrawn_ml = fill.withdrawn_ml
    if not earlier or withdrawn_ml is None:
        return [], []
    known = [*earlier, fill], situation.settings, situation.pump.line_volume_ml
    timeline, _ = build_timeline(*known)
    expected_ml = fill.expected_ml
    if expected_ml is None:
        if not timeline.segments:
            return [], []
        last = len(timeline.fills) - 2
        expected_ml = timeline.left_of(last)
        if timeline.counts_requests(last):
            # Between none and all of the requests anything is as expected.
            none_taken, _ = build_timeline(*known, 0.0)
            expected_ml = min(max(withdrawn_ml, expected_ml), none_taken.left_of(last))
    try:
        residual = check_residual(
            earlier[-1].volume_ml, expected_ml, withdrawn_ml, situation.pump.tolerance_percent
        )
    except InputError as error:
        return [str(error)], []
    if not residual.flag:
        agreeing = message("The withdrawn volume is within the usual limits of the expected one.")
        return _pace_asks(timeline, situation), [agreeing]
    apart = format_number(abs(residual.difference_ml), 2)
    if residual.difference_ml > 0:
        text = message(
            "{volume} mL more than expected was left. That is beyond the usual limits: ask"
            " the clinic to look into it.",
            volume=apart,
        )
    else:
        text = message(
            "{volume} mL less than expected was left. That is beyond the usual limits: ask the"
            " clinic to look into it.",
            volume=apart,
        )
    return [text], []


def _pace_asks(timeline: Timeline, situation: Situation) -> list[str]:
    """Return what several refills show together though none does alone.

    "Look at several refills together": regional-anaesthesia society poster 2017.
    """
    pump = situation.pump
    lessons = residuals_of(timeline, situation.pump_since)
    ratio = learn_ratio(lessons, pump.tolerance_percent, pump.reading_error_ml)
    low, high = ratio.band()
    if ratio.counted < _TOGETHER or low <= 1 <= high:
        return []
    percent = message("{number} %", number=f"{abs(ratio.mean - 1) * 100:.0f}")
    if ratio.mean > 1:
        return [
            message(
                "Taken together, {refills} refills show that this pump delivers about {percent}"
                " more than it is told: mention it to the clinic.",
                refills=ratio.counted,
                percent=percent,
            )
        ]
    return [
        message(
            "Taken together, {refills} refills show that this pump delivers about {percent} less"
            " than it is told: mention it to the clinic.",
            refills=ratio.counted,
            percent=percent,
        )
    ]
