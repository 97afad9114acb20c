"""In the phone app, too, a press of any length counts once: on its own page, and in the app."""

import re

import pytest
from phone_driving import Phone, put_demo
from pressing import WITHOUT_TREE, press
from test_glance import PEOPLE, SAVED, facts_of

pytestmark = pytest.mark.browser

HELD_S = (0.1, 0.6, 1.2, 2, 5)
LISTEN = """() => {
  document.getElementById('update').hidden = false;
  window.clicked = [];
  document.addEventListener('click', event => {
    const one = event.target.closest('#glance a, #update button');
    if (!one) return;
    event.preventDefault();
    event.stopImmediatePropagation();
    window.clicked.push(one.id || one.href);
  }, true);
}"""
"""Keeps what was clicked, also on what is drawn anew, and dials nothing."""


@pytest.fixture(scope="module")
def finger(playwright, tmp_path_factory):
    """A phone with a screen that can be touched."""
    phone = Phone(playwright, tmp_path_factory.mktemp("finger") / "profile", has_touch=True)
    yield phone
    phone.close()


def middle(target) -> tuple[float, float]:
    box = target.bounding_box()
    return box["x"] + box["width"] / 2, box["y"] + box["height"] / 2


@pytest.fixture
def glance(finger, serve, rebuilt):
    page = finger.page()
    page.route(re.compile(r"/worker\.js|/main\.dart\.js"), lambda route: route.abort())
    page.goto(serve(rebuilt).url)
    # That the app does not come is told, and the page drawn anew for it, before any press.
    page.locator("#glance-says.trouble").wait_for()
    page.evaluate("facts => glance.save(facts)", facts_of(SAVED, contacts=PEOPLE))
    page.evaluate(LISTEN)
    yield page
    page.close()


@pytest.mark.parametrize("tremble", [0, 12])
@pytest.mark.parametrize("by", ["touch", "mouse"])
def test_the_links_and_buttons_of_the_page_itself(glance, by, tremble):
    calls = glance.locator("#glance-card a").all()
    assert calls
    targets = [calls[0], *glance.locator("#update button").all()]
    for seconds in (0.6, 2) if tremble else HELD_S[:4]:
        for target in targets:
            target.scroll_into_view_if_needed()
            glance.evaluate("window.clicked.length = 0")
            press(glance, *middle(target), seconds, by=by, tremble=tremble)
            glance.wait_for_timeout(400)
            own = target.evaluate("one => one.id || one.href")
            assert glance.evaluate("window.clicked") == [own], seconds


@pytest.mark.parametrize("drawn", ["glance.refresh()", "glance.takeBack('could_not_load')"])
def test_what_is_drawn_anew_waits_for_the_finger_that_holds(glance, drawn):
    link = glance.locator("#glance-card a").first
    link.scroll_into_view_if_needed()
    own, where = link.evaluate("one => one.href"), link.bounding_box()
    glance.mouse.move(*middle(link))
    glance.mouse.down()
    glance.wait_for_timeout(600)
    glance.evaluate(drawn)
    assert link.bounding_box() == where
    glance.mouse.up()
    glance.wait_for_timeout(400)
    assert glance.evaluate("window.clicked") == [own]
    if "takeBack" in drawn:
        assert glance.locator("#glance-says.trouble").is_visible()


def test_a_long_press_on_a_link_opens_no_menu_and_a_right_click_does(glance):
    link = glance.locator("#glance-card a").first
    link.scroll_into_view_if_needed()
    assert not link.evaluate(
        """one => {
          const down = { bubbles: true, isPrimary: true, button: 0, pointerType: 'touch' };
          one.dispatchEvent(new PointerEvent('pointerdown', down));
          const menu = { bubbles: true, cancelable: true };
          return one.dispatchEvent(new MouseEvent('contextmenu', menu));
        }"""
    )
    assert link.evaluate(
        """one => {
          const down = { bubbles: true, isPrimary: true, button: 2, pointerType: 'mouse' };
          one.dispatchEvent(new PointerEvent('pointerdown', down));
          const menu = { bubbles: true, cancelable: true };
          return one.dispatchEvent(new MouseEvent('contextmenu', menu));
        }"""
    )


@pytest.mark.thorough
@pytest.mark.parametrize("tree", [True, False])
@pytest.mark.parametrize("by", ["touch", "mouse"])
def test_bar_button_number_and_save_in_the_app(playwright, serve, built, tmp_path, by, tree):
    site = serve(built)
    phone = Phone(playwright, tmp_path / "profile", has_touch=True)
    try:
        put_demo(phone, site)
        looking = phone.open(f"{site.url}#/today").see("refill-by")
        places = {"Diary": middle(looking.find("Diary")), "Today": middle(looking.find("Today"))}
        looking.turn_to(f"{site.url}#/check-in", "How is it now?").see("Stiffness now")
        looking.page.wait_for_timeout(500)
        places["3"] = middle(looking.find("3"))
        looking.tap("3").page.wait_for_timeout(500)
        places["Save"] = middle(looking.find("Save"))
        looking.page.close()
        if not tree:
            phone.context.add_init_script(WITHOUT_TREE)
        page = phone.page()
        page.goto(f"{site.url}#/today")
        page.locator("#glance").wait_for(state="hidden", timeout=60_000)
        for seconds in HELD_S:
            for place, title in (("Diary", "Diary"), ("Today", "Today")):
                page.wait_for_timeout(1500)
                steps = page.evaluate("history.length")
                press(page, *places[place], seconds, by=by)
                hand_until(page, f"document.title.startsWith('{title}')")
                assert page.evaluate("history.length") <= steps + 1
            page.evaluate("location.hash = '#/check-in'")
            page.wait_for_timeout(1500)
            press(page, *places["3"], seconds, by=by)
            page.wait_for_timeout(700)
            press(page, *places["Save"], seconds, by=by)
            # Saved, and only then, the app goes back to Today.
            hand_until(page, "document.title.startsWith('Today')")
        assert (page.locator("flt-semantics").count() > 0) is tree
    finally:
        phone.close()


def hand_until(page, script: str) -> None:
    for _ in range(200):
        if page.evaluate(script):
            return
        page.wait_for_timeout(50)
    raise AssertionError(f"in vain: {script}; {page.title()}")
