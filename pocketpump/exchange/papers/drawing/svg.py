"""A page as SVG; letters are drawn as outlines, so it looks the same without any font."""

from pocketpump.exchange.papers.drawing.page import MM_PER_POINT, Box, Page, Rule, Text, glyph_of

_BOLD_STROKE = 0.035


def to_svg(page: Page, title: str) -> str:
    """Return ``page`` as one SVG element, sized in millimetres."""
    shapes: dict[str, str] = {}
    body: list[str] = []
    for thing in page.drawn:
        if isinstance(thing, Box):
            body.append(
                f'<rect x="{thing.x:g}" y="{thing.y:g}" width="{thing.width:g}"'
                f' height="{thing.height:g}" fill="{_grey(thing.grey)}"/>'
            )
        elif isinstance(thing, Rule):
            dash = f' stroke-dasharray="{thing.dash:g}"' if thing.dash else ""
            body.append(
                f'<path d="M{thing.x:g} {thing.y:g}L{thing.to_x:g} {thing.to_y:g}"'
                f' stroke="#000" stroke-width="{thing.width:g}"{dash}/>'
            )
        else:
            body.append(_text(thing, shapes))
    kept = "".join(f'<path id="{name}" d="{path}"/>' for name, path in shapes.items())
    label = title.replace("&", "&amp;").replace('"', "&quot;").replace("<", "&lt;")
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" xmlns:xlink="http://www.w3.org/1999/xlink"'
        f' width="{page.width:g}mm" height="{page.height:g}mm"'
        f' viewBox="0 0 {page.width:g} {page.height:g}" role="img" aria-label="{label}">'
        f'<defs>{kept}</defs><rect width="100%" height="100%" fill="#fff"/>{"".join(body)}</svg>'
    )


def _grey(grey: float) -> str:
    return "#" + f"{round(grey * 255):02x}" * 3


def _text(text: Text, shapes: dict[str, str]) -> str:
    x = 0.0
    uses: list[str] = []
    for letter in text.letters:
        font, glyph = glyph_of(letter, text.language)
        name = f"{font.name[10]}{glyph}"
        if name not in shapes:
            shapes[name] = "".join(
                f"M{contour[0][0][0]:g} {contour[0][0][1]:g}"
                + "".join(f"Q{c[0]:g} {c[1]:g} {e[0]:g} {e[1]:g}" for _, c, e in contour)
                + "Z"
                for contour in font.outline(glyph)
                if contour
            )
        if shapes[name]:
            uses.append(f'<use xlink:href="#{name}" x="{x:g}"/>')
        x += font.width(glyph)
    scale = text.size * MM_PER_POINT / 1000
    bold = f' stroke="{_grey(text.grey)}" stroke-width="{_BOLD_STROKE * 1000:g}"'
    return (
        f'<g transform="translate({text.x:.3f} {text.y:.3f}) scale({scale:.6f} {-scale:.6f})"'
        f' fill="{_grey(text.grey)}"{bold if text.bold else ""}>{"".join(uses)}</g>'
    )
