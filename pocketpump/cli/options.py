"""The parser and the options that several commands share."""

import argparse
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta, tzinfo
from pathlib import Path
from typing import Any, NoReturn

from pocketpump.core.errors import InputError, shown
from pocketpump.core.pump.programme import Programme
from pocketpump.core.pump.programme_text import (
    parse_pattern,
    parse_requested_bolus,
    parse_setting,
    parse_timed_bolus,
    with_boluses,
)
from pocketpump.core.pump.situation import USUAL_TOLERANCE_PERCENT
from pocketpump.core.pump.timeline import Fill, Setting
from pocketpump.core.refill_check.plausibility import Amounts, odd_amounts
from pocketpump.core.units.instants import parse_instant, zone_named
from pocketpump.core.units.quantity import (
    PERCENT,
    STRENGTH,
    VOLUME,
    Dimension,
    parse_number,
    parse_quantity,
)
from pocketpump.exchange.papers.paper_size import PAPERS

CAUTION = (
    "PocketPump is a notebook with arithmetic. The clinic's instructions and local emergency"
    " services come first; it never proposes a dose or a pump setting."
)

Clock = Callable[[], datetime]
"""What tells the instant a command runs at."""

_SIZES = " or ".join(PAPERS)
# A complaint quotes what was typed; more than this of it helps nobody.
_LONGEST = 240


class Parser(argparse.ArgumentParser):
    """An argument parser whose every complaint is one sentence.

    ``shared`` are its options that may also stand before the command, with what holds when they
    are not given; see :func:`add_shared`.
    """

    def __init__(self, *args: Any, **more: Any) -> None:
        super().__init__(*args, **more)
        self.shared: dict[str, Any] = {}
        # The innermost parser wins, so it is the command's own.
        self.set_defaults(parser=self)

    def error(self, message: str) -> NoReturn:
        """Raise the complaint as an `InputError` instead of printing the usage."""
        sentence = shown(message.removeprefix("argument "), _LONGEST)
        if message.startswith("argument --"):
            raise InputError(sentence)
        raise InputError(f"{sentence[0].upper()}{sentence[1:]}: see {self.prog} --help.")


def volume(text: str) -> float:
    """Return a volume argument in mL."""
    return parse_quantity(text, VOLUME)


def positive(dimension: Dimension) -> Callable[[str], float]:
    """Return a reader of an amount above zero of ``dimension``."""

    def read(text: str) -> float:
        value = parse_quantity(text, dimension)
        if value <= 0:
            raise InputError(f'"{shown(text)}" is zero: write it like {dimension.example}.')
        return value

    return read


def percent(text: str) -> float:
    """Return a percentage argument; the unit may be left out."""
    return parse_quantity(text, PERCENT, bare_unit="%")


def whole(low: int, high: int) -> Callable[[str], int]:
    """Return a reader of whole numbers from ``low`` to ``high``."""

    def read(text: str) -> int:
        value = parse_number(text)
        if value != int(value):
            raise InputError(
                f'"{shown(text)}" has decimals: write a whole number from {low} to {high}.'
            )
        if not low <= value <= high:
            raise InputError(f'"{shown(text)}" is out of bounds: write {low} to {high}.')
        return int(value)

    return read


def add_option(
    parser: argparse.ArgumentParser, name: str, read: Callable[[str], Any], help_text: str,
    **more: Any,
) -> None:  # fmt: skip
    """Add an option whose complaints name it: ``--volume: "20" has no unit: …``."""

    def reading(text: str) -> Any:
        try:
            return read(text)
        except InputError as error:
            raise argparse.ArgumentTypeError(str(error)) from None

    parser.add_argument(name, type=reading, help=help_text, **more)


def add_shared(
    parser: argparse.ArgumentParser, name: str, read: Callable[[str], Any] | None, help_text: str,
    *, default: Any = None,
) -> None:  # fmt: skip
    """Add an option that counts before and after the command; without ``read`` it is a switch.

    argparse lets a command write its own defaults over what was given before it, so these options
    have none there: :func:`parse` fills them in at the end.
    """
    assert isinstance(parser, Parser)
    if read is None:
        parser.add_argument(name, action="store_true", help=help_text, default=argparse.SUPPRESS)
    else:
        add_option(parser, name, read, help_text, default=argparse.SUPPRESS)
    parser.shared[name] = default


def parse(parser: Parser, arguments: Sequence[str] | None) -> argparse.Namespace:
    """Return what was given on the command line.

    Raises `InputError` also for an option before a command that has no use for it: it would be
    passed over, and what was meant by it would not be done.
    """
    given = parser.parse_args(arguments)
    command: Parser = given.parser
    for name in parser.shared.keys() | command.shared.keys():
        kept = name.removeprefix("--").replace("-", "_")
        if name in command.shared:
            setattr(given, kept, getattr(given, kept, command.shared[name]))
        elif hasattr(given, kept):
            raise InputError(f"{name} does not belong to {command.prog}: leave it out.")
    return given


def add_paper(parser: argparse.ArgumentParser) -> None:
    """Add the paper that a page is made for, a name of `PAPERS`."""
    add_option(parser, "--paper", _paper, f"size of the pages to print, {_SIZES} (default: a4)",
               default="a4")  # fmt: skip


