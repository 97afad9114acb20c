from dataclasses import fields

import flet as ft
import pytest
from screen_hand import controls_in, in_use

from pocketpump.app.look import theme
from pocketpump.app.parts import number_grid
from pocketpump.app.parts.tap_guard import GuardedOutline
from pocketpump.app.screens.routes import ROUTES

# Every (text, background) pair a part may draw.
TEXT_PAIRS = (
    ("ink", "sand"),
    ("ink", "shell"),
    ("ink", "water"),
    ("soft_ink", "sand"),
    ("soft_ink", "shell"),
    ("on_water", "water"),
    ("deep", "sand"),
    ("deep", "shell"),
    ("on_deep", "deep"),
    ("accent", "sand"),
    ("accent", "shell"),
    ("on_accent", "accent"),
    ("on_accent_wash", "accent_wash"),
)

# Every (outline, background) pair that shows where a control is.
SHAPE_PAIRS = (("line", "sand"), ("line", "shell"))


def luminance(colour):
    # As WCAG 2.2 defines the relative luminance.
    value = colour.removeprefix("#")
    channels = [int(value[i : i + 2], 16) / 255 for i in (0, 2, 4)]
    linear = [c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in channels]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def contrast(a, b):
    lighter, darker = sorted((luminance(a), luminance(b)), reverse=True)
    return (lighter + 0.05) / (darker + 0.05)


def test_contrast_of_known_pairs():
    assert contrast("#000000", "#FFFFFF") == pytest.approx(21)
    assert contrast("#FFFFFF", "#000000") == pytest.approx(21)
    assert contrast("#777777", "#FFFFFF") == pytest.approx(4.48, abs=0.01)
    assert contrast("#123456", "#123456") == 1


@pytest.mark.parametrize("palette", [theme.LIGHT, theme.DARK], ids=["light", "dark"])
@pytest.mark.parametrize("pair", TEXT_PAIRS, ids="-on-".join)
def test_text_reads_at_seven_to_one(palette, pair):
    text, ground = (getattr(palette, name) for name in pair)
    assert contrast(text, ground) >= 7


@pytest.mark.parametrize("palette", [theme.LIGHT, theme.DARK], ids=["light", "dark"])
@pytest.mark.parametrize("pair", SHAPE_PAIRS, ids="-on-".join)
def test_outlines_show_at_three_to_one(palette, pair):
    shape, ground = (getattr(palette, name) for name in pair)
    assert contrast(shape, ground) >= 3


def test_every_colour_but_the_hairline_is_in_a_checked_pair():
    checked = {name for pair in TEXT_PAIRS + SHAPE_PAIRS for name in pair}
    assert {f.name for f in fields(theme.Palette)} - checked == {"hairline"}


def test_type_scale_is_large_and_doubles():
    plain, doubled = theme.text_theme(1), theme.text_theme(2)
    assert plain.body_large.size >= 18
    for field in ("display_large", "body_large", "body_medium", "label_large"):
        assert getattr(doubled, field).size == 2 * getattr(plain, field).size
        assert getattr(plain, field).size >= 16


def test_theme_builds_for_both_palettes():
    for palette in (theme.LIGHT, theme.DARK):
        built = theme.build(palette, 1.5)
        assert built.color_scheme.surface == palette.sand
        assert built.text_theme.body_large.size == 27


@pytest.mark.parametrize("route", list(ROUTES))
def test_every_outlined_button_has_an_outline_that_can_be_seen(route):
    hand = in_use()
    hand.draft("check-in:")["stiffness"] = "3"
    drawn = controls_in(ROUTES[route].screen(hand))
    sides = [one.style.side.color for one in drawn if isinstance(one, GuardedOutline)]
    # DEEP reads like a text; LINE is measured above.
    assert set(sides) <= {theme.LINE, theme.DEEP}


def test_the_dash_that_takes_an_answer_away_is_as_bold_as_a_chosen_number():
    grid = number_grid("Stiffness now", 10, "3", lambda _text: None)
    texts = {one.value: one for one in controls_in([grid]) if isinstance(one, ft.Text)}
    assert texts["–"].color == theme.INK
    assert texts["–"].weight == texts["3"].weight == ft.FontWeight.W_700
