"""``pocketpump backup``, ``restore``, ``merge`` and ``start-over``."""

import argparse
import asyncio
from collections.abc import Callable, Iterable
from contextlib import suppress
from datetime import UTC
from pathlib import Path
from typing import Any

from pocketpump.cli.files import (
    add_passphrase,
    passphrase,
    read_file,
    read_folder,
    write_new,
)
from pocketpump.cli.open_app import add_record, folder_of, local_zone_name, open_record
from pocketpump.cli.options import Clock, add_json
from pocketpump.cli.output import to_json
from pocketpump.core.errors import InputError, Problem
from pocketpump.core.units.instants import zone_named
from pocketpump.exchange.backup.backup import Backup
from pocketpump.exchange.backup.encrypted import is_locked, make_backup, open_backup
from pocketpump.exchange.backup.import_preview import Preview, found_in, name_of, preview
from pocketpump.record import Entry, Record, RecordReadOnlyError


def add_parser(subparsers: Any) -> None:
    """Add the commands to the main parser."""
    parser = subparsers.add_parser(
        "backup",
        help="write the whole record into one file",
        description="Write every entry of the record into one new file, and read it back."
        " Without a passphrase it is plain JSON; docs/backup.schema.json describes it.",
    )
    parser.add_argument("file", type=Path, help="the new file: pocketpump-backup.json")
    add_passphrase(parser, locks=True)
    _finish(parser, run_backup)
    copies = {
        "restore": "a backup file",
        "merge": "a backup file or a record folder (the record's own: what was set aside)",
    }
    for name, what in copies.items():
        parser = subparsers.add_parser(
            name,
            help=f"bring in {what}; nothing is ever removed",
            description=f"Bring the entries of {what} into the record. Entries already here"
            " stay; what differs is told. --preview only tells.",
        )
        parser.add_argument("file", type=Path, help=f"the copy to bring in: {what}")
        add_passphrase(parser, locks=False)
        parser.add_argument("--preview", action="store_true", help="tell what it adds, add nothing")
        parser.add_argument(
            "--same-person",
            action="store_true",
            help="bring it in although it shares nothing with the record",
        )
        _finish(parser, run_merge if name == "merge" else run_restore)
    parser = subparsers.add_parser(
        "start-over",
        help="back the record up, then begin an empty one",
        description="Write a backup into a new file, move the old record aside within its"
        " folder, and begin an empty one. Nothing is deleted.",
    )
    parser.add_argument("file", type=Path, help="the new backup file")
    add_passphrase(parser, locks=True)
    _finish(parser, run_start_over)


def _finish(parser: argparse.ArgumentParser, run: Callable[..., str]) -> None:
    add_record(parser)
    add_json(parser)
    parser.set_defaults(run=run)


def run_backup(args: argparse.Namespace, clock: Clock) -> str:
    """Write the backup and return what the command prints."""
    with open_record(args.record, clock, must_exist=True) as record:
        count, locked = back_up(args, record, clock)
        odd = [problem.sentence for problem in record.problems]
    if args.json:
        told = {"file": str(args.file), "entries": count, "locked": locked, "problems": odd}
        return to_json(told)
    return "\n".join([f"{count} entries are in {args.file}, read back and whole.", *odd])


def run_restore(args: argparse.Namespace, clock: Clock) -> str:
    """Bring in a backup and return what the command prints."""
    found = _from_backup(args)
    return _bring(args, clock, found.entries, found.problems)


def run_merge(args: argparse.Namespace, clock: Clock) -> str:
    """Bring in another copy and return what the command prints.

    Raises `InputError` where it is the record's own folder and nothing was set aside there.
    """
    if args.file.is_dir() and args.file.resolve() == folder_of(args.record).resolve():
        with open_record(args.record, clock, must_exist=True) as record:
            aside = record.set_aside()
        if not aside:
            raise InputError("Nothing was set aside in the record's own folder; name another one.")
        args.same_person = True
        return _bring(args, clock, aside)
    if args.file.is_dir():
        return _bring(args, clock, *found_in(read_folder(args.file)))
    return run_restore(args, clock)


def run_start_over(args: argparse.Namespace, clock: Clock) -> str:
    """Back up, move the record aside and return what the command prints."""
    with open_record(args.record, clock, must_exist=True) as record:
        count, locked = back_up(args, record, clock)
        record.start_over()
    if args.json:
        return to_json({"file": str(args.file), "entries": count, "locked": locked})
    return f"{count} entries are in {args.file} and moved aside; the record is empty now."


def back_up(args: argparse.Namespace, record: Record, clock: Clock) -> tuple[int, bool]:
    """Write a backup into ``args.file``; return how many entries, and whether it is locked.

    Raises `InputError` for an empty record or an empty passphrase.
    """
    entries = record.entries
    if not entries:
        raise InputError("The record is empty: there is nothing to back up yet.")
    locked = bool(args.lock or args.passphrase_file)
    words = passphrase(args, twice=True) if locked else ""
    if locked and not words:
        raise InputError("The passphrase is empty: give one, or make a backup without.")
    write_new(args.file, asyncio.run(make_backup(entries, clock(), words)))
    note = {"entry_count": len(entries), "locked": locked}
    with suppress(RecordReadOnlyError):  # the file counts, and is told
        record.add("backup", clock().astimezone(UTC), "", note)
    return len(entries), locked


def bring_in(
    record: Record, entries: tuple[Entry, ...], *, only_tell: bool, same_person: bool
) -> Preview:
    """Bring entries in, unless they are to be told only, and return what that comes to.

    Raises `InputError` where they may be another person's.
    """
    told = preview(record.entries, entries, zone_named(local_zone_name()))
    if told.stranger and not same_person and not only_tell:
        raise InputError(
            "This copy shares no entry with the record, so it may be another person's: "
            "give --same-person if it is not."
        )
    if not only_tell:
        record.import_entries(entries)
    return told


def print_preview(told: Preview, odd: Iterable[Problem], *, only_tell: bool, as_json: bool) -> str:
    """Return what bringing in came to, and what was left out, as text or as JSON."""
    sentences = [problem.sentence for problem in odd]
    zone = zone_named(local_zone_name())
    if as_json:
        return to_json(
            {
                "added": told.adds,
                "already_here": told.imported.known,
                "kinds": dict(told.counts),
                "earlier_versions_and_removals": told.history,
                "no_longer_shown": [name_of(one, zone) for one in told.vanishing],
                "corrected": [name_of(one, zone) for one in told.changing],
                "conflicts": list(told.conflicts),
                "left_out": sentences,
                "preview": only_tell,
            }
        )
    word = "would be added" if only_tell else "added"
    lines = [f"{told.adds} {word}, {told.imported.known} already here."]
    lines += [f"- {number} {words}" for words, number in told.counts]
    if told.history:
        lines.append(f"- {told.history} earlier versions and removals")
    lines += [f"Corrected there: {name_of(one, zone)}." for one in told.changing]
    lines += [f"Removed there: {name_of(one, zone)}." for one in told.vanishing]
    return "\n".join([*lines, *told.conflicts, *sentences])


def _from_backup(args: argparse.Namespace) -> Backup:
    data = read_file(args.file)
    words = passphrase(args) if is_locked(data) else ""
    return asyncio.run(open_backup(data, words))


def _bring(
    args: argparse.Namespace,
    clock: Clock,
    entries: tuple[Entry, ...],
    odd: tuple[Problem, ...] = (),
) -> str:
    with open_record(args.record, clock) as record:
        told = bring_in(record, entries, only_tell=args.preview, same_person=args.same_person)
    return print_preview(told, odd, only_tell=args.preview, as_json=args.json)
