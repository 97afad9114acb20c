"""What of a situation has to be entered first, or looked at again."""

from collections.abc import Iterator
from datetime import datetime, tzinfo

from pocketpump.core.errors import Problem
from pocketpump.core.messages import localized_number, message
from pocketpump.core.pump.delivery_ratio import DeliveryRatio
from pocketpump.core.pump.duplicates import duplicate_problems
from pocketpump.core.pump.situation import Pump, Situation
from pocketpump.core.pump.timeline import Fill, Setting
from pocketpump.core.units.instants import date_text, instant_text, local_date, to_seconds

UNFILLED = "new-pump-unfilled"
"""The code of the problem that another pump is noted and no refill since."""


def missing(situation: Situation, zone: tzinfo) -> tuple[Problem, ...]:
    """Return what has to be entered before there is a forecast."""
    if not situation.fills:
        sentence = (
            message("There is no refill up to now: enter the last one.")
            if any(isinstance(one, Fill) for one in situation.ahead)
            else message("There is no refill yet: enter the last one.")
        )
        return (Problem("no-refill", sentence),)
    coming = [one for one in situation.ahead if isinstance(one, Setting)]
    if not coming:
        sentence = message("There is no dose setting yet: enter the daily dose.")
        return (Problem("no-setting", sentence),)
    sentence = message(
        "The first dose setting begins only on {day}, which is still to come: look at its date, or"
        " enter the daily dose that runs now.",
        day=date_text(local_date(coming[0].at, zone)),
    )
    return (Problem("no-setting", sentence, (coming[0].id,)),)


def not_in_force(situation: Situation, setting_id: str, now: datetime) -> str:
    """Return what to say when the setting just saved is not what runs at ``now``; "" when it is.

    ``situation`` is that of the record since the save; the instant told is by the clock of ``now``.
    """
    saved = next((one for one in situation.settings if one.id == setting_id), None)
    running = situation.setting_at(now)
    if saved is None or running is None or running.programme == saved.programme:
        return ""
    return message(
        "It is not what runs now: the newer setting of {instant} stays in force.",
        instant=instant_text(running.at.astimezone(now.tzinfo)),
    )


def noted_oddly(situation: Situation, zone: tzinfo) -> Iterator[Problem]:
    """Yield what was noted twice in one minute, and what is dated ahead."""
    yield from duplicate_problems(situation)
    since = situation.pump_since
    if since is not None and to_seconds(situation.fills[-1].at) < to_seconds(since):
        sentence = message(
            "Another pump is noted from {day} on, and no refill since, so the dates here still"
            " count the fill before it: log what it was filled with, or correct the day of its"
            " implant.",
            day=date_text(local_date(since, zone)),
        )
        yield Problem(UNFILLED, sentence)
    for one in situation.ahead:
        day = date_text(local_date(one.at, zone))
        if isinstance(one, Fill):
            sentence = message(
                "A refill is dated {day}, so it does not count yet: look at its date.", day=day
            )
            yield Problem("refill-ahead", sentence, (one.id,))
        else:
            sentence = message(
                "A dose setting is noted from {day} on, and the dates told now do not count it"
                " yet.",
                day=day,
            )
            yield Problem("setting-ahead", sentence, (one.id,))


def amounts_to_look_at(pump: Pump, fill: Fill, ratio: DeliveryRatio) -> Iterator[Problem]:
    """Yield the amounts that fit neither the reservoir nor the pump's flow accuracy."""
    if ratio.far_more:
        sentence = message(
            "At a refill far less was left than expected, and the dates count with that, so they"
            " come sooner: look if a number is wrong, and ask the clinic."
        )
        yield Problem("pace-far-more", sentence, ratio.far_more)
    if ratio.far_less:
        sentence = message(
            "At a refill far more was left than expected, so it does not count in full for this"
            " pump's pace: look if a number is wrong, and ask the clinic."
        )
        yield Problem("pace-far-less", sentence, ratio.far_less)
    if pump.reservoir_ml is not None and fill.volume_ml > pump.reservoir_ml:
        sentence = message(
            "The last refill of {filled} mL is more than the reservoir's {reservoir} mL:"
            " look at both numbers again.",
            filled=localized_number(f"{fill.volume_ml:g}"),
            reservoir=localized_number(f"{pump.reservoir_ml:g}"),
        )
        yield Problem("overfull", sentence, (fill.id,))
