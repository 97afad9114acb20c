"""``pocketpump web``: what it says and what it leaves alone."""

from pathlib import Path

import pytest

from pocketpump.cli import main
from pocketpump.web import icons
from pocketpump.web.client import local_only
from pocketpump.web.errors import BuildError

ASSETS = Path(__file__).parents[2] / "assets" / "icons"


def test_a_folder_with_other_things_in_it_is_left_alone(tmp_path, capsys):
    kept = tmp_path / "letter.txt"
    kept.write_text("dear")
    assert main(["web", str(tmp_path)]) == 2
    assert "holds other things" in capsys.readouterr().err
    assert kept.read_text() == "dear"


@pytest.mark.parametrize("base", ["pump", "/pump", "pump/", '/"><script>/', "//other.example/"])
def test_a_base_url_that_is_no_path_is_refused(tmp_path, capsys, base):
    assert main(["web", str(tmp_path / "out"), "--base-url", base]) == 2
    assert "must begin and end with a slash" in capsys.readouterr().err
    assert not (tmp_path / "out").exists()


def test_a_client_that_knows_a_new_server_stops_the_build():
    # The known addresses must each be there once; a fourth server is what this is about.
    known = (
        'a="https://cdn.jsdelivr.net/npm/@rive-app/flutter-native-wasm@1.0/";'
        'b="https://www.gstatic.com/flutter-canvaskit/0a1b/";c="https://fonts.gstatic.com/s/";'
        'd="https://raw.githubusercontent.com/google/fonts/master/ofl/kanit/Kanit-Bold.ttf";'
        'e="notosansjp/v53/abc-DE_f.woff2";'
    )
    assert "https://" not in local_only(known, "/r-1/")
    assert "../../fonts/PocketPumpJapanese.ttf" in local_only(known, "/r-1/")
    with pytest.raises(BuildError, match=r"tracker\.example"):
        local_only(known + 'f="https://tracker.example/x";', "/r-1/")


@pytest.mark.parametrize(("name", "size", "maskable"), icons.ICONS)
def test_the_icons_kept_with_the_project_are_the_drawn_ones(name, size, maskable):
    if size > 192:
        size_in_file = (ASSETS / name).read_bytes()[16:24]
        assert size_in_file == size.to_bytes(4, "big") * 2
    else:
        assert (ASSETS / name).read_bytes() == icons.draw(size, maskable)
