"""``pocketpump letter``: the letter for the border and the hand luggage, as a PDF."""

import argparse
from pathlib import Path
from typing import Any

from pocketpump.cli.card import add_language, read_card, review_told
from pocketpump.cli.files import write_new
from pocketpump.cli.options import Clock, add_paper, pdf_path
from pocketpump.cli.record_now import add_reading
from pocketpump.exchange.papers.letter import letter_file, letter_problems
from pocketpump.exchange.papers.paper_size import PAPERS


def add_parser(subparsers: Any) -> None:
    """Add the command to the main parser."""
    parser = subparsers.add_parser(
        "letter",
        help="write a letter for border and security staff",
        description="Write one page for border, security and airline staff: what the pump is and"
        " what to keep from doing. A doctor signs it by hand.",
    )
    add_reading(parser)
    parser.add_argument("--out", required=True, help="the new file: letter.pdf")
    add_language(parser)
    add_paper(parser)
    parser.set_defaults(run=run)


def run(args: argparse.Namespace, clock: Clock) -> str:
    """Write the letter; return what the command prints."""
    target: Path = pdf_path(args.out)
    card, now, odd = read_card(args, clock)
    write_new(target, letter_file(card, args.language, now.date(), PAPERS[args.paper]))
    told = [problem.sentence for problem in letter_problems(card)]
    said = f"The letter is in {target}. A doctor signs and stamps it."
    return "\n".join([said, *told, *review_told(args), *odd])
