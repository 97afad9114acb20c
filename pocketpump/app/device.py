"""What the browser's page around the app can do for it, where there is one (the phone build).

The page tells what kind of browser it is in and what was allowed; the app asks it for what only
a press on the page itself may ask a browser: to remind, to stand on the home screen.
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from typing import Any, Final, Literal

Kind = Literal["apple", "firefox", "android", "computer"]

ALLOWED: Final = "granted"
ASKABLE: Final = "default"


@dataclass(frozen=True)
class Told:
    """What the page told last; ``kind`` is that of the browser and its machine."""

    kind: Kind
    installed: bool = False
    """Whether the app runs from the home screen, in a window of its own."""
    reminding: str = ""
    """The browser's word on notifications: `ALLOWED`, `ASKABLE`, "denied"; "" without any."""
    wakes: bool = False
    """Whether the browser wakes the app now and then while it is closed."""
    installs: bool = False
    """Whether the browser can be asked to put the app on the home screen."""
    keeps: bool | None = None
    """Whether the browser has promised not to clear the record; None if it does not say."""
    closed: frozenset[str] = frozenset()
    """The offers that were sent away on this device."""


@dataclass
class Device:
    """The way to the page; ``told`` is None until it has spoken.

    ``ask`` gives the page something to do: {"do": "remind" | "install", …words}, {"do": "close",
    "what": offer}, {"do": "taken"}.
    """

    ask: Callable[[Mapping[str, Any]], None]
    told: Told | None = None
    shared: tuple[str, bytes] | None = None
    """A file that was shared with the app or opened with it: its name and its bytes."""
    on_told: list[Callable[[], None]] = field(default_factory=list)
    """Draws every open tab anew."""
    on_shared: list[Callable[[], None]] = field(default_factory=list)
    """Leads to the file that came."""

    def hear(self, told: Mapping[str, Any]) -> None:
        """Take what the page tells of itself."""
        kinds: tuple[Kind, ...] = ("apple", "firefox", "android", "computer")
        kind: Kind = next((one for one in kinds if one == told.get("kind")), "computer")
        keeps, closed = told.get("keeps"), told.get("closed")
        before = self.told
        self.told = Told(
            kind=kind,
            installed=told.get("installed") is True,
            reminding=str(told.get("reminding") or ""),
            wakes=told.get("wakes") is True,
            installs=told.get("installs") is True,
            keeps=keeps if isinstance(keeps, bool) else None,
            closed=frozenset(map(str, closed)) if isinstance(closed, list) else frozenset(),
        )
        if self.told != before:
            for draw in self.on_told:
                draw()

    def take(self, name: str, data: bytes) -> None:
        """Take a file that was shared with the app; nothing of it is kept yet.

        Without an app (another window has the record open) the page keeps it for the next start.
        """
        if not self.on_shared:
            return
        self.shared = (name, data)
        self.ask({"do": "taken"})
        for lead in self.on_shared:
            lead()

    def close(self, offer: str) -> None:
        """Let ``offer`` be made no more on this device."""
        self.ask({"do": "close", "what": offer})
