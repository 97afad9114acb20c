"""The language of the card's screen: the app's at first, another as long as the screen is open."""

from urllib.parse import parse_qsl

import pytest
from screen_hand import controls_in, in_use, texts

from pocketpump.app.look import theme
from pocketpump.app.screens.card.card import emergency_card
from pocketpump.app.screens.more.language import PREFERENCE
from pocketpump.exchange.papers.card_phrases import phrases
from pocketpump.exchange.papers.drawing.fonts import font


def go(app, route: str) -> None:
    """Be where a button led, or the bar, or the browser's back."""
    app.query = dict(parse_qsl(route.partition("?")[2]))


def tap(app, key: str) -> None:
    route = app.route
    held = next(c for c in controls_in(emergency_card(app)) if c.key == key)
    next(c for c in controls_in([held]) if getattr(c, "on_click", None)).on_click()
    if app.route != route:
        go(app, app.route)


def language_of_card(app) -> str:
    told = " ".join(texts(emergency_card(app)))
    # English stands beside every other language.
    return next(c for c in ("de", "fr", "ar", "en") if phrases(c)["stopping"] in told)


def test_a_language_chosen_for_paper_is_gone_when_the_card_is_opened_anew():
    app = in_use()
    assert language_of_card(app) == "en"
    tap(app, "language")
    tap(app, "option:ar")
    assert language_of_card(app) == "ar"
    # Within the screen it stays, and back from the pages to print too.
    chosen = app.route
    emergency_card(app)
    assert language_of_card(app) == "ar"
    assert chosen == "/card?language=ar"
    go(app, "/card")
    assert language_of_card(app) == "en"
    app.services.prefer(PREFERENCE, "de")
    assert language_of_card(app) == "de"


def test_the_list_of_languages_closes_with_the_choice():
    app = in_use()
    tap(app, "language")
    assert any(c.key == "option:fr" for c in controls_in(emergency_card(app)))
    tap(app, "option:fr")
    assert not any(c.key == "option:fr" for c in controls_in(emergency_card(app)))


def test_a_language_that_no_card_speaks_is_the_apps():
    app = in_use()
    app.query = {"language": "xx"}
    assert language_of_card(app) == "en"


@pytest.mark.parametrize(
    ("code", "name"),
    [("de", "Deutsch"), ("ar", "العربية (Arabic)"), ("zh", "中文 (Chinese)"),
     ("ja", "日本語 (Japanese)")],
)  # fmt: skip
def test_a_language_is_named_by_its_own_name_and_where_scripts_differ_by_the_apps(code, name):
    app = in_use()
    tap(app, "language")
    option = next(c for c in controls_in(emergency_card(app)) if c.key == f"option:{code}")
    assert name in texts([option])
    tap(app, f"option:{code}")
    assert any(f"Language: {name}" in told for told in texts(emergency_card(app)))
    # The buttons' fonts are looked through for each letter, and one has it.
    families = theme.text_theme().label_large.font_family_fallback
    known = set().union(*(font(family).letters for family in families))
    assert {ord(letter) for letter in name} <= known
