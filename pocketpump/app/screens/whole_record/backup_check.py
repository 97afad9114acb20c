"""The check of a backup file: whether it is whole, and holds all that is here."""

from collections.abc import Container
from typing import Any

import flet as ft

from pocketpump.app.parts import body, notice, quiet_button
from pocketpump.app.screens.whole_record.backup_file import choose_backup, passphrase_box
from pocketpump.app.services import Services
from pocketpump.app.shell.shell import App
from pocketpump.core.errors import PocketPumpError
from pocketpump.core.messages import message, plural_message
from pocketpump.exchange.backup.backup import Backup
from pocketpump.exchange.backup.encrypted import open_backup


def check_controls(app: App[Services]) -> list[ft.Control]:
    """Draw the choice of a file to check, and the box for the passphrase of one that is locked."""
    draft = app.draft("backup check")

    async def pick() -> None:
        if not await choose_backup(draft):
            return
        if draft.get("locked") is False:
            await read()
        app.refresh()

    async def read() -> None:
        try:
            found = await open_backup(draft["data"], draft.get("words", ""))
        except PocketPumpError as error:
            draft["failed"] = str(error)
            app.refresh()
            return
        told, whole = _told(app.services, draft["name"], found)
        # The passphrase is not needed any more.
        draft.clear()
        draft["inside"] = {entry.id for entry in found.entries}
        app.say(told, needs_you=not whole)

    failed = draft.get("failed")
    wrong = [notice(failed, needs_you=True, key="check failed")] if failed else []
    button = quiet_button(message("Check a backup file"), pick, icon=ft.Icons.FACT_CHECK_OUTLINED)
    if not draft.get("locked"):
        return [*wrong, button]
    return [
        button,
        body(message("The file: {name}", name=draft["name"])),
        passphrase_box(app, draft, message("Passphrase of this file")),
        *wrong,
        quiet_button(message("Open it"), read, icon=ft.Icons.LOCK_OPEN),
    ]


def is_checked(app: App[Services]) -> bool:
    """Tell whether a backup file with all that is here was opened and found whole, just now."""
    inside = app.draft("backup check").get("inside")
    return inside is not None and not _missing(app.services, inside)


def _told(services: Services, name: str, found: Backup) -> tuple[str, bool]:
    """Return what is said of a file that could be read, and whether it holds all that is here."""
    held: set[Any] = {entry.id for entry in services.record.entries}
    inside = {entry.id for entry in found.entries}
    missing = _missing(services, inside)
    if missing:
        told = plural_message(
            "{file} is whole. It holds {count} entry; {missing} newer ones are not in it.",
            "{file} is whole. It holds {count} entries; {missing} newer ones are not in it.",
            len(inside),
            file=name,
            missing=missing,
        )
    elif inside - held:
        told = plural_message(
            "{file} is whole. It holds {count} entry, which is not on this device.",
            "{file} is whole. It holds {count} entries, some of which are not on this device.",
            len(inside),
            file=name,
        )
    else:
        told = plural_message(
            "{file} is whole. It holds {count} entry: all that is here.",
            "{file} is whole. It holds {count} entries: all that is here.",
            len(inside),
            file=name,
        )
    return told, not missing


def _missing(services: Services, inside: Container[str]) -> int:
    # The note that a backup was made is written after it, and so is never in it.
    return sum(e.kind != "backup" for e in services.record.entries if e.id not in inside)
