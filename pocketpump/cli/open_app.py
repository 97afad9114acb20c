"""``pocketpump`` and ``pocketpump demo``: open the app in the browser."""

import argparse
import os
import time
from pathlib import Path
from typing import Any
from zoneinfo import ZoneInfoNotFoundError

import tzlocal

from pocketpump.cli.options import Clock, add_shared, whole
from pocketpump.core.errors import InputError
from pocketpump.core.units.blank_text import is_empty_looking
from pocketpump.core.units.instants import is_zone, zone_named
from pocketpump.record import DiskFiles, MemoryFiles, Record, record_folder
from pocketpump.record.demo import demo_folder, moved_to_now
from pocketpump.record.journal.disk_files import had_record
from pocketpump.record.journal.problems import RECORD_GONE


def add_parser(subparsers: Any) -> None:
    """Add the command ``demo`` to the main parser."""
    parser = subparsers.add_parser(
        "demo",
        help="open the app with an invented person's record",
        description="Open the app with the record of an invented person, moved to today."
        " Nothing you do in it is kept.",
    )
    add_opening(parser)
    parser.set_defaults(run=run_demo)


def add_opening(parser: argparse.ArgumentParser) -> None:
    """Add the options of opening the app."""
    add_shared(parser, "--port", whole(0, 65_535), "port on 127.0.0.1 (default 8377)")
    add_shared(parser, "--no-browser", None, "only print the address", default=False)
    add_shared(parser, "--zone", zone_name, "time zone of the device (default: as set on it)")


def zone_name(text: str) -> str:
    """Return ``text`` if it names a time zone; raises `InputError`."""
    zone_named(text)
    return text


def run_app(args: argparse.Namespace, clock: Clock) -> str:
    """Open the app on the person's own record until it is ended."""
    with open_record(args.record, clock) as record:
        _serve(args, record, clock, is_demo=False)
    return ""


def run_demo(args: argparse.Namespace, clock: Clock) -> str:
    """Open the app on the invented record until it is ended."""
    with Record.open(MemoryFiles(), clock=clock) as record:
        record.import_entries(moved_to_now(demo_folder(), clock()))
        _serve(args, record, clock, is_demo=True)
    return ""


def add_record(parser: argparse.ArgumentParser) -> None:
    """Add ``--record``."""
    add_shared(parser, "--record", _folder_text, "the record's folder (default:"
               " POCKETPUMP_RECORD, or the usual place for this device)")  # fmt: skip


def _folder_text(text: str) -> str:
    if is_empty_looking(text):
        # An empty variable in a script must not end in the usual record, or in one of no name.
        raise InputError("name the record's folder after it, or leave it out for the usual one.")
    return text


def open_record(folder: str | None, clock: Clock, *, must_exist: bool = False) -> Record:
    """Open the record kept in ``folder``, or in the usual place; begin one there if none is.

    Raises `InputError` when ``must_exist`` and there is none, and makes no folder then.
    """
    path = folder_of(folder)
    if must_exist and not path.is_dir():
        raise _no_record(path)
    return Record.open(DiskFiles(path), clock=clock)


def open_copy(folder: str | None, clock: Clock) -> Record:
    """Open a copy of the record for reading, also while the app holds it; nothing is written.

    Raises `InputError` when there is none: a command that only reads must not leave an empty
    record behind a mistyped path.
    """
    path = folder_of(folder)
    files = MemoryFiles.copy_of(path)
    if not files.names():
        raise _no_record(path)
    return Record.open(files, clock=clock)


def _no_record(path: Path) -> InputError:
    if had_record(path):
        return InputError(RECORD_GONE.sentence)
    return InputError(f"There is no record at {path}: give its folder with --record.")


def folder_of(folder: str | None) -> Path:
    """Return the record's folder: as given, as POCKETPUMP_RECORD says, or the usual one."""
    return Path(folder) if folder else record_folder(os.environ)


def local_zone_name() -> str:
    """Return the IANA name of the zone the device is set to; UTC when it has none."""
    name = _device_zone()
    return name if is_zone(name) else "UTC"


def _device_zone() -> str:
    try:
        if hasattr(time, "tzset"):
            time.tzset()  # the zone below is held against what Python itself knows
        tzlocal.reload_localzone()  # or it would tell the zone of the first time it was asked
        return tzlocal.get_localzone_name() or ""
    except ZoneInfoNotFoundError:  # the machine's own files contradict each other
        return ""


def _serve(args: argparse.Namespace, record: Record, clock: Clock, *, is_demo: bool) -> None:
    # Flet takes a second to import; the other commands must not wait for it.
    from pocketpump.app.main import tab
    from pocketpump.app.server.serve import DEFAULT_PORT, serve
    from pocketpump.app.services import Services
    from pocketpump.app.shell.device_zone import DeviceZone

    services = Services(record, clock, args.zone or DeviceZone(_device_zone), is_demo)
    port = DEFAULT_PORT if args.port is None else args.port
    serve(tab(services), port=port, open_browser=not args.no_browser)
