"""What comes in by a backup or a table and is taken opens again, whole, and can be backed up."""

import csv
import io
import random
from datetime import UTC

import pytest
from mangling import INSTANTS, NOW, VALUES, mangled, small

from pocketpump.core.errors import InputError, PocketPumpError
from pocketpump.exchange.backup.backup import read_backup, write_backup
from pocketpump.exchange.tables.tables import TABLES, finish, table_steps, write_table
from pocketpump.record import MemoryFiles, Record

USUAL, MANY = 150, 4000
CELLS = [*map(str, VALUES), *map(str, INSTANTS), "[1e999]", '["\\ud800"]', "[" * 30 + "]" * 30,
         '{"days":' * 18 + "1" + "}" * 18, "-" + "9" * 400, "1e308", "\udcff", ";=1", "'=", "8 pm",
         '["' + "x" * 2000 + '"]', "[" + "0," * 19_999 + "0]", "x" * 1_000_001,
         '{"days":[' + "0," * 19_997 + "0]}"]  # fmt: skip


def check(entries, seed: int) -> int:
    """Take ``entries`` into a record that holds something; return how many it took."""
    files = MemoryFiles()
    with Record.open(files, clock=lambda: NOW) as record:
        if seed % 2:
            record.import_entries(small())
        try:
            imported = record.import_entries(entries)
        except InputError:
            imported = None
        held, alive = record.entries, record.alive
        assert read_backup(write_backup(held, NOW)).entries == held, seed
    with Record.open(files, clock=lambda: NOW) as record:
        assert record.entries == held, seed
        assert record.alive == alive, seed
        assert "not understood" not in [problem.code for problem in record.problems], seed
    return len(imported.added) if imported else 0


def from_backups(seeds) -> int:
    taken = 0
    for seed in seeds:
        kind, data = mangled(seed, small())
        if kind == "backup":
            try:
                entries = read_backup(data).entries
            except PocketPumpError:
                continue
            taken += check(entries, seed)
    return taken


def from_tables(seeds) -> int:
    taken = 0
    base = small()
    with Record.open(MemoryFiles(), clock=lambda: NOW) as record:
        record.import_entries(base)
        held, alive = {one.id: one for one in record.entries}, {one.id for one in record.alive}
        tables = {kind: write_table(record.alive, kind).decode("utf-8-sig") for kind in TABLES}
    for seed in seeds:
        chance = random.Random(seed)
        rows = list(csv.reader(io.StringIO(tables[chance.choice(TABLES)], newline="")))
        for _ in range(chance.choice((1, 1, 2, 5))):
            row = chance.choice(rows[1:]) if chance.random() < 0.95 else rows[0]
            row[chance.randrange(len(row))] = chance.choice(CELLS)
        if chance.random() < 0.3:
            for row in rows[1:]:
                row[-2] = chance.choice(("", f"{row[-2]}-other", row[-2]))
        text = io.StringIO(newline="")
        csv.writer(text).writerows(rows)
        data = text.getvalue().encode("utf-8", errors="surrogatepass")
        numbers = iter(range(10_000))
        ours = seed % 2
        try:
            found = finish(
                table_steps(
                    data,
                    held if ours else {},
                    alive if ours else set(),
                    zone=UTC,
                    now=NOW,
                    make_id=lambda n=numbers: f"new-{next(n)}",
                )
            )
        except InputError:
            continue
        assert all(one.sentence.endswith((".", "”", "?", ":")) for one in found.problems), seed
        taken += check(found.entries, seed)
    return taken


@pytest.mark.parametrize("door", [from_backups, from_tables])
def test_what_is_taken_in_opens_again_and_fits_into_a_backup(door):
    assert door(range(USUAL)) > USUAL


@pytest.mark.thorough
@pytest.mark.parametrize("door", [from_backups, from_tables])
def test_thousands_of_made_up_files_too(door):
    assert door(range(USUAL, MANY)) > MANY
