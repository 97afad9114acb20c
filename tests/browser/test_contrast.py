"""Every text on every screen, measured from the pixels: at least 7 to 1 against what is behind.

WCAG 2.2, success criterion 1.4.6 (7:1 for text of any size here), relative luminance as
defined there. In each text's box the commonest colour is what is behind it, and the pixel that
stands out most is a letter's full stroke.
"""

import io
import os

import pytest
from driving import PHONE, Hand
from PIL import Image

from pocketpump.app.screens.routes import ROUTES

LEAST = 7.0
TALL = 4000
BAR, PLACES = 100, ("Today", "Diary", "Refills", "Card", "More")
"""A long list goes on under the bar at the foot, where only the bar's own names can be read."""
SOME = list(ROUTES) if os.environ.get("POCKETPUMP_THOROUGH") else list(ROUTES)[::24]

TEXTS = """host => [...host.querySelectorAll('flt-semantics, h1, h2, h3, span')]
  .filter(e => ![...e.children].some(c => c.textContent || c.getAttribute('aria-label')))
  .filter(e => e.getAttribute('role') !== 'img' && e.textContent.trim())
  .map(e => { const own = /^H[1-6]$/.test(e.tagName);
    const r = ((!own && e.closest('flt-semantics')) || e).getBoundingClientRect();
    return {text: e.textContent.trim().slice(0, 60), x: r.x, y: r.y, w: r.width, h: r.height}; })
  .filter(n => n.w > 4 && n.h > 4)"""


def luminance(colour):
    parts = [c / 255 for c in colour[:3]]
    parts = [c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in parts]
    return 0.2126 * parts[0] + 0.7152 * parts[1] + 0.0722 * parts[2]


def contrast(one, other):
    low, high = sorted((luminance(one), luminance(other)))
    return (high + 0.05) / (low + 0.05)


def worst(picture, nodes):
    """Yield every text that stands out too little, with how much it does."""
    for node in nodes:
        box = (node["x"], node["y"], node["x"] + node["w"], node["y"] + node["h"])
        piece = picture.crop(tuple(round(2 * side) for side in box))
        colours = piece.getcolors(1 << 24)
        behind = max(colours)[1]
        best = max(contrast(behind, colour) for _, colour in colours)
        if best < LEAST:
            yield f"{node['text']!r} {best:.1f}:1"


def test_the_measure_tells_black_from_grey():
    assert contrast((0, 0, 0), (255, 255, 255)) == pytest.approx(21)
    # W3C's own example of a grey that just fails 4.5:1 on white.
    assert contrast((0x77, 0x77, 0x77), (255, 255, 255)) == pytest.approx(4.48, abs=0.01)


@pytest.mark.parametrize("scheme", ["light", pytest.param("dark", marks=pytest.mark.thorough)])
def test_every_text_stands_out(chromium, start_server, scheme):
    server = start_server("pocketpump", "demo", "--no-browser")
    context = chromium.new_context(
        viewport={"width": PHONE[0], "height": TALL}, device_scale_factor=2,
        color_scheme=scheme, reduced_motion="reduce", locale="en-GB",
    )  # fmt: skip
    hand = Hand(context.new_page()).open(server.url)
    root = server.url.partition("?")[0]
    found, seen = {}, 0
    for route in SOME:
        hand.turn_to(f"{root}#{route}", ROUTES[route].title)
        hand.page.wait_for_timeout(1200)
        nodes = hand.page.locator("flt-semantics-host").evaluate(TEXTS)
        nodes = [n for n in nodes if n["y"] + n["h"] <= TALL - BAR or n["text"] in PLACES]
        seen += len(nodes)
        with Image.open(io.BytesIO(hand.page.screenshot())) as picture:
            if told := list(worst(picture.convert("RGB"), nodes)):
                found[route] = told
    context.close()
    assert seen > 10 * len(SOME)
    assert not found
