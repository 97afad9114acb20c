"""``pocketpump card`` writes what its help promises."""

from datetime import UTC, datetime

import pytest

from pocketpump.cli import main
from pocketpump.record import DiskFiles, Record
from pocketpump.record.demo import demo_folder, moved_to_now

NOW = datetime(2026, 3, 9, 9, tzinfo=UTC)


@pytest.fixture
def folder(tmp_path):
    target = tmp_path / "record"
    with Record.open(DiskFiles(target), clock=lambda: NOW) as record:
        record.import_entries(moved_to_now(demo_folder(), NOW))
    return target


@pytest.mark.parametrize("ending", ["pdf", "html", "txt", "png", "svg"])
def test_it_writes_each_kind_of_file(folder, tmp_path, ending, capsys):
    out = tmp_path / f"card.{ending}"
    said = main(["card", "--record", str(folder), "--out", str(out), "--language", "de"],
                lambda: NOW)  # fmt: skip
    assert said == 0
    assert out.stat().st_size > 500
    printed = capsys.readouterr().out
    assert str(out) in printed
    assert "Deutsch" in printed
    assert "not been reviewed" in printed


@pytest.mark.parametrize(
    ("arguments", "sentence"),
    [
        (["--out", "card.doc"], 'A card cannot be written as ".doc"'),
        (["--out", "card"], "A card cannot be written as"),
        (["--out", "card.pdf", "--language", "xx"], 'There is no card in "xx"'),
        (["--out", "nowhere/at/all/card.pdf"], "nowhere/at/all/card.pdf could not be written"),
    ],
)
def test_what_cannot_be_done_is_one_sentence_and_status_2(
    folder, tmp_path, monkeypatch, arguments, sentence, capsys
):
    monkeypatch.chdir(tmp_path)
    assert main(["card", "--record", str(folder), *arguments], lambda: NOW) == 2
    error = capsys.readouterr().err
    assert error.startswith(sentence)
    assert len(error.splitlines()) == 1


def test_a_record_that_is_not_there_is_not_begun(tmp_path, capsys):
    arguments = ["card", "--record", str(tmp_path / "none"), "--out", str(tmp_path / "c.txt")]
    assert main(arguments, lambda: NOW) == 2
    assert "There is no record" in capsys.readouterr().err
    assert not (tmp_path / "none").exists()
