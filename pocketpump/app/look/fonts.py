"""The bundled fonts on the screen: the client itself has no letters for Arabic or Chinese."""

from pathlib import Path

import flet as ft

from pocketpump.exchange.papers.drawing.fonts import NAMES, asset_folder

_OF_LANGUAGE = {"ar": NAMES[1], "zh": NAMES[2], "ja": NAMES[3]}


def put_fonts(assets: Path) -> None:
    """Copy the fonts to where the client looks for them."""
    target = assets / "fonts"
    target.mkdir(exist_ok=True)
    for name in NAMES:
        file = f"{name}.ttf"
        (target / file).write_bytes((asset_folder("fonts") / file).read_bytes())


def name_fonts(page: ft.Page, address: str = "fonts") -> None:
    """Tell ``page`` of the fonts, which are served at ``address``."""
    page.fonts = {name: f"{address}/{name}.ttf" for name in NAMES}


def families(language: str) -> list[str]:
    """Return the fonts to look for a letter in, in this order."""
    own = _OF_LANGUAGE.get(language)
    return list(dict.fromkeys([*([own] if own else []), *NAMES]))
