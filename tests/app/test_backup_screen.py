"""The backup's screen: a weak passphrase is asked about, a locked file says so, nothing is kept."""

import asyncio
import inspect
import json

import pytest
from screen_hand import OpenTab, controls_in, in_use

from pocketpump.app.parts.fields import SteadyField
from pocketpump.exchange.backup import encrypted

WEAK = "password1"
GOOD = "four small words outside"
MAKE, CHECK, OPEN = "button:Make the backup", "button:Check a backup file", "button:Open it"


@pytest.fixture
def files(monkeypatch):
    """The files handed over, by name; and the one that will be chosen next, under ""."""
    kept = {}

    async def save_file(_app, name, content):
        kept[name] = content

    async def choose(_ending):
        return kept[""]

    monkeypatch.setattr("pocketpump.app.screens.whole_record.backup.save_file", save_file)
    monkeypatch.setattr("pocketpump.app.screens.whole_record.backup_file.choose", choose)
    # So many rounds take a second each; how many are written is tested with the file.
    monkeypatch.setattr(encrypted, "ROUNDS", 1_000)
    return kept


@pytest.fixture
def tab():
    """The screen, with the file to be encrypted."""
    tab = OpenTab(in_use().services, "/backup")
    press(tab, "option:yes")
    return tab


def press(tab: OpenTab, key: str) -> None:
    """Tap what has this key; what it does may be awaited."""
    held = next(c for c in tab.controls if c.key == key)
    done = next(c for c in controls_in([held]) if getattr(c, "on_click", None)).on_click()
    if inspect.iscoroutine(done):
        asyncio.run(done)


def boxes(tab: OpenTab) -> list[str]:
    return [c.value for c in tab.controls if isinstance(c, SteadyField)]


def write(tab: OpenTab, first: str, second: str | None = None) -> None:
    tab.type("field:Passphrase", first)
    tab.type("field:The same again", first if second is None else second)


def says(tab: OpenTab, words: str) -> bool:
    return any(words in text for text in tab.told())


def test_a_weak_passphrase_is_asked_about_once_and_locks_only_when_ticked(tab, files):
    write(tab, WEAK)
    press(tab, MAKE)
    assert files == {}
    assert says(tab, "This passphrase is weak")
    assert says(tab, "Use it anyway")
    # Two presses on one spot are not enough, however many.
    press(tab, MAKE)
    assert files == {}
    press(tab, "tick:sure")
    press(tab, MAKE)
    assert len(files) == 1


def test_a_longer_passphrase_takes_the_question_away_and_another_weak_one_is_asked_about_anew(
    tab, files
):
    write(tab, WEAK)
    press(tab, MAKE)
    press(tab, "tick:sure")
    write(tab, WEAK + "2")
    press(tab, MAKE)
    assert files == {}
    write(tab, GOOD)
    assert not says(tab, "Use it anyway")
    press(tab, MAKE)
    assert len(files) == 1


def test_a_locked_backup_says_so_in_its_message_and_in_its_name(tab, files):
    write(tab, GOOD)
    press(tab, MAKE)
    ((name, data),) = files.items()
    assert json.loads(data)["format"] == "pocketpump-backup-locked"
    assert name == "2026-03-20 notes locked.json"
    assert says(tab, "locked: only the passphrase opens it")
    press(tab, "option:no")
    press(tab, MAKE)
    assert "2026-03-20 notes.json" in files
    assert not says(tab, "locked: only the passphrase opens it")


def test_the_passphrase_is_forgotten_once_the_backup_is_made(tab, files):
    # A box that was empty in between must not bring back what stood in it.
    write(tab, "x")
    write(tab, "")
    write(tab, GOOD)
    press(tab, MAKE)
    assert len(files) == 1
    assert boxes(tab) == ["", ""]
    assert GOOD not in repr(tab.app.typed.__dict__)
    # Nor is the next one made without any.
    files.clear()
    press(tab, MAKE)
    assert files == {}


@pytest.mark.parametrize(
    ("first", "second", "sentence"),
    [
        ("", "", "Write a passphrase, or make the backup without one."),
        ("short", "short", "The passphrase needs at least 8 letters"),
        (GOOD, GOOD + "x", "The two passphrases differ"),
    ],
)
def test_what_is_wrong_is_told_at_its_box_and_goes_as_soon_as_it_is_mended(
    tab, files, first, second, sentence
):
    write(tab, first, second)
    assert not says(tab, sentence)
    press(tab, MAKE)
    assert files == {}
    assert says(tab, "Nothing was saved yet.")
    assert says(tab, sentence)
    write(tab, GOOD)
    assert not says(tab, sentence)
    assert not says(tab, "Nothing was saved yet.")
    press(tab, MAKE)
    assert len(files) == 1


def test_what_is_wrong_goes_when_the_file_is_not_to_be_locked(tab):
    write(tab, GOOD, GOOD + "x")
    press(tab, MAKE)
    press(tab, "option:no")
    assert not says(tab, "The two passphrases differ")


def test_a_locked_file_is_checked_with_the_passphrase_written_again(tab, files):
    write(tab, GOOD)
    press(tab, MAKE)
    ((name, data),) = files.items()
    files[""] = (name, data)
    press(tab, CHECK)
    assert not says(tab, "is whole")
    tab.type("field:Passphrase of this file", GOOD + "?")
    press(tab, OPEN)
    assert says(tab, "The passphrase does not open this backup")
    tab.type("field:Passphrase of this file", GOOD)
    assert not says(tab, "The passphrase does not open this backup")
    press(tab, OPEN)
    assert says(tab, "is whole. It holds")
    assert GOOD not in repr(tab.app.typed.__dict__)
    assert not says(tab, "Passphrase of this file")


def test_a_file_that_is_none_is_told_and_the_next_one_is_not_blamed_for_it(tab, files):
    files[""] = ("holiday.json", b"[]")
    press(tab, CHECK)
    assert says(tab, "not a PocketPump backup")
    press(tab, "option:no")
    press(tab, MAKE)
    name = next(name for name in files if name)
    files[""] = (name, files[name])
    press(tab, CHECK)
    assert says(tab, "is whole. It holds")
    assert not says(tab, "not a PocketPump backup")


def test_bringing_in_forgets_the_passphrase_once_the_file_is_open(tab, files, monkeypatch):
    write(tab, GOOD)
    press(tab, MAKE)
    ((name, data),) = files.items()

    async def choose(_ending):
        return name, data

    monkeypatch.setattr("pocketpump.app.screens.whole_record.backup_file.choose", choose)
    tab.app.go("/merge")
    press(tab, "button:Choose a file")
    tab.type("field:Passphrase", "something else")
    press(tab, OPEN)
    assert says(tab, "The passphrase does not open this backup")
    tab.type("field:Passphrase", GOOD)
    assert not says(tab, "The passphrase does not open this backup")
    press(tab, OPEN)
    assert says(tab, "What it would add")
    assert GOOD not in repr(tab.app.typed.__dict__)
