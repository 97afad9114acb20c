"""``pocketpump card``: write the emergency card as a file."""

import argparse
from pathlib import Path
from typing import Any

from pocketpump.cli.files import write_new
from pocketpump.cli.open_app import open_copy
from pocketpump.cli.options import Clock, add_option
from pocketpump.cli.record_now import add_reading, asked_moment
from pocketpump.core.pump.forecast import forecast
from pocketpump.core.safety.card import build_card
from pocketpump.exchange.papers.card_files import ENDINGS, card_file, card_problems
from pocketpump.exchange.papers.card_phrases import LANGUAGES, ORIGINAL, phrases
from pocketpump.record.facts.card_facts import care_of
from pocketpump.record.facts.situation import situation_of


def add_parser(subparsers: Any) -> None:
    """Add the command to the main parser."""
    parser = subparsers.add_parser(
        "card",
        help="write the emergency card as a file",
        description="Write the emergency card from the record: as .pdf or .html with a wallet"
        " print, as .txt, or as a picture (.png, .svg).",
    )
    add_reading(parser)
    endings = ", ".join(f".{ending}" for ending in ENDINGS)
    parser.add_argument("--out", required=True, help=f"the new file, one of {endings}")
    add_option(parser, "--language", str, f"one of {', '.join(LANGUAGES)}", default=ORIGINAL)
    parser.set_defaults(run=run)


def run(args: argparse.Namespace, clock: Clock) -> str:
    """Write the card; return what the command prints."""
    now, zone = asked_moment(args, clock)
    target = Path(args.out)
    words = phrases(args.language)
    with open_copy(args.record, clock) as record:
        entries, odd = record.alive, [problem.sentence for problem in record.problems]
    situation, _ = situation_of(entries, now)
    answer = forecast(situation, now, zone)[0] if situation else None
    card = build_card(care_of(entries, now), answer, now)
    ending = target.suffix.removeprefix(".")
    data = card_file(card, ending, args.language, now.date())
    write_new(target, data)
    told = [problem.sentence for problem in card_problems(card, ending)]
    if words.needs_review:
        told.append(f"The translation ({words.name}) has not been reviewed; the original is in it.")
    return "\n".join([f"The card is in {target}.", *told, *odd])
