"""Handing a file to the person: a download in the browser, a dialog on a desktop."""

from typing import Any

import flet as ft

from pocketpump.app.shell.shell import App
from pocketpump.core.messages import message


async def save_file(app: App[Any], name: str, content: bytes) -> None:
    """Offer ``content`` to be kept under ``name``, and say so.

    In a browser the file goes to the downloads at once and nothing comes back, so that is
    all that can be said.
    """
    await ft.FilePicker().save_file(file_name=name, src_bytes=content)
    app.say(message("{file} was handed to your browser. Look in your downloads.", file=name))


async def share_file(app: App[Any], name: str, content: bytes, kind: str) -> None:
    """Hand ``content`` of the media type ``kind`` to the device's sheet for sharing.

    Where there is none it is offered to be kept.
    """
    try:
        await ft.Share().share_files([ft.ShareFile.from_bytes(content, mime_type=kind, name=name)])
    except RuntimeError:
        # flet says so where the browser has no sheet to share with.
        await save_file(app, name, content)
