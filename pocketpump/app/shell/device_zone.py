"""Where the device is now: its time zone, asked for again and again."""

import time
from collections.abc import Callable

from pocketpump.core.units.instants import is_zone

# One drawing needs the zone hundreds of times, and asking a machine reads files.
_ASKED_EVERY_S = 1.0


class DeviceZone:
    """Called, it tells the IANA name of the zone the device is in, at most a second old.

    A device is carried abroad while the app is open. ``ask`` asks it; what it answers is passed
    over while it names no zone that is known here, and UTC holds where there never was one.
    """

    def __init__(self, ask: Callable[[], str], tick: Callable[[], float] = time.monotonic) -> None:
        self._ask = ask
        self._tick = tick
        self._name = "UTC"
        self._asked_s: float | None = None

    def __call__(self) -> str:
        """Return the zone's name."""
        now_s = self._tick()
        if self._asked_s is None or now_s - self._asked_s >= _ASKED_EVERY_S:
            self._asked_s = now_s
            name = self._ask()
            if is_zone(name):
                self._name = name
        return self._name
