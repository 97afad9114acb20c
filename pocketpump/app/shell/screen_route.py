"""What goes with a screen: its title, its place, where "Back" leads."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING, Any, Protocol

import flet as ft

if TYPE_CHECKING:
    from pocketpump.app.shell.shell import App


class Screen(Protocol):
    """Builds what stands on the screen, from top to bottom."""

    def __call__(self, app: App[Any], /) -> Sequence[ft.Control]:
        """The controls of the screen, drawn from what is known now."""
        ...


@dataclass(frozen=True)
class ScreenRoute:
    """One screen in the map of routes.

    ``place`` is the route in the bar it belongs to; ``up`` is where "Back" leads when nothing
    was seen before, none for the places themselves; ``correcting`` is the title when the route
    names an entry; ``bare`` leaves out bar and rail (the card, full screen);
    ``awake`` keeps the device from going dark while it is shown. ``elsewhere`` is another place
    and the way up from there, by what the route asks with ``of`` (``/pages?of=sheet``).
    """

    screen: Screen
    title: str
    place: str
    up: str = ""
    correcting: str = ""
    bare: bool = False
    awake: bool = False
    elsewhere: Mapping[str, tuple[str, str]] = field(default_factory=dict)

    def asked(self, query: Mapping[str, str]) -> ScreenRoute:
        """Return it as it is for what the route asks."""
        place, up = self.elsewhere.get(query.get("of", ""), (self.place, self.up))
        return replace(self, place=place, up=up)
