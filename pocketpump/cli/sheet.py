"""``pocketpump sheet``: the clinic sheet as PDF or web page."""

import argparse
from pathlib import Path
from typing import Any

from pocketpump.cli.files import write_new
from pocketpump.cli.options import Clock, add_json, add_option, add_paper
from pocketpump.cli.output import to_json
from pocketpump.cli.record_now import add_reading, read_record
from pocketpump.core.errors import InputError
from pocketpump.core.units.instants import parse_date
from pocketpump.exchange.papers.sheet import clinic_sheet
from pocketpump.exchange.papers.sheet_html import sheet_html
from pocketpump.exchange.papers.sheet_pdf import sheet_pdf


def add_parser(subparsers: Any) -> None:
    """Add the command to the main parser."""
    parser = subparsers.add_parser(
        "sheet",
        help="write the clinic sheet for the next visit",
        description="Write one or two pages for the next visit: the dose and its day, the last"
        " change and what followed, what to ask, what happened, and the refills.",
    )
    add_reading(parser)
    add_option(parser, "--out", str, "the new file: sheet.pdf or sheet.html", required=True)
    add_option(parser, "--since", parse_date, "first day of what happened (default: the last"
               " visit; a refill of today is of this one)", default=None)  # fmt: skip
    add_paper(parser)
    parser.add_argument("--named", action="store_true", help="put name and birth date on it")
    add_json(parser)
    parser.set_defaults(run=run)


def run(args: argparse.Namespace, clock: Clock) -> str:
    """Write the file and return what the command prints; raises `InputError` for another ending."""
    path = Path(args.out)
    ending = path.suffix.lower()
    if ending not in (".pdf", ".html"):
        raise InputError("The sheet is a PDF or a web page: end --out in .pdf or .html.")
    read = read_record(args, clock)
    sheet = clinic_sheet(read.entries, read.now, read.zone, args.since, named=args.named)
    is_pdf = ending == ".pdf"
    write_new(path, sheet_pdf(sheet, paper=args.paper) if is_pdf else sheet_html(sheet))
    if args.json:
        return to_json({"file": str(path), "sections": [one.title for one in sheet.sections]})
    return f"Written to {path}."
