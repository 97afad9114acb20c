"""``pocketpump signs``: what warning signs ask for, and the whole table for a clinic to review."""

import argparse
import textwrap
from collections.abc import Iterable
from typing import Any

from pocketpump.cli.options import CAUTION, Clock, add_json
from pocketpump.cli.output import to_json
from pocketpump.core.errors import InputError
from pocketpump.core.safety.sign_rules import CIRCUMSTANCES, RULES, Rule
from pocketpump.core.safety.sign_table import COULD_BE, SIGNS, Sign, Urgency
from pocketpump.core.safety.signs import assess, sign_words


def add_parser(subparsers: Any) -> None:
    """Add the command to the main parser."""
    parser = subparsers.add_parser(
        "signs",
        help="show what warning signs ask for, or the whole table of them",
        description="Show what to do about warning signs, named as in --table, or print every"
        " sign, rule and circumstance with its level and source.",
        epilog=CAUTION,
    )
    parser.add_argument("signs", nargs="*", metavar="SIGN", help='a sign, such as "stiffness back"')
    parser.add_argument("--during", action="append", default=[], metavar="CIRCUMSTANCE",
                        help='what holds now, such as "missed refill"; repeatable')  # fmt: skip
    parser.add_argument("--clinic-closed", action="store_true",
                        help="the clinic is noted as closed now")  # fmt: skip
    parser.add_argument("--table", action="store_true", help="print the whole table")
    add_json(parser)
    parser.set_defaults(run=run)


def run(args: argparse.Namespace, clock: Clock) -> str:  # noqa: ARG001
    """Return what the command prints; raises `InputError` for no sign, or one that is not known."""
    if args.table:
        if args.signs or args.during:
            raise InputError("Give either signs or --table, not both.")
        return to_json(table_values()) if args.json else _table_text()
    _known("sign", args.signs, [sign.id for sign in SIGNS])
    _known("circumstance", args.during, [c.id for c in CIRCUMSTANCES])
    words = {c.id: c.words for c in CIRCUMSTANCES}
    advice = assess(
        args.signs,
        {one: words[one] for one in args.during},
        clinic_open=False if args.clinic_closed else None,
    )
    if advice is None:
        raise InputError("Name at least one sign, or ask for --table.")
    values = {
        "urgency": _level(advice.urgency),
        "could_be": advice.could_be,
        "do": [advice.headline, *advice.do],
        "circumstances": advice.circumstances,
        "unanswered": advice.unanswered,
        "until_help": advice.until_help,
        "emergency_number_first": advice.calls_emergency,
        "why_emergency_number_first": advice.why_emergency,
        "sources": list(dict.fromkeys(row.source for row in advice.because)),
        "caution": CAUTION,
    }
    if args.json:
        return to_json(values)
    lines = [
        advice.headline,
        *(line for line in (advice.why_emergency, *advice.do, advice.unanswered) if line),
        *advice.until_help,
        f"It could be {' or '.join(advice.could_be)}.",
        *(f"Taken into account: {said}." for said in advice.circumstances),
        CAUTION,
    ]
    return "\n".join(lines)


def table_values() -> dict[str, Any]:
    """Return the whole table under the names that ``--json`` promises."""
    return {
        "levels": [_level(level) for level in Urgency],
        "signs": [
            {"id": sign.id, "words": sign.words, **_row(sign)} for sign in SIGNS
        ],
        "rules": [
            {
                "id": rule.id,
                "one_of_each": [sorted(one) for one in rule.sets],
                "two_of": sorted(rule.two_of),
                "during": sorted(rule.during),
                **_row(rule),
            }
            for rule in RULES
        ],
        "circumstances": [
            {
                "id": c.id,
                "words": c.words,
                "one_step_up_for": sorted(COULD_BE[cause] for cause in c.lifts),
                "at_most": _level(c.up_to),
                "source": c.source,
            }
            for c in CIRCUMSTANCES
        ],
    }  # fmt: skip


def _row(row: Sign | Rule) -> dict[str, Any]:
    return {
        "level": _level(row.urgency),
        "could_be": [COULD_BE[cause] for cause in row.could_be],
        "do": row.do,
        "source": row.source,
    }


def _level(urgency: Urgency) -> str:
    return urgency.name.lower().replace("_", " ")


def _known(what: str, given: Iterable[str], ids: list[str]) -> None:
    for one in given:
        if one not in ids:
            raise InputError(
                f"There is no {what} “{one}”: see pocketpump signs --table, or choose from"
                f" {', '.join(ids)}."
            )


def _table_text() -> str:
    lines = ["SIGNS, each alone"]
    for sign in SIGNS:
        lines += _entry(f"{sign.id} ({_level(sign.urgency)})", sign.words + ".", sign)
    lines += ["", "RULES, what is worse together or at certain times"]
    for rule in RULES:
        when = [f"one of: {sign_words(sorted(one))}" for one in rule.sets]
        if rule.two_of:
            when.append(f"two of: {sign_words(sorted(rule.two_of))}")
        told = " AND ".join(when) or "any sign"
        during = f" WHILE {' or '.join(sorted(rule.during))}" if rule.during else ""
        lines += _entry(f"{rule.id} ({_level(rule.urgency)})", f"{told}{during}.", rule)
    lines += ["", "CIRCUMSTANCES"]
    for c in CIRCUMSTANCES:
        causes = ", ".join(sorted(COULD_BE[cause] for cause in c.lifts))
        step = (f"One step up, at most to {_level(c.up_to)}, for: {causes}." if causes
                else "Counts in the rules.")  # fmt: skip
        lines += _wrapped(c.id, [f"{c.words}. {step}", f"Source: {c.source}."])
    return "\n".join([*lines, "", CAUTION])


def _entry(head: str, told: str, row: Sign | Rule) -> list[str]:
    causes = " or ".join(COULD_BE[cause] for cause in row.could_be)
    return _wrapped(head, [told, f"Could be {causes}.", f"Source: {row.source}."])


def _wrapped(head: str, texts: Iterable[str]) -> list[str]:
    return [
        head,
        *textwrap.wrap(" ".join(texts), 96, initial_indent="    ", subsequent_indent="    "),
    ]
