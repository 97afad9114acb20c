"""Ending a record here: begin an empty one, erase everything, or bring back what was set aside."""

import flet as ft

from pocketpump.app.parts import big_button, body, choice, notice, quiet_button, text_field
from pocketpump.app.parts import section as heading
from pocketpump.app.screens.draft import put
from pocketpump.app.screens.link import link
from pocketpump.app.screens.saved_files import saved_name
from pocketpump.app.screens.whole_record.backup_check import is_checked
from pocketpump.app.server.file_saving import save_file
from pocketpump.app.services import Services
from pocketpump.app.shared_texts import YES_NO
from pocketpump.app.shell.shell import App
from pocketpump.core.messages import joined, message
from pocketpump.exchange.backup.backup import Backup
from pocketpump.exchange.backup.raw_files import write_raw_files
from pocketpump.exchange.backup.record_check import not_in_backup

_WORD = "ERASE"
_CHECK_FIRST = message(
    "Make a backup first, and open the file with “{button}”: only a file that was"
    " read again is sure to be there.",
    button=message("Check a backup file"),
)


def ending_controls(app: App[Services]) -> list[ft.Control]:
    """Draw the ways to end the record that is here, and the way back."""
    return [
        heading(message("Start over")),
        *_start_over(app),
        *_set_aside(app),
        heading(message("Erase everything")),
        *_erase(app),
    ]


def _start_over(app: App[Services]) -> list[ft.Control]:
    draft = app.draft("start over")
    said = body(
        message("The record is moved aside, not deleted, and PocketPump begins an empty one.")
    )
    if not is_checked(app):
        return [said, body(_CHECK_FIRST), _to_backup(app, message("Back up, then start over"))]

    def go() -> None:
        app.services.start_over()
        app.go("/start")
        app.say(message("The old record was moved aside. Your backup brings it back, and so does"
                       " {screen}.", screen=message("My record")))  # fmt: skip

    controls: list[ft.Control] = [
        said,
        choice(message("Begin an empty record?"),
               YES_NO, draft.get("sure", "no"),
               lambda value: put(app, draft, "sure", value), in_row=True),
    ]  # fmt: skip
    if draft.get("sure") == "yes":
        controls.append(big_button(message("Start over"), go, icon=ft.Icons.RESTART_ALT))
    return controls


def _set_aside(app: App[Services]) -> list[ft.Control]:
    if not any(name.startswith("aside-") for name in app.services.record.file_names):
        return []

    def bring_back() -> None:
        entries = app.services.record.set_aside()
        merge = app.draft("merge")
        merge.clear()
        merge["name"] = message("what was set aside on this device")
        merge["backup"] = Backup(entries, app.services.now())
        app.go("/merge")

    return [
        heading(message("Set aside earlier")),
        body(message("A record that was moved aside is still on this device. What it would add is"
                    " shown first.")),
        quiet_button(message("Bring it back"), bring_back, icon=ft.Icons.UNARCHIVE_OUTLINED),
    ]  # fmt: skip


def _erase(app: App[Services]) -> list[ft.Control]:
    draft = app.draft("erase")
    said = body(
        message(
            "Before you sell, lend or give back this device: this removes the record and"
            " everything that was set aside. It cannot be undone. Files in your downloads stay:"
            " remove them there."
        )
    )
    ways = (("kept", message("I want to keep a backup")), ("none", message("I do not want one")))
    controls: list[ft.Control] = [
        said,
        choice(message("And a backup?"), ways, draft.get("way"),
               lambda value: put(app, draft, "way", value)),
    ]  # fmt: skip
    way = draft.get("way")
    if way is None:
        return controls
    if way == "kept":
        controls += _not_in_backup(app)
    if way == "kept" and not is_checked(app):
        return [*controls, body(_CHECK_FIRST), _to_backup(app, message("Back up, then erase"))]

    def go() -> None:
        if str(draft.get("word", "")).strip().upper() != _WORD:
            wrong = message("Nothing was erased: write {word} first.", word=_WORD)
            put(app, draft, "failed", wrong)
            return
        app.services.erase()
        app.go("/start")
        app.say(message("Everything was erased from this device."))

    controls.append(
        text_field(message("Write {word} to erase", word=_WORD), draft.get("word", ""),
                   lambda text: draft.update(word=text))
    )  # fmt: skip
    if draft.get("failed"):
        controls.append(notice(draft["failed"], needs_you=True, key="erase failed"))
    controls.append(
        big_button(message("Erase everything"), go, icon=ft.Icons.DELETE_FOREVER_OUTLINED)
    )
    return controls


def _not_in_backup(app: App[Services]) -> list[ft.Control]:
    """Draw what only the files hold, and the way to keep them; nothing when a backup holds all."""
    services = app.services
    missing = not_in_backup(services.record)
    if not missing:
        return []

    async def save_files() -> None:
        data = write_raw_files(services.record.files_as_they_are(), services.now())
        await save_file(app, saved_name(app, "files", "json"), data)

    button = quiet_button(
        message("Save the files as they are"), save_files, icon=ft.Icons.FOLDER_ZIP_OUTLINED
    )
    told = joined("\n", missing)
    return [notice(told, needs_you=True, key="not in backup", below=[button])]


def _to_backup(app: App[Services], label: str) -> ft.Control:
    return link(app, label, "/backup", ft.Icons.SAVE_ALT)
