"""A page as SVG; letters are drawn as outlines, so it looks the same without any font."""

from html import escape

from pocketpump.exchange.papers.drawing.fonts import glyph_of
from pocketpump.exchange.papers.drawing.lending import EM
from pocketpump.exchange.papers.drawing.page import (
    BOLD_STROKE,
    MM_PER_POINT,
    Box,
    Dot,
    Page,
    Rule,
    Text,
    shade,
)


def to_svg(page: Page, title: str) -> str:
    """Return ``page`` as one SVG element, sized in millimetres."""
    shapes: dict[str, str] = {}
    body: list[str] = []
    for thing in page.drawn:
        ink = "#" + f"{shade(thing):02x}" * 3
        if isinstance(thing, Box):
            body.append(
                f'<rect x="{thing.x:g}" y="{thing.y:g}" width="{thing.width:g}"'
                f' height="{thing.height:g}" fill="{ink}"/>'
            )
        elif isinstance(thing, Dot):
            body.append(
                f'<circle cx="{thing.x:g}" cy="{thing.y:g}" r="{thing.radius:g}" fill="{ink}"/>'
            )
        elif isinstance(thing, Rule):
            dash = f' stroke-dasharray="{thing.dash:g}"' if thing.dash else ""
            body.append(
                f'<path d="M{thing.x:g} {thing.y:g}L{thing.to_x:g} {thing.to_y:g}"'
                f' stroke="{ink}" stroke-width="{thing.width:g}"{dash}/>'
            )
        else:
            body.append(_text(thing, ink, shapes))
    kept = "".join(f'<path id="{name}" d="{path}"/>' for name, path in shapes.items())
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" xmlns:xlink="http://www.w3.org/1999/xlink"'
        f' width="{page.width:g}mm" height="{page.height:g}mm"'
        f' viewBox="0 0 {page.width:g} {page.height:g}" role="img" aria-label="{escape(title)}">'
        f'<defs>{kept}</defs><rect width="100%" height="100%" fill="#fff"/>{"".join(body)}</svg>'
    )


def outlined(text: Text, shapes: dict[str, str]) -> list[tuple[str, float]]:
    """Return the outlines that draw ``text``: names in ``shapes``, and how far along they begin.

    Lengths are in `EM` to the type size. Outlines that are new are added to ``shapes``.
    """
    x = 0.0
    found: list[tuple[str, float]] = []
    for letter in text.letters:
        font, glyph = glyph_of(letter, text.language)
        name = f"{font.name}-{glyph}"
        if name not in shapes:
            shapes[name] = font.outline(glyph)
        if shapes[name]:
            found.append((name, x))
        x += font.width(glyph) * EM
    return found


def _text(text: Text, ink: str, shapes: dict[str, str]) -> str:
    uses = "".join(f'<use xlink:href="#{name}" x="{x:g}"/>' for name, x in outlined(text, shapes))
    scale = text.size * MM_PER_POINT / EM
    bold = f' stroke="{ink}" stroke-width="{BOLD_STROKE * EM:g}"' if text.bold else ""
    return (
        f'<g transform="translate({text.x:.3f} {text.y:.3f}) scale({scale:.6f} {-scale:.6f})"'
        f' fill="{ink}"{bold}>{uses}</g>'
    )
