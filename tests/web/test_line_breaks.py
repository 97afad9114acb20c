"""Our rules for where a line may end say what the browser's own, which it means to drop, says."""

import json
import os
import random
from pathlib import Path

import pytest
from babel.messages import pofile
from phone_driving import Phone

from pocketpump.exchange.papers.drawing.fonts import asset_folder
from pocketpump.web import page as web_page

pytestmark = pytest.mark.browser

ROOT = Path(__file__).parents[2]
#: Letters, marks and signs for which there is a rule, of all scripts that the card speaks and more.
LETTERS = list(
    "aZé1०٣ -–—‑/.,:;!?()[]{}\"'«»“”‘’„…%°$€£+±\\#&*@|\u00a0\u00ad\u200b\u2060\u200d\u0301\n\r\t"
    "漢かっー、。「」（）한글각가ᅡᆨאבعبไทยภาษา👩🔬🏽👍🇩🇪☎✓❤️्कि¿¡´²½·•\ufffc․〜"
)
TRIES = 200_000 if os.environ.get("POCKETPUMP_THOROUGH") else 5_000
BOTH = """() => {
  const by = (kind) => {
    const breaks = new kind([], { type: "line" });
    return (text) => {
      breaks.adoptText(text);
      breaks.first();
      const ends = [];
      while (breaks.next() !== -1) ends.push(breaks.current());
      return ends.join();
    };
  };
  globalThis.theirs = by(globalThis.Browsers);
  globalThis.ours = by(Intl.v8BreakIterator);
}"""
DIFFER = """(texts) => texts.map((text) => [text, theirs(text), ours(text)])
  .filter(([, a, b]) => a !== b)"""


def everything_said() -> list[str]:
    """Every sentence of the app in every language, and every phrase of the card."""
    texts: set[str] = set()

    def take(value: object) -> None:
        if isinstance(value, str):
            texts.add(value)
        elif isinstance(value, (list, tuple)):
            for one in value:
                take(one)
        elif isinstance(value, dict):
            take(list(value.values()))

    for file in (ROOT / "pocketpump/exchange/locale").rglob("*.po"):
        with file.open("rb") as opened:
            for one in pofile.read_po(opened):
                take([one.id, one.string])
    for file in asset_folder("phrases").iterdir():
        take(json.loads(file.read_text(encoding="utf-8")))
    assert len(texts) > 4000
    return sorted(texts)


@pytest.fixture
def page(phone: Phone):
    page = phone.page()
    page.evaluate("() => { globalThis.Browsers = Intl.v8BreakIterator; }")
    assert page.evaluate("typeof Browsers") == "function", (
        "the browser has dropped it: Flutter draws with its whole engine now; line_breaks.js may go"
    )
    page.evaluate(web_page.script("line_breaks.js"))
    assert page.evaluate("Browsers !== Intl.v8BreakIterator")
    page.evaluate(BOTH)
    return page


def test_lines_of_all_that_is_said_end_where_the_browser_ends_them(page):
    assert page.evaluate(DIFFER, everything_said()) == []


def test_so_do_those_of_any_letters_after_each_other(page):
    chance = random.Random(14)
    texts = ["".join(chance.choices(LETTERS, k=chance.randint(1, 7))) for _ in range(TRIES)]
    assert page.evaluate(DIFFER, texts) == []


def test_a_long_text_of_one_kind_is_got_through(page):
    # Were the whole text looked over for each letter of it, this would never end.
    for piece in ("a", " ", "1.", "((", "«", "é\u0301", "ไทย", "漢", "\n"):
        (ends,) = page.evaluate("(texts) => texts.map(ours)", [piece * 20_000])
        assert ends.endswith(str(len(piece) * 20_000))
