"""Every screen, measured: whatever can be tapped is large, apart, named, in reach and in sight."""

import os
import re
import time

import pytest
from driving import DESKTOP, PHONE
from test_contrast import TEXTS
from webkit_driving import WebKit, webkit_missing

from pocketpump.app.screens.routes import ROUTES

LEAST, APART = 56, 12
TABLET_WIDTH = 820
# Half a pixel for rounding.
HAIR = 0.5
TALL = 12_000
"""So tall that nothing has to be scrolled into the tree of names."""

NODES = """host => [...host.querySelectorAll('[role=button],[role=checkbox],input,textarea')]
  .map(e => {
    const isBox = ['INPUT', 'TEXTAREA'].includes(e.tagName);
    // A box's own edge lies outside of what is drawn; the node around it is what is there.
    const r = (isBox ? e.parentElement : e).getBoundingClientRect();
    const name = e.getAttribute('aria-label') || e.textContent
      || e.parentElement.getAttribute('aria-label') || '';
    return {name: name.trim().slice(0, 50), tab: e.tabIndex,
            x: r.x, y: r.y, w: r.width, h: r.height};
  }).filter(n => n.w > 0)"""

LOOKS = [
    pytest.param("Usual", PHONE[0], id="phone"),
    pytest.param("Largest", PHONE[0], id="phone in the largest text", marks=pytest.mark.thorough),
    pytest.param("Usual", TABLET_WIDTH, id="tablet", marks=pytest.mark.thorough),
    pytest.param("Usual", DESKTOP[0], id="desktop", marks=pytest.mark.thorough),
]
THOROUGH = os.environ.get("POCKETPUMP_THOROUGH")
SOME = list(ROUTES) if THOROUGH else list(ROUTES)[::3]


def troubles(nodes, width):
    """Yield a sentence for everything a clumsy hand or a screen reader would stumble over."""
    for node in nodes:
        if not node["name"]:
            yield f"nameless at {node['x']:.0f}, {node['y']:.0f}"
        if min(node["w"], node["h"]) < LEAST - HAIR:
            yield f"{node['name']!r} is {node['w']:.0f} x {node['h']:.0f}"
        if node["tab"] < 0:
            yield f"{node['name']!r} cannot be reached by keyboard"
        if node["x"] < -HAIR or node["x"] + node["w"] > width + HAIR:
            yield f"{node['name']!r} leaves the screen"
    for index, one in enumerate(nodes):
        for other in nodes[index + 1 :]:
            gap = max(
                max(one[at], other[at]) - min(one[at] + one[by], other[at] + other[by])
                for at, by in (("x", "w"), ("y", "h"))
            )
            if gap < APART - HAIR:
                yield f"{one['name']!r} and {other['name']!r} are {gap:.0f} apart"


@pytest.mark.parametrize(("text", "width"), LOOKS)
def test_everything_that_can_be_tapped_is_large_apart_named_and_in_reach(
    new_hand, start_server, text, width
):
    found = {}
    for route, nodes in drawn(new_hand, start_server, text, width, NODES):
        if told := list(troubles(nodes, width)):
            found[route] = told
    assert not found


@pytest.mark.thorough
@pytest.mark.parametrize("width", [320, PHONE[0]])
def test_at_twice_the_size_no_text_leaves_the_screen_or_lies_on_another(
    new_hand, start_server, width
):
    # WCAG 2.2, success criterion 1.4.4: text to 200 % without loss of content.
    found = {}
    for route, nodes in drawn(new_hand, start_server, "Largest", width, TEXTS):
        if told := list(cut(nodes, width)):
            found[route] = told
    assert not found


def drawn(new_hand, start_server, text, width, script):
    """Yield what ``script`` finds on each screen of the demo, in that size of text."""
    server = start_server("pocketpump", "demo", "--no-browser")
    hand = new_hand((width, TALL)).open(server.url + "#/look").see("Text size")
    hand.page.get_by_role("button", name=re.compile(f"{text}$")).first.click()
    root = server.url.partition("?")[0]
    for route in SOME:
        hand.turn_to(f"{root}#{route}", ROUTES[route].title)
        host = hand.page.locator("flt-semantics-host")
        yield route, settled(lambda host=host: host.evaluate(script))


def cut(nodes, width):
    """Yield a sentence for every text that is not wholly there to be read."""
    # What a list longer than the window holds goes on under the bar of places.
    above = [node for node in nodes if node["y"] + node["h"] < TALL - 100]
    for node in nodes:
        if node["x"] < -HAIR or node["x"] + node["w"] > width + HAIR:
            yield f"{node['text']!r} leaves the screen"
    for index, node in enumerate(above):
        for other in above[index + 1 :]:
            shared = [
                min(node[at] + node[by], other[at] + other[by]) - max(node[at], other[at])
                for at, by in (("x", "w"), ("y", "h"))
            ]
            if min(shared) > 4 and node["text"] != other["text"]:
                yield f"{node['text']!r} lies on {other['text']!r}"


@pytest.mark.thorough
@pytest.mark.parametrize("width", [PHONE[0], TABLET_WIDTH, DESKTOP[0]])
def test_another_engine_draws_everything_as_large_and_as_far_apart(start_server, tmp_path, width):
    if missing := webkit_missing():
        pytest.skip(missing)
    server = start_server("pocketpump", "demo", "--no-browser")
    hand = WebKit(tmp_path / "profile", (width, TALL)).open(server.url).see("refill-by")
    script = f"return ({NODES})(document.querySelector('flt-semantics-host'));"
    found = {}
    try:
        for route, screen_route in ROUTES.items():
            hand.run(f"location.hash = '#{route}';")
            hand.see(screen_route.title)
            if told := list(troubles(settled(lambda: hand.run(script)), width)):
                found[route] = told
    finally:
        hand.close()
    assert not found


def settled(look):
    """Return the nodes that ``look`` finds once the screen has stopped changing."""
    before = None
    for _ in range(40):
        time.sleep(0.3)
        nodes = look()
        if nodes and nodes == before:
            return distinct(nodes)
        before = nodes
    return distinct(before)


def distinct(nodes):
    # A merged node and what it was merged from lie on one another.
    places = {tuple(round(n[k]) for k in ("x", "y", "w", "h")): n for n in reversed(nodes)}
    return list(places.values())
