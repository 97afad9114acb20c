"""Photos and scans of the clinic's papers, kept inside the record."""

from functools import partial

import flet as ft

from pocketpump.app.parts import big_button, body, card, quiet_button, section
from pocketpump.app.screens.list_row import row
from pocketpump.app.screens.saved_files import paper_name
from pocketpump.app.screens.undo import remove_button, say_with_undo
from pocketpump.app.server.file_saving import save_file
from pocketpump.app.services import Services
from pocketpump.app.shell.shell import App
from pocketpump.core.errors import InputError
from pocketpump.core.messages import message
from pocketpump.core.units.instants import date_text
from pocketpump.exchange.papers.attachment import (
    attachment_bytes,
    attachment_payload,
    check_room,
    media_type,
)
from pocketpump.record import Entry
from pocketpump.record.entry.kinds import LARGEST_ATTACHMENT


def papers(app: App[Services]) -> list[ft.Control]:
    """Draw what is kept, newest first, and the way to add one."""

    async def add() -> None:
        files = await ft.FilePicker().pick_files(with_data=True)
        if not files:
            return
        services = app.services
        payload = attachment_payload(files[0].name, files[0].bytes or b"")
        check_room(services.record.entries, payload)
        entry = services.save("attachment", services.now(), payload)
        say_with_undo(app, message("The picture is kept in the record."), entry.id)

    controls: list[ft.Control] = [
        body(
            message(
                "A photo of the clinic's printout, kept with the record and its backups. At most"
                " {size} kB each.",
                size=LARGEST_ATTACHMENT // 1024,
            )
        ),
        big_button(message("Add a photo or scan"), add, icon=ft.Icons.ADD_A_PHOTO_OUTLINED),
    ]
    entries = app.services.of_kind("attachment")
    if not entries:
        controls.append(body(message("Nothing is kept yet.")))
    return controls + [row(app, e.id, partial(_paper, app, e)) for e in reversed(entries)]


def _paper(app: App[Services], entry: Entry) -> ft.Control:
    name = str(entry.payload.get("name") or message("Without a name"))
    try:
        data = attachment_bytes(entry.payload)
    except InputError as error:
        # From a damaged or foreign copy: one odd picture must not hide the others.
        remove = remove_button(app, entry.id, "picture", "/papers")
        return card([section(name), body(str(error)), remove])

    async def save() -> None:
        day = entry.at.astimezone(app.services.zone).date().isoformat()
        await save_file(app, paper_name(app, day, name, media_type(data)), data)

    pieces: list[ft.Control] = [
        section(name),
        body(date_text(entry.at.astimezone(app.services.zone).date()), soft=True),
    ]
    if media_type(data).startswith("image/"):
        pieces.append(ft.Image(src=data, semantics_label=name, key=f"picture:{entry.id}"))
    pieces += [
        quiet_button(
            message("Save as a file"), save, icon=ft.Icons.SAVE_ALT, key=f"save:{entry.id}"
        ),
        remove_button(app, entry.id, "picture", "/papers"),
    ]
    return card(pieces)
