"""What has been typed in one tab and not yet saved, by the name of its form."""

from collections.abc import Mapping
from typing import Any

from pocketpump.app.draft_keeping import STATE


class Typed:
    """The drafts of one tab; those of forms may be kept while the page is loaded again."""

    def __init__(self) -> None:
        self._drafts: dict[str, dict[str, Any]] = {}
        self._forms: set[str] = set()
        self._passing: set[str] = set()

    def draft(self, name: str) -> dict[str, Any]:
        """Return what is typed under ``name``; kept until cleared."""
        return self._drafts.setdefault(name, {})

    def form_draft(self, name: str) -> dict[str, Any]:
        """Return the draft of the form ``name``; forms hold no passphrases."""
        self._forms.add(name)
        return self.draft(name)

    def screen_draft(self, name: str) -> dict[str, Any]:
        """Return the draft ``name``, which is forgotten once another screen is shown."""
        self._passing.add(name)
        return self.draft(name)

    def leave_screen(self) -> None:
        """Forget what belongs to the screen that was shown."""
        for name in self._passing:
            self.draft(name).clear()

    def half_filled(self) -> dict[str, dict[str, Any]]:
        """Return what is typed into forms."""
        kept = {
            name: {field: value for field, value in self.draft(name).items() if field not in STATE}
            for name in self._forms
        }
        return {name: values for name, values in kept.items() if values}

    def take_up(self, forms: Mapping[str, Mapping[str, Any]]) -> None:
        """Go on with half-filled ``forms`` of the page before this one."""
        for name, values in forms.items():
            self.form_draft(name).update(values)

    def forget(self) -> None:
        """Forget all of it, passphrases too."""
        self._drafts.clear()
