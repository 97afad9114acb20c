"""On a phone what makes pages comes after the app is up: until then a sentence says so."""

import builtins

import pytest

from pocketpump.core.errors import PocketPumpError
from pocketpump.exchange.papers.drawing.fonts import NAMES, Font, asset_folder


@pytest.mark.parametrize("error", [ModuleNotFoundError("fontTools"), OSError(5, "no archive")])
def test_without_its_fonts_reader_a_page_is_refused_in_a_sentence(monkeypatch, error):
    found = builtins.__import__

    def without(name, *rest, **more):
        if name.startswith("fontTools"):
            raise error
        return found(name, *rest, **more)

    monkeypatch.setattr(builtins, "__import__", without)
    data = (asset_folder("fonts") / f"{NAMES[0]}.ttf").read_bytes()
    with pytest.raises(PocketPumpError, match="not on this phone yet: connect"):
        _ = Font("new", data).letters
