"""The wallet print: ISO/IEC 7810 ID-1, front and back side by side.

Cut along the marks, fold at the dashed line. Under a translated card stands a second one
in the original. Nothing is smaller than 7 points, and the four facts have 9 or more: room is
made by shortening and leaving out, by rank, and the card says so. What must be known first
is never left out.
"""

import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date

from pocketpump.core.safety.card import Card, CardContact, one_line
from pocketpump.core.safety.contacts import whole_number
from pocketpump.exchange.papers.card_phrases import ORIGINAL, Phrases, phrases
from pocketpump.exchange.papers.card_title import Band, title_band
from pocketpump.exchange.papers.card_words import (
    Words,
    ages,
    contact_words,
    danger,
    dysreflexia,
    facts,
    lines_called,
    phrase,
    risks,
    say_date,
    warnings,
)
from pocketpump.exchange.papers.drawing.fitting import CardArea, clipped, fitted
from pocketpump.exchange.papers.drawing.flow import SMALLEST, Block, picture
from pocketpump.exchange.papers.drawing.page import Drawn, Page, Rule, line
from pocketpump.exchange.papers.drawing.writing import isolated
from pocketpump.exchange.papers.qr_code import (
    QUIET_MODULES,
    SMALLEST_MODULE,
    code_matrix,
    code_text,
)

CARD_WIDTH, CARD_HEIGHT = 85.60, 53.98
"""ISO/IEC 7810 ID-1, in mm."""
A4 = (210.0, 297.0)
LEFT = (A4[0] - 2 * CARD_WIDTH) / 2
TOP = 30.0
BETWEEN = 30.0
"""From the foot of the translated card to the top of the original, in mm."""
_EDGE = 3.2
_TITLE = 6.2
_CODE_TOP, _CODE_SIDE, _CODE_EDGE = 6.8, 27.0, 1.0
_MARK, _AWAY = 5.0, 1.5
_SIZES = [SMALLEST + 0.25 * step for step in range(9)]
"""Type sizes in points, from the smallest that can be read."""
_FACT = 1.3
"""The four facts, in type sizes: 9.1 points where the rest has 7."""
_LEADING, _GAP = 1.16, 0.03
_APART = 0.09
"""The space above the allergies, in mm for each point of type: 1.2 points more than elsewhere."""
_SOURCE = re.compile(r"\s*[(（][^()（）]*[)）]([.。]?)$")
_LONGEST_NUMBER = 40
_MOST_COLUMNS = 300


@dataclass(frozen=True, slots=True)
class _Item:
    """A piece of the card; ``key`` names it for what is left out.

    ``size`` is in type sizes, ``gap`` the free space above, in mm for each point of type.
    """

    key: str
    words: Words
    band: bool = False
    size: float = 1.0
    gap: float = _GAP


_Step = tuple[str, Words | None]
"""A piece to be put shorter, or (None) left out."""


def wallet_page(card: Card, language: str, today: date) -> Page:
    """Return the page with the wallet card; the original stands below a translation."""
    languages = [language] if language == ORIGINAL else [language, ORIGINAL]
    drawn: list[Drawn] = [
        line("Print at 100 %. Cut along the marks, then fold at the dashed line.", LEFT, 16, 10,
             width=2 * CARD_WIDTH)
    ]  # fmt: skip
    for i, code in enumerate(languages):
        top = TOP + i * (CARD_HEIGHT + BETWEEN)
        drawn += _marks(top)
        drawn += _front(card, phrases(code), today, LEFT, top)
        drawn += _back(card, phrases(code), today, LEFT + CARD_WIDTH, top)
    return Page(*A4, tuple(drawn))


def code_place(card: Card) -> tuple[float, float, float]:
    """Return x, y and side in mm of the code on a card at 0, 0, its white edge included."""
    modules = len(code_matrix(code_text(card))) + 2 * QUIET_MODULES
    side = max(_CODE_SIDE, modules * SMALLEST_MODULE)
    return CARD_WIDTH - side - _CODE_EDGE, _CODE_TOP, side


def _marks(top: float) -> list[Drawn]:
    """Cut marks at the corners, and dashed fold marks between front and back."""
    right, fold = LEFT + 2 * CARD_WIDTH, LEFT + CARD_WIDTH
    bottom = top + CARD_HEIGHT
    drawn: list[Drawn] = []
    for x, out in ((LEFT, -1), (right, 1)):
        for y in (top, bottom):
            drawn.append(Rule(x + out * _AWAY, y, x + out * (_AWAY + _MARK), y, 0.1))
    for y, out in ((top, -1), (bottom, 1)):
        for x in (LEFT, right):
            drawn.append(Rule(x, y + out * _AWAY, x, y + out * (_AWAY + _MARK), 0.1))
        drawn.append(Rule(fold, y + out * _AWAY, fold, y + out * (_AWAY + _MARK), 0.2, 1.0))
    return drawn


