"""Bring in a copy: a backup, or the record of another phone, a desktop, a carer."""

import flet as ft

from pocketpump.app.parts import big_button, body, notice, quiet_button
from pocketpump.app.screens.whole_record.backup_file import choose_backup, passphrase_box
from pocketpump.app.screens.whole_record.import_preview import bring_controls
from pocketpump.app.services import Services
from pocketpump.app.shell.shell import App
from pocketpump.core.errors import PocketPumpError
from pocketpump.core.messages import message
from pocketpump.exchange.backup.encrypted import open_backup


def merge(app: App[Services]) -> list[ft.Control]:
    """Draw the choice of a file, its passphrase, and what it would add."""
    draft = app.draft("merge")

    async def pick() -> None:
        if not await choose_backup(draft):
            return
        if draft.get("locked") is False:
            await unlock()
        else:
            app.refresh()

    async def unlock() -> None:
        draft["failed"] = ""
        try:
            draft["backup"] = await open_backup(draft["data"], draft.get("words", ""))
            # It is not needed any more.
            draft.pop("words", None)
        except PocketPumpError as error:
            draft["failed"] = str(error)
        app.refresh()

    controls: list[ft.Control] = []
    if "name" not in draft:
        controls.append(
            body(
                message(
                    "Choose a backup file: your own from earlier, or one made on your other phone,"
                    " on a desktop, or by somebody who cares for you. What it would add is shown"
                    " first."
                )
            )
        )
    else:
        controls.append(body(message("The file: {name}", name=draft["name"])))
    # Told above the button, so that the field does not move under the fingers.
    failed = draft.get("failed")
    wrong = [notice(failed, needs_you=True, key="failed")] if failed else []
    found = draft.get("backup")
    if found is not None:
        controls += bring_controls(app, draft, found.entries, found.problems)
    elif draft.get("locked"):
        controls += [
            passphrase_box(app, draft, message("Passphrase")),
            *wrong,
            big_button(message("Open it"), unlock, icon=ft.Icons.LOCK_OPEN),
        ]
    else:
        controls += wrong
    another = "name" in draft
    button = quiet_button if another else big_button
    label = message("Choose another file") if another else message("Choose a file")
    controls.append(button(label, pick, icon=ft.Icons.FOLDER_OPEN))
    return controls
