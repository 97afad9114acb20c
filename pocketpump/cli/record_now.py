"""The record as it is now, for the commands that read it."""

import argparse
from dataclasses import dataclass
from datetime import datetime, tzinfo

from pocketpump.cli.open_app import add_record, local_zone_name, open_copy
from pocketpump.cli.options import Clock, add_option, add_shared
from pocketpump.core.units.instants import parse_instant, zone_named
from pocketpump.record import Entry


@dataclass(frozen=True, slots=True)
class RecordNow:
    """What was read: the entries that count (oldest first), when, and the zone of the dates.

    ``ever`` are all entries ever written, those that no longer count among them.
    """

    entries: tuple[Entry, ...]
    ever: tuple[Entry, ...]
    now: datetime
    zone: tzinfo


def add_reading(parser: argparse.ArgumentParser) -> None:
    """Add the options of a command that reads the record."""
    add_record(parser)
    add_shared(parser, "--zone", str, "time zone of the dates (default: as set on the device)")
    add_option(parser, "--now", str, "the instant to compute for (default: this minute)")


def asked_moment(args: argparse.Namespace, clock: Clock) -> tuple[datetime, tzinfo]:
    """Return the instant to compute for, on the clock of the zone of the dates, and that zone."""
    zone = zone_named(args.zone or local_zone_name())
    now = parse_instant(args.now, zone, "now") if args.now else clock()
    return now.astimezone(zone), zone


def read_record(args: argparse.Namespace, clock: Clock) -> RecordNow:
    """Return what the record holds."""
    now, zone = asked_moment(args, clock)
    with open_copy(args.record, clock) as record:
        return RecordNow(record.alive, record.entries, now, zone)
