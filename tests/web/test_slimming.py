"""What is cut out of Flet's client is only what nobody can see; other readers say so."""

import io
import subprocess

import pytest
from fontTools.pens.recordingPen import RecordingPen
from fontTools.ttLib import TTFont
from PIL import ImageFont

from pocketpump.web import client, icon_font, slimming
from pocketpump.web.build import _icon_codes

USED = ("WATER_DROP_OUTLINED", "SHOW_CHART", "EVENT_REPEAT", "BADGE_OUTLINED", "MENU", "ARROW_BACK")


@pytest.fixture(scope="module")
def numbers() -> list[int]:
    codes = _icon_codes()
    return [codes[name] & 0xFFFF for name in USED]


@pytest.fixture(scope="module")
def script() -> str:
    return (client.web_folder() / "main.dart.js").read_text(encoding="utf-8")


@pytest.fixture(scope="module")
def slim(script, numbers) -> str:
    total = len(_icon_codes())
    return slimming.without_icons(slimming.without_languages(script), numbers, total)


def test_a_tenth_is_gone_and_the_rest_is_still_a_script(script, slim, node, tmp_path):
    assert len(slim) < 0.9 * len(script)
    path = tmp_path / "main.dart.js"
    path.write_text(slim, encoding="utf-8")
    done = subprocess.run([node, "--check", str(path)], capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr[-500:]


def test_the_icons_in_use_keep_their_numbers(script, slim, numbers):
    drawn = icon_font.characters(script, numbers)
    assert drawn is not None
    assert len(drawn) == len(USED)
    assert icon_font.characters(slim, numbers) == drawn


def test_a_script_of_another_form_stays_as_it_is(numbers):
    other = 'B.a=new A.b(57344,"MaterialIcons",null,!1)\n$.x=A.d([B.a],t)\n'
    assert slimming.without_languages(other) == other
    assert slimming.without_icons(other, numbers, 8825) == other


def drawings(font: bytes, characters: set[int]) -> dict[int, list]:
    read = TTFont(io.BytesIO(font))
    names, glyphs = read.getBestCmap(), read.getGlyphSet()
    found = {}
    for character in characters:
        pen = RecordingPen()
        glyphs[names[character]].draw(pen)
        found[character] = pen.value
    return found


def pictures(font: bytes, characters: set[int]) -> dict[int, bytes]:
    """Return what FreeType, which did not thin the font, draws of each character."""
    read = ImageFont.truetype(io.BytesIO(font), 48)
    found = {character: read.getmask(chr(character)) for character in characters}
    assert all(mask.getbbox() for mask in found.values())
    return {character: bytes(mask) for character, mask in found.items()}


def test_another_reader_finds_the_same_drawings_in_the_thinned_font(script, numbers):
    font = (client.web_folder() / "assets/fonts/MaterialIcons-Regular.otf").read_bytes()
    keep = icon_font.characters(script, numbers)
    assert keep is not None
    thinned = icon_font.thin(font, keep)
    assert drawings(thinned, keep) == drawings(font, keep)
    assert pictures(thinned, keep) == pictures(font, keep)
    assert set(TTFont(io.BytesIO(thinned)).getBestCmap()) == keep
