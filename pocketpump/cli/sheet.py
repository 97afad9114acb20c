"""``pocketpump sheet``: the clinic sheet as PDF or web page."""

import argparse
from collections.abc import Callable
from pathlib import Path
from typing import Any

from pocketpump.cli.files import write_new
from pocketpump.cli.options import Clock, add_json, add_option
from pocketpump.cli.output import to_json
from pocketpump.cli.record_now import add_reading, read_record
from pocketpump.core.errors import InputError
from pocketpump.core.units.instants import parse_date
from pocketpump.exchange.papers.sheet import clinic_sheet
from pocketpump.exchange.papers.sheet_html import sheet_html
from pocketpump.exchange.papers.sheet_parts import Sheet
from pocketpump.exchange.papers.sheet_pdf import sheet_pdf

_WRITERS: dict[str, Callable[[Sheet], bytes]] = {".pdf": sheet_pdf, ".html": sheet_html}


def add_parser(subparsers: Any) -> None:
    """Add the command to the main parser."""
    parser = subparsers.add_parser(
        "sheet",
        help="write the clinic sheet for the next visit",
        description="Write one or two pages for the next visit: settings, refills, what happened"
        " since the last one, questions and coming dates.",
    )
    add_reading(parser)
    add_option(parser, "--out", str, "the new file: sheet.pdf or sheet.html", required=True)
    add_option(parser, "--since", parse_date, "first day of what happened (default: the last"
               " refill)", default=None)  # fmt: skip
    add_json(parser)
    parser.set_defaults(run=run)


def run(args: argparse.Namespace, clock: Clock) -> str:
    """Write the file and return what the command prints; raises `InputError` for another ending."""
    writer = _WRITERS.get(Path(args.out).suffix.lower())
    if writer is None:
        raise InputError("The sheet is a PDF or a web page: end --out in .pdf or .html.")
    read = read_record(args, clock)
    sheet = clinic_sheet(read.entries, read.now, read.zone, args.since)
    path = Path(args.out)
    write_new(path, writer(sheet))
    if args.json:
        return to_json({"file": str(path), "sections": [one.title for one in sheet.sections]})
    return f"Written to {path}."
