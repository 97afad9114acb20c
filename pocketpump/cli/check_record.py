"""``pocketpump check-record``: is the record whole, and a support file without health content."""

import argparse
from pathlib import Path
from typing import Any

from pocketpump.cli.files import write_new
from pocketpump.cli.open_app import add_record, folder_of, local_zone_name, open_copy
from pocketpump.cli.options import Clock, add_json
from pocketpump.cli.output import to_json, to_table
from pocketpump.core.units.instants import zone_named
from pocketpump.exchange.backup.record_check import check_up, shared_rights, support_file


def add_parser(subparsers: Any) -> None:
    """Add the command to the main parser."""
    parser = subparsers.add_parser(
        "check-record",
        help="check that the record is whole",
        description="Read every file of the record again, check every entry, and tell counts and"
        " everything odd, the oldest first.",
    )
    parser.add_argument(
        "--support",
        type=Path,
        metavar="FILE",
        help="also write a new file for whoever helps: versions, counts and codes, no health"
        " content",
    )
    add_record(parser)
    add_json(parser)
    parser.set_defaults(run=run)


def run(args: argparse.Namespace, clock: Clock) -> str:
    """Check, and return what the command prints."""
    zone = zone_named(local_zone_name())
    with open_copy(args.record, clock) as record:
        rights = shared_rights(folder_of(args.record).stat().st_mode)
        found = check_up(record, clock(), zone, rights)
    if args.support:
        write_new(args.support, support_file(found, clock()))
    if args.json:
        return to_json(
            {
                "sound": found.sound,
                "entries": found.entries,
                "counting": found.counting,
                "kinds": dict(found.counts),
                "first_at": found.first_at,
                "last_at": found.last_at,
                "problems": list(found.problems),
                "codes": list(found.codes),
            }
        )
    rows = {"Entries": found.entries, "Counting now": found.counting,
            "First": found.first_at, "Last": found.last_at}  # fmt: skip
    lines = [to_table(rows), *(f"- {number} {words}" for words, number in found.counts)]
    return "\n".join([*lines, *(found.problems or ["Everything is whole."])])
