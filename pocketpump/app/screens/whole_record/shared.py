"""A file that another app shared with this one, or that was opened with it: shown, then kept."""

from __future__ import annotations

import flet as ft

from pocketpump.app.parts import big_button, body, quiet_button
from pocketpump.app.screens.undo import say_with_undo
from pocketpump.app.screens.whole_record.backup_file import take_backup
from pocketpump.app.services import Services
from pocketpump.app.shell.shell import App
from pocketpump.core.errors import PocketPumpError, shown
from pocketpump.core.messages import message
from pocketpump.exchange.backup.encrypted import is_locked, open_backup
from pocketpump.exchange.papers.attachment import attachment_payload, check_room, media_type
from pocketpump.record.facts.situation import has_begun


def lead_to_shared(app: App[Services]) -> None:
    """Lead to where the file that came is looked at: a backup's, or a picture's; or say no."""
    device = app.services.device
    if device is None or device.shared is None:
        return
    name, data = device.shared
    if media_type(data):
        app.go("/shared")
        return
    device.shared = None
    if _looks_like_backup(data):
        app.page.run_task(_lead_to_backup, app, name, data)
        return
    app.say(
        message(
            "“{name}” is no backup of PocketPump and no picture or PDF, so nothing was done"
            " with it.",
            name=shown(name),
        ),
        needs_you=True,
    )


def _looks_like_backup(data: bytes) -> bool:
    try:
        is_locked(data)
    except PocketPumpError:
        return False
    return True


async def _lead_to_backup(app: App[Services], name: str, data: bytes) -> None:
    draft = app.draft("merge")
    take_backup(draft, name, data)
    if draft.get("locked") is False:
        try:
            draft["backup"] = await open_backup(data)
        except PocketPumpError as error:
            draft["failed"] = str(error)
    app.go("/merge" if has_begun(app.services.record.alive) else "/start/copy")
    app.refresh()


def shared(app: App[Services]) -> list[ft.Control]:
    """Draw the picture or PDF that came, with the button that keeps it."""
    services, device = app.services, app.services.device
    if device is None or device.shared is None:
        return [body(message("No file has come from another app."))]
    name, data = device.shared

    def keep() -> None:
        payload = attachment_payload(name, data)
        check_room(services.record.entries, payload)
        entry = services.save("attachment", services.now(), payload)
        device.shared = None
        app.go("/papers")
        say_with_undo(app, message("The picture is kept in the record."), entry.id)

    def leave() -> None:
        device.shared = None
        app.go("/papers")

    controls: list[ft.Control] = [
        body(message("The file: {name}", name=name)),
        body(message("Nothing of it is kept yet.")),
    ]
    if media_type(data).startswith("image/"):
        controls.append(ft.Image(src=data, semantics_label=name, key="shared picture"))
    return [
        *controls,
        big_button(message("Keep it with the clinic's papers"), keep, icon=ft.Icons.CHECK),
        quiet_button(message("Leave it out"), leave, icon=ft.Icons.CLOSE),
    ]
