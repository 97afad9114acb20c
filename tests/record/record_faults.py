"""A disk that fails on command, with a model of what survives a crash."""

import errno

from pocketpump.record import MemoryFiles

KINDS = (
    "eio",
    "eio after",
    "enospc",
    "half then enospc",
    "device gone",
    "dead",
    "half then dead",
    "dead after",
    "power cut",
    "power cut, half kept",
    "power cut, zeros kept",
)


class Dead(BaseException):
    """The process ended here; nothing after this line ever ran."""


class Disk:
    """What the process sees (``seen``) and what is on the medium (``durable``)."""

    def __init__(self) -> None:
        self.seen: dict[str, bytes] = {}
        self.durable: dict[str, bytes] = {}
        self.removed: set[str] = set()
        self.remembered = (0, 0)
        self.writer = ""

    def power_cut(self, kept: str) -> None:
        """Forget what was not synced, keep half of it, or keep its length as zeros."""
        survived = dict(self.durable)
        for name, data in self.seen.items():
            old = self.durable.get(name, b"")
            if kept != "nothing" and len(data) > len(old):
                new = data[len(old) :][: (len(data) - len(old) + 1) // 2]
                survived[name] = old + (new if kept == "half" else b"\0" * len(new))
        self.seen, self.durable, self.removed = dict(survived), dict(survived), set()


class FaultyFiles:
    """Files over a :class:`Disk` in which call number ``fail_at`` fails in one ``kind``."""

    def __init__(self, disk: Disk, kind: str = "", fail_at: int = 0) -> None:
        self.disk, self.kind, self.fail_at = disk, kind, fail_at
        self.writer = disk.writer
        self.calls = 0
        self.dead = False

    def _call(self, act, half=lambda: None):
        if self.dead:
            raise Dead
        self.calls += 1
        if self.calls == self.fail_at or (
            self.kind == "device gone" and 0 < self.fail_at < self.calls
        ):
            self._fail(act, half)
        return act()

    def _fail(self, act, half) -> None:
        kind = self.kind
        if kind in ("eio after", "dead after"):
            act()
        if kind.startswith(("half", "power cut")):
            half()
        if kind.endswith("enospc"):
            raise OSError(errno.ENOSPC, "no space left on device")
        if kind in ("eio", "eio after", "device gone"):
            raise OSError(errno.EIO, "input/output error")
        self.dead = True
        if kind.startswith("power cut"):
            kept = {"": "nothing", ", half kept": "half", ", zeros kept": "zeros"}
            self.disk.power_cut(kept[kind.removeprefix("power cut")])
        raise Dead

    def names(self):
        return self._call(lambda: list(self.disk.seen))

    def read(self, name):
        return self._call(lambda: self._get(name))

    def size(self, name):
        return self._call(lambda: len(self._get(name)))

    def append(self, name, data):
        def put(part):
            self.disk.seen[name] = self.disk.seen.get(name, b"") + part

        self._call(lambda: put(bytes(data)), lambda: put(bytes(data[: len(data) // 2])))

    def sync(self, name):
        def act():
            self.disk.durable[name] = self._get(name)

        self._call(act)

    def truncate(self, name, size):
        def act():
            self.disk.seen[name] = self._get(name)[:size]

        self._call(act)

    def replace(self, source, target):
        def act():
            disk = self.disk
            disk.seen[target] = disk.seen.pop(source)
            disk.durable[target] = disk.durable.pop(source, b"")
            for name in disk.removed:  # the directory is synced, so removals are durable now
                disk.durable.pop(name, None)
            disk.removed.clear()

        self._call(act)

    def remove(self, name):
        def act():
            del self.disk.seen[name]
            self.disk.removed.add(name)

        self._call(act)

    def forget_rest(self):
        self._call(lambda: None)

    def renew(self, name):
        return self._call(lambda: False)

    def read_only(self, name):
        return False

    def remembered(self):
        return self.disk.remembered

    def remember(self, generation, number):
        if self.dead:
            raise Dead
        self.disk.remembered = (generation, number)

    def close(self):
        if self.dead:
            raise Dead

    def _get(self, name):
        if name not in self.disk.seen:
            raise FileNotFoundError(name)
        return self.disk.seen[name]


def copy_of(files: MemoryFiles) -> MemoryFiles:
    copied = MemoryFiles()
    for name in files.names():
        copied.append(name, files.read(name))
    return copied
