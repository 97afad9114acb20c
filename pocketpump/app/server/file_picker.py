"""Files into the app: the browser's own dialog, bytes on our side."""

import flet as ft


async def choose(ending: str) -> tuple[str, bytes] | None:
    """Let the person choose one file and return its name and bytes; None if none was chosen.

    ``ending`` is that of the files offered, without the point.
    """
    chosen = await ft.FilePicker().pick_files(
        file_type=ft.FilePickerFileType.CUSTOM, allowed_extensions=[ending], with_data=True
    )
    if not chosen or chosen[0].bytes is None:
        return None
    return chosen[0].name, chosen[0].bytes
