"""The command line: ``pocketpump`` opens the app, its commands do one thing each.

Errors are one clear sentence on standard error, with exit status 2.
"""

import os
import sys
from collections.abc import Sequence

from pocketpump import __version__
from pocketpump.cli import (
    backup_commands,
    calendar,
    card,
    carer,
    check,
    check_record,
    dates,
    erase,
    export_import,
    forecast,
    letter,
    open_app,
    sheet,
    signs,
    web,
)
from pocketpump.cli.options import CAUTION, Clock, Parser, parse
from pocketpump.cli.output import WrongFoundError
from pocketpump.core.errors import PocketPumpError
from pocketpump.record.store import utc_now

_COMMANDS = (
    open_app,
    forecast,
    dates,
    check,
    signs,
    card,
    letter,
    carer,
    calendar,
    sheet,
    backup_commands,
    erase,
    export_import,
    check_record,
    web,
)

_STOPPED = 130
"""The exit status after Ctrl-C, as shells give it: 128 and the signal's number."""


def build_parser() -> Parser:
    """Return the parser of the whole command line."""
    parser = Parser(
        prog="pocketpump",
        description="A private, offline notebook with arithmetic for a person with an implanted"
        " baclofen pump. Without a command it opens the app in the browser.",
        epilog=CAUTION,
    )
    parser.add_argument("--version", action="version", version=f"pocketpump {__version__}")
    open_app.add_record(parser)
    open_app.add_opening(parser)
    parser.set_defaults(run=open_app.run_app)
    subparsers = parser.add_subparsers(title="commands", metavar="COMMAND")
    for command in _COMMANDS:
        command.add_parser(subparsers)
    return parser


def main(arguments: Sequence[str] | None = None, clock: Clock = utc_now) -> int:
    """Run the command line and return its exit status: 0, 2 after an error, 130 after Ctrl-C.

    It is 1 where a command was asked whether something is right, and it is not.
    """
    try:
        args = parse(build_parser(), arguments)
        printed = args.run(args, clock)
    except WrongFoundError as found:
        _print(str(found))
        return 1
    except PocketPumpError as error:
        print(error, file=sys.stderr)
        return 2
    except KeyboardInterrupt:
        # A save is one line of a file, so it is there whole or not at all.
        print("Stopped before the end; the record holds no half entries.", file=sys.stderr)
        return _STOPPED
    if printed:
        _print(printed)
    return 0


def _print(text: str) -> None:
    """Print; who reads may have heard enough (`| head`), and that is no error."""
    try:
        print(text, flush=True)
    except BrokenPipeError:
        # Python flushes once more at its end, into nowhere now.
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
