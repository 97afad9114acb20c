"""What a stranger must know first, for the wallet card and the tag, and how room is made for it.

Room is made by shortening and leaving out, by rank, and the card says so. The four facts, the
risks and the numbers are never left out, and a number is never cut.
"""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date

from pocketpump.core.safety.card import Card, CardContact, one_line
from pocketpump.exchange.papers.card_phrases import Phrases
from pocketpump.exchange.papers.card_words import (
    STEP_LABELS,
    Words,
    contact_words,
    danger,
    facts,
    lines_called,
    phrase,
    risks,
    warnings,
)
from pocketpump.exchange.papers.drawing.fitting import CardArea, clipped, fitted
from pocketpump.exchange.papers.drawing.flow import Block
from pocketpump.exchange.papers.drawing.page import Drawn
from pocketpump.exchange.papers.drawing.writing import isolated
from pocketpump.exchange.papers.numbers import LEFT_OUT, number_on_paper

FACT_SIZE = 1.3
"""The four facts, in type sizes: 9.1 points where the rest has 7."""
_LEADING, _TIGHT = 1.16, 1.06
_GAP = 0.03
_APART = 0.09
"""The space above the allergies, in mm for each point of type: 1.2 points more than elsewhere."""
_MOST_COLUMNS = 300


@dataclass(frozen=True, slots=True)
class Item:
    """A piece of the card; ``key`` names it for what is left out.

    ``size`` is in type sizes, ``gap`` the free space above, in mm for each point of type.
    """

    key: str
    words: Words
    band: bool = False
    size: float = 1.0
    gap: float = _GAP


Step = tuple[str, Words | None]
"""A piece to be put shorter, or (None) left out; or `TIGHTER`."""
TIGHTER = "tighter"
"""The step that loses no word: first with less free space, then the four facts in one paragraph."""


def front_items(
    card: Card, words: Phrases, today: date, most_warnings: int = 1
) -> tuple[list[Item], list[Step]]:
    """Return what must be known first, in order, and how to make room, step after step.

    Of the warnings that hold today the first ``most_warnings`` stand here.
    """
    warned = list(warnings(card, words, today))[:most_warnings]
    items = [_warning(w) for w in warned]
    told = {w.key: w for w in danger(card, words, today)}
    drugs = [own_words(told["other_drugs"])] if "other_drugs" in told else []
    items.append(Item("danger", in_one([told["implant"], told["stopping"]], "strong", " ")))
    items += [Item("other_drugs", w) for w in drugs]
    items += [_fact(w, i) for i, w in enumerate(facts(card, words))]
    items += [_risk(w) for w in _risks(card, words)]
    clinics, people = card.clinics[:1], card.contacts[:1]
    items += [Item("clinic", contact_words("clinic", dialable(c), words)) for c in clinics]
    if card.emergency:
        service = replace(dialable(card.emergency[0]), name="", hours="")
        items.append(Item("emergency", contact_words("emergency", service, words)))
    items += [Item("person", contact_words("contact", dialable(c), words)) for c in people]
    if card.is_away(today):
        items.append(Item("abroad", phrase("abroad", words)))

    def clinic(columns: int) -> list[Step]:
        named = [_clipped(replace(dialable(c), hours=""), columns) for c in clinics]
        return [("clinic", contact_words("clinic", c, words)) for c in named]

    def person(columns: int) -> list[Step]:
        named = [_clipped(replace(dialable(c), role="", hours=""), columns) for c in people]
        return [("person", contact_words("contact", c, words)) for c in named]

    def typed(key: str, columns: int) -> list[Step]:
        return [(i.key, shorter(i.words, columns)) for i in items if i.key == key and i.words.label]

    # Without the later date beside it there is nothing to tell it from.
    alone = [(i.key, replace(i.words, label=words[i.words.key])) for i in items
             if words["earlier_counts"] in i.words.label]  # fmt: skip
    steps: list[Step] = [
        *clinic(60), *person(60), *typed("risk allergies", 110), *typed("other_drugs", 90),
        *_named_modes(card, words), *person(24), *typed("risk allergies", 48),
        *typed("other_drugs", 40), *clinic(30), ("abroad", None), *typed("other_drugs", 28),
        ("person", None), *clinic(20), ("later alarm", None), *alone, (TIGHTER, None),
        *typed("risk allergies", 30), *clinic(12), *typed("other_drugs", 18), ("mode", None),
        (TIGHTER, None), *typed("risk allergies", 14), *clinic(6), *typed("other_drugs", 10),
        *clinic(0),
    ]  # fmt: skip
    return items, steps


def _warning(words: Words) -> Item:
    # Whoever reads only one line is to read that the pump may be empty.
    return Item(words.key, words, band=True, size=FACT_SIZE if words.key == "maybe_empty" else 1.0)


def _fact(words: Words, index: int) -> Item:
    # That the pump is stopped ("alarm") is as much a fact as the dose.
    if words.weight in ("fact", "alarm"):
        return Item(f"fact {index}", words, size=FACT_SIZE)
    return Item("mode" if words.key == "mode" else "later alarm", words)


