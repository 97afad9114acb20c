"""Half-filled forms, kept in the journal beside the entries; only the last of a name counts."""

from collections.abc import Mapping

from pocketpump.record.entry.frozen import JSON
from pocketpump.record.journal.tinydb_storage import DRAFTS, JournalStorage


def draft_in(storage: JournalStorage, name: str) -> Mapping[str, JSON]:
    """Return the half-filled form kept under ``name``; empty if there is none."""
    held = _drafts(storage).get(name)
    values: Mapping[str, JSON] = held[1]["values"] if held else {}
    return dict(values)


def keep_draft_in(storage: JournalStorage, name: str, values: Mapping[str, JSON]) -> None:
    """Keep a half-filled form in the place of the one under ``name``."""
    drafts = _drafts(storage)
    if not values and not (name in drafts and drafts[name][1]["values"]):
        return  # there is nothing to forget
    number = drafts[name][0] if name in drafts else str(len(drafts) + 1)
    storage.add(DRAFTS, {number: {"name": name, "values": dict(values)}})


def _drafts(storage: JournalStorage) -> dict[str, tuple[str, Mapping[str, Mapping[str, JSON]]]]:
    held = storage.documents(DRAFTS)
    return {document["name"]: (number, document) for number, document in held.items()}
