"""Empties the drawings of icons nobody uses in the bundled icon font.

The font keeps its layout, so no table has to be moved: the programs of the glyphs that are
kept stand together at the beginning, every other glyph is empty, and all that is left over
is zeros, which compress to almost nothing (476 kB of transfer become a few).
"""

from __future__ import annotations

import re
import struct
from collections.abc import Collection, Mapping

from pocketpump.web.errors import BuildError

#: Version 1.0 with empty lists of scripts, features and lookups.
_NO_SUBSTITUTIONS = struct.pack(">HHHHHHHH", 1, 0, 10, 12, 14, 0, 0, 0)
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


def thin(font: bytes, keep: Collection[int]) -> bytes:
    """Return ``font`` (OpenType with CFF outlines) with only the characters in ``keep``."""
    tables = _tables(font)
    if "CFF " not in tables or "cmap" not in tables:
        raise BuildError("The icon font is not of the expected kind.")
    kept = {0} | {glyph for code, glyph in _characters(font, tables["cmap"][0]) if code in keep}
    start = _char_strings(font, tables["CFF "][0])
    count, width = struct.unpack_from(">HB", font, start)
    table = start + 3
    offsets = [
        int.from_bytes(font[table + i * width : table + (i + 1) * width], "big")
        for i in range(count + 1)
    ]
    base = table + (count + 1) * width - 1
    out = bytearray(font)
    programs, places = bytearray(), [1]
    for glyph in range(count):
        if glyph in kept:
            programs += font[base + offsets[glyph] : base + offsets[glyph + 1]]
        places.append(len(programs) + 1)
    out[table : base + 1] = b"".join(place.to_bytes(width, "big") for place in places)
    out[base + 1 : base + offsets[count]] = programs.ljust(offsets[count] - 1, b"\0")
    _forget_characters(out, tables["cmap"][0], keep)
    # Names and ligatures ("home" drawn as a house) are not used by Flutter, which asks by
    # number: an empty substitution table, and glyph names that say nothing.
    if "GSUB" in tables:
        at, length = tables["GSUB"]
        out[at : at + length] = _NO_SUBSTITUTIONS.ljust(length, b"\0")
    _empty_strings(out, tables["CFF "][0])
    return bytes(out)


def _forget_characters(font: bytearray, cmap: int, keep: Collection[int]) -> None:
    """Leave in the font's full-range map (format 12) only the characters in ``keep``."""
    at = _full_range_map(font, cmap)
    groups = struct.unpack_from(">L", font, at + 12)[0]
    pairs = sorted((c, glyph) for c, glyph in _characters(font, cmap) if c in keep)
    assert len(pairs) <= groups
    struct.pack_into(">L", font, at + 4, 16 + 12 * len(pairs))
    struct.pack_into(">L", font, at + 12, len(pairs))
    # The maps for older readers are not needed beside it: their entries lead to this one.
    for number in range(struct.unpack_from(">H", font, cmap + 2)[0]):
        entry = cmap + 4 + 8 * number + 4
        old = cmap + struct.unpack_from(">L", font, entry)[0]
        if struct.unpack_from(">H", font, old)[0] == 4:
            length = struct.unpack_from(">H", font, old + 2)[0]
            font[old : old + length] = bytes(length)
        struct.pack_into(">L", font, entry, at - cmap)
    table = b"".join(struct.pack(">LLL", c, c, glyph) for c, glyph in pairs)
    font[at + 16 : at + 16 + 12 * groups] = table.ljust(12 * groups, b"\0")


def _empty_strings(font: bytearray, cff: int) -> None:
    """Make the texts of the font (names of its glyphs) empty, but for the last, of zeros."""
    at = _skip_index(font, _skip_index(font, cff + font[cff + 2]))
    count, width = struct.unpack_from(">HB", font, at)
    places, data = at + 3, at + 3 + (count + 1) * width
    font[places : places + count * width] = (1).to_bytes(width, "big") * count
    font[data : _skip_index(font, at)] = bytes(_skip_index(font, at) - data)


def _tables(font: bytes) -> dict[str, tuple[int, int]]:
    count = struct.unpack_from(">H", font, 4)[0]
    found = {}
    for number in range(count):
        tag, _, offset, length = struct.unpack_from(">4sLLL", font, 12 + 16 * number)
        found[tag.decode("latin-1")] = (offset, length)
    return found


def _full_range_map(font: bytes | bytearray, cmap: int) -> int:
    """Return where the font's map of all characters (format 12) begins."""
    for number in range(struct.unpack_from(">H", font, cmap + 2)[0]):
        at: int = cmap + struct.unpack_from(">L", font, cmap + 4 + 8 * number + 4)[0]
        if struct.unpack_from(">H", font, at)[0] == 12:
            return at
    raise BuildError("The icon font has no full-range character map.")


def _characters(font: bytes | bytearray, cmap: int) -> list[tuple[int, int]]:
    """Return (character, glyph) pairs from the font's full-range map."""
    at = _full_range_map(font, cmap)
    pairs: list[tuple[int, int]] = []
    for group in range(struct.unpack_from(">L", font, at + 12)[0]):
        first, last, glyph = struct.unpack_from(">LLL", font, at + 16 + 12 * group)
        pairs += [(code, glyph + code - first) for code in range(first, last + 1)]
    return pairs


def _char_strings(font: bytes, cff: int) -> int:
    """Return where the index of glyph programs begins."""
    at = _skip_index(font, cff + font[cff + 2])  # header, then the index of names
    count, width = struct.unpack_from(">HB", font, at)
    if count != 1:
        raise BuildError("The icon font holds more than one font.")
    base = at + 3 + 2 * width - 1
    end = int.from_bytes(font[at + 3 + width : at + 3 + 2 * width], "big")
    at, stop = base + 1, base + end
    operand: int = 0
    while at < stop:
        byte = font[at]
        if byte == 17:  # the operator "CharStrings": its operand is the place we want
            return cff + operand
        if byte == 29:
            operand, at = struct.unpack_from(">i", font, at + 1)[0], at + 5
        elif byte == 28:
            operand, at = struct.unpack_from(">h", font, at + 1)[0], at + 3
        elif byte == 30:  # a decimal fraction: nibbles up to one that is 15
            at += 1
            while font[at] & 15 != 15 and font[at] >> 4 != 15:
                at += 1
            at += 1
        elif 247 <= byte <= 254:
            sign = 1 if byte < 251 else -1
            bias = 247 if byte < 251 else 251
            operand, at = sign * ((byte - bias) * 256 + font[at + 1] + 108), at + 2
        elif byte >= 32:
            operand, at = byte - 139, at + 1
        else:
            at += 2 if byte == 12 else 1
    raise BuildError("The icon font lists no glyphs.")


def _skip_index(font: bytes | bytearray, at: int) -> int:
    count = int.from_bytes(font[at : at + 2], "big")
    if count == 0:
        return at + 2
    width = font[at + 2]
    last = at + 3 + count * width
    end = int.from_bytes(font[last : last + width], "big")
    return at + 3 + (count + 1) * width - 1 + end
