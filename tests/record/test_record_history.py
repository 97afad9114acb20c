"""What counts now, and how copies merge: laws over random and over huge histories."""

import random
import time
from datetime import UTC, datetime, timedelta

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from pocketpump.record import Entry
from pocketpump.record.entry.entries import canonical
from pocketpump.record.history.history import order, resolve
from pocketpump.record.history.split_conflict import put

START = datetime(2026, 1, 1, tzinfo=UTC)


def entry(
    one: str,
    replaces: str | None = None,
    removes: str | None = None,
    minute: int = 0,
    value: object = 0,
) -> Entry:
    kind = "removal" if removes else "measure"
    written = START + timedelta(minutes=minute)
    return Entry(one, kind, START, "", written, {"value": value}, replaces, removes)


def ids(entries) -> list[str]:
    return sorted(e.id for e in entries)


def shown(*entries: Entry) -> list[str]:
    return [e.id for e in resolve(entries).alive if e.removes is None]


def merge(a, b) -> list[Entry]:
    """Take both sets of entries into one."""
    held: dict[str, Entry] = {}
    for one in (*a, *b):
        put(held, one)
    return sorted(held.values(), key=order)


NAMES = st.sampled_from("abcdefgh")
ANY_ENTRY = st.builds(
    entry,
    NAMES,
    st.none() | NAMES,
    st.none() | NAMES,
    st.integers(0, 3),
    st.sampled_from([0, 1, 1.0, True]),
)
ANY_ENTRIES = st.lists(ANY_ENTRY, max_size=12)


def test_a_correction_is_shown_in_the_place_of_what_it_replaces() -> None:
    assert shown(entry("a"), entry("b", replaces="a")) == ["b"]


def test_a_correction_of_a_correction_does_not_bring_back_the_first() -> None:
    assert shown(entry("a"), entry("b", replaces="a"), entry("c", replaces="b")) == ["c"]


def test_taking_back_a_correction_brings_the_earlier_one_back() -> None:
    first, second = entry("a"), entry("b", replaces="a")
    assert shown(first, second, entry("r", removes="b")) == ["a"]


def test_taking_back_a_removal_brings_the_removed_back() -> None:
    history = [entry("a"), entry("r", removes="a")]
    assert shown(*history) == []
    history.append(entry("s", removes="r"))
    assert shown(*history) == ["a"]
    history.append(entry("t", removes="s"))
    assert shown(*history) == []


def test_taking_back_the_middle_of_a_line_leaves_the_newest_shown() -> None:
    line = [entry("a"), entry("b", replaces="a"), entry("c", replaces="b")]
    settled = resolve([*line, entry("r", removes="b")])
    assert ids(settled.alive) == ["c", "r"]
    # The first is superseded through the one taken back, so it is no rival of the newest.
    assert [p.code for p in settled.problems] == ["corrected and removed"]


def test_two_corrections_of_one_entry_show_the_newest_and_name_both() -> None:
    entries = [entry("a"), entry("b", replaces="a", minute=2), entry("c", replaces="a", minute=1)]
    settled = resolve(entries)
    assert ids(settled.alive) == ["b"]
    assert [(p.code, p.ids) for p in settled.problems] == [("conflict", ("b", "c"))]


def test_rival_lines_of_corrections_show_one_end_only() -> None:
    entries = [
        entry("a"),
        entry("b", replaces="a", minute=1),
        entry("c", replaces="a", minute=2),
        entry("d", replaces="b", minute=3),
    ]
    settled = resolve(entries)
    assert ids(settled.alive) == ["d"]
    assert [(p.code, p.ids) for p in settled.problems] == [("conflict", ("c", "d"))]


def test_equal_instants_are_settled_by_the_id() -> None:
    assert shown(entry("a"), entry("c", replaces="a"), entry("b", replaces="a")) == ["c"]


def test_corrected_here_and_removed_there_is_shown_and_told() -> None:
    settled = resolve(
        [entry("a"), entry("b", replaces="a"), entry("r", removes="a")],
    )
    assert ids(settled.alive) == ["b", "r"]
    assert [(p.code, p.ids) for p in settled.problems] == [("corrected and removed", ("a", "r"))]


