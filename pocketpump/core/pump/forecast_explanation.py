"""How a number of the forecast was worked out: the formula and the values, in plain words."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import timedelta

from pocketpump.core.messages import message, plural_message
from pocketpump.core.pump.forecast import Forecast
from pocketpump.core.pump.programme_text import describe_programme
from pocketpump.core.pump.timeline_builder import LARGEST_LINE_ML, LINE_UNKNOWN
from pocketpump.core.units.instants import date_text, instant_text, to_seconds
from pocketpump.core.units.quantity import (
    STRENGTH,
    VOLUME,
    entered_number,
    entered_quantity,
    format_number,
    format_quantity,
)


@dataclass(frozen=True, slots=True)
class Explanation:
    """``title`` names the number; ``lines`` are the steps, one sentence or formula each."""

    title: str
    lines: tuple[str, ...]


def explain_volume(answer: Forecast) -> Explanation:
    """Return how the volume now was worked out."""
    filled = message(
        "Filled on {instant}: {volume}.",
        instant=instant_text(answer.fill.at.astimezone(answer.now.tzinfo)),
        volume=entered_quantity(answer.fill.volume_ml, VOLUME),
    )
    if answer.volume_now_ml <= 0 and answer.empty_at is not None:
        dry = message(
            "By these numbers all of it was pumped by {instant}: nothing is left.",
            instant=instant_text(answer.empty_at),
        )
        return Explanation(message("Volume now"), (filled, dry, *_requested_lines(answer)))
    used = answer.fill.volume_ml - answer.volume_now_ml
    days = (to_seconds(answer.now) - to_seconds(answer.fill.at)) / 86_400
    return Explanation(
        message("Volume now"),
        (
            filled,
            message(
                "Pumped in the {days} days since: {volume}.",
                days=format_number(days, 1),
                volume=format_quantity(used, VOLUME),
            ),
            message(
                "{filled} − {pumped} = {left}.",
                filled=entered_number(answer.fill.volume_ml),
                pumped=format_number(used, 2),
                left=format_quantity(answer.volume_now_ml, VOLUME),
            ),
            *_requested_lines(answer),
        ),
    )


def _requested_lines(answer: Forecast) -> list[str]:
    situation, filled_s = answer.situation, to_seconds(answer.fill.at)
    ran = [situation.programme_counted_at(answer.fill.at)]
    ran += [s.programme for s in situation.settings if to_seconds(s.at) > filled_s]
    if not any(programme and programme.requested for programme in ran):
        return []
    return [
        message(
            "Boluses on request are counted as if each allowed one was taken; with fewer, more is"
            " left."
        )
    ]


def explain_alarm(answer: Forecast) -> Explanation:
    """Return how the alarm date was worked out, with its window."""
    pump = answer.situation.pump
    segment = answer.timeline.segment_at(to_seconds(answer.now))
    assert segment is not None  # a forecast begins with a fill
    lines = [
        message(
            "Setting now: {setting}; that is {dose} mcg a day.",
            setting=describe_programme(answer.programme),
            dose=entered_number(answer.dose_mcg_per_day),
        ),
        _flow_line(answer, segment.divisor_mcg_per_ml),
        _to_pump_line(answer.volume_now_ml, pump.alarm_volume_ml),
        message(
            "Alarm: {alarm}. Empty: {empty}.",
            alarm=instant_text(answer.alarm_at),
            empty=instant_text(answer.empty_at),
        ),
    ]
    if answer.alarm_at is not None:
        lines.append(
            message(
                "A pump may run {percent} fast or slow, some more than that and not each fill"
                " alike, and a volume may be read {volume} mL off: 19 times out of 20 the alarm"
                " comes from {earliest} to {latest}.",
                percent=message("{number} %", number=entered_number(pump.tolerance_percent)),
                volume=entered_number(pump.reading_error_ml),
                earliest=instant_text(answer.alarm_earliest),
                latest=instant_text(answer.alarm_latest),
            )
        )
        if any(problem.code == LINE_UNKNOWN for problem in answer.problems):
            lines.append(
                message(
                    "The line volume is not known: a line of up to {volume} mL is counted in the"
                    " earliest date.",
                    volume=entered_number(LARGEST_LINE_ML),
                )
            )
    lines += _pace_lines(answer)
    lines.append(
        message("Each dose change since the refill is counted from the minute it was made.")
    )
    return Explanation(message("Alarm date"), tuple(lines))


def _to_pump_line(volume_ml: float, alarm_volume_ml: float) -> str:
    if volume_ml <= 0:
        return message("To pump before the alarm: nothing, for the pump is empty by these numbers.")
    if volume_ml <= alarm_volume_ml:
        return message(
            "To pump before the alarm: nothing, for the {volume} mL left are not more than the"
            " alarm volume of {alarm_volume} mL.",
            volume=format_number(volume_ml, 2),
            alarm_volume=entered_number(alarm_volume_ml),
        )
    return message(
        "To pump before the alarm = volume − alarm volume = {volume} − {alarm_volume} ="
        " {to_pump} mL.",
        volume=format_number(volume_ml, 2),
        alarm_volume=entered_number(alarm_volume_ml),
        to_pump=format_number(volume_ml - alarm_volume_ml, 2),
    )


def _flow_line(answer: Forecast, divisor_mcg_per_ml: float) -> str:
    dose = entered_number(answer.dose_mcg_per_day)
    strength = entered_quantity(divisor_mcg_per_ml, STRENGTH)
    flow = format_number(answer.flow_ml_per_day, 4)
    if divisor_mcg_per_ml == answer.fill.strength_mcg_per_ml:
        return message(
            "Flow = daily dose ÷ strength = {dose} ÷ {strength} = {flow} mL/day.",
            dose=dose,
            strength=strength,
            flow=flow,
        )
    return message(
        "Flow = daily dose ÷ strength = {dose} ÷ {strength} (bridge: the old strength, still in the"
        " line) = {flow} mL/day.",
        dose=dose,
        strength=strength,
        flow=flow,
    )


def _pace_lines(answer: Forecast) -> list[str]:
    ratio = answer.ratio
    dry = plural_message(
        "At {count} refill the pump was found empty, so it delivered at least what was in it: it"
        " may be faster than the others show. At the pace counted the alarm comes on {alarm}.",
        "At {count} refills the pump was found empty, so it delivered at least what was in it: it"
        " may be faster than the others show. At the pace counted the alarm comes on {alarm}.",
        ratio.dry,
        alarm=instant_text(answer.paced_alarm_at),
    )
    more: list[str] = [dry] if ratio.dry else []
    if ratio.far_more:
        more.append(
            plural_message(
                "At {count} refill far less was left than expected. It counts in full, so that the"
                " plan is too early rather than too late. A wrong number is possible: look at it,"
                " and ask the clinic.",
                "At {count} refills far less was left than expected. They count in full, so that"
                " the plan is too early rather than too late. A wrong number is possible: look at"
                " them, and ask the clinic.",
                len(ratio.far_more),
            )
        )
    if ratio.far_less:
        more.append(
            plural_message(
                "At {count} refill far more was left than expected. It does not count in full, for"
                " it may show a fault or a wrong number: look at it, and ask the clinic.",
                "At {count} refills far more was left than expected. They do not count in full, for"
                " they may show a fault or a wrong number: look at them, and ask the clinic.",
                len(ratio.far_less),
            )
        )
    if not ratio.counted:
        return more
    low, high = ratio.band()
    return [
        plural_message(
            "At {count} refill so far this pump delivered {ratio} times what it was told (between"
            " {low} and {high}): the delivery ratio. At that pace the alarm comes on {alarm}.",
            "At {count} refills so far this pump delivered {ratio} times what it was told (between"
            " {low} and {high}): the delivery ratio. At that pace the alarm comes on {alarm}.",
            ratio.counted,
            ratio=format_number(ratio.mean, 3),
            low=format_number(low, 3),
            high=format_number(high, 3),
            alarm=instant_text(answer.paced_alarm_at),
        ),
        *more,
    ]


def explain_refill_by(answer: Forecast) -> Explanation:
    """Return how the refill-by and call-by dates were worked out."""
    habits = answer.situation.habits
    lines: list[str] = []
    if answer.alarm_at is not None:
        lines.append(
            message(
                "Alarm date {day} less the margin of {days} days.",
                day=date_text(answer.alarm_at.date()),
                days=habits.margin_days,
            )
        )
    if answer.printed_in_force is not None:
        lines.append(
            message(
                "The clinic's alarm date {day} less the same margin.",
                day=date_text(answer.printed_in_force),
            )
        )
    if answer.paced_alarm_at is not None and answer.ratio.mean > 1:
        lines.append(
            message(
                "At this pump's own pace the alarm comes on {day}; less the same margin.",
                day=date_text(answer.paced_alarm_at.date()),
            )
        )
    if answer.empty_earliest is not None:
        lines.append(
            message(
                "The pump may be empty from {day} on, at the fast edge of the window; the day"
                " before counts.",
                day=date_text(answer.empty_earliest.date()),
            )
        )
    lines.append(
        message(
            "Drug-age limit: {day} ({days} days after the refill).",
            day=date_text(answer.drug_age_limit_at.date()),
            days=answer.situation.pump.drug_age_limit_days,
        )
    )
    lines += _felt_lines(answer)
    lines.append(
        message(
            "The earliest of these counts ({because}), moved back to a day the clinic is open:"
            " {day}.",
            because=answer.refill_by_because,
            day=date_text(answer.refill_by),
        )
    )
    if answer.refill_by == answer.fill.at.astimezone(answer.now.tzinfo).date():
        lines.append(message("It cannot be before the refill itself."))
    lead_on = answer.refill_by - timedelta(days=habits.lead_days)
    call_by = date_text(answer.call_by)
    if answer.call_untaught:
        lines.append(
            message(
                "Call-by date: {day}, by the flow accuracy alone, for what refills have taught must"
                " not put the call off.",
                day=call_by,
            )
        )
    elif answer.alarm_earliest is not None and answer.alarm_earliest.date() < lead_on:
        lines.append(
            message(
                "Call-by date: before the alarm may come, on a day to call: {day}.", day=call_by
            )
        )
    else:
        lines.append(
            message(
                "Call-by date: {days} days before that, on a day to call: {day}.",
                days=habits.lead_days,
                day=call_by,
            )
        )
    return Explanation(message("Refill-by date"), tuple(lines))


def _felt_lines(answer: Forecast) -> list[str]:
    if answer.felt_low_at is None or answer.situation.pump.felt_low_ml is None:
        return []
    volume = entered_quantity(answer.situation.pump.felt_low_ml, VOLUME)
    day = date_text(answer.felt_low_at.date())
    if answer.ratio.taught and answer.ratio.mean > 1:
        return [
            message(
                "You have felt it at {volume}: reached, at this pump's own pace, on {day}; less the"
                " same margin.",
                volume=volume,
                day=day,
            )
        ]
    return [
        message(
            "You have felt it at {volume}: reached on {day}; less the same margin.",
            volume=volume,
            day=day,
        )
    ]


def all_explanations(answer: Forecast) -> Iterable[Explanation]:
    """Return the workings of every number on Today's screen, in reading order."""
    return (explain_refill_by(answer), explain_alarm(answer), explain_volume(answer))
