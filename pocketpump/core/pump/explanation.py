"""How a number of the outlook was worked out: the formula and the values, in plain words."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import timedelta

from pocketpump.core.messages import worded, worded_count
from pocketpump.core.pump.forecast import Outlook
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
class Working:
    """``title`` names the number; ``lines`` are the steps, one sentence or formula each."""

    title: str
    lines: tuple[str, ...]


def volume_working(answer: Outlook) -> Working:
    """Return how the volume now was worked out."""
    filled = worded(
        "Filled on {instant}: {volume}.",
        instant=instant_text(answer.fill.at.astimezone(answer.now.tzinfo)),
        volume=entered_quantity(answer.fill.volume_ml, VOLUME),
    )
    if answer.volume_now_ml <= 0 and answer.empty_at is not None:
        dry = worded(
            "By these numbers all of it was pumped by {instant}: nothing is left.",
            instant=instant_text(answer.empty_at),
        )
        return Working(worded("Volume now"), (filled, dry, *_requested_lines(answer)))
    used = answer.fill.volume_ml - answer.volume_now_ml
    days = (to_seconds(answer.now) - to_seconds(answer.fill.at)) / 86_400
    return Working(
        worded("Volume now"),
        (
            filled,
            worded(
                "Pumped in the {days} days since: {volume}.",
                days=format_number(days, 1),
                volume=format_quantity(used, VOLUME),
            ),
            worded(
                "{filled} − {pumped} = {left}.",
                filled=entered_number(answer.fill.volume_ml),
                pumped=format_number(used, 2),
                left=format_quantity(answer.volume_now_ml, VOLUME),
            ),
            *_requested_lines(answer),
        ),
    )


def _requested_lines(answer: Outlook) -> list[str]:
    situation, filled_s = answer.situation, to_seconds(answer.fill.at)
    ran = [situation.programme_counted_at(answer.fill.at)]
    ran += [s.programme for s in situation.settings if to_seconds(s.at) > filled_s]
    if not any(programme and programme.requested for programme in ran):
        return []
    return [
        worded(
            "Boluses on request are counted as if each allowed one was taken; with fewer, more is"
            " left."
        )
    ]


def alarm_working(answer: Outlook) -> Working:
    """Return how the alarm date was worked out, with its window."""
    pump = answer.situation.pump
    segment = answer.timeline.segment_at(to_seconds(answer.now))
    assert segment is not None  # an outlook begins with a fill
    lines = [
        worded(
            "Setting now: {setting}; that is {dose} mcg a day.",
            setting=describe_programme(answer.programme),
            dose=entered_number(answer.dose_mcg_per_day),
        ),
        _flow_line(answer, segment.divisor_mcg_per_ml),
        _to_pump_line(answer.volume_now_ml, pump.alarm_volume_ml),
        worded(
            "Alarm: {alarm}. Empty: {empty}.",
            alarm=instant_text(answer.alarm_at),
            empty=instant_text(answer.empty_at),
        ),
    ]
    if answer.alarm_at is not None:
        lines.append(
            worded(
                "A pump may run {percent} fast or slow, some more than that and not each fill"
                " alike, and a volume may be read {volume} mL off: 19 times out of 20 the alarm"
                " comes from {earliest} to {latest}.",
                percent=worded("{number} %", number=entered_number(pump.tolerance_percent)),
                volume=entered_number(pump.reading_error_ml),
                earliest=instant_text(answer.alarm_earliest),
                latest=instant_text(answer.alarm_latest),
            )
        )
        if any(problem.code == LINE_UNKNOWN for problem in answer.problems):
            lines.append(
                worded(
                    "The line volume is not known: a line of up to {volume} mL is counted in the"
                    " earliest date.",
                    volume=entered_number(LARGEST_LINE_ML),
                )
            )
    lines += _pace_lines(answer)
    lines.append(
        worded("Each dose change since the refill is counted from the minute it was made.")
    )
    return Working(worded("Alarm date"), tuple(lines))


def _to_pump_line(volume_ml: float, alarm_volume_ml: float) -> str:
    if volume_ml <= 0:
        return worded("To pump before the alarm: nothing, for the pump is empty by these numbers.")
    if volume_ml <= alarm_volume_ml:
        return worded(
            "To pump before the alarm: nothing, for the {volume} mL left are not more than the"
            " alarm volume of {alarm_volume} mL.",
            volume=format_number(volume_ml, 2),
            alarm_volume=entered_number(alarm_volume_ml),
        )
    return worded(
        "To pump before the alarm = volume − alarm volume = {volume} − {alarm_volume} ="
        " {to_pump} mL.",
        volume=format_number(volume_ml, 2),
        alarm_volume=entered_number(alarm_volume_ml),
        to_pump=format_number(volume_ml - alarm_volume_ml, 2),
    )


def _flow_line(answer: Outlook, divisor_mcg_per_ml: float) -> str:
    dose = entered_number(answer.dose_mcg_per_day)
    strength = entered_quantity(divisor_mcg_per_ml, STRENGTH)
    flow = format_number(answer.flow_ml_per_day, 4)
    if divisor_mcg_per_ml == answer.fill.strength_mcg_per_ml:
        return worded(
            "Flow = daily dose ÷ strength = {dose} ÷ {strength} = {flow} mL/day.",
            dose=dose,
            strength=strength,
            flow=flow,
        )
    return worded(
        "Flow = daily dose ÷ strength = {dose} ÷ {strength} (bridge: the old strength, still in the"
        " line) = {flow} mL/day.",
        dose=dose,
        strength=strength,
        flow=flow,
    )


def _pace_lines(answer: Outlook) -> list[str]:
    ratio = answer.ratio
    dry = worded_count(
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
            worded_count(
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
            worded_count(
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
        worded_count(
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


def refill_by_working(answer: Outlook) -> Working:
    """Return how the refill-by and call-by dates were worked out."""
    habits = answer.situation.habits
    lines: list[str] = []
    if answer.alarm_at is not None:
        lines.append(
            worded(
                "Alarm date {day} less the margin of {days} days.",
                day=date_text(answer.alarm_at.date()),
                days=habits.margin_days,
            )
        )
    if answer.printed_in_force is not None:
        lines.append(
            worded(
                "The clinic's alarm date {day} less the same margin.",
                day=date_text(answer.printed_in_force),
            )
        )
    if answer.paced_alarm_at is not None and answer.ratio.mean > 1:
        lines.append(
            worded(
                "At this pump's own pace the alarm comes on {day}; less the same margin.",
                day=date_text(answer.paced_alarm_at.date()),
            )
        )
    if answer.empty_earliest is not None:
        lines.append(
            worded(
                "The pump may be empty from {day} on, at the fast edge of the window; the day"
                " before counts.",
                day=date_text(answer.empty_earliest.date()),
            )
        )
    lines.append(
        worded(
            "Drug-age limit: {day} ({days} days after the refill).",
            day=date_text(answer.drug_age_limit_at.date()),
            days=answer.situation.pump.drug_age_limit_days,
        )
    )
    lines += _felt_lines(answer)
    lines.append(
        worded(
            "The earliest of these counts ({because}), moved back to a day the clinic is open:"
            " {day}.",
            because=answer.refill_by_because,
            day=date_text(answer.refill_by),
        )
    )
    if answer.refill_by == answer.fill.at.astimezone(answer.now.tzinfo).date():
        lines.append(worded("It cannot be before the refill itself."))
    lead_on = answer.refill_by - timedelta(days=habits.lead_days)
    call_by = date_text(answer.call_by)
    if answer.call_untaught:
        lines.append(
            worded(
                "Call-by date: {day}, by the flow accuracy alone, for what refills have taught must"
                " not put the call off.",
                day=call_by,
            )
        )
    elif answer.alarm_earliest is not None and answer.alarm_earliest.date() < lead_on:
        lines.append(
            worded("Call-by date: before the alarm may come, on a day to call: {day}.", day=call_by)
        )
    else:
        lines.append(
            worded(
                "Call-by date: {days} days before that, on a day to call: {day}.",
                days=habits.lead_days,
                day=call_by,
            )
        )
    return Working(worded("Refill-by date"), tuple(lines))


def _felt_lines(answer: Outlook) -> list[str]:
    if answer.felt_low_at is None or answer.situation.pump.felt_low_ml is None:
        return []
    volume = entered_quantity(answer.situation.pump.felt_low_ml, VOLUME)
    day = date_text(answer.felt_low_at.date())
    if answer.ratio.taught and answer.ratio.mean > 1:
        return [
            worded(
                "You have felt it at {volume}: reached, at this pump's own pace, on {day}; less the"
                " same margin.",
                volume=volume,
                day=day,
            )
        ]
    return [
        worded(
            "You have felt it at {volume}: reached on {day}; less the same margin.",
            volume=volume,
            day=day,
        )
    ]


def all_workings(answer: Outlook) -> Iterable[Working]:
    """Return the workings of every number on Today's screen, in reading order."""
    return (refill_by_working(answer), alarm_working(answer), volume_working(answer))
