"""Pages on the phone: shown, printed without the app around them, and told when not there yet."""

import io
import re

import pytest
from driving import Hand
from phone_driving import Phone, Site, put_demo, wait_for
from pypdf import PdfReader

from pocketpump.exchange.papers.card_phrases import phrases
from pocketpump.exchange.papers.drawing.device_fonts import DeviceFonts

pytestmark = pytest.mark.browser

_HEAR_PRINTING = """() => {
  window.printed = [];
  new MutationObserver((changes) => {
    for (const { addedNodes } of changes) for (const frame of addedNodes) {
      if (frame.id !== 'printed') continue;
      frame.addEventListener('load', () => {
        frame.contentWindow.print = () => {
          const page = frame.contentDocument;
          const first = page.querySelector('svg');
          window.printed.push({
            title: page.title,
            pages: page.querySelectorAll('svg').length,
            width: first.getBoundingClientRect().width,
            other: [...page.body.children].filter((one) => one.tagName !== 'svg').length,
          });
        };
      }, { capture: true, once: true });
    }
  }).observe(document.body, { childList: true });
}"""


def test_the_card_is_shown_printed_and_kept_in_another_language(playwright, built, tmp_path):
    site, phone = Site(built), Phone(playwright, tmp_path / "profile")
    # No bundled font has these letters; the browser draws them with the fonts of this machine.
    fonts = DeviceFonts()
    names = [name for name in ("שרה", "ნინო", "王芳", "김민준")
             if all(any(fonts.with_letter(letter)) for letter in name)]  # fmt: skip
    assert names, "this machine has no font for any of these names"
    try:
        put_demo(phone, site, " ".join(names))
        hand = phone.open(f"{site.url}#/pages?of=card&language=ar").see("Page 2 of 2")
        hand.screenshot("web-pages")
        hand.page.evaluate(_HEAR_PRINTING)
        hand.tap("Print")
        wait_for(hand.page, "window.printed.length > 0", "the pages to be printed", 30)
        [printed] = hand.page.evaluate("window.printed")
        assert printed["title"] == phrases("ar")["title"]
        assert (printed["pages"], printed["other"]) == (2, 0)
        # 210 mm at 96 pixels to the inch.
        assert printed["width"] == pytest.approx(210 / 25.4 * 96, abs=0.5)
        with hand.page.expect_download(timeout=60_000) as waiting:
            hand.tap("Save as PDF")
        pdf = PdfReader(io.BytesIO(waiting.value.path().read_bytes()))
        assert len(pdf.pages) == 2
        assert pdf.metadata.title == phrases("ar")["title"]
        read = pdf.pages[0].extract_text()
        assert "\ufffd" not in read
        assert all(name in read or name[::-1] in read for name in names)
        assert "cannot be drawn" not in hand.words()
    finally:
        phone.close()
        site.stop()


def test_what_makes_pages_may_come_later_and_is_told_until_then(used, site):
    page = used.page()
    pattern = re.compile(r"/papers\.zip$")
    page.route(pattern, lambda route: route.abort("internetdisconnected"))
    hand = Hand(page).open(f"{site.url}#/pages?of=card").see("not on this phone yet")
    # The rest of the app goes on.
    hand.page.evaluate("location.hash = '#/today'")
    hand.see("refill-by")
    page.unroute(pattern)
    hand.page.evaluate("location.hash = '#/pages?of=card&language=de'")
    hand.see("Page 2 of 2")
