"""Draws the app's icons: a vessel with a water line, in ink on sand. Pure Python.

Run ``python -m pocketpump.web.icons assets/icons`` to write them; the files are kept with the
project, so a build only copies them.
"""

from __future__ import annotations

import struct
import sys
import zlib
from pathlib import Path

# The ink and sand of the app, and its water a shade deeper, to be seen when small.
INK = (0x14, 0x26, 0x2E)
SAND = (0xF6, 0xF0, 0xE4)
WATER = (0x2B, 0x72, 0x83)

#: Name, size, and whether the motif stays inside the safe middle of a maskable icon.
ICONS = (
    ("icon-192.png", 192, False),
    ("icon-512.png", 512, False),
    ("icon-maskable-192.png", 192, True),
    ("icon-maskable-512.png", 512, True),
    ("apple-touch-icon.png", 180, True),
    ("favicon.png", 48, False),
)

_SAMPLES = 3  # per axis and pixel, for smooth edges


def png(width: int, height: int, rows: bytes) -> bytes:
    """Return a PNG file from rows of RGBA bytes."""

    def chunk(kind: bytes, data: bytes) -> bytes:
        return (
            struct.pack(">I", len(data)) + kind + data + struct.pack(">I", zlib.crc32(kind + data))
        )

    stride = width * 4
    lines = b"".join(b"\0" + rows[y * stride : (y + 1) * stride] for y in range(height))
    header = struct.pack(">IIBBBBB", width, height, 8, 6, 0, 0, 0)
    return (
        b"\x89PNG\r\n\x1a\n"
        + chunk(b"IHDR", header)
        + chunk(b"IDAT", zlib.compress(lines, 9))
        + chunk(b"IEND", b"")
    )


def _inside(x: float, y: float, half_w: float, top: float, bottom: float, round_: float) -> bool:
    """Tell whether a point is in an upright box with rounded corners, centred at 0.5."""
    dx, cy, half_h = abs(x - 0.5), (top + bottom) / 2, (bottom - top) / 2
    dy = abs(y - cy)
    if dx > half_w or dy > half_h:
        return False
    ex, ey = dx - (half_w - round_), dy - (half_h - round_)
    return ex <= 0 or ey <= 0 or ex * ex + ey * ey <= round_ * round_


def _colour(x: float, y: float, maskable: bool) -> tuple[int, int, int] | None:
    """Return the colour at a point of the unit square, None where it is transparent."""
    if not maskable and not _inside(x, y, 0.5, 0.0, 1.0, 0.2):
        return None
    scale = 0.82 if maskable else 1.0
    u, v = 0.5 + (x - 0.5) / scale, 0.5 + (y - 0.5) / scale
    if not _inside(u, v, 0.22, 0.16, 0.84, 0.13):
        return SAND
    if not _inside(u, v, 0.165, 0.215, 0.785, 0.08):
        return INK
    level = 0.52
    if abs(v - level) < 0.018:
        return INK
    if v > level:
        return WATER
    # Two short marks on the wall: refill-by and alarm.
    marked = abs(v - 0.34) < 0.012 or abs(v - 0.43) < 0.012
    return INK if marked and u > 0.585 else SAND


def draw(size: int, maskable: bool) -> bytes:
    """Return one icon as a PNG file."""
    rows = bytearray()
    count = _SAMPLES * _SAMPLES
    offsets = [(i + 0.5) / _SAMPLES for i in range(_SAMPLES)]
    for py in range(size):
        for px in range(size):
            red = green = blue = seen = 0
            for oy in offsets:
                for ox in offsets:
                    colour = _colour((px + ox) / size, (py + oy) / size, maskable)
                    if colour is not None:
                        red, green, blue = red + colour[0], green + colour[1], blue + colour[2]
                        seen += 1
            if seen:
                rows += bytes((red // seen, green // seen, blue // seen, 255 * seen // count))
            else:
                rows += b"\0\0\0\0"
    return png(size, size, bytes(rows))


def write_icons(folder: Path) -> None:
    """Write all icons into ``folder``."""
    folder.mkdir(parents=True, exist_ok=True)
    for name, size, maskable in ICONS:
        (folder / name).write_bytes(draw(size, maskable))


if __name__ == "__main__":
    write_icons(Path(sys.argv[1]))