def test_a_reference_to_nothing_is_told_and_the_entry_is_shown() -> None:
    settled = resolve([entry("b", replaces="gone")])
    assert ids(settled.alive) == ["b"]
    assert [(p.code, p.ids) for p in settled.problems] == [("missing entry", ("b", "gone"))]


@pytest.mark.parametrize(
    "circle",
    [
        [entry("a", replaces="a")],
        [entry("a", replaces="b"), entry("b", replaces="a")],
        [entry("a", removes="b"), entry("b", removes="a")],
    ],
)
def test_a_circle_never_raises_and_shows_all_in_it(circle: list[Entry]) -> None:
    settled = resolve(circle)
    assert ids(settled.alive) == ids(circle)
    assert [(p.code, p.ids) for p in settled.problems] == [("circle", tuple(ids(circle)))]


@given(ANY_ENTRIES, st.randoms())
def test_what_counts_does_not_depend_on_the_order_of_entries(entries, chance) -> None:
    shuffled = list(entries)
    chance.shuffle(shuffled)
    one, other = resolve(entries), resolve(shuffled)
    assert list(map(canonical, one.alive)) == list(map(canonical, other.alive))
    assert one.problems == other.problems


@given(st.data())
def test_settling_agrees_with_the_plain_recursion_on_sound_histories(data) -> None:
    entries: list[Entry] = []
    for number in range(data.draw(st.integers(1, 14))):
        earlier = st.none() | st.sampled_from(ids(entries)) if entries else st.none()
        target = data.draw(earlier)
        removal = data.draw(st.booleans()) and target is not None
        entries.append(
            entry(
                f"{number:02}",
                replaces=None if removal else target,
                removes=target if removal else None,
                minute=number,
            )
        )

    def taken_back(one: str) -> bool:
        return any(e.removes == one and not taken_back(e.id) for e in entries)

    def superseded(one: str) -> bool:
        newer = [e.id for e in entries if e.replaces == one]
        return any(not taken_back(n) or superseded(n) for n in newer)

    def first(one: Entry) -> str:
        return one.id if one.replaces is None else first(next(by_id(one.replaces)))

    def by_id(one: str):
        return (e for e in entries if e.id == one)

    ends = [e for e in entries if not taken_back(e.id) and not superseded(e.id)]
    newest = {first(e): e for e in sorted(ends, key=lambda e: e.written_at)}
    settled = resolve(entries)
    assert ids(settled.alive) == ids(newest.values())
    assert settled.taken_back == {e.id for e in entries if taken_back(e.id)}
    assert settled.superseded == {e.id for e in entries if superseded(e.id)}


def texts(merged) -> list[str]:
    return list(map(canonical, merged))


@settings(deadline=None)
@given(ANY_ENTRIES, ANY_ENTRIES, ANY_ENTRIES)
def test_merging_is_associative_commutative_and_idempotent(a, b, c) -> None:
    assert texts(merge(a, b)) == texts(merge(b, a))
    assert texts(merge(merge(a, b), c)) == texts(merge(a, merge(b, c)))
    once = merge(a, b)
    assert texts(merge(once, once)) == texts(once)
    assert texts(merge(once, b)) == texts(once)


def bare(one: Entry) -> tuple:
    return one.written_at, one.removes, repr(one.payload)


@settings(deadline=None)
@given(ANY_ENTRIES, ANY_ENTRIES)
def test_merging_loses_no_content(a, b) -> None:
    merged = merge(a, b)
    # Every content is there: under its id, or apart under another one.
    assert {e.id for e in [*a, *b]} <= {e.id for e in merged}
    assert {bare(e) for e in [*a, *b]} == {bare(e) for e in merged}


@pytest.mark.parametrize("link", ["replaces", "removes"])
def test_twelve_thousand_entries_in_one_chain_are_settled_without_recursion(link: str) -> None:
    chain = [entry("0")] + [entry(str(n), **{link: str(n - 1)}) for n in range(1, 12_000)]
    random.Random(1).shuffle(chain)
    begun = time.perf_counter()
    settled = resolve(chain)
    assert time.perf_counter() - begun < 5
    assert not settled.problems
    expected = 1 if link == "replaces" else 6_000
    assert len(settled.alive) == expected
