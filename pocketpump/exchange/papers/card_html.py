"""The card as one HTML file that needs nothing else: read it, print it, send it."""

from base64 import b64encode
from collections.abc import Iterator, Sequence
from datetime import date
from html import escape
from itertools import groupby

from pocketpump.core.safety.card import Card
from pocketpump.core.safety.contacts import can_be_dialled, dial_text
from pocketpump.exchange.papers.card_phrases import ORIGINAL, phrases
from pocketpump.exchange.papers.card_words import FACTS, Words, card_words
from pocketpump.exchange.papers.drawing.fonts import font
from pocketpump.exchange.papers.drawing.svg import to_svg
from pocketpump.exchange.papers.paper_size import A4, PaperSize
from pocketpump.exchange.papers.qr_code import code_svg
from pocketpump.exchange.papers.wallet import wallet_page

_FONT_OF = {"ar": "PocketPumpArabic", "zh": "PocketPumpChinese", "ja": "PocketPumpJapanese"}
"""Bundled with the page; letters in other scripts most devices have."""

_STYLE = """
body{font:20px/1.4 PP,system-ui,sans-serif;margin:0;color:#000;background:#fff}
main{max-width:40rem;margin:0 auto;padding:16px}
h1{font-size:34px;margin:0 0 8px;background:#000;color:#fff;padding:8px 16px}
p{margin:0 0 10px;white-space:pre-line;overflow-wrap:anywhere}
.alarm{background:#000;color:#fff;font-weight:700;padding:8px 16px}
.strong,.fact{font-weight:700}
.facts{display:grid;grid-template-columns:1fr 1fr;gap:4px 16px;border-block:4px solid #000;
padding:8px 0;margin-bottom:10px}
.facts>.plain,.facts>.alarm{grid-column:1/-1}
.fact{font-size:1.3em;margin:0}
.fact b{display:block;font-size:.65em;font-weight:400}
.original{display:block;font-size:15px;font-weight:400}
.own{border-inline-start:5px solid #000;padding-inline-start:12px}
b{font-weight:700}
a{color:inherit;display:block;padding:10px 0}
.code{width:70mm;height:70mm;display:block}
@media print{main{padding:14mm}.wallet{break-before:page}p{break-inside:avoid}body{font-size:15px}}
.wallet svg{display:block;max-width:100%;height:auto}
"""


def card_html(card: Card, language: str, today: date, paper: PaperSize = A4) -> str:
    """Return the page: the card in large type, the code, and the wallet print for ``paper``."""
    words = phrases(language)
    body = "\n".join(_parts(card_words(card, language, today), words["own_words"]))
    wallet = to_svg(wallet_page(card, language, today, paper), words["title"])
    return f"""<!DOCTYPE html>
<html lang="{words.code}" dir="{words.direction}">
<head>
<meta charset="utf-8">
<meta name="viewport" content="width=device-width, initial-scale=1">
<title>{escape(words["title"])}</title>
<style>{_font_face(language)}{_STYLE}{_printed_on(paper)}</style>
</head>
<body>
<main>
{body}
<p>{escape(words["code"])}</p>
{code_svg(card)}
</main>
<section class="wallet" dir="ltr">{wallet}</section>
</body>
</html>
"""


def _printed_on(paper: PaperSize) -> str:
    size = f"{paper.width:g}mm {paper.height:g}mm"
    svg = f"max-width:none;width:{paper.width:g}mm;height:{paper.height:g}mm"
    return f"@page{{size:{size};margin:0}}\n@media print{{.wallet svg{{{svg}}}}}\n"


def _parts(items: Sequence[Words], own: str) -> Iterator[str]:
    """Yield the elements; the four facts stand side by side."""
    for part, group in groupby(items, key=lambda item: item.part):
        elements = "\n".join(_element(item, own) for item in group)
        yield f'<div class="facts">\n{elements}\n</div>' if part == FACTS else elements


def _element(words: Words, own: str) -> str:
    original = ""
    if words.original:
        original = (
            f'<span class="original" lang="{ORIGINAL}" dir="ltr">{escape(words.original)}</span>'
        )
    if words.weight == "title":
        return f"<h1>{escape(words.text)}{original}</h1>"
    kinds = " ".join(filter(None, (words.weight, "own" if words.own else "")))
    mark = f" ({own})" if words.own else ""
    label = f"<b>{escape(words.label + mark)}:</b> " if words.label else ""
    # The person's own words are in no known language.
    text = f'<span lang="">{escape(words.text)}</span>' if words.own else escape(words.text)
    if words.phone and can_be_dialled(words.phone):
        text = f'<a href="tel:{escape(dial_text(words.phone))}">{text}</a>'
    return f'<p class="{kinds}">{label}{text}{original}</p>'


def _font_face(language: str) -> str:
    name = _FONT_OF.get(language)
    if name is None:
        return ""
    data = b64encode(font(name).data).decode("ascii")
    return f"@font-face{{font-family:PP;src:url(data:font/ttf;base64,{data})}}"
