"""``pocketpump erase``: remove a record for good, for a device that goes to somebody else."""

import argparse
import sys
from collections.abc import Sequence
from pathlib import Path
from typing import Any

from pocketpump.cli.backup_commands import back_up
from pocketpump.cli.files import add_passphrase, write_new
from pocketpump.cli.open_app import add_record, folder_of, open_record
from pocketpump.cli.options import Clock, add_json
from pocketpump.cli.output import to_json
from pocketpump.core.errors import InputError
from pocketpump.exchange.backup.raw_files import write_raw_files
from pocketpump.exchange.backup.record_check import not_in_backup

_WORD = "erase"


def add_parser(subparsers: Any) -> None:
    """Add the command to the main parser."""
    parser = subparsers.add_parser(
        "erase",
        help="remove the record from this device for good",
        description="Remove the record and everything that was set aside from its folder, for a"
        " device that is sold, lent or given back. It cannot be undone. Give a new file for a"
        " last backup, or say --no-backup.",
    )
    parser.add_argument("file", type=Path, nargs="?", help="the new file for a last backup")
    parser.add_argument("--no-backup", action="store_true", help="erase without a backup")
    parser.add_argument("--files", type=Path, help="the new file for the record's files as they"
                        " are, with what cannot be read of them")  # fmt: skip
    parser.add_argument("--no-files", action="store_true", help="erase what cannot be read, too")
    parser.add_argument("--word", help=f'"{_WORD}", to be asked nothing')
    add_passphrase(parser, locks=True)
    add_record(parser)
    add_json(parser)
    parser.set_defaults(run=run)


def run(args: argparse.Namespace, clock: Clock) -> str:
    """Back up if wanted, erase, and return what the command prints.

    Raises `InputError`, with nothing erased, when it is not clear what is to be kept.
    """
    if (args.file is None) != args.no_backup:
        raise InputError("Give a new file for a last backup, or say --no-backup; not both.")
    with open_record(args.record, clock, must_exist=True) as record:
        number = len(record.entries)
        missing = not_in_backup(record)
        if args.files is None and not args.no_backup and not args.no_files:
            _tell(missing, asked=args.word is None)
        _ask(args.word, number)
        if args.files is not None:
            write_new(args.files, write_raw_files(record.files_as_they_are(), clock()))
        if args.file is not None and number:
            back_up(args, record, clock)
        record.erase()
    folder = folder_of(args.record)
    if args.json:
        return to_json(
            {
                "erased": number,
                "file": args.file and str(args.file),
                "files": args.files and str(args.files),
                "not_in_backup": list(missing),
            }
        )
    kept = f" They are in {args.file}." if args.file is not None and number else ""
    files = f" The files as they were are in {args.files}." if args.files is not None else ""
    return f"{number} entries were erased from {folder}.{kept}{files}"


def _tell(missing: Sequence[str], *, asked: bool) -> None:
    """Tell what the last backup will not hold; where nobody is asked any more, refuse."""
    if not missing:
        return
    told = " ".join(
        [*missing, "Give --files and a new file to keep the files as they are, or --no-files."]
    )
    if not asked:
        raise InputError(f"Nothing was erased. {told}")
    print(told, file=sys.stderr)


def _ask(word: str | None, number: int) -> None:
    if word is None:
        try:
            word = input(f'{number} entries will be erased for good. Write "{_WORD}": ')
        except (EOFError, OSError):
            word = ""
    if word.strip().lower() != _WORD:
        raise InputError(f'Nothing was erased: write "{_WORD}", or give --word {_WORD}.')
