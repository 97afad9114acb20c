"""The catalogues hold every sentence, whole: nothing is missing, stale or filled wrongly."""

import re
import subprocess
import sys
from pathlib import Path

import pytest
from babel.messages import pofile

from pocketpump.core.messages import message, plural_message, text_in
from pocketpump.exchange.language.locales import ENGLISH, LANGUAGE_NAMES, locale

ROOT = Path(__file__).parents[2]
LOCALE = ROOT / "pocketpump" / "exchange" / "locale"
OTHERS = [code for code in LANGUAGE_NAMES if code != ENGLISH]


def test_the_catalogues_are_what_the_tool_writes():
    done = subprocess.run(
        [sys.executable, str(ROOT / "tools" / "catalogue.py"), "--check"],
        capture_output=True, text=True, check=False,
    )  # fmt: skip
    assert done.returncode == 0, done.stdout + done.stderr[-2000:]


@pytest.mark.parametrize("code", OTHERS)
def test_a_translation_fills_in_what_the_english_does(code):
    with (LOCALE / code / "LC_MESSAGES" / "pocketpump.po").open("rb") as file:
        catalogue = pofile.read_po(file, locale=code)
    wrong = []
    for template in catalogue:
        if not template.id:
            continue
        english = template.id if isinstance(template.id, tuple) else (template.id,)
        other = template.string if isinstance(template.string, tuple) else (template.string,)
        wanted = set().union(*(re.findall(r"\{(\w*)\}", text) for text in english))
        for text in other:
            holds = set(re.findall(r"\{(\w*)\}", text))
            if holds - wanted or (wanted - {"count"}) - holds:
                wrong.append((english, text))
            if text[:1].isspace() != english[0][:1].isspace():
                wrong.append((english, text))
    assert wrong == []


@pytest.mark.parametrize("code", OTHERS)
def test_a_catalogue_that_was_packed_speaks(code):
    translated = locale(code)
    assert text_in(message("Save"), translated) != "Save"
    assert "3" in text_in(plural_message("{count} day", "{count} days", 3), translated)
