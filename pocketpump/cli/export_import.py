"""``pocketpump export`` and ``pocketpump import``: tables and the FHIR bundle."""

import argparse
from collections.abc import Mapping
from datetime import datetime
from pathlib import Path
from typing import Any

from pocketpump.cli.backup_commands import bring_in, print_preview
from pocketpump.cli.files import read_file, write_new
from pocketpump.cli.open_app import (
    add_record,
    local_zone_name,
    open_copy,
    open_record,
    zone_name,
)
from pocketpump.cli.options import Clock, add_json, add_shared
from pocketpump.cli.output import to_json
from pocketpump.core.errors import InputError
from pocketpump.core.units.instants import zone_named
from pocketpump.core.units.typed_dates import ORDERS
from pocketpump.exchange.fhir.bundle import write_bundle
from pocketpump.exchange.tables.spreadsheet import (
    WANTED,
    Columns,
    SpreadsheetShape,
    find_order,
    guess_columns,
    read_sheet,
    refill_steps,
)
from pocketpump.exchange.tables.tables import (
    TABLES,
    Steps,
    file_name,
    finish,
    is_table,
    read_rows,
    table_steps,
    write_table,
)
from pocketpump.record import Record
from pocketpump.record.store import random_id

_ORDER_WORDS = tuple(order.replace(" ", "-") for order in ORDERS)


def add_parser(subparsers: Any) -> None:
    """Add the commands to the main parser."""
    parser = subparsers.add_parser(
        "export",
        help="write tables (csv) or a FHIR bundle",
        description="Write what counts now: csv writes one table a kind into a folder, with"
        " units in the headers; fhir writes one FHIR R4 bundle into a new file.",
    )
    parser.add_argument("what", choices=("csv", "fhir"), help="csv or fhir")
    parser.add_argument("place", type=Path, help="the folder (csv) or the new file (fhir)")
    add_record(parser)
    add_json(parser)
    parser.set_defaults(run=run_export)
    parser = subparsers.add_parser(
        "import",
        help="bring in a table: one of ours, or past refills from another spreadsheet",
        description="Bring in a CSV table. One that PocketPump wrote is known by its headers;"
        " of another one, past refills are read, column by column.",
    )
    parser.add_argument("file", type=Path, help="the CSV file")
    fields = ", ".join(wanted.field for wanted in WANTED)
    parser.add_argument("--column", action="append", default=[], metavar="FIELD=HEADER",
                        help=f"which column is what; fields: {fields}")  # fmt: skip
    parser.add_argument("--dates", choices=_ORDER_WORDS, help="how days are written")
    parser.add_argument("--strength-unit", default="", help="unit of strengths that carry none")
    add_shared(parser, "--zone", zone_name, "time zone of the table (default: as on the device)")
    parser.add_argument("--preview", action="store_true", help="tell what it adds, add nothing")
    add_record(parser)
    add_json(parser)
    parser.set_defaults(run=run_import)


def run_export(args: argparse.Namespace, clock: Clock) -> str:
    """Write the files and return what the command prints; raises `InputError` for an odd place."""
    with open_copy(args.record, clock) as record:
        alive = record.alive
    if args.what == "fhir":
        files = {args.place: write_bundle(alive, clock())}
    else:
        kinds = [kind for kind in TABLES if any(entry.kind == kind for entry in alive)]
        files = {args.place / file_name(kind): write_table(alive, kind) for kind in kinds}
        if any(path.exists() for path in files):
            raise InputError("There are tables in that folder already: give another one.")
        try:
            args.place.mkdir(parents=True, exist_ok=True)
        except OSError:
            raise InputError(f"{args.place} cannot be a folder: give another place.") from None
    for path, data in files.items():
        write_new(path, data)
    if args.json:
        return to_json({"files": [str(path) for path in files]})
    return "\n".join(f"Written: {path}" for path in files) or "There is nothing to write yet."


def run_import(args: argparse.Namespace, clock: Clock) -> str:
    """Bring the table in and return what the command prints."""
    data = read_file(args.file)
    with open_record(args.record, clock) as record:
        incoming = finish(_read(args, data, record, clock()))
        told = bring_in(record, incoming.entries, only_tell=args.preview, same_person=True)
    return print_preview(told, incoming.problems, only_tell=args.preview, as_json=args.json)


def _read(args: argparse.Namespace, data: bytes, record: Record, now: datetime) -> Steps:
    name = args.zone or local_zone_name()
    zone = zone_named(name)
    if is_table(read_rows(data)):
        held = {entry.id: entry for entry in record.entries}
        shown = {entry.id for entry in record.alive}
        return table_steps(data, held, shown, zone=zone, now=now, make_id=random_id)
    sheet = read_sheet(data)
    of = {**guess_columns(sheet), **_columns(args.column, sheet)}
    order = args.dates.replace("-", " ") if args.dates else find_order(sheet, of)
    if not order:
        raise InputError("The days can be read in two ways: give --dates day-first or month-first.")
    columns = Columns(of, order, args.strength_unit)
    return refill_steps(
        sheet, columns, record.alive, zone=zone, zone_name=name, now=now, make_id=random_id
    )


def _columns(told: list[str], sheet: SpreadsheetShape) -> Mapping[str, int]:
    found: dict[str, int] = {}
    for text in told:
        field, _, header = text.partition("=")
        if field.strip() not in {wanted.field for wanted in WANTED}:
            raise InputError(f"--column {text}: there is no such field; see --help.")
        if header.strip() not in sheet.headers:
            raise InputError(f"--column {text}: there is no such column in the file.")
        found[field.strip()] = sheet.headers.index(header.strip())
    return found
