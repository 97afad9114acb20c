"""``pocketpump check``: one refill's numbers against each other, nothing read or kept."""

import argparse
from typing import Any

from pocketpump.cli.options import (
    Clock,
    add_fill,
    add_json,
    add_option,
    filled,
    odd_sentences,
    volume,
)
from pocketpump.cli.output import caution_lines, state_lines, state_values, to_json
from pocketpump.core.errors import InputError
from pocketpump.core.pump.forecast import forecast
from pocketpump.core.pump.situation import Printout, Pump, Situation
from pocketpump.core.pump.state import State, state_now
from pocketpump.core.pump.timeline import Setting
from pocketpump.core.refill_check.candidate_errors import CandidateError, find_candidate_errors
from pocketpump.core.refill_check.refill_input import RefillInput
from pocketpump.core.refill_check.residual import ResidualCheck, check_residual
from pocketpump.core.units.instants import parse_date, parse_instant


def add_parser(subparsers: Any) -> None:
    """Add the command to the main parser."""
    parser = subparsers.add_parser(
        "check",
        help="check a refill's numbers against each other",
        description="Check the printed alarm date against the computed one, and the withdrawn"
        " volume against the expected one. Any part may be left out.",
    )
    add_fill(parser, required=False)
    add_option(parser, "--printed-alarm", parse_date, "alarm date on the clinic's printout")
    add_option(parser, "--expected", volume, "volume expected to be left before the refill")
    add_option(parser, "--withdrawn", volume, "volume that was withdrawn")
    add_option(parser, "--previous-volume", volume,
               "filled volume of the refill before, if not --volume")  # fmt: skip
    add_option(parser, "--now", str, "the instant to judge the dates at (default: this minute)")
    add_json(parser)
    parser.set_defaults(run=run)


def run(args: argparse.Namespace, clock: Clock) -> str:
    """Return what the command prints; raises `InputError` when too little is given to check."""
    difference, candidate_errors = _date_check(args)
    residual = _residual_check(args)
    if difference is None and residual is None:
        raise InputError(
            "Nothing can be checked yet: give --filled, --volume, --strength, --dose,"
            " --alarm-volume and --printed-alarm, or --volume, --expected and --withdrawn."
        )
    asks = odd_sentences(args)
    state = _state(args, clock)
    if args.json:
        values = check_values(difference, candidate_errors, residual)
        return to_json({**values, "asks": asks, **state_values(state)})
    found = [
        *asks,
        *_date_lines(difference, candidate_errors),
        *_residual_lines(residual, args.withdrawn),
    ]
    # It is the numbers that were asked about: a calm state says nothing of them.
    told = state_lines(state) if state is not None and state.word != "calm" else []
    return "\n".join([*told, *found, *caution_lines()])


def check_values(
    difference: int | None,
    candidate_errors: tuple[CandidateError, ...],
    residual: ResidualCheck | None,
) -> dict[str, Any]:
    """Return the checks under the names that ``--json`` promises; None where left out."""
    return {
        "date_difference_days": difference,
        "slips": [
            {
                "field": candidate_error.field,
                "entered": candidate_error.entered,
                "would_be": candidate_error.would_be,
                "text": candidate_error.text,
            }
            for candidate_error in candidate_errors
        ],
        "residual_difference_ml": residual and residual.difference_ml,
        "delivered_ratio": residual and residual.delivered_ratio,
        "residual_flag": residual and residual.flag,
    }


def _state(args: argparse.Namespace, clock: Clock) -> State | None:
    """Return where somebody with this refill stands; None when not all of it was given."""
    if _missing(args):
        return None
    given = filled(args)
    now = parse_instant(args.now, given.zone, "now") if args.now else clock()
    situation = Situation(
        pump=Pump(args.alarm_volume, tolerance_percent=args.tolerance),
        fills=(given.fill,),
        settings=(Setting(given.fill.at, given.programme),),
        printouts=(Printout(given.fill.at, args.printed_alarm),) if args.printed_alarm else (),
    )
    answer, _ = forecast(situation, now, given.zone)
    # Before the refill itself there is nothing to stand on.
    return None if answer is None else state_now(answer)


def _missing(args: argparse.Namespace) -> list[str]:
    needed = {
        "--filled": args.filled,
        "--volume": args.volume,
        "--strength": args.strength,
        "--dose or --pattern": args.dose or args.pattern,
        "--alarm-volume": args.alarm_volume,
    }
    return [name for name, value in needed.items() if value is None]


def _date_check(args: argparse.Namespace) -> tuple[int | None, tuple[CandidateError, ...]]:
    if args.printed_alarm is None:
        return None, ()
    missing = _missing(args)
    if missing:
        raise InputError(f"Checking the printed alarm date needs {', '.join(missing)} as well.")
    given = filled(args)
    refill_input = RefillInput(given.fill, given.programme, args.alarm_volume, given.zone)
    computed = refill_input.alarm_on()
    if computed is None:
        raise InputError("A pump that is stopped has no alarm date: leave --printed-alarm out.")
    return (args.printed_alarm - computed).days, find_candidate_errors(
        refill_input, args.printed_alarm
    )


def _residual_check(args: argparse.Namespace) -> ResidualCheck | None:
    if args.expected is None and args.withdrawn is None:
        return None
    if args.expected is None or args.withdrawn is None:
        missing = "--expected" if args.expected is None else "--withdrawn"
        raise InputError(f"Checking the withdrawn volume needs {missing} as well.")
    filled_ml = args.volume if args.previous_volume is None else args.previous_volume
    if filled_ml is None:
        raise InputError("Checking the withdrawn volume needs --volume or --previous-volume.")
    return check_residual(filled_ml, args.expected, args.withdrawn, args.tolerance)


def _date_lines(difference: int | None, candidate_errors: tuple[CandidateError, ...]) -> list[str]:
    if difference is None:
        return []
    if abs(difference) <= 1:
        return ["The printed alarm date agrees with the computed one."]
    side = "later" if difference > 0 else "earlier"
    lines = [f"The printed alarm date is {abs(difference)} days {side} than the computed one."]
    lines += [f"- {candidate_error.text}" for candidate_error in candidate_errors]
    if not candidate_errors:
        lines.append("No single slip explains it: ask the clinic to read the numbers out again.")
    return lines


def _residual_lines(residual: ResidualCheck | None, withdrawn: float | None) -> list[str]:
    if residual is None:
        return []
    if abs(residual.difference_ml) < 0.005:
        line = "As much as expected was withdrawn"
    else:
        side = "more" if residual.difference_ml > 0 else "less"
        line = f"{abs(residual.difference_ml):.2f} mL {side} than expected was withdrawn"
    if residual.delivered_ratio is not None:
        least = "at least " if residual.found_dry else ""
        line += f" (delivered ratio {least}{residual.delivered_ratio:.3f})"
    lines = [line + "."]
    if withdrawn == 0:
        lines.append("The pump was found empty: ask the clinic since when, and what comes next.")
    if residual.flag:
        lines.append("That is beyond the usual limits: ask the clinic to look into it.")
    return lines