def _front(card: Card, words: Phrases, today: date, x: float, y: float) -> list[Drawn]:
    items = [_Item(w.key, w, band=True) for w in list(warnings(card, words, today))[:1]]
    told = {w.key: w for w in danger(card, words, today)}
    drugs = [_own(told["other_drugs"])] if "other_drugs" in told else []
    items.append(_Item("danger", _joined([told["implant"], told["stopping"]], "strong", " ")))
    items += [_Item("other_drugs", w) for w in drugs]
    items += [_fact(w, i) for i, w in enumerate(facts(card, words))]
    items += [_risk(w) for w in _risks(card, words)]
    clinics, people = card.clinics[:1], card.contacts[:1]
    items += [_Item("clinic", contact_words("clinic", _callable(c), words)) for c in clinics]
    if card.emergency:
        service = replace(_callable(card.emergency[0]), name="", hours="")
        items.append(_Item("emergency", contact_words("emergency", service, words)))
    items += [_Item("person", contact_words("contact", _callable(c), words)) for c in people]
    if card.is_away(today):
        items.append(_Item("abroad", phrase("abroad", words)))

    def clinic(columns: int) -> list[_Step]:
        named = [_clipped(replace(_callable(c), hours=""), columns) for c in clinics]
        return [("clinic", contact_words("clinic", c, words)) for c in named]

    def person(columns: int) -> list[_Step]:
        named = [_clipped(replace(_callable(c), role="", hours=""), columns) for c in people]
        return [("person", contact_words("contact", c, words)) for c in named]

    def own(key: str, columns: int) -> list[_Step]:
        return [(i.key, _cut(i.words, columns)) for i in items if i.key == key and i.words.label]

    steps: list[_Step] = [
        *clinic(60), *person(60), *own("risk allergies", 110), *own("other_drugs", 90),
        *_shorter_modes(items), *person(24), *own("risk allergies", 48), *own("other_drugs", 40),
        *clinic(30), ("abroad", None), *own("other_drugs", 28), ("person", None), *clinic(20),
        ("later alarm", None),
        ("mode", None), *own("risk allergies", 30),
        *clinic(12),
        *own("other_drugs", 18),
        *own("risk allergies", 14), *clinic(6), *own("other_drugs", 10),
    ]  # fmt: skip
    drawn = _title(words["title"], words, x, y, card.name, say_date(card.born_on, words.code))
    place = CardArea(
        x + _EDGE, y + _TITLE + 0.6, CARD_WIDTH - 2 * _EDGE, CARD_HEIGHT - _TITLE - 1.8
    )
    return drawn + _fitted(items, steps, words, place)


def _fact(words: Words, index: int) -> _Item:
    if words.weight == "fact":
        return _Item(f"fact {index}", words, size=_FACT)
    return _Item("mode" if words.key == "mode" else "later alarm", words)


def _risk(words: Words) -> _Item:
    if words.key == "allergies":
        return _Item("risk allergies", words, gap=_APART)
    return _Item(f"risk {words.key}", words, band=True)


def _shorter_modes(items: Sequence[_Item]) -> list[_Step]:
    """Return the steps of a pattern cut at a whole step: a rate cut in two would mislead."""
    steps: list[_Step] = []
    for most in (130, 60):
        for item in (i for i in items if i.key == "mode" and len(i.words.text) > most):
            whole = item.words.text[:most].rpartition(", ")[0]
            steps.append(("mode", replace(item.words, text=f"{whole} …") if whole else None))
    return steps


def _risks(card: Card, words: Phrases) -> list[Words]:
    found = list(risks(card, words))
    flags = [w for w in found if w.key != "allergies"]
    allergies = [_own(w) if w.own else w for w in found if w.key == "allergies"]
    return [*([_joined(flags, "strong")] if flags else []), *allergies]


