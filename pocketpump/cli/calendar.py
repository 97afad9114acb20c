"""``pocketpump calendar``: the dates that are coming, as a file for a calendar program."""

import argparse
from pathlib import Path
from typing import Any

from pocketpump.cli.files import write_new
from pocketpump.cli.options import Clock, add_json, add_option
from pocketpump.cli.output import to_json, to_table
from pocketpump.cli.record_now import add_reading, read_record
from pocketpump.exchange.calendar.record_calendar import calendar_of


def add_parser(subparsers: Any) -> None:
    """Add the command to the main parser."""
    parser = subparsers.add_parser(
        "calendar",
        help="write the coming dates as a calendar file",
        description="Write the coming dates as a calendar file (.ics). Read it into the calendar"
        " again after each refill: the dates are moved, not doubled. Titles are plain, such as"
        ' "Call the clinic", unless chosen otherwise here or in the app.',
    )
    add_reading(parser)
    add_option(parser, "--out", str, "the new file: dates.ics", required=True)
    parser.add_argument("--replace", action="store_true",
                        help="take the place of an earlier file of that name")  # fmt: skip
    titles = parser.add_mutually_exclusive_group()
    titles.add_argument("--private", dest="full", action="store_false", default=None,
                        help="plain titles without words about health")  # fmt: skip
    titles.add_argument("--full-titles", dest="full", action="store_true", default=None,
                        help="titles that say what each date is")  # fmt: skip
    add_json(parser)
    parser.set_defaults(run=run)


def run(args: argparse.Namespace, clock: Clock) -> str:
    """Write the file and return what the command prints."""
    read = read_record(args, clock)
    coming, content = calendar_of(read.ever, read.now, read.zone, full_titles=args.full)
    path = Path(args.out)
    write_new(path, content, in_place=args.replace)
    if args.json:
        return to_json(
            {
                "file": str(path),
                "reminders": [
                    {"code": one.code, "on": one.on, "title": one.title, "urgent": one.urgent}
                    for one in coming
                ],
            }
        )
    return "\n".join([f"Written to {path}:", to_table({one.title: one.on for one in coming})])
