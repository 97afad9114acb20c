"""The bundled fonts on the screen: the client itself has no letters for Arabic or Chinese."""

import shutil
from pathlib import Path

import flet as ft

from pocketpump.exchange.drawing.faces import NAMES, asset_folder

_OF_LANGUAGE = {"ar": NAMES[1], "zh": NAMES[2], "ja": NAMES[3]}


def put_fonts(assets: Path) -> None:
    """Copy the fonts to where the client looks for them."""
    shutil.copytree(asset_folder("fonts"), assets / "fonts", dirs_exist_ok=True)


def name_fonts(page: ft.Page) -> None:
    """Tell ``page`` of the fonts; each is fetched when it is first drawn."""
    page.fonts = {name: f"fonts/{name}.ttf" for name in NAMES}


def families(language: str) -> list[str]:
    """Return the fonts to look for a letter in, in this order."""
    own = _OF_LANGUAGE.get(language)
    return list(dict.fromkeys([*([own] if own else []), *NAMES]))
