"""``pocketpump forecast``: a one-off calculation, nothing read or kept."""

import argparse
from datetime import tzinfo
from typing import Any

from pocketpump.cli.options import (
    Clock,
    add_fill,
    add_json,
    add_option,
    filled,
    odd_sentences,
    volume,
    whole,
)
from pocketpump.cli.output import caution_lines, state_lines, state_values, to_json, to_table
from pocketpump.core.errors import InputError, shown
from pocketpump.core.pump.clinic_days import ClinicDays
from pocketpump.core.pump.forecast import Forecast, forecast
from pocketpump.core.pump.forecast_explanation import all_explanations
from pocketpump.core.pump.programme_text import parse_setting
from pocketpump.core.pump.situation import (
    USUAL_DRUG_AGE_LIMIT_DAYS,
    USUAL_LEAD_DAYS,
    USUAL_MARGIN_DAYS,
    Habits,
    Pump,
    Situation,
)
from pocketpump.core.pump.state import state_now
from pocketpump.core.pump.timeline import Setting
from pocketpump.core.units.instants import parse_instant, to_seconds
from pocketpump.core.units.quantity import DOSE, entered_quantity


def add_parser(subparsers: Any) -> None:
    """Add the command to the main parser."""
    parser = subparsers.add_parser(
        "forecast",
        help="compute the alarm date from one refill's numbers",
        description="Compute the alarm date, its window and the refill-by date from the numbers"
        " of one refill. Nothing is read from or written to the record.",
    )
    add_fill(parser, required=True)
    add_option(parser, "--then", str, 'a later setting: "2026-03-31T09:00 360 mcg/day"',
               action="append", default=[])  # fmt: skip
    add_option(parser, "--drug-age-days", whole(1, 400), "drug-age limit in days (default 180)",
               default=USUAL_DRUG_AGE_LIMIT_DAYS)  # fmt: skip
    add_option(parser, "--margin-days", whole(0, 60), "days before the alarm date (default 7)",
               default=USUAL_MARGIN_DAYS)  # fmt: skip
    add_option(parser, "--reading-error", volume, "how far the filled volume may be off: 0.5 mL",
               default=0.0)  # fmt: skip
    add_option(parser, "--now", str, "the instant to compute for (default: this minute)")
    add_json(parser)
    parser.set_defaults(run=run)


def run(args: argparse.Namespace, clock: Clock) -> str:
    """Return what the command prints; raises `InputError` for numbers that do not fit together."""
    given = filled(args)
    zone, start_s = given.zone, to_seconds(given.fill.at)
    now = parse_instant(args.now, zone, "now") if args.now else clock()
    if to_seconds(now) < start_s:
        raise InputError("--now is before --filled: give a later instant.")
    if args.alarm_volume >= args.volume:
        raise InputError("--alarm-volume must be less than --volume: look at both again.")
    later = [_later(text, zone, given.clock_offset_minutes) for text in args.then]
    if any(to_seconds(setting.at) <= start_s for setting in later):
        raise InputError("--then must be later than --filled.")
    situation = Situation(
        pump=Pump(
            alarm_volume_ml=args.alarm_volume,
            tolerance_percent=args.tolerance,
            drug_age_limit_days=args.drug_age_days,
            reading_error_ml=args.reading_error,
        ),
        fills=(given.fill,),
        settings=(Setting(given.fill.at, given.programme),),
        planned=tuple(later),
        habits=Habits(args.margin_days, USUAL_LEAD_DAYS, ClinicDays()),
    )
    answer, _ = forecast(situation, now, zone)
    assert answer is not None  # a fill up to now and a setting are there
    asks = odd_sentences(args, later)
    state = state_now(answer)
    if args.json:
        return to_json({**forecast_values(answer), "asks": asks, **state_values(state)})
    lines = [*state_lines(state), *asks, *([""] if asks else [])]
    lines += [to_table(forecast_rows(answer)), "", "How was this worked out?"]
    for working in all_explanations(answer):
        lines += ["", working.title, *(f"  {line}" for line in working.lines)]
    return "\n".join([*lines, *caution_lines()])


def forecast_values(answer: Forecast) -> dict[str, Any]:
    """Return the forecast under the names that ``--json`` promises."""
    return {
        "flow_ml_per_day": answer.flow_ml_per_day,
        "dose_mcg_per_day": answer.dose_mcg_per_day,
        "volume_now_ml": answer.volume_now_ml,
        "days_to_alarm": answer.days_to_alarm,
        "alarm_at": answer.alarm_at,
        "alarm_earliest": answer.alarm_earliest,
        "alarm_latest": answer.alarm_latest,
        "empty_at": answer.empty_at,
        "drug_age_limit_at": answer.drug_age_limit_at,
        "refill_by": answer.refill_by,
    }


def forecast_rows(answer: Forecast) -> dict[str, Any]:
    """Return the same for people to read."""
    return {
        "Refill by": answer.refill_by,
        "Days to refill-by": answer.days_to_refill_by,
        "Alarm": answer.alarm_at,
        "Alarm, earliest": answer.alarm_earliest,
        "Alarm, latest": answer.alarm_latest,
        "Days to alarm": answer.days_to_alarm,
        "Empty": answer.empty_at,
        "Drug-age limit": answer.drug_age_limit_at,
        "Volume now": f"{answer.volume_now_ml:.2f} mL",
        "Flow": f"{answer.flow_ml_per_day:.4f} mL/day",
        "Daily dose": entered_quantity(answer.dose_mcg_per_day, DOSE),
    }


def _later(text: str, zone: tzinfo, clock_offset_minutes: int) -> Setting:
    at, _, setting = text.strip().partition(" ")
    if not setting.strip():
        raise InputError(
            f'"{shown(text)}" lacks the setting: write it like "2026-03-31T09:00 360 mcg/day".',
            "then",
        )
    return Setting(parse_instant(at, zone, "then"), parse_setting(setting, clock_offset_minutes))
