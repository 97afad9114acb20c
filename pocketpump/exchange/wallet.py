"""The wallet print: ISO/IEC 7810 ID-1, front and back side by side.

Cut along the marks, fold at the dashed line. Under a translated card stands a second one
in the original. What must be known first is never left out; what does not fit in the
smallest type that can be read is shortened or left out by rank, and the card says so.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date

from pocketpump.core.card import SIGNS, Card, CardContact, one_line
from pocketpump.core.contacts import whole_number
from pocketpump.exchange.card_words import (
    DRUG_LABELS,
    Words,
    ages,
    contact_words,
    lines_called,
    phrase,
    say_date,
    warnings,
)
from pocketpump.exchange.code import QUIET_MODULES, SMALLEST_MODULE, code_matrix, code_text
from pocketpump.exchange.drawing.fitting import Place, clipped, fitted
from pocketpump.exchange.drawing.flow import Block, picture
from pocketpump.exchange.drawing.page import Box, Drawn, Page, Rule, line
from pocketpump.exchange.drawing.writing import isolated, shaped
from pocketpump.exchange.phrases import ORIGINAL, Phrases, phrases

CARD_WIDTH, CARD_HEIGHT = 85.60, 53.98
"""ISO/IEC 7810 ID-1, in mm."""
A4 = (210.0, 297.0)
LEFT = (A4[0] - 2 * CARD_WIDTH) / 2
TOP = 30.0
BETWEEN = 30.0
"""From the foot of the translated card to the top of the original, in mm."""
_EDGE = 3.2
_TITLE = 7.4
_CODE_TOP, _CODE_SIDE, _CODE_EDGE = 8.0, 27.0, 1.0
_MARK, _AWAY = 5.0, 1.5
_SIZES = [5.5 + 0.25 * step for step in range(13)]
"""Type sizes in points, from the smallest that can be read."""
_LONGEST_NUMBER = 40
_MOST_COLUMNS = 300


@dataclass(frozen=True, slots=True)
class _Item:
    """A piece of the card; ``key`` names it for what is left out."""

    key: str
    words: Words
    band: bool = False


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
        drawn += _back(card, phrases(code), LEFT + CARD_WIDTH, top)
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
    items = [_Item(w.key, _flat(w), band=True) for w in warnings(card, words, today)]
    items.append(_Item("ages", Words("ages", "", _in_one_line(ages(card, words)))))
    items.append(_Item("implant", phrase("implant", words, "strong")))
    drugs = [_own(w) for w in lines_called(card, ("other_drugs",), words, "strong")]
    items += [_Item("other_drugs", w) for w in drugs]
    items += [_Item(key, phrase(key, words, "strong")) for key in ("stopping", "mild")]
    born = say_date(card.born_on, words.code)
    if card.name or born:
        items.append(_Item("name", _named(card.name, born)))
    items += [
        _Item(f"clinic {i}", contact_words("clinic", _callable(clinic), words))
        for i, clinic in enumerate(card.clinics[:2])
    ]
    if card.risks:
        items.append(_Item("risks", _joined([phrase(key, words) for key in card.risks], "strong")))
    items.append(_Item("mimic", phrase("mimic", words)))
    facts = _in_one_line(lines_called(card, DRUG_LABELS, words))
    items += [_Item("facts", Words("facts", "", facts))] if facts else []
    items.append(_Item("highest", phrase("highest", words)))
    if words.needs_review:
        items.append(_Item("unreviewed", phrase("unreviewed", words)))

    def clinic(columns: int) -> list[_Step]:
        named = [_clipped(replace(_callable(c), hours=""), columns) for c in card.clinics[:1]]
        return [("clinic 0", contact_words("clinic", c, words)) for c in named]

    def name(columns: int) -> _Step:
        return "name", _named(clipped(card.name, columns), born)

    def other(columns: int) -> list[_Step]:
        return [("other_drugs", _cut(w, columns)) for w in drugs]

    fewer = [label for label in DRUG_LABELS if label not in ("mode", "refill_by")]
    steps: list[_Step] = [
        *clinic(200), ("clinic 1", None), *clinic(60), ("highest", None), name(60), *other(90),
        *clinic(34), ("mild", None), ("mimic", None), name(34), *other(34), ("unreviewed", None),
        ("facts", Words("facts", "", _in_one_line(lines_called(card, fewer, words)))),
        *clinic(20), name(20), *other(20),
    ]  # fmt: skip
    drawn = _title(words["title"], words, x, y)
    place = Place(x + _EDGE, y + _TITLE + 1.0, CARD_WIDTH - 2 * _EDGE, CARD_HEIGHT - _TITLE - 2.4)
    return drawn + _fitted(items, steps, words, place, is_cut=len(card.clinics) > 2)


def _back(card: Card, words: Phrases, x: float, y: float) -> list[Drawn]:
    drawn = _title(words["signs"], words, x, y)
    left, top, side = code_place(card)
    matrix = code_matrix(code_text(card))
    quiet = QUIET_MODULES * side / (len(matrix) + 2 * QUIET_MODULES)
    drawn += picture(matrix, x + left + quiet, y + top + quiet, side - 2 * quiet)
    items = [_Item(key, phrase(key, words)) for key in SIGNS if key != "mimic"]
    told = lines_called(card, ("allergies", "tablets", "mri_notes", "plan"), words)
    own = {w.key: _own(w) for w in told}
    people = [_callable(c) for c in card.contacts]
    if "allergies" in own:
        own["allergies"] = replace(own["allergies"], weight="strong")
        items.append(_Item("allergies", own["allergies"]))
    if people:
        items.append(_Item("people", _people(people[:2], words)))
    care = [phrase(key, words) for key in ("trained", "mri_check")]
    items.append(_Item("care", _joined(care, between=" ")))
    items += [_Item(key, own[key]) for key in ("tablets", "mri_notes") if key in own]
    items += [_Item(c.number, contact_words("contacts", c, words)) for c in people[2:]]
    items += [_Item("plan", own["plan"])] if "plan" in own else []

    def elsewhere(key: str) -> _Step:
        return key, replace(own[key], text=words["more"]) if key in own else None

    def shorter(most: int, count: int) -> _Step:
        named = [_clipped(replace(c, role="", hours=""), most) for c in people[:count]]
        return "people", _people(named, words) if named else None

    def allergies(columns: int) -> list[_Step]:
        return [("allergies", _cut(own["allergies"], columns))] if "allergies" in own else []

    steps: list[_Step] = [
        elsewhere("plan"),
        *((c.number, None) for c in reversed(people[2:])),
        elsewhere("mri_notes"), elsewhere("tablets"),
        *allergies(160), shorter(40, 2),
        ("plan", None), ("mri_notes", None), ("tablets", None), ("infection", None),
        *allergies(80), shorter(24, 2), ("care", care[0]), ("care", None), shorter(24, 1),
        ("people", None),
    ]  # fmt: skip
    place = Place(x + _EDGE, y + _TITLE + 1.0, CARD_WIDTH - 2 * _EDGE, CARD_HEIGHT - _TITLE - 2.4,
                   narrow=left - _EDGE - 1.0, narrow_to=y + top + side)  # fmt: skip
    return drawn + _fitted(items, steps, words, place)


def _callable(contact: CardContact) -> CardContact:
    """Return the contact with a number that takes one line: never cut, as it would mislead."""
    return replace(contact, phone=whole_number(contact.phone, _LONGEST_NUMBER))


def _clipped(contact: CardContact, columns: int) -> CardContact:
    return replace(contact, name=clipped(contact.name, columns))


def _named(name: str, born: str) -> Words:
    told = ", ".join(part for part in (isolated(name), isolated(born)) if part)
    return Words("name", "", told, weight="strong")


def _own(words: Words) -> Words:
    """Return the person's own words in quotation marks, which take less room than a remark."""
    # More than fits on any card is not measured: one word of a thousand letters takes seconds.
    flat = clipped(words.text, _MOST_COLUMNS)
    return replace(words, text=isolated(f"“{flat}”"), own=False)


