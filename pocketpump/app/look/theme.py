"""The look: ink, water and sand, and one accent.

Parts name colours by *role* (:data:`INK`, :data:`WATER`, …) and text by *style*
(:data:`BODY`, …). The client resolves both from the theme, so a part needs to know
neither whether it is dark nor how large the person wants the text.

The accent means one thing only: this needs you. It never stands without words.
"""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from dataclasses import dataclass, fields

import flet as ft

from pocketpump.app.look.fonts import families

TARGET = 56
"""The smallest side of anything that can be tapped."""

BIG_TARGET = 64
"""The smallest height of a main button."""

GAP = 12
"""The space between two things that can be tapped."""

SPACE = 20
"""The space between two unrelated things, and around the page."""

RADIUS = 14
CONTENT_WIDTH = 640
WIDE = 900
"""From this window width on, the places stand in a rail at the side."""

# Roles: what a colour is for, spelled as the client's theme spells it.
INK = ft.Colors.ON_SURFACE
SOFT_INK = ft.Colors.ON_SURFACE_VARIANT
SAND = ft.Colors.SURFACE
SHELL = ft.Colors.SURFACE_CONTAINER_LOW
WATER = ft.Colors.SECONDARY_CONTAINER
ON_WATER = ft.Colors.ON_SECONDARY_CONTAINER
DEEP = ft.Colors.PRIMARY
ON_DEEP = ft.Colors.ON_PRIMARY
ACCENT = ft.Colors.ERROR
ACCENT_WASH = ft.Colors.ERROR_CONTAINER
ON_ACCENT_WASH = ft.Colors.ON_ERROR_CONTAINER
LINE = ft.Colors.OUTLINE
HAIRLINE = ft.Colors.OUTLINE_VARIANT

# Text styles, from the largest to the smallest.
NUMBER = ft.TextThemeStyle.DISPLAY_LARGE
TITLE = ft.TextThemeStyle.HEADLINE_MEDIUM
HEADING = ft.TextThemeStyle.TITLE_LARGE
BUTTON = ft.TextThemeStyle.LABEL_LARGE
BODY = ft.TextThemeStyle.BODY_LARGE
STRONG = ft.TextThemeStyle.TITLE_MEDIUM
SMALL = ft.TextThemeStyle.BODY_MEDIUM

BODY_SIZE = 18
SMALL_SIZE = 16


@dataclass(frozen=True)
class Palette:
    """The colours of one brightness, as ``#RRGGBB``."""

    ink: str
    soft_ink: str
    sand: str
    shell: str
    water: str
    on_water: str
    deep: str
    on_deep: str
    accent: str
    on_accent: str
    accent_wash: str
    on_accent_wash: str
    line: str
    hairline: str


_IN_LIGHT_AND_DARK = {
    "ink": ("#14262E", "#F3EBDC"),
    "soft_ink": ("#38494F", "#CFC8BA"),
    "sand": ("#F6F0E4", "#0F191E"),
    "shell": ("#FFFCF6", "#18252B"),
    "water": ("#C9E1E6", "#1D4652"),
    "on_water": ("#0C2A33", "#EAF4F4"),
    "deep": ("#0F4653", "#BFE0E6"),
    "on_deep": ("#FFFCF6", "#0C2A33"),
    "accent": ("#86290F", "#FFB89C"),
    "on_accent": ("#FFFCF6", "#3B1206"),
    "accent_wash": ("#F9E0D3", "#4A1E10"),
    "on_accent_wash": ("#5A1A08", "#FFE3D8"),
    "line": ("#66757A", "#8D9A9C"),
    "hairline": ("#DBD2C0", "#2C3B41"),
}
LIGHT, DARK = (
    Palette(**dict(zip(_IN_LIGHT_AND_DARK, colours, strict=True)))
    for colours in zip(*_IN_LIGHT_AND_DARK.values(), strict=True)
)


def text_theme(scale: float = 1.0, ink: str = LIGHT.ink) -> ft.TextTheme:
    """The type scale, each size times ``scale``, in ``ink`` where a part names no colour."""

    def style(size: float, weight: ft.FontWeight, height: float = 1.35) -> ft.TextStyle:
        return ft.TextStyle(
            size=round(size * scale, 1), weight=weight, height=height, color=ink, letter_spacing=0
        )

    normal, medium, bold = ft.FontWeight.W_400, ft.FontWeight.W_500, ft.FontWeight.W_700
    button = style(20, medium, 1.25)
    # A language's own name stands on a button.
    button.font_family_fallback = families("")
    return ft.TextTheme(
        display_large=style(72, medium, 1.0),
        headline_medium=style(30, medium, 1.2),
        title_large=style(22, bold, 1.3),
        title_medium=style(BODY_SIZE, bold),
        label_large=button,
        body_large=style(BODY_SIZE, normal, 1.4),
        body_medium=style(SMALL_SIZE, normal, 1.4),
        body_small=style(SMALL_SIZE, normal, 1.4),
    )


def build(palette: Palette, scale: float = 1.0) -> ft.Theme:
    """The Flet theme for one palette at one text scale (1.0 to 2.0)."""
    p = palette
    return ft.Theme(
        font_family="Roboto",
        use_material3=True,
        text_theme=text_theme(scale, p.ink),
        # By default a mouse shrinks every target below what we promise.
        visual_density=ft.VisualDensity.STANDARD,
        scaffold_bgcolor=p.sand,
        color_scheme=ft.ColorScheme(
            primary=p.deep,
            on_primary=p.on_deep,
            primary_container=p.water,
            on_primary_container=p.on_water,
            secondary=p.deep,
            on_secondary=p.on_deep,
            secondary_container=p.water,
            on_secondary_container=p.on_water,
            tertiary=p.accent,
            on_tertiary=p.on_accent,
            error=p.accent,
            on_error=p.on_accent,
            error_container=p.accent_wash,
            on_error_container=p.on_accent_wash,
            surface=p.sand,
            on_surface=p.ink,
            on_surface_variant=p.soft_ink,
            surface_container_low=p.shell,
            surface_container=p.shell,
            surface_container_high=p.shell,
            surface_container_highest=p.shell,
            surface_tint=ft.Colors.TRANSPARENT,
            outline=p.line,
            outline_variant=p.hairline,
            inverse_surface=p.ink,
            on_inverse_surface=p.sand,
        ),
        # A jerk must not be answered by a moving screen.
        page_transitions=ft.PageTransitionsTheme(
            **{
                field.name: ft.PageTransitionTheme.NONE
                for field in fields(ft.PageTransitionsTheme)
                if not field.name.startswith("_")
            }
        ),
    )


_scale: ContextVar[float] = ContextVar("text scale", default=1.0)


@contextmanager
def drawn_at(scale: float) -> Iterator[None]:
    """Draw what is built within for a text scale of ``scale``: one tab, one drawing."""
    token = _scale.set(scale)
    try:
        yield
    finally:
        _scale.reset(token)


def sized(size: float) -> float:
    """Return the size of an icon that is ``size`` beside text of the usual size."""
    return size * _scale.get()


def roomy() -> bool:
    """Whether the text is so large that what stood side by side must stand in a column."""
    return _scale.get() > 1.5


def apply(page: ft.Page, scale: float = 1.0, mode: ft.ThemeMode = ft.ThemeMode.SYSTEM) -> None:
    """Dress ``page`` in both brightnesses; the caller updates the page."""
    page.theme = build(LIGHT, scale)
    page.dark_theme = build(DARK, scale)
    page.theme_mode = mode
    page.theme_animation_style = ft.AnimationStyle.no_animation()
