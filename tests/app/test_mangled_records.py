"""Whatever is in the record: it opens or is refused in a sentence, and every view is drawn.

A seed is a spoilt file; the seeds are always the same, so a failure can be looked at. Set
``POCKETPUMP_MANGLED`` to how many are wanted in a thorough run.
"""

import os

import pytest
from every_view import drawn_screens, files_of, opened, said_by_commands, undone
from mangling import BASES, NAME, NOW, journal, mangled

from pocketpump.record import to_document

MANY = int(os.environ.get("POCKETPUMP_MANGLED", "2000"))
# The small records hold every kind, so most of what can go wrong does there.
SHARES = {"small": 0.7, "German": 0.1, "demo": 0.17, "ten years": 0.03}
USUAL = 100


def parts(count: int, pieces: int) -> list:
    """Split ``count`` seeds into ``pieces`` of each base, so that workers can share them."""
    found = []
    for number, (base, share) in enumerate(SHARES.items()):
        seeds = range(number * 1_000_000, number * 1_000_000 + max(1, round(count * share)))
        size = -(-len(seeds) // pieces)
        found += [(base, seeds[at : at + size]) for at in range(0, len(seeds), size)]
    return found


def check(base: str, seeds: range, *, take_turns: bool) -> None:
    entries = BASES[base]()
    drawn = 0
    for seed in seeds:
        record = opened(*mangled(seed, entries), NOW)
        if record is None:
            continue
        drawn += 1
        wrong = {
            **drawn_screens(record, NOW, seed if take_turns else None),
            **files_of(record, NOW, drawn=seed % 6 == 0),
            **undone(record),
        }
        assert not wrong, f"{base}, seed {seed}: {wrong}"
    assert drawn or len(seeds) < 5


@pytest.mark.parametrize(("base", "seeds"), parts(USUAL, 2), ids=str)
def test_every_view_of_a_mangled_record_is_drawn(base, seeds):
    check(base, seeds, take_turns=False)


@pytest.mark.thorough
@pytest.mark.parametrize(("base", "seeds"), parts(MANY, max(1, MANY // 250)), ids=str)
def test_every_view_of_thousands_of_mangled_records_is_drawn(base, seeds):
    check(base, seeds, take_turns=True)


@pytest.mark.parametrize("base", BASES)
def test_every_view_of_a_sound_record_is_drawn(base):
    record = opened("record", journal([to_document(one) for one in BASES[base]()]), NOW)
    assert {**drawn_screens(record, NOW), **files_of(record, NOW), **undone(record)} == {}
    assert record.unread == ()


@pytest.mark.parametrize(
    "seeds", [range(12), pytest.param(range(12, 300), marks=pytest.mark.thorough)], ids=str
)
def test_every_command_reads_a_mangled_record_or_says_why_not_in_a_sentence(tmp_path, seeds):
    entries = BASES["small"]()
    for seed in seeds:
        kind, data = mangled(seed, entries)
        if kind == "record":
            folder = tmp_path / str(seed) / "record"
            folder.mkdir(parents=True)
            (folder / NAME).write_bytes(data)
            assert said_by_commands(folder, NOW) == {}, seed
