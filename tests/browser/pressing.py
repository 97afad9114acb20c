"""A finger or a mouse that presses as long as it likes, and trembles meanwhile."""

from __future__ import annotations

import math
import time

STEP_S = 0.05

WITHOUT_TREE = """(() => {
  const press = HTMLElement.prototype.click;
  HTMLElement.prototype.click = function () {
    if (this.localName !== 'flt-semantics-placeholder') press.call(this);
  };
})();"""
"""Keeps the page from switching the tree of names on."""


def press(page, x: float, y: float, seconds: float, *, by: str, tremble: float = 0) -> None:
    """Press at a point for so long; ``tremble`` is how far, in px, the finger strays from it."""
    session = page.context.new_cdp_session(page)

    def touch(kind: str, at: list[tuple[float, float]]) -> None:
        points = [{"x": px, "y": py} for px, py in at]
        session.send("Input.dispatchTouchEvent", {"type": kind, "touchPoints": points})

    def strays(step: int) -> tuple[float, float]:
        return x + tremble * math.sin(1.9 * step), y + tremble * math.cos(2.3 * step + 1.6)

    if by == "touch":
        touch("touchStart", [(x, y)])
    else:
        page.mouse.move(x, y)
        page.mouse.down()
    end, step = time.monotonic() + seconds, 0
    while (left := end - time.monotonic()) > 0:
        # Playwright is kept going, or the page could not answer it.
        page.wait_for_timeout(min(STEP_S, left) * 1000)
        step += 1
        if tremble and by == "touch":
            touch("touchMove", [strays(step)])
        elif tremble:
            page.mouse.move(*strays(step))
    if by == "touch":
        touch("touchEnd", [])
    else:
        page.mouse.up()
    session.detach()
