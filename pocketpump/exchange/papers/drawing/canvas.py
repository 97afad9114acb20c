"""A page as the steps by which a browser's canvas draws it: pictures need no library there."""

from typing import Any

from pocketpump.exchange.papers.drawing.lending import EM
from pocketpump.exchange.papers.drawing.page import (
    BOLD_STROKE,
    MM_PER_POINT,
    Box,
    Dot,
    Page,
    Rule,
    shade,
)
from pocketpump.exchange.papers.drawing.svg import outlined


def canvas_steps(page: Page, pixels_per_mm: float) -> dict[str, Any]:
    """Return what ``web/page/picture.js`` reads: lengths in mm, ``shapes`` as SVG paths."""
    shapes: dict[str, str] = {}
    steps: list[dict[str, Any]] = []
    for thing in page.drawn:
        step: dict[str, Any] = {"x": thing.x, "y": thing.y, "ink": shade(thing)}
        if isinstance(thing, Box):
            step |= {"width": thing.width, "height": thing.height}
        elif isinstance(thing, Dot):
            step |= {"radius": thing.radius}
        elif isinstance(thing, Rule):
            step |= {"line": thing.width, "to": [thing.to_x, thing.to_y], "dash": thing.dash}
        else:
            stroke = BOLD_STROKE * EM if thing.bold else 0
            step |= {"letters": outlined(thing, shapes), "stroke": stroke,
                     "scale": thing.size * MM_PER_POINT / EM}  # fmt: skip
        steps.append(step)
    return {"width": page.width, "height": page.height, "scale": pixels_per_mm,
            "shapes": shapes, "steps": steps}  # fmt: skip
