"""Half-filled forms that outlive the tab: what is typed is kept once the typing rests."""

import asyncio
import sys
import threading
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any, Protocol

STATE = frozenset({"tried", "failed", "asked", "sure", "told"})
"""What a form keeps of its own state beside what was typed; never kept beyond the tab."""
_REST_S = 0.4


class _Waiting(Protocol):
    def cancel(self) -> object: ...


_WAITING: dict[str, _Waiting] = {}
_ONE_BY_ONE = threading.Lock()


def _after_rest(act: Callable[[], None]) -> _Waiting:
    """Call ``act`` in a while, unless it is cancelled before."""
    if sys.platform == "emscripten":  # a browser's Python has no threads, only its event loop
        return asyncio.get_event_loop().call_later(_REST_S, act)
    timer = threading.Timer(_REST_S, act)
    timer.daemon = True
    timer.start()
    return timer


def forget_waiting() -> None:
    """Keep nothing of what was typed just now: the record it belongs to ends."""
    with _ONE_BY_ONE:
        for waiting in _WAITING.values():
            waiting.cancel()
        _WAITING.clear()


@dataclass(frozen=True)
class Keep:
    """Where a half-filled form is kept from one start of the app to the next."""

    name: str
    load: Callable[[], Mapping[str, Any]]
    save: Callable[[Mapping[str, Any]], None]

    def later(self, values: Mapping[str, Any]) -> None:
        """Keep ``values`` once the typing rests; only the last ones given are kept.

        A flush to disk for every letter would hold up the letters behind it.
        """

        def keep() -> None:
            with _ONE_BY_ONE:
                # It may have begun just before it was cancelled: what was saved or forgotten
                # meanwhile must not come back.
                if _WAITING.get(self.name) is waiting:
                    del _WAITING[self.name]
                    self.save(values)

        with _ONE_BY_ONE:
            self._cancel()
            waiting = _WAITING[self.name] = _after_rest(keep)

    def forget(self) -> None:
        """Keep nothing from now on: the next drawing of the form must not find it again."""
        with _ONE_BY_ONE:
            self._cancel()
            self.save({})

    def _cancel(self) -> None:
        waiting = _WAITING.pop(self.name, None)
        if waiting is not None:
            waiting.cancel()
