"""A backup file that the person chooses, and the box for the passphrase of one that is locked."""

from collections.abc import MutableMapping
from typing import Any

import flet as ft

from pocketpump.app.server.file_picker import choose
from pocketpump.app.services import Services
from pocketpump.app.shell.shell import App
from pocketpump.core.errors import PocketPumpError
from pocketpump.core.messages import message
from pocketpump.exchange.backup.encrypted import is_locked


async def choose_backup(draft: MutableMapping[str, Any]) -> bool:
    """Let a file be chosen into ``draft``, in the place of all that was there; whether one was.

    "name" and "data" are the file's, "locked" whether it needs a passphrase; of a file that is
    no backup "failed" says so.
    """
    chosen = await choose("json")
    if chosen is None:
        return False
    take_backup(draft, *chosen)
    return True


def take_backup(draft: MutableMapping[str, Any], name: str, data: bytes) -> None:
    """Take a file that was chosen into ``draft``, as `choose_backup` does."""
    draft.clear()
    draft["name"], draft["data"] = name, data
    try:
        draft["locked"] = is_locked(data)
    except PocketPumpError as error:
        draft["failed"] = str(error)


def passphrase_box(app: App[Services], draft: MutableMapping[str, Any], label: str) -> ft.Control:
    """Draw the box for the file's passphrase, kept as "words"; what failed goes as it is mended."""

    def write(words: str) -> None:
        draft["words"] = words
        if draft.pop("failed", ""):
            app.refresh()

    helper = message("The one it was locked with.")
    return app.secret(label, draft.get("words", ""), write, helper=helper)
