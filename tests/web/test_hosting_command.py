"""``pocketpump web``: the settings beside a build, and serving to a phone in the same network."""

from __future__ import annotations

import http.server
import re
from fnmatch import fnmatch
from pathlib import Path

import pytest
import zxingcpp
from hosts import fake_build
from PIL import Image

from pocketpump.cli import main
from pocketpump.web import build as build_module


@pytest.fixture(autouse=True)
def quick(monkeypatch):
    """A small build in place of the real one, which takes its time."""

    def build(out: Path, *, base_url: str, snapshot: bool):
        return fake_build(out, base_url)

    monkeypatch.setattr(build_module, "build", build)


def test_the_settings_are_beside_the_build_and_made_anew_with_it(tmp_path, capsys):
    out, beside = tmp_path / "out", tmp_path / "out-hosting"
    assert main(["web", str(out), "--base-url", "/pump/"]) == 0
    assert str(beside / "UPLOAD.txt") in capsys.readouterr().out
    names = {"UPLOAD.txt", "_headers", "apache.conf", "nginx.conf", "pocketpump.caddy"}
    assert {path.name for path in beside.iterdir()} == names
    assert not names & {path.name for path in out.iterdir()}
    assert 'alias "/srv/pocketpump/"' in (beside / "nginx.conf").read_text()
    again = ["web", str(out), "--base-url", "/other/", "--host-folder", "/var/www/pump/"]
    assert main(again) == 0
    assert "location /other/ {" in (beside / "nginx.conf").read_text()
    assert 'alias "/var/www/pump/"' in (beside / "nginx.conf").read_text()


@pytest.mark.parametrize("names", [["letter.txt"], ["UPLOAD.txt"], ["nginx.conf"]])
def test_other_things_beside_the_build_are_left_alone(tmp_path, capsys, names):
    beside = tmp_path / "out-hosting"
    beside.mkdir()
    for name in names:
        (beside / name).write_text("mine")
    assert main(["web", str(tmp_path / "out")]) == 2
    assert "holds other things" in capsys.readouterr().err
    assert not (tmp_path / "out").exists()
    assert {path.name: path.read_text() for path in beside.iterdir()} == dict.fromkeys(
        names, "mine"
    )


def test_a_note_of_ones_own_among_the_settings_is_left_alone(tmp_path, capsys):
    assert main(["web", str(tmp_path / "out")]) == 0
    (tmp_path / "out-hosting" / "note.txt").write_text("mine")
    assert main(["web", str(tmp_path / "out")]) == 2
    assert "move them away" in capsys.readouterr().err


@pytest.mark.parametrize(
    "folder",
    ["srv/pump", "", "/", '/srv/"; evil', "/srv/a\nb", "/srv/$x", "/srv/../etc", "/srv/{a}"],
)
def test_a_folder_that_no_setting_can_name_is_refused(tmp_path, capsys, folder):
    assert main(["web", str(tmp_path / "out"), "--host-folder", folder]) == 2
    assert "must be a whole path" in capsys.readouterr().err


@pytest.mark.parametrize(
    ("words", "said"),
    [
        ([], "Name the folder"),
        (["OUT", "--json"], "belongs to --check"),
        (["OUT", "--https"], "belong to --serve"),
        (["OUT", "--host", "192.168.1.2"], "belong to --serve"),
        (["OUT", "--serve", "--host", "192.168.1.2"], "add --https"),
        (["OUT", "--serve", "--https", "--host", "0.0.0.0"], "address of this machine"),
        (["OUT", "--serve", "--https", "--host", "laptop"], "address of this machine"),
        (["OUT", "--check", "https://example.org/"], "give the address alone"),
        (["--serve", "--check", "https://example.org/"], "give the address alone"),
    ],
)
def test_options_that_do_not_belong_together_are_one_sentence(
    tmp_path, monkeypatch, capsys, words, said
):
    monkeypatch.chdir(tmp_path)
    assert main(["web", *words]) == 2
    error = capsys.readouterr().err
    assert said in error
    assert error.count("\n") == 1
    assert not list(tmp_path.iterdir())


def test_an_address_that_is_not_ours_is_one_sentence(tmp_path, capsys):
    words = ["--serve", "--https", "--host", "192.0.2.1", "--port", "0"]
    assert main(["web", str(tmp_path / "out"), *words]) == 2
    assert "192.0.2.1 cannot be used with port 0" in capsys.readouterr().err


def test_served_to_a_phone_it_shows_the_address_as_a_code_and_says_what_will_be_warned_of(
    tmp_path, monkeypatch, capsys
):
    def stop(_server):
        raise KeyboardInterrupt

    monkeypatch.setattr(http.server.ThreadingHTTPServer, "serve_forever", stop)
    words = ["--serve", "--https", "--host", "127.0.0.1", "--port", "0", "--base-url", "/pump/"]
    assert main(["web", str(tmp_path / "out"), *words]) == 0
    said = capsys.readouterr().out
    address = re.search(r"https://127\.0\.0\.1:\d+/pump/", said)[0]
    assert scanned(said) == address
    assert "The phone will warn" in said
    assert re.search(r"^(?:[0-9A-F]{2}:){31}[0-9A-F]{2}$", said, re.MULTILINE)


def scanned(terminal: str) -> str:
    """What a phone reads off the terminal's coloured squares."""
    rows = [line for line in terminal.splitlines() if line.startswith("\x1b[")]
    squares = [re.findall(r"\x1b\[(40|107)m  ", row) for row in rows]
    image = Image.new("L", (len(squares[0]), len(squares)))
    image.putdata([0 if square == "40" else 255 for row in squares for square in row])
    large = image.resize((image.width * 8, image.height * 8), Image.Resampling.NEAREST)
    return zxingcpp.read_barcodes(large)[0].text


@pytest.mark.parametrize("base", ["/", "/pump/"])
def test_no_file_gets_a_header_from_two_rules_of_the_header_file(tmp_path, base):
    """Hosts that read it join the values of both into one line, which says neither."""
    assert main(["web", str(tmp_path / "out"), "--base-url", base]) == 0
    text = (tmp_path / "out-hosting" / "_headers").read_text()
    rules: list[tuple[str, list[str]]] = []
    for line in text.splitlines():
        if line.startswith("/"):
            rules.append((line, []))
        else:
            rules[-1][1].append(line.strip().partition(":")[0])
    names = [str(path.relative_to(tmp_path / "out")) for path in (tmp_path / "out").rglob("*.*")]
    for path in ("", *names):
        given = [
            name for pattern, sent in rules for name in sent if fnmatch(f"{base}{path}", pattern)
        ]
        assert len(given) == len(set(given)), path
        assert {"Content-Security-Policy", "Cache-Control"} <= set(given), path
    assert len(text.splitlines()) < 100
