"""``pocketpump card``: write the emergency card as a file."""

import argparse
from datetime import datetime
from pathlib import Path
from typing import Any

from pocketpump.cli.files import write_new
from pocketpump.cli.open_app import open_copy
from pocketpump.cli.options import Clock, add_option, add_paper
from pocketpump.cli.record_now import add_reading, asked_moment
from pocketpump.core.errors import InputError
from pocketpump.core.pump.forecast import forecast
from pocketpump.core.safety.card import Card, build_card
from pocketpump.exchange.papers.card_files import ENDINGS, FOR_A_PAPER, card_file, card_problems
from pocketpump.exchange.papers.card_phrases import LANGUAGES, ORIGINAL, phrases
from pocketpump.exchange.papers.paper_size import PAPERS
from pocketpump.exchange.papers.tag import tag_file
from pocketpump.record.facts.card_facts import care_of
from pocketpump.record.facts.situation import situation_of

_LAYOUTS = ("wallet", "tag")


def add_parser(subparsers: Any) -> None:
    """Add the command to the main parser."""
    parser = subparsers.add_parser(
        "card",
        help="write the emergency card as a file",
        description="Write the emergency card from the record: as .pdf or .html with a wallet"
        " print, as .txt, or as a picture (.png, .svg). With --layout tag: as .pdf, large, for a"
        " wheelchair or a bag.",
    )
    add_reading(parser)
    endings = ", ".join(f".{ending}" for ending in ENDINGS)
    parser.add_argument("--out", required=True, help=f"the new file, one of {endings}")
    add_language(parser)
    parser.add_argument("--layout", choices=_LAYOUTS, default="wallet", help="what to print: a"
                        " wallet card and a full page, or two large tags")  # fmt: skip
    add_paper(parser)
    parser.set_defaults(run=run)


def add_language(parser: argparse.ArgumentParser) -> None:
    """Add the card's language."""
    add_option(parser, "--language", str, f"one of {', '.join(LANGUAGES)}", default=ORIGINAL)


def run(args: argparse.Namespace, clock: Clock) -> str:
    """Write the card; return what the command prints.

    Raises `InputError` for a layout that the file or the paper cannot have.
    """
    target = Path(args.out)
    ending = target.suffix.removeprefix(".")
    if args.layout == "tag" and ending.lower() != "pdf":
        raise InputError("The tag is a PDF: end --out in .pdf.")
    if args.paper != "a4" and ending.lower() not in FOR_A_PAPER:
        raise InputError(
            "Only .pdf and .html are made for a paper: end --out in one, or leave --paper out."
        )
    card, now, odd = read_card(args, clock)
    if args.layout == "tag":
        data = tag_file(card, args.language, now.date(), PAPERS[args.paper])
    else:
        data = card_file(card, ending, args.language, now.date(), PAPERS[args.paper])
    write_new(target, data)
    told = [problem.sentence for problem in card_problems(card, ending)]
    return "\n".join([f"The card is in {target}.", *told, *review_told(args), *odd])


def read_card(args: argparse.Namespace, clock: Clock) -> tuple[Card, datetime, list[str]]:
    """Return the card of the record, the instant it is of, and what in the record is odd.

    Raises `InputError` for a language that the card does not speak.
    """
    now, zone = asked_moment(args, clock)
    phrases(args.language)
    with open_copy(args.record, clock) as record:
        entries, odd = record.alive, [problem.sentence for problem in record.problems]
    situation, _ = situation_of(entries, now)
    answer = forecast(situation, now, zone)[0] if situation else None
    return build_card(care_of(entries, now), answer, now), now, odd


def review_told(args: argparse.Namespace) -> list[str]:
    """Return that a translation has not been reviewed, where that is so."""
    words = phrases(args.language)
    if not words.needs_review:
        return []
    return [f"The translation ({words.name}) has not been reviewed; the original is in it."]
