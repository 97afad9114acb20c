"""A long table is read step by step: it is shown how far it is, and it can be stopped."""

import asyncio
from types import SimpleNamespace

import pytest

from pocketpump.app.screens.whole_record import tables
from pocketpump.app.screens.whole_record.tables import read_in_steps
from pocketpump.core.errors import InputError
from pocketpump.exchange.tables.tables import ImportedEntries

DONE = ImportedEntries((), ())


def steps(count: int):
    yield from range(count)
    return DONE


@pytest.fixture(autouse=True)
def _shown_at_every_step(monkeypatch):
    monkeypatch.setattr(tables, "_SHOW_EVERY_S", -1)
    monkeypatch.setattr(tables, "_WAIT_S", 0)


def read(draft: dict, on_refresh) -> None:
    app = SimpleNamespace(refresh=on_refresh)
    asyncio.run(read_in_steps(app, draft, steps(30), 30))


def test_each_step_is_shown_and_the_end_gives_the_table():
    draft: dict = {"name": "x"}
    shown: list[int] = []
    read(draft, lambda: shown.append(draft["at row"]))
    assert shown == list(range(30))
    assert draft["incoming"] is DONE
    assert "at row" not in draft


def test_stop_ends_it_at_the_next_step_with_nothing_read():
    draft: dict = {"name": "x"}
    shown: list[int] = []

    def refresh() -> None:
        shown.append(draft["at row"])
        if len(shown) == 3:
            draft["stopped"] = True

    read(draft, refresh)
    assert shown == [0, 1, 2]
    assert "incoming" not in draft
    assert "at row" not in draft


def test_a_press_counts_while_it_reads():
    draft: dict = {"name": "x"}

    async def both() -> None:
        reading = asyncio.create_task(
            read_in_steps(SimpleNamespace(refresh=lambda: None), draft, steps(10**9), 1)
        )
        await asyncio.sleep(0)
        draft["stopped"] = True
        await reading

    asyncio.run(both())
    assert "incoming" not in draft


def test_an_error_on_the_way_leaves_no_reading_behind():
    def failing():
        yield 1
        raise InputError("no")

    draft: dict = {"name": "x"}
    app = SimpleNamespace(refresh=lambda: None)
    with pytest.raises(InputError, match="no"):
        asyncio.run(read_in_steps(app, draft, failing(), 2))
    assert "at row" not in draft
