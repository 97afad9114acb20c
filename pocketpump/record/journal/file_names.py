"""What the names of a record's files say; the one place that knows them.

``record-3f9a01bc-000002.jsonl`` is the second generation written by the writer ``3f9a01bc``: one
PocketPump on one device. Two devices that share a folder never write to one name. In the browser,
and before there were writers, the name is ``record-000002.jsonl``. ``….tmp`` is a generation being
written, ``cut-…`` bytes cut off a torn end, ``damaged-…`` a whole file set aside, ``aside-…`` what
starting over moved away. Any other name with ``record-`` in it is what a sync program made of one
of ours: a copy that it could not unite.
"""

import re
from collections.abc import Iterable

LOCK = "in-use.lock"
_WRITER = r"(?:([0-9a-f]{8})-)?"
_GENERATION = re.compile(rf"record-{_WRITER}(\d{{6,}})\.jsonl")
_LEFT_OVER = re.compile(
    rf"(?:damaged|cut)-{_WRITER}(?P<set_aside>\d+)|record-{_WRITER}(?P<unfinished>\d+)\.tmp$"
)
_TEMPORARY = re.compile(rf"record-{_WRITER}\d+\.tmp")
_ASIDE = re.compile(r"aside-(\d+)-")


def record_name(writer: str, generation: int) -> str:
    """Return the name of a generation; ``writer`` is "" where there is only one."""
    return f"record-{_of(writer)}{generation:06}.jsonl"


def temporary_name(writer: str, generation: int) -> str:
    """Return the name under which a generation is written before it counts."""
    return f"record-{_of(writer)}{generation:06}.tmp"


def free_name(word: str, writer: str, generation: int, names: Iterable[str]) -> str:
    """Return a name beginning with ``word`` ("cut", "damaged") that is not among ``names``."""
    taken, count = set(names), 1
    while (name := f"{word}-{_of(writer)}{generation:06}-{count}.jsonl") in taken:
        count += 1
    return name


def generation_of(name: str) -> tuple[str, int] | None:
    """Return writer and generation that ``name`` says; None when it is not such a name."""
    found = _GENERATION.fullmatch(name)
    return (found[1] or "", int(found[2])) if found else None


def generations(writer: str, names: Iterable[str]) -> list[int]:
    """Return the generations of ``writer`` among ``names``, the oldest first."""
    told = (generation_of(name) for name in names)
    return sorted(one[1] for one in told if one is not None and one[0] == writer)


def is_record(name: str) -> bool:
    """Tell whether the file is one of a record that counts, a sync program's copy among them."""
    other = _ASIDE.match(name) or _LEFT_OVER.match(name) or "damaged-" in name or "cut-" in name
    return "record-" in name and not other and not name.endswith(".tmp")


def is_left_over(name: str) -> bool:
    """Tell whether the file is what an opening before has cut off, set aside or not finished."""
    return bool(_LEFT_OVER.match(name))


def is_ours(name: str) -> bool:
    """Tell whether the file is one of a record, whatever became of it: what erasing removes."""
    return is_record(name) or is_left_over(name) or aside_number(name) is not None


def left_over_generation(name: str) -> int:
    """Return the generation from which a left over file comes; 0 for any other file."""
    found = _LEFT_OVER.match(name)
    return int(found["set_aside"] or found["unfinished"]) if found else 0


def is_temporary(name: str, writer: str | None = None) -> bool:
    """Tell whether the file is an unfinished generation; of ``writer`` only, when given."""
    found = _TEMPORARY.fullmatch(name)
    return found is not None and writer in (None, found[1] or "")


def aside_number(name: str) -> int | None:
    """Return which starting over moved the file aside; None when none did."""
    found = _ASIDE.match(name)
    return int(found[1]) if found else None


def aside_name(number: int, name: str) -> str:
    """Return the name of a file that is moved aside."""
    return f"aside-{number:03}-{name}"


def name_before_aside(name: str) -> str:
    """Return the name that a file had before it was moved aside."""
    return _ASIDE.sub("", name, count=1)


def _of(writer: str) -> str:
    return f"{writer}-" if writer else ""