def _back(card: Card, words: Phrases, today: date, x: float, y: float) -> list[Drawn]:
    drawn = _title(words["signs"], words, x, y)
    left, top, side = code_place(card)
    matrix = code_matrix(code_text(card))
    quiet = QUIET_MODULES * side / (len(matrix) + 2 * QUIET_MODULES)
    drawn += picture(matrix, x + left + quiet, y + top + quiet, side - 2 * quiet)
    items = [_Item(key, phrase(key, words)) for key in ("too_little", "too_much")]
    items += [_Item(w.key, w, band=True) for w in list(warnings(card, words, today))[1:]]
    steps_told = [w for w in dysreflexia(card, words) if w.key == "own_steps"]
    items += [_Item("own_steps", _own(w)) for w in steps_told]
    items += [_care(key, words) for key in ("oral", "mri_check")]
    notes = [_own(w) for w in lines_called(card, ("mri_notes",), words)]
    items += [_Item("mri_notes", w) for w in notes]
    items.append(_care("breathing", words))
    items.append(_Item("ages", Words("ages", "", _in_one_line(ages(card, words)))))
    if words.needs_review:
        items.append(_Item("unreviewed", phrase("unreviewed", words)))
    items += [_care(key, words) for key in ("infection", "trained", "mimic")]
    others = [("clinic", c) for c in card.clinics[1:2]] + [
        ("contact", c) for c in card.contacts[1:2]
    ]
    items += [_Item(f"{kind} 2", contact_words(kind, _callable(c), words)) for kind, c in others]
    dated = list(ages(card, words))
    fewer = [w for w in dated if w.key != "last_entry"]
    fewest = [w for w in dated if w.key == "stale_from"] or fewer
    steps: list[_Step] = [
        *(("own_steps", _cut(_own(w), 90)) for w in steps_told),
        *(("mri_notes", _cut(w, 60)) for w in notes),
        ("contact 2", None), ("clinic 2", None), ("mimic", None), ("trained", None),
        ("infection", None), ("unreviewed", None), ("breathing", None),
        ("ages", Words("ages", "", _in_one_line(iter(fewer)))),
        ("ages", Words("ages", "", _in_one_line(iter(fewest)))), ("own_steps", None),
        ("mri_notes", None), ("mri_check", None), ("oral", None),
    ]  # fmt: skip
    place = CardArea(x + _EDGE, y + _TITLE + 0.6, CARD_WIDTH - 2 * _EDGE,
                     CARD_HEIGHT - _TITLE - 1.8, narrow=left - _EDGE - 1.0,
                     narrow_to=y + top + side)  # fmt: skip
    own = tuple(lines_called(card, ("tablets", "plan"), words))
    is_cut = bool(own) or len(card.clinics) > 2 or len(card.contacts) > 2
    return drawn + _fitted(items, steps, words, place, is_cut=is_cut)


def _care(key: str, words: Phrases) -> _Item:
    return _Item(key, _without_source(phrase(key, words)))


def _callable(contact: CardContact) -> CardContact:
    """Return the contact with a number that takes one line: never cut, as it would mislead."""
    return replace(contact, phone=whole_number(contact.phone, _LONGEST_NUMBER))


def _clipped(contact: CardContact, columns: int) -> CardContact:
    return replace(contact, name=clipped(contact.name, columns))


def _without_source(words: Words) -> Words:
    """Return a line for staff without the literature it rests on: the full page has that."""
    return replace(words, text=_SOURCE.sub(r"\1", words.text))


def _own(words: Words) -> Words:
    """Return the person's own words in quotation marks, which take less room than a remark."""
    # More than fits on any card is not measured: one word of a thousand letters takes seconds.
    flat = clipped(words.text, _MOST_COLUMNS)
    return replace(words, text=isolated(f"“{flat}”"), own=False)


def _cut(words: Words, columns: int) -> Words:
    text = clipped(one_line(words.text).strip("“”"), columns)
    return replace(words, text=isolated(f"“{text}”"))


def _joined(items: Sequence[Words], weight: str = "plain", between: str = " · ") -> Words:
    return Words(items[0].key, "", between.join(item.text for item in items), weight=weight)


def _in_one_line(items: Iterator[Words]) -> str:
    return " · ".join(f"{item.label}: {item.text}" for item in items)


def _fitted(
    items: Sequence[_Item],
    steps: Sequence[_Step],
    words: Phrases,
    place: CardArea,
    *,
    is_cut: bool = False,
) -> list[Drawn]:
    """Set ``items`` as large as they fit, after as many ``steps`` of leaving out as it takes.

    Whenever something is left out (``is_cut``: already before), the last line says where it is.
    """
    keys = {item.key for item in items}
    real = [step for step in steps if step[0] in keys]
    return fitted(_layouts(items, real, words, is_cut=is_cut), _SIZES, place)


def _layouts(
    items: Sequence[_Item],
    steps: Sequence[_Step],
    words: Phrases,
    *,
    is_cut: bool,
) -> Iterator[list[Block]]:
    kept = {item.key: item for item in items}
    yield [_block(item, words) for item in _ended(kept, words["more"], is_cut)]
    for key, shorter in steps:
        if key not in kept:
            continue
        if shorter is None:
            del kept[key]
        else:
            kept[key] = replace(kept[key], words=shorter)
        yield [_block(item, words) for item in _ended(kept, words["more"], True)]


def _ended(kept: Mapping[str, _Item], more: str, is_cut: bool) -> list[_Item]:
    *before, last = kept.values()
    text = last.words.text
    if not is_cut or text.endswith(more):
        return [*before, last]
    # In the last line, not in one of its own: room is short when something was left out.
    between = " " if text.endswith((".", "。")) else " · "
    return [*before, replace(last, words=replace(last.words, text=text + between + more))]


def _block(item: _Item, words: Phrases) -> Block:
    label = f"{item.words.label}: " if item.words.label else ""
    bold = item.words.weight != "plain"
    text = label + item.words.text
    return Block(text, item.size, bold, words.code, words.direction, band=item.band, gap=item.gap,
                 leading=_LEADING)  # fmt: skip


def _title(text: str, words: Phrases, x: float, y: float, *person: str) -> list[Drawn]:
    band = Band(x, y, CARD_WIDTH, _TITLE, _EDGE, 10, SMALLEST)
    return title_band(text, words, band, *person)
