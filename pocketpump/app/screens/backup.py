"""Backup: the whole record into one file."""

from collections.abc import Container
from contextlib import suppress
from typing import Any

import flet as ft

from pocketpump.app.notebook import Notebook
from pocketpump.app.parts import big_button, body, choice, notice, quiet_button
from pocketpump.app.picking import choose
from pocketpump.app.saving import save_file
from pocketpump.app.shell import App
from pocketpump.core.errors import InputError, PocketPumpError
from pocketpump.core.wording import joined, worded, worded_count
from pocketpump.exchange.checkup import from_the_future
from pocketpump.exchange.locked import make_backup, open_backup
from pocketpump.exchange.reminder import BackupState, backup_state, say_state
from pocketpump.exchange.strength import strength_of
from pocketpump.record import RecordReadOnlyError

_LOCKS = (
    ("no", worded("No, anybody with the file can read it")),
    ("yes", worded("Yes, with a passphrase")),
)


def state_of(notebook: Notebook) -> BackupState:
    """Return how things stand with backups; of the demo's record nothing is kept anyway."""
    state = backup_state(notebook.record.entries, notebook.record.alive, notebook.now())
    return BackupState(state.made_at, state.since, state.due and not notebook.is_demo)


def reminder(app: App[Notebook]) -> list[ft.Control]:
    """Draw what Today says when a backup is due, or a clock was wrong; nothing otherwise."""
    state = state_of(app.services)
    early = from_the_future(app.services.record.alive, app.services.now())
    if early:
        told = worded_count(
            "{count} entry is dated in the future: a clock was or is wrong, and some numbers here"
            " may be too.",
            "{count} entries are dated in the future: a clock was or is wrong, and some numbers"
            " here may be too.",
            len(early),
        )
        return [
            notice(
                told,
                needs_you=True,
                key="clock",
                below=[
                    quiet_button(
                        worded("See which"), lambda: app.go("/record"), icon=ft.Icons.EVENT_BUSY
                    )
                ],
            )
        ]
    if not state.due:
        return []
    risk = worded("A lost or broken device would take it along.")
    sentence = joined(" ", (say_state(state, app.services.now()), risk))
    return [
        notice(
            sentence,
            key="backup due",
            below=[
                quiet_button(
                    worded("Make a backup"), lambda: app.go("/backup"), icon=ft.Icons.SAVE_ALT
                )
            ],
        )
    ]


def backup(app: App[Notebook]) -> list[ft.Control]:
    """Draw the making of a backup, and the check of the file that came of it."""
    notebook = app.services
    draft = app.draft("backup")

    def put(name: str, value: Any) -> None:
        draft[name] = value
        app.refresh()

    async def make() -> None:
        draft["trouble"] = ""
        entries = notebook.record.entries
        locked = draft.get("lock") == "yes"
        try:
            words = _passphrase(draft) if locked else ""
            data = await make_backup(entries, notebook.now(), words)
            name = f"pocketpump-backup-{notebook.now():%Y-%m-%d}.json"
            await save_file(app, name, data)
            note = {"entry_count": len(entries), "locked": locked}
            with suppress(RecordReadOnlyError):  # the file counts; the problem is told on Today
                notebook.save("backup", notebook.now(), note)
        except PocketPumpError as error:
            put("trouble", str(error))
            return
        draft["made"] = name
        app.say(
            worded_count(
                "The backup with {count} entry is made. Your browser keeps it as {file}, where it"
                " keeps downloads.",
                "The backup with {count} entries is made. Your browser keeps it as {file}, where it"
                " keeps downloads.",
                len(entries),
                file=name,
            )
        )

    def first(words: str) -> None:
        before = draft.get("first", "")
        draft["first"] = words
        # Not drawn anew for every letter: only when something else is to be said.
        if not before or not words or strength_of(before).level != strength_of(words).level:
            app.refresh()

    async def check() -> None:
        chosen = await choose("json")
        if chosen is None:
            return
        draft["trouble"] = ""
        try:
            held = {entry.id for entry in notebook.record.entries}
            found = await open_backup(chosen[1], draft.get("first", ""))
        except PocketPumpError as error:
            put("trouble", str(error))
            return
        inside = {entry.id for entry in found.entries}
        missing = _missing(notebook, inside)
        draft["checked"] = inside
        name, number = chosen[0], len(inside)
        if missing:
            told = worded_count(
                "{file} is whole. It holds {count} entry; {missing} newer ones are not in it.",
                "{file} is whole. It holds {count} entries; {missing} newer ones are not in it.",
                number,
                file=name,
                missing=missing,
            )
        elif inside - held:
            told = worded_count(
                "{file} is whole. It holds {count} entry, which is not on this device.",
                "{file} is whole. It holds {count} entries, some of which are not on this device.",
                number,
                file=name,
            )
        else:
            told = worded_count(
                "{file} is whole. It holds {count} entry: all that is here.",
                "{file} is whole. It holds {count} entries: all that is here.",
                number,
                file=name,
            )
        app.say(told, needs_you=bool(missing))

    controls: list[ft.Control] = [
        body(say_state(state_of(notebook), notebook.now())),
        body(
            worded(
                "A backup is one file with everything you ever noted. Keep it on another device."
            )
        ),
        choice(worded("Lock the file?"), _LOCKS, draft.get("lock", "no"), lambda v: put("lock", v)),
    ]
    if draft.get("lock") == "yes":
        controls += [
            app.secret(
                worded("Passphrase"),
                draft.get("first", ""),
                first,
                helper=worded(
                    "Five words are easy to keep. Without it nobody can open the"
                    " file, and nobody can get it back: write it down."
                ),
            ),
            app.secret(
                worded("The same again"),
                draft.get("second", ""),
                lambda v: draft.update(second=v),
            ),
        ]
        if draft.get("first"):
            # Under both boxes, so that none of them moves while somebody types.
            controls.append(body(strength_of(draft["first"]).sentence))
    if draft.get("trouble"):
        controls.append(notice(draft["trouble"], needs_you=True, key="trouble"))
    controls.append(big_button(worded("Make the backup"), make, icon=ft.Icons.SAVE_ALT))
    if draft.get("made"):
        controls.append(body(worded("To be sure, open the file that your browser kept.")))
    controls += [
        quiet_button(worded("Check a backup file"), check, icon=ft.Icons.FACT_CHECK_OUTLINED),
        quiet_button(worded("Bring in a copy"), lambda: app.go("/merge"), icon=ft.Icons.MERGE),
    ]
    return controls


def is_checked(app: App[Notebook]) -> bool:
    """Tell whether a backup file with all that is here was opened and found whole, just now."""
    inside = app.draft("backup").get("checked")
    return inside is not None and not _missing(app.services, inside)


def _missing(notebook: Notebook, inside: Container[str]) -> int:
    # The note that a backup was made is written after it, and so is never in it.
    return sum(e.kind != "backup" for e in notebook.record.entries if e.id not in inside)


def _passphrase(draft: dict[str, Any]) -> str:
    first, second = draft.get("first", ""), draft.get("second", "")
    if first != second:
        raise InputError(worded("The two passphrases differ: write the same one twice."))
    if not first:
        raise InputError(worded("Write a passphrase, or make the backup without one."))
    return str(first)
