"""Named files with atomic replacement over a fixed row of open handles.

A browser opens and renames its private files only asynchronously, but a save must be done
when the call returns. So a fixed number of *slots* is opened once, and a name is nothing
but a note in the header of a slot (:mod:`.slot`). Renaming rewrites one header.

Headers carry a generation that grows over the whole pool: when two slots claim one name (a crash
between "the new file takes the name" and "the old file gives it up"), the higher one is the truth.
"""

from collections.abc import Sequence

from pocketpump.record.errors import StorageFullError
from pocketpump.record.journal.slot import DATA_START, Handle, Slot


class SlotFiles:
    """A small synchronous file store: append, sync, and replacement that is all or nothing."""

    def __init__(self, handles: Sequence[Handle]) -> None:
        self.writer = ""  # no other device comes to these files
        self._slots = [Slot(handle) for handle in handles]
        self._generation = max((slot.generation for slot in self._slots), default=0)
        self._by_name: dict[str, Slot] = {}
        #: Slots whose header on the device may differ from what we hold to be true.
        self._suspect: list[Slot] = []
        for slot in sorted(self._slots, key=lambda slot: slot.generation):
            if not slot.name:
                continue
            loser = self._by_name.get(slot.name)
            if loser is not None:
                loser.name = ""
                self._suspect.append(loser)
            self._by_name[slot.name] = slot
        self._settle()

    def names(self) -> list[str]:
        """Return the names of all files, sorted."""
        return sorted(self._by_name)

    def damaged(self) -> int:
        """Return how many slots hold data under a header nobody can read."""
        return sum(slot.damaged for slot in self._slots)

    def size(self, name: str) -> int:
        """Return the length of a file in bytes."""
        return self._find(name).size

    def read(self, name: str) -> bytes:
        """Return all bytes of a file."""
        return self._find(name).read_all()

    def append(self, name: str, data: bytes) -> None:
        """Add ``data`` at the end of a file, which is made if it is not there.

        It is durable only after :meth:`sync`. If it fails, the file is as long as before.
        """
        self._settle()
        slot = self._by_name.get(name) or self._allocate(name)
        before = slot.size
        try:
            slot.write_all(data, DATA_START + before)
        except OSError:
            slot.handle.truncate(DATA_START + before)
            raise

    def sync(self, name: str) -> None:
        """Return once everything written to a file is safe on the device."""
        self._find(name).handle.flush()

    def truncate(self, name: str, size: int) -> None:
        """Cut a file down to ``size`` bytes; raises ``ValueError`` when it has fewer."""
        slot = self._find(name)
        if not 0 <= size <= slot.size:
            raise ValueError("A file can only be cut down to a part of its length.")
        slot.handle.truncate(DATA_START + size)

    def replace(self, source: str, target: str) -> None:
        """Give ``source`` the name ``target``; what had that name before is gone.

        Atomic and durable: whenever the device stops, afterwards ``target`` is either
        wholly the old file or wholly the new one.
        """
        self._settle()
        slot = self._find(source)
        slot.handle.flush()
        if source == target:
            return
        self._rename(slot, target)
        del self._by_name[source]
        old = self._by_name.get(target)
        self._by_name[target] = slot
        if old is not None:
            # From here on the change holds: the higher generation wins at the next start.
            # The old slot must still be freed before the name can be given up again.
            old.name = ""
            self._suspect.append(old)
            try:
                self._settle()
            except OSError:
                return

    def remove(self, name: str) -> None:
        """Remove a file, durably."""
        self._settle()
        slot = self._find(name)
        self._rename(slot, "")
        del self._by_name[name]

    def forget_rest(self) -> None:
        """Empty every slot without a name: its file was removed, or its header cannot be read."""
        self._settle()
        for slot in self._slots:
            if not slot.name and slot.size:
                slot.handle.truncate(0 if slot.damaged else DATA_START)
                slot.handle.flush()
                slot.damaged = False

    def renew(self, _name: str, /) -> bool:
        """Tell that the file is still the same: nobody else can open a handle.

        Whether the browser has thrown it away, only the worker's script can ask.
        """
        return False

    def read_only(self, _name: str, /) -> bool:
        """Tell that everything may be written to."""
        return False

    def remembered(self) -> tuple[int, int]:
        """Return nothing: there is no place beside the handles."""
        return (0, 0)

    def remember(self, generation: int, number: int) -> None:
        """Keep nothing."""

    def close(self) -> None:
        """Give all handles back."""
        for slot in self._slots:
            slot.handle.close()

    def _find(self, name: str) -> Slot:
        slot = self._by_name.get(name)
        if slot is None:
            raise FileNotFoundError(name)
        return slot

    def _rename(self, slot: Slot, name: str) -> None:
        self._generation += 1
        try:
            slot.write_header(name, self._generation)
        except OSError:
            # Written or not? Nobody knows. Say the old name again before anything else.
            self._suspect.append(slot)
            raise

    def _settle(self) -> None:
        """Write the truth over every header in doubt; nothing may change before that."""
        while self._suspect:
            slot = self._suspect[-1]
            self._generation += 1
            slot.write_header(slot.name, self._generation)
            self._suspect.pop()

    def _allocate(self, name: str) -> Slot:
        for slot in self._slots:
            if slot.name or slot.damaged:
                continue
            # The old content must be gone from the device before the name is on it.
            slot.handle.truncate(DATA_START)
            slot.handle.flush()
            self._rename(slot, name)
            self._by_name[name] = slot
            return slot
        raise StorageFullError