def _cut(words: Words, columns: int) -> Words:
    text = clipped(one_line(words.text).strip("“”"), columns)
    return replace(words, text=isolated(f"“{text}”"))


def _people(contacts: Sequence[CardContact], words: Phrases) -> Words:
    # Each in a line of its own: from right to left a number would stand beside the next name.
    return _joined([contact_words("contacts", c, words) for c in contacts], "strong", "\n")


def _flat(words: Words) -> Words:
    first, *others = words.text.splitlines()
    return replace(words, text=f"{first} {' · '.join(others)}".strip())


def _joined(items: Sequence[Words], weight: str = "plain", between: str = " · ") -> Words:
    return Words(items[0].key, "", between.join(item.text for item in items), weight=weight)


def _in_one_line(items: Iterator[Words]) -> str:
    return " · ".join(f"{item.label}: {item.text}" for item in items)


def _fitted(
    items: Sequence[_Item],
    steps: Sequence[_Step],
    words: Phrases,
    place: Place,
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
    return Block(text, 0.0, bold, words.code, words.direction, band=item.band)


def _title(text: str, words: Phrases, x: float, y: float) -> list[Drawn]:
    return [
        Box(x, y, CARD_WIDTH, _TITLE),
        line(shaped(text), x + _EDGE, y + 5.2, 11, width=CARD_WIDTH - 2 * _EDGE, bold=True,
             direction=words.direction, language=words.code, grey=1.0),
    ]  # fmt: skip
