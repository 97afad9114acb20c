"""What the picture of the pump's reservoir on Today shows of a forecast."""

from datetime import date

from pocketpump.app.parts.level_layout import LevelMark
from pocketpump.core.messages import message
from pocketpump.core.pump.forecast import Forecast
from pocketpump.core.pump.state import State
from pocketpump.core.units.instants import start_of, to_seconds
from pocketpump.core.units.quantity import VOLUME, entered_quantity


def capacity_ml(answer: Forecast) -> float:
    """Return how much the picture's vessel holds: never less than was filled in."""
    return max(answer.situation.pump.reservoir_ml or 0.0, answer.fill.volume_ml)


def level_marks(answer: Forecast, state: State) -> list[LevelMark]:
    """Return the levels of empty, alarm and, unless the pump is stopped, refill-by."""
    pump = answer.situation.pump
    # Note: short, beside a line in the picture of the pump's reservoir.
    marks = [LevelMark(message("alarm"), pump.alarm_volume_ml), LevelMark(message("empty"), 0.0)]
    by_ml = volume_on(answer, answer.refill_by)
    if by_ml is not None and state.word != "stopped":
        # Note: short, beside a line in the picture of the pump's reservoir.
        marks.insert(
            0, LevelMark(message("refill by"), by_ml, leading=True, needs_you=state.word != "calm")
        )
    return marks


def spoken_level(answer: Forecast, left: str) -> str:
    """Return the picture in words, ``left`` being what is in the pump."""
    return message(
        "{left} of {capacity} left; alarm at {alarm}.",
        left=left,
        capacity=entered_quantity(capacity_ml(answer), VOLUME),
        alarm=entered_quantity(answer.situation.pump.alarm_volume_ml, VOLUME),
    )


def volume_on(answer: Forecast, day: date) -> float | None:
    """Return the mL in the pump when ``day`` begins; None beyond what is worked out."""
    zone = answer.now.tzinfo
    assert zone is not None  # a forecast's instants are aware
    at_s = max(to_seconds(start_of(day, zone)), to_seconds(answer.fill.at))
    return answer.timeline.volume_at(at_s)