def _paper(text: str) -> str:
    if text.lower() not in PAPERS:
        raise InputError(f'"{shown(text)}" is no paper size: write {_SIZES}.')
    return text.lower()


def pdf_path(out: str) -> Path:
    """Return where to write a page to; raises `InputError` unless it is called a PDF."""
    path = Path(out)
    if path.suffix.lower() != ".pdf":
        raise InputError("This page is a PDF: end --out in .pdf.")
    return path


def add_json(parser: argparse.ArgumentParser) -> None:
    """Add ``--json``."""
    parser.add_argument("--json", action="store_true", help="print JSON instead of text")


def add_fill(parser: argparse.ArgumentParser, *, required: bool) -> None:
    """Add what the clinic hands out at a refill: date, volume, strength, dose, alarm volume."""
    add_option(parser, "--filled", str, "when it was refilled: 2026-01-12 or 2026-01-12T09:00",
               required=required)  # fmt: skip
    add_shared(parser, "--zone", str, "time zone of that clock (default UTC)", default="UTC")
    add_option(parser, "--volume", positive(VOLUME), 'filled volume: "20 mL"', required=required)
    add_option(parser, "--strength", positive(STRENGTH), 'drug strength: "500 mcg/mL"',
               required=required)  # fmt: skip
    add_option(parser, "--dose", str, 'daily dose or background: "200 mcg/day" or "stopped"')
    add_option(parser, "--pattern", str, 'day pattern: "00:00 15 mcg/h, 06:00 10 mcg/h"')
    add_option(parser, "--timed-bolus", str, 'over the background: "45 mcg x 4" or'
               ' "45 mcg at 08:00, 20:00"', action="append")  # fmt: skip
    add_option(parser, "--requested-bolus", str, 'at most, a day: "25 mcg x 4"')
    add_option(parser, "--pump-clock", str, "offset of the pump's clock from UTC: +01:00"
               " (default: that of --zone when filled)")  # fmt: skip
    add_option(parser, "--alarm-volume", volume, 'alarm volume: "2 mL"',
               required=required)  # fmt: skip
    add_option(parser, "--tolerance", percent, "flow accuracy in percent (default 14.5)",
               default=USUAL_TOLERANCE_PERCENT)  # fmt: skip


@dataclass(frozen=True, slots=True)
class Filled:
    """What the options of `add_fill` say: the refill, the zone of the answer, the dose setting.

    ``clock_offset_minutes`` is the pump's clock less UTC.
    """

    fill: Fill
    zone: tzinfo
    programme: Programme
    clock_offset_minutes: int


def odd_sentences(args: argparse.Namespace, later: Sequence[Setting] = ()) -> list[str]:
    """Return what is unusual in print about the amounts of `add_fill`, to be looked at again.

    Each of the ``later`` settings is held against the one before it, too.
    """
    programme = _programme(args, 0)
    before = programme.dose_mcg_per_day if programme else None
    amounts = Amounts(args.strength, args.volume, None, args.alarm_volume, before)
    found = [odd.sentence for odd in odd_amounts(amounts)]
    for setting in later:
        dose = setting.programme.dose_mcg_per_day
        step = Amounts(dose_mcg_per_day=dose, dose_before_mcg_per_day=before or 0.0)
        found += [odd.sentence for odd in odd_amounts(step)]
        before = dose
    return list(dict.fromkeys(found))


def filled(args: argparse.Namespace) -> Filled:
    """Return what was filled; all of `add_fill`'s needed options were given.

    Raises `InputError` where there is no dose setting, or one of them cannot be read.
    """
    zone = zone_named(args.zone)
    at = parse_instant(args.filled, zone, "filled")
    offset = _clock_offset(args, at, zone)
    programme = _programme(args, offset)
    if programme is None:
        raise InputError("Give the dose setting: --dose or --pattern.")
    return Filled(Fill(at, args.volume, args.strength), zone, programme, offset)


def _clock_offset(args: argparse.Namespace, filled: datetime, zone: tzinfo) -> int:
    """Return the minutes by which the pump's clock is ahead of UTC."""
    if args.pump_clock is None:
        offset = filled.astimezone(zone).utcoffset() or timedelta(0)
        return int(offset.total_seconds() // 60)
    try:
        given = datetime.strptime(args.pump_clock, "%z").tzinfo or UTC
    except ValueError:
        raise InputError(
            f'"{shown(args.pump_clock)}" is not an offset from UTC: write it like +01:00.',
            "pump_clock",
        ) from None
    return int((given.utcoffset(None) or timedelta(0)).total_seconds() // 60)


def _programme(args: argparse.Namespace, clock_offset_minutes: int) -> Programme | None:
    """Return the programme that the options describe; None when they describe none."""
    if args.dose and args.pattern:
        raise InputError("Give --dose or --pattern, not both.")
    boluses = tuple(parse_timed_bolus(text) for text in args.timed_bolus or ())
    requested = parse_requested_bolus(args.requested_bolus) if args.requested_bolus else None
    if args.pattern:
        background = parse_pattern(args.pattern, clock_offset_minutes)
    elif args.dose:
        background = parse_setting(args.dose, clock_offset_minutes)
    elif boluses or requested:
        raise InputError("A bolus needs a background: add --dose or --pattern.")
    else:
        return None
    return with_boluses(background, boluses, requested)
