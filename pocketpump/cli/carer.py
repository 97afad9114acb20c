"""``pocketpump carer``: the page for a school or a carer, as a PDF."""

import argparse
from typing import Any

from pocketpump.cli.files import write_new
from pocketpump.cli.options import Clock, add_option, add_paper, pdf_path
from pocketpump.cli.record_now import add_reading, read_record
from pocketpump.core.errors import InputError, shown
from pocketpump.core.pump.forecast import forecast
from pocketpump.exchange.papers.carer_sheet import (
    DETAILS,
    USUAL_DETAILS,
    carer_file,
    carer_problems,
    carer_sheet_of,
)
from pocketpump.exchange.papers.paper_size import PAPERS
from pocketpump.record.facts.card_facts import care_of
from pocketpump.record.facts.situation import situation_of


def add_parser(subparsers: Any) -> None:
    """Add the command to the main parser."""
    parser = subparsers.add_parser(
        "carer",
        help="write a page for a school or a carer",
        description="Write a page for a school or a carer: what the pump is, which signs to look"
        " for, whom to call and what never to do.",
    )
    add_reading(parser)
    parser.add_argument("--out", required=True, help="the new file: carer.pdf")
    add_option(
        parser, "--show", _details, "what of the person is on it:"
        f" {', '.join(DETAILS)}; or nothing (default {','.join(USUAL_DETAILS)})",
        default=USUAL_DETAILS,
    )  # fmt: skip
    add_paper(parser)
    parser.set_defaults(run=run)


def run(args: argparse.Namespace, clock: Clock) -> str:
    """Write the page; return what the command prints."""
    target = pdf_path(args.out)
    read = read_record(args, clock)
    situation, _ = situation_of(read.entries, read.now)
    answer = forecast(situation, read.now, read.zone)[0] if situation else None
    sheet = carer_sheet_of(care_of(read.entries, read.now), answer, args.show)
    write_new(target, carer_file(sheet, read.now.date(), paper=PAPERS[args.paper]))
    told = [problem.sentence for problem in carer_problems(sheet)]
    return "\n".join([f"The page is in {target}.", *told])


def _details(text: str) -> tuple[str, ...]:
    chosen = () if text.strip() in ("", "nothing") else tuple(p.strip() for p in text.split(","))
    for name in chosen:
        if name not in DETAILS:
            raise InputError(
                f'"{shown(name)}" is no detail of the page: choose of {", ".join(DETAILS)}.'
            )
    return chosen
