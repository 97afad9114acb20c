"""``pocketpump dates``: the forecast from the record."""

import argparse
from typing import Any

from pocketpump.cli.forecast import forecast_rows, forecast_values
from pocketpump.cli.open_app import open_copy
from pocketpump.cli.options import Clock, add_json
from pocketpump.cli.output import caution_lines, state_lines, state_values, to_json, to_table
from pocketpump.cli.record_now import add_reading, asked_moment
from pocketpump.record.facts.booked_visit import booked_visit
from pocketpump.record.facts.forecast import forecast_of
from pocketpump.record.facts.state import state_by


def add_parser(subparsers: Any) -> None:
    """Add the command to the main parser."""
    parser = subparsers.add_parser(
        "dates",
        help="show days left and dates from the record",
        description="Show what Today's screen shows, from the record.",
    )
    add_reading(parser)
    add_json(parser)
    parser.set_defaults(run=run)


def run(args: argparse.Namespace, clock: Clock) -> str:
    """Return what the command prints."""
    now, zone = asked_moment(args, clock)
    with open_copy(args.record, clock) as record:
        entries = record.alive
        found = record.problems
    answer, problems = forecast_of(entries, now, zone)
    state = state_by(entries, answer)
    booked = booked_visit(entries, answer.now)
    told = [problem.sentence for problem in (*problems, *found)]
    if args.json:
        return to_json(
            {
                **forecast_values(answer),
                "refill_by_because": answer.refill_by_because,
                "days_to_refill_by": answer.days_to_refill_by,
                "call_by": answer.call_by,
                "printed_alarm_on": answer.printed_alarm_on,
                "visit_on": booked.on if booked else None,
                **state_values(state),
                "problems": told,
            }
        )
    rows = {**forecast_rows(answer), "Call the clinic by": answer.call_by}
    if booked:
        rows["Visit booked"] = booked.on
    return "\n".join([*state_lines(state), to_table(rows), *told, *caution_lines()])
