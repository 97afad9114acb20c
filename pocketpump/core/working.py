"""How a number of the outlook was worked out: the formula and the values, in plain words."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import timedelta

from pocketpump.core.instants import date_text, instant_text, to_seconds
from pocketpump.core.outlook import Outlook
from pocketpump.core.programme_text import describe_programme
from pocketpump.core.quantity import STRENGTH, VOLUME, format_number, format_quantity


@dataclass(frozen=True, slots=True)
class Working:
    """``title`` names the number; ``lines`` are the steps, one sentence or formula each."""

    title: str
    lines: tuple[str, ...]


def volume_working(answer: Outlook) -> Working:
    """Return how the volume now was worked out."""
    used = answer.fill.volume_ml - answer.volume_now_ml
    days = (to_seconds(answer.now) - to_seconds(answer.fill.at)) / 86_400
    return Working(
        "Volume now",
        (
            f"Filled on {instant_text(answer.fill.at.astimezone(answer.now.tzinfo))}:"
            f" {format_quantity(answer.fill.volume_ml, VOLUME)}.",
            f"Pumped in the {format_number(days, 1)} days since: {format_quantity(used, VOLUME)}.",
            f"{format_number(answer.fill.volume_ml, 2)} − {format_number(used, 2)} ="
            f" {format_quantity(answer.volume_now_ml, VOLUME)}.",
            *_requested_lines(answer),
        ),
    )


def _requested_lines(answer: Outlook) -> list[str]:
    filled_s, now_s = to_seconds(answer.fill.at), to_seconds(answer.now)
    ordered = sorted(answer.situation.settings, key=lambda setting: to_seconds(setting.at))
    begun = [setting for setting in ordered if to_seconds(setting.at) <= now_s]
    before = [setting for setting in begun if to_seconds(setting.at) <= filled_s]
    since = begun[max(0, len(before) - 1) :]
    if not any(setting.programme.requested for setting in since):
        return []
    return [
        "Boluses on request are counted as if each allowed one was taken; with fewer, more is left."
    ]


def alarm_working(answer: Outlook) -> Working:
    """Return how the alarm date was worked out, with its window."""
    pump = answer.situation.pump
    segment = answer.timeline.segment_at(to_seconds(answer.now))
    assert segment is not None  # an outlook begins with a fill
    bridging = segment.divisor_mcg_per_ml != answer.fill.strength_mcg_per_ml
    lines = [
        f"Setting now: {describe_programme(answer.programme)}; that is"
        f" {format_number(answer.dose_mcg_per_day, 1)} mcg a day.",
        "Flow = daily dose ÷ strength ="
        f" {format_number(answer.dose_mcg_per_day, 1)} ÷"
        f" {format_quantity(segment.divisor_mcg_per_ml, STRENGTH)}"
        f"{' (bridge: the old strength, still in the line)' if bridging else ''} ="
        f" {format_number(answer.flow_ml_per_day, 4)} mL/day.",
        "To pump before the alarm = volume − alarm volume ="
        f" {format_number(answer.volume_now_ml, 2)} −"
        f" {format_number(pump.alarm_volume_ml, 2)} ="
        f" {format_number(max(0.0, answer.volume_now_ml - pump.alarm_volume_ml), 2)} mL.",
        f"Alarm: {instant_text(answer.alarm_at)}. Empty: {instant_text(answer.empty_at)}.",
    ]
    if answer.alarm_at is not None:
        lines.append(
            f"A pump may run {format_number(pump.tolerance_percent, 1)} % fast or slow, and a"
            f" volume may be read {format_number(pump.reading_error_ml, 2)} mL off: 19 times out"
            f" of 20 the alarm comes from {instant_text(answer.alarm_earliest)} to"
            f" {instant_text(answer.alarm_latest)}."
        )
    lines += _pace_lines(answer)
    lines.append("Each dose change since the refill is counted from the minute it was made.")
    return Working("Alarm date", tuple(lines))


def _pace_lines(answer: Outlook) -> list[str]:
    ratio = answer.ratio
    if not ratio.counted:
        return []
    refills = "1 refill" if ratio.counted == 1 else f"{ratio.counted} refills"
    low, high = ratio.band()
    return [
        f"At {refills} so far this pump delivered {format_number(ratio.mean, 3)} times what it was"
        f" told (between {format_number(low, 3)} and {format_number(high, 3)}): the delivery"
        f" ratio. At that pace the alarm comes on {instant_text(answer.paced_alarm_at)}."
    ]


def refill_by_working(answer: Outlook) -> Working:
    """Return how the refill-by and call-by dates were worked out."""
    habits = answer.situation.habits
    lines = []
    if answer.alarm_at is not None:
        lines.append(
            f"Alarm date {date_text(answer.alarm_at.date())} less the margin of"
            f" {habits.margin_days} days."
        )
    if answer.printed_alarm_on is not None and not answer.printed_is_old:
        lines.append(
            f"The clinic's alarm date {date_text(answer.printed_alarm_on)} less the same margin."
        )
    if answer.paced_alarm_at is not None and answer.ratio.mean > 1:
        lines.append(
            f"At this pump's own pace the alarm comes on"
            f" {date_text(answer.paced_alarm_at.date())}; less the same margin."
        )
    lines.append(
        f"Drug-age limit: {date_text(answer.drug_age_limit_at.date())}"
        f" ({answer.situation.pump.drug_age_limit_days} days after the refill)."
    )
    if answer.felt_low_at is not None and answer.situation.pump.felt_low_ml is not None:
        lines.append(
            f"You have felt it at {format_quantity(answer.situation.pump.felt_low_ml, VOLUME)}:"
            f" reached{_sooner(answer)} on {date_text(answer.felt_low_at.date())}; less the same"
            " margin."
        )
    lines.append(
        f"The earliest of these counts ({answer.refill_by_because}), moved back to a day the"
        f" clinic is open: {date_text(answer.refill_by)}."
    )
    if answer.refill_by == answer.fill.at.astimezone(answer.now.tzinfo).date():
        lines.append("It cannot be before the refill itself.")
    lead_on = answer.refill_by - timedelta(days=habits.lead_days)
    if answer.alarm_earliest is not None and answer.alarm_earliest.date() < lead_on:
        when = "before the alarm may come"
    else:
        when = f"{habits.lead_days} days before that"
    lines.append(f"Call-by date: {when}, on a day to call: {date_text(answer.call_by)}.")
    return Working("Refill-by date", tuple(lines))


def _sooner(answer: Outlook) -> str:
    faster = answer.ratio.counted and answer.ratio.mean > 1
    return ", at this pump's own pace," if faster else ""


def all_workings(answer: Outlook) -> Iterable[Working]:
    """Return the workings of every number on Today's screen, in reading order."""
    return (refill_by_working(answer), alarm_working(answer), volume_working(answer))
