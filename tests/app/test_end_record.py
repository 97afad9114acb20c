"""Ending the record: what no backup holds is said first, and its files can be kept."""

import asyncio

import pytest
from screen_hand import PagelessApp, at, controls_in, in_use, texts

from pocketpump.app.screens.whole_record import end_record
from pocketpump.exchange.backup.encrypted import open_backup


def drawn(app) -> list:
    return controls_in(end_record.ending_controls(app))


@pytest.fixture
def app():
    made = in_use()
    made.services.record._table.insert({"neither": "an entry"})
    files = made.services.record._storage.files
    made.services.record.close()
    return PagelessApp(at("2026-03-20T12:00"), files=files)


def test_what_no_backup_holds_is_said_before_erasing_and_the_files_are_handed_over(
    app, monkeypatch
):
    kept = []

    async def save_file(_app, name, content):
        kept.append((name, content))

    monkeypatch.setattr(end_record, "save_file", save_file)
    app.draft("erase")["way"] = "kept"
    assert any("in no backup" in text for text in texts(drawn(app)))
    (button,) = [
        one for one in drawn(app) if str(one.key or "") == "button:Save the files as they are"
    ]
    asyncio.run(button.on_click())
    ((name, content),) = kept
    assert name == "2026-03-20 notes files.json"
    found = asyncio.run(open_backup(content))
    assert found.entries == app.services.record.entries


def test_nothing_is_said_where_a_backup_holds_everything():
    app = in_use()
    app.draft("erase")["way"] = "kept"
    assert not any("in no backup" in text for text in texts(drawn(app)))
