"""Letters in the order in which they stand on paper, from left to right.

The part of the Unicode Bidirectional Algorithm (UAX #9) that one line needs: strong
letters, numbers and what stands between them (rules W1-W7, N1, N2, I1, I2, L2), and the
isolates that keep a telephone number whole inside Arabic. Left out: overrides, embeddings
and paired brackets (N0). Arabic letters are joined by arabic-reshaper.
"""

from functools import lru_cache
from typing import Any
from unicodedata import bidirectional, mirrored, normalize

LTR, RTL, AUTO, END = "\u2066", "\u2067", "\u2068", "\u2069"
"""Isolates: from the opening one to ``END`` a text has a direction of its own."""
_OPENERS = (LTR, RTL, AUTO)
_MIRRORS = dict(zip("()[]{}<>«»", ")(][}{><»«", strict=True))
_STRONG = {"L": "L", "R": "R", "AL": "R"}


def isolated(text: str, opener: str = AUTO) -> str:
    """Return ``text`` kept whole, with its own direction."""
    return f"{opener}{text}{END}" if text else ""


def direction_of(text: str) -> str:
    """Return "rtl" if the first strong letter of ``text`` is written from right to left."""
    for letter in text:
        kind = _STRONG.get(bidirectional(letter))
        if kind:
            return "rtl" if kind == "R" else "ltr"
    return "ltr"


def shaped(text: str) -> str:
    """Return ``text`` with Arabic letters joined to their neighbours, in reading order."""
    if not any("\u0600" <= letter <= "\u06ff" for letter in text):
        return text
    return str(_shaper().reshape(text))


def on_paper(text: str, direction: str = "ltr") -> str:
    """Return one line of shaped ``text`` from left to right, isolates resolved."""
    pieces = _pieces(text)
    kinds = ["ON" if len(p) > 1 or p in _OPENERS else bidirectional(p) for p in pieces]
    base = 1 if direction == "rtl" else 0
    levels = _levels(kinds, base)
    order = _reordered(levels)
    return "".join(_drawn(pieces[i], levels[i]) for i in order)


@lru_cache(maxsize=1)
def _shaper() -> Any:
    from arabic_reshaper import ArabicReshaper

    # Of the ligatures only lam-alef is obligatory; the others need letters no font may have.
    return ArabicReshaper(
        {"delete_harakat": False, "delete_tatweel": False, "support_ligatures": True}
        | dict.fromkeys(("ARABIC LIGATURE ALLAH", "RIAL SIGN"), False)
    )


def _pieces(text: str) -> list[str]:
    """Split into single letters and whole isolates (opener, content)."""
    pieces: list[str] = []
    depth = 0
    for letter in text:
        if letter in _OPENERS:
            if depth:
                pieces[-1] += letter
            else:
                pieces.append(letter)
            depth += 1
        elif letter == END:
            if depth > 1:
                pieces[-1] += letter
            depth = max(0, depth - 1)
        elif depth:
            pieces[-1] += letter
        else:
            pieces.append(letter)
    return pieces


def _drawn(piece: str, level: int) -> str:
    if piece[0] in _OPENERS:
        content = piece[1:]
        found = {LTR: "ltr", RTL: "rtl"}.get(piece[0]) or direction_of(content)
        return on_paper(content, found)
    if level % 2 and mirrored(piece):
        return _MIRRORS.get(piece, piece)
    return piece


def _levels(kinds: list[str], base: int) -> list[int]:
    edge = "R" if base else "L"
    kinds = _neutrals(_numbers(kinds, edge), edge)
    if base:
        return [1 if kind == "R" else 2 for kind in kinds]
    return [{"L": 0, "R": 1}.get(kind, 2) for kind in kinds]


def _numbers(kinds: list[str], edge: str) -> list[str]:
    """Resolve weak types: W1 to W7."""
    found = list(kinds)
    strong = edge
    for i, kind in enumerate(found):
        if kind == "NSM":
            kind = found[i] = found[i - 1] if i else edge
        if kind in _STRONG:
            strong = kind
        elif kind == "EN" and strong == "AL":
            found[i] = "AN"
    found = ["R" if kind == "AL" else kind for kind in found]
    for i in range(1, len(found) - 1):
        before, after = found[i - 1], found[i + 1]
        joins = found[i] == "CS" or (found[i] == "ES" and before == "EN")
        if joins and before == after and before in ("EN", "AN"):
            found[i] = before
    found = _terminators(found)
    strong = edge
    for i, kind in enumerate(found):
        if kind in ("L", "R"):
            strong = kind
        elif kind == "EN" and strong == "L":
            found[i] = "L"
    return found


def _terminators(kinds: list[str]) -> list[str]:
    """Signs beside a number (%, +) go with it: W5; the rest are neutral: W6."""
    found = list(kinds)
    for way in (range(len(found)), range(len(found) - 1, -1, -1)):
        near = ""
        for i in way:
            if found[i] == "ET" and near == "EN":
                found[i] = "EN"
            near = found[i]
    return ["ON" if kind in ("ET", "ES", "CS") else kind for kind in found]


def _neutrals(kinds: list[str], edge: str) -> list[str]:
    """Resolve what stands between: N1, N2; numbers count as written from right to left."""
    found = list(kinds)
    i = 0
    while i < len(found):
        if found[i] in ("L", "R", "EN", "AN"):
            i += 1
            continue
        end = i
        while end < len(found) and found[end] not in ("L", "R", "EN", "AN"):
            end += 1
        before = ("L" if found[i - 1] == "L" else "R") if i else edge
        after = ("L" if found[end] == "L" else "R") if end < len(found) else edge
        found[i:end] = [before if before == after else edge] * (end - i)
        i = end
    return found


def _reordered(levels: list[int]) -> list[int]:
    """Return the indices from left to right: L2."""
    order = list(range(len(levels)))
    for level in range(max(levels, default=0), 0, -1):
        i = 0
        while i < len(order):
            end = i
            while end < len(order) and levels[order[end]] >= level:
                end += 1
            order[i:end] = order[i:end][::-1]
            i = max(end, i + 1)
    return order


def plain_letters(shape: str) -> str:
    """Return the letters behind a joined shape, so that copied text can be read."""
    return normalize("NFKC", shape) if "\ufb50" <= shape <= "\ufefc" else shape
