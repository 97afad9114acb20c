"""The bundled icon font with only the icons that the app draws (476 kB become a few)."""

from __future__ import annotations

import re
from collections.abc import Collection, Mapping
from io import BytesIO

from fontTools import subset
from fontTools.ttLib import TTFont

_ICON_CONSTANT = re.compile(r'\nB\.(\w+)=new A\.\w+\((\w+),"MaterialIcons",')
_ICON_LIST = re.compile(r"(?:B\.\w+,){4000,}B\.\w+")
_USED = re.compile(rb"\bIcons\.([A-Z0-9_]+)\b")

#: Icons Flet's own controls draw without the app naming them.
ALWAYS = (
    "ARROW_BACK",
    "ARROW_DROP_DOWN",
    "ARROW_DROP_UP",
    "CHECK",
    "CLOSE",
    "ERROR",
    "CHEVRON_LEFT",
    "CHEVRON_RIGHT",
    "MENU",
    "MORE_VERT",
    "CANCEL",
    "EDIT",
    "KEYBOARD_OUTLINED",
    "CALENDAR_TODAY",
    "ACCESS_TIME",
    "EXPAND_MORE",
    "EXPAND_LESS",
)


def used_icons(sources: Mapping[str, bytes]) -> set[str]:
    """Return the names of the icons these sources mention as ``Icons.NAME``."""
    found = {
        name.decode()
        for path, data in sources.items()
        if path.endswith(".py")
        for name in _USED.findall(data)
    }
    return found | set(ALWAYS)


def characters(client: str, numbers: Collection[int]) -> set[int] | None:
    """Return the characters that Flet's client draws for its icons with these ``numbers``.

    Flet numbers its icons by their place in a list inside the client (``main.dart.js``), so
    the list has to be read from there. None when it is not where we look for it.
    """
    drawn = {name: int(float(code)) for name, code in _ICON_CONSTANT.findall(client)}
    found = _ICON_LIST.search(client)
    places = found[0].split(",") if found else []
    if max(numbers) >= len(places):
        return None
    wanted = [drawn.get(places[number].removeprefix("B.")) for number in numbers]
    known = {code for code in wanted if code is not None}
    return known if len(wanted) == sum(code is not None for code in wanted) else None


def outline(font: bytes, character: int) -> str:
    """Return what ``font`` draws for ``character`` as the path of an SVG of 24 units a side."""
    from fontTools.pens.svgPathPen import SVGPathPen
    from fontTools.pens.transformPen import TransformPen

    read = TTFont(BytesIO(font))
    scale = 24 / read["head"].unitsPerEm
    glyphs = read.getGlyphSet()
    pen = SVGPathPen(glyphs, ntos=lambda number: f"{number:.2f}".rstrip("0").rstrip("."))
    # In a font up is positive, and the icons stand from the line of writing upwards.
    drawn = TransformPen(pen, (scale, 0, 0, -scale, 0, 24))
    glyphs[read.getBestCmap()[character]].draw(drawn)
    return str(pen.getCommands())


def thin(font: bytes, keep: Collection[int]) -> bytes:
    """Return ``font`` with only the characters in ``keep``, the same bytes each time.

    Names and ligatures ("home" drawn as a house) are left out: Flutter asks by number.
    """
    options = subset.Options()
    options.layout_features = []
    options.name_IDs = []
    options.notdef_outline = True
    read = TTFont(BytesIO(font), recalcTimestamp=False)
    subsetter = subset.Subsetter(options)
    subsetter.populate(unicodes=keep)
    subsetter.subset(read)
    thinned = BytesIO()
    read.save(thinned)
    return thinned.getvalue()
