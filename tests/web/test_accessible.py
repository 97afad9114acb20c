"""axe-core finds nothing wrong with the glance page, nor with the app's accessibility tree."""

from __future__ import annotations

from importlib import resources

import pytest
from phone_driving import Phone, Site, put_demo
from test_glance import SAVED, facts_of

from pocketpump.app.screens.routes import ROUTES

pytestmark = pytest.mark.browser

SIZES = {"phone": (390, 844), "desktop": (1280, 800)}
CARE = {"name": "Mara Holm", "injury_t6_or_above": True, "plan": "Call the ward."}


@pytest.fixture(scope="module")
def axe() -> str:
    """The script of axe-core, as a package of Python brings it."""
    pytest.importorskip("axe_playwright_python")
    return (resources.files("axe_playwright_python") / "axe.min.js").read_text(encoding="utf-8")


@pytest.fixture(scope="module")
def unguarded(playwright, tmp_path_factory):
    """A phone on which a test may run a script of its own, past the page's policy."""
    phone = Phone(playwright, tmp_path_factory.mktemp("axe") / "profile", bypass_csp=True)
    yield phone
    phone.close()


def violations(page, axe: str) -> list[str]:
    page.evaluate(axe)
    found = page.evaluate("axe.run(document)")
    assert found["passes"]
    return [f"{v['id']}: {v['nodes'][0]['html'][:200]}" for v in found["violations"]]


def test_the_glance_page_in_light_and_dark_on_phone_and_desktop(unguarded, axe, rebuilt):
    site = Site(rebuilt)
    page = unguarded.page()
    page.route("**/worker.js", lambda route: route.abort())
    page.route("**/main.dart.js", lambda route: route.abort())
    page.goto(site.url)
    # Long after the refill-by date, so that every kind of notice is there.
    page.evaluate("facts => glance.save(facts)", facts_of(SAVED, **CARE))
    page.get_by_text("This card may be out of date").wait_for()
    for width, height in SIZES.values():
        page.set_viewport_size({"width": width, "height": height})
        for scheme in ("light", "dark"):
            page.emulate_media(color_scheme=scheme)
            assert violations(page, axe) == []
    page.close()
    site.stop()


@pytest.mark.thorough
def test_the_tree_of_names_of_every_screen(unguarded, axe, built):
    site = Site(built)
    put_demo(unguarded, site)
    hand = unguarded.open(site.url).see("refill-by")
    found = {}
    for scheme in ("light", "dark"):
        hand.page.emulate_media(color_scheme=scheme)
        for route, screen_route in ROUTES.items():
            hand.turn_to(f"{site.url}#{route}", screen_route.title)
            hand.page.wait_for_timeout(700)
            found[scheme, route] = violations(hand.page, axe)
    site.stop()
    assert {where: what for where, what in found.items() if what} == {}
