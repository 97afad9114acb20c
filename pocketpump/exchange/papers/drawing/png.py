"""A page as a grey PNG picture, drawn with Pillow; a browser draws it from ``canvas``."""

from io import BytesIO

from pocketpump.exchange.papers.drawing.fonts import Font, letters_in_fonts
from pocketpump.exchange.papers.drawing.page import (
    BOLD_STROKE,
    MM_PER_POINT,
    Box,
    Dot,
    Page,
    Rule,
    shade,
)


def to_png(page: Page, pixels_per_mm: float) -> bytes:
    """Return ``page`` as PNG at this many pixels to the millimetre."""
    from PIL import Image, ImageDraw, ImageFont

    image = Image.new("L", (round(page.width * pixels_per_mm), round(page.height * pixels_per_mm)),
                      255)  # fmt: skip
    draw = ImageDraw.Draw(image)
    faces: dict[tuple[Font, float], ImageFont.FreeTypeFont] = {}
    for thing in page.drawn:
        ink = shade(thing)
        x, y = thing.x * pixels_per_mm, thing.y * pixels_per_mm
        if isinstance(thing, Box):
            right, below = x + thing.width * pixels_per_mm, y + thing.height * pixels_per_mm
            # Pillow fills the last pixel too.
            draw.rectangle((x, y, max(x, right - 1), max(y, below - 1)), fill=ink)
        elif isinstance(thing, Dot):
            draw.circle((x, y), thing.radius * pixels_per_mm, fill=ink)
        elif isinstance(thing, Rule):
            width = max(1, round(thing.width * pixels_per_mm))
            for piece in thing.dashes():
                draw.line([part * pixels_per_mm for part in piece], fill=ink, width=width)
        else:
            height = thing.size * MM_PER_POINT * pixels_per_mm
            stroke = height * BOLD_STROKE / 2 if thing.bold else 0
            for letter, font, wide in letters_in_fonts(thing.letters, thing.language):
                if (font, height) not in faces:
                    faces[font, height] = ImageFont.truetype(
                        BytesIO(font.data), height, layout_engine=ImageFont.Layout.BASIC
                    )
                draw.text((x, y), letter, ink, faces[font, height], "ls", stroke_width=stroke)
                x += wide * height
    written = BytesIO()
    image.save(written, "PNG")
    return written.getvalue()