def _risk(words: Words) -> Item:
    if words.key == "allergies":
        return Item("risk allergies", words, gap=_APART)
    return Item(f"risk {words.key}", words, band=True)


def _named_modes(card: Card, words: Phrases) -> list[Step]:
    """Return the step of a mode that is only named: part of a pattern would mislead."""
    named = [w.label for w in lines_called(card, STEP_LABELS, words)]
    return [("mode", Words("mode", "", " · ".join(named)))] if named else []


def _risks(card: Card, words: Phrases) -> list[Words]:
    found = list(risks(card, words))
    flags = [w for w in found if w.key != "allergies"]
    allergies = [own_words(w) if w.own else w for w in found if w.key == "allergies"]
    return [*([in_one(flags, "strong")] if flags else []), *allergies]


def dialable(contact: CardContact) -> CardContact:
    """Return the contact with its number as `number_on_paper` has it."""
    return replace(contact, phone=number_on_paper(contact.phone))


def _clipped(contact: CardContact, columns: int) -> CardContact:
    return replace(contact, name=clipped(contact.name, columns) if columns else "")


def own_words(words: Words) -> Words:
    """Return the person's own words in quotation marks, which take less room than a remark."""
    # More than fits on any card is not measured: one word of a thousand letters takes seconds.
    flat = clipped(words.text, _MOST_COLUMNS)
    return replace(words, text=isolated(f"“{flat}”"), own=False)


def shorter(words: Words, columns: int) -> Words:
    """Return the person's own words in at most ``columns``, in quotation marks."""
    text = clipped(one_line(words.text).strip("“”"), columns)
    return replace(words, text=isolated(f"“{text}”"))


def in_one(items: Sequence[Words], weight: str = "plain", between: str = " · ") -> Words:
    """Return pieces without labels as one, under the key of the first."""
    return Words(items[0].key, "", between.join(item.text for item in items), weight=weight)


def labelled(items: Iterable[Words]) -> str:
    """Return pieces, each with its label if it has one, in one line."""
    return " · ".join(f"{w.label}: {w.text}" if w.label else w.text for w in items)


def set_items(
    items: Sequence[Item],
    steps: Sequence[Step],
    words: Phrases,
    place: CardArea,
    sizes: Sequence[float],
    *,
    more: str = "",
    is_cut: bool = False,
) -> list[Drawn]:
    """Set ``items`` as large as they fit, after as many ``steps`` of leaving out as it takes.

    ``sizes`` are in points, smallest first. Whenever something is left out (``is_cut``: already
    before), the last line says where it is: ``more``, "" when it is nowhere.
    """
    keys = {TIGHTER, *(item.key for item in items)}
    real = [step for step in steps if step[0] in keys]
    return fitted(_layouts(items, real, words, more, is_cut=is_cut), sizes, place)


def _layouts(
    items: Sequence[Item],
    steps: Sequence[Step],
    words: Phrases,
    more: str,
    *,
    is_cut: bool,
) -> Iterator[list[Block]]:
    kept = {item.key: item for item in items}
    tight = 0
    is_cut = is_cut or any(LEFT_OUT in item.words.text for item in items)
    yield _blocks(kept, words, tight, more if is_cut else "")
    for key, shorter in steps:
        if key == TIGHTER:
            tight += 1
        elif key not in kept:
            continue
        elif shorter is None:
            del kept[key]
            is_cut = True
        else:
            kept[key] = replace(kept[key], words=shorter)
            is_cut = True
        yield _blocks(kept, words, tight, more if is_cut else "")


def _blocks(kept: Mapping[str, Item], words: Phrases, tight: int, more: str) -> list[Block]:
    items = list(kept.values())
    if tight > 1:
        items = _facts_in_one(items)
    if more:
        items[-1] = _ended(items[-1], more)
    return [_block(item, words, tight > 0) for item in items]


def _facts_in_one(items: Sequence[Item]) -> list[Item]:
    """Return the items with the four facts as one paragraph, where the first of them stood."""
    told = [item for item in items if item.key.startswith("fact ")]
    if not told:
        return list(items)
    one = replace(told[0], words=replace(told[0].words, label="",
                                         text=labelled(item.words for item in told)))  # fmt: skip
    return [one if item is told[0] else item for item in items if item not in told[1:]]


def _ended(last: Item, more: str) -> Item:
    text = last.words.text
    if text.endswith(more):
        return last
    # In the last line, not in one of its own: room is short when something was left out.
    between = " " if text.endswith((".", "。")) else " · "
    return replace(last, words=replace(last.words, text=text + between + more))


def _block(item: Item, words: Phrases, is_tight: bool) -> Block:
    label = f"{item.words.label}: " if item.words.label else ""
    bold = item.words.weight != "plain"
    text = label + item.words.text
    gap, leading = (item.gap / 2, _TIGHT) if is_tight else (item.gap, _LEADING)
    return Block(text, item.size, bold, words.code, words.direction, band=item.band, gap=gap,
                 leading=leading)  # fmt: skip
