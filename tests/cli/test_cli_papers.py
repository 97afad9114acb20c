"""``pocketpump letter``, ``carer`` and ``card --layout tag`` write what their help promises."""

import io
from datetime import UTC, datetime

import pypdf
import pytest

from pocketpump.cli import main
from pocketpump.record import DiskFiles, Record
from pocketpump.record.demo import demo_folder, moved_to_now

NOW = datetime(2026, 3, 9, 9, tzinfo=UTC)


@pytest.fixture(scope="module")
def folder(tmp_path_factory):
    target = tmp_path_factory.mktemp("papers") / "record"
    with Record.open(DiskFiles(target), clock=lambda: NOW) as record:
        record.import_entries(moved_to_now(demo_folder(), NOW))
    return target


def run(folder, out, *words) -> int:
    command, *more = words
    return main([command, "--record", str(folder), "--out", str(out), *more], lambda: NOW)


def text_of(out) -> str:
    pages = pypdf.PdfReader(io.BytesIO(out.read_bytes())).pages
    return " ".join(" ".join(page.extract_text().split()) for page in pages)


@pytest.mark.parametrize("paper", ["a4", "letter"])
@pytest.mark.parametrize(
    ("words", "told"),
    [
        (["letter", "--language", "es"], "Español"),
        (["carer"], "The page is in"),
        (["card", "--layout", "tag"], "The card is in"),
    ],
)
def test_each_writes_its_page_on_the_paper_asked_for(folder, tmp_path, words, told, paper, capsys):
    out = tmp_path / "page.pdf"
    assert run(folder, out, *words, "--paper", paper) == 0
    pages = pypdf.PdfReader(io.BytesIO(out.read_bytes())).pages
    # With the steps for the cord injury of this record the page for a carer has a back.
    assert len(pages) == (2 if words == ["carer"] else 1)
    # ISO 216: 210 × 297 mm; 8.5 × 11 inches.
    wanted = (595.28, 841.89) if paper == "a4" else (612.0, 792.0)
    for page in pages:
        assert (float(page.mediabox.width), float(page.mediabox.height)) == pytest.approx(
            wanted, abs=0.01
        )
    printed = capsys.readouterr().out
    assert told in printed
    assert str(out) in printed


def test_the_card_as_a_page_is_printed_on_the_paper_asked_for(folder, tmp_path):
    out = tmp_path / "page.html"
    assert run(folder, out, "card", "--paper", "letter") == 0
    assert "@page{size:215.9mm 279.4mm;" in out.read_text(encoding="utf-8")


def test_the_wallet_card_and_its_page_come_on_letter_too(folder, tmp_path):
    out = tmp_path / "card.pdf"
    assert run(folder, out, "card", "--paper", "letter") == 0
    for page in pypdf.PdfReader(io.BytesIO(out.read_bytes())).pages:
        assert (float(page.mediabox.width), float(page.mediabox.height)) == (612.0, 792.0)


def test_a_letter_says_that_it_was_not_reviewed_and_the_original_does_not(folder, tmp_path, capsys):
    assert run(folder, tmp_path / "fr.pdf", "letter", "--language", "fr") == 0
    assert "has not been reviewed" in capsys.readouterr().out
    assert run(folder, tmp_path / "en.pdf", "letter") == 0
    assert "reviewed" not in capsys.readouterr().out


def test_a_carer_is_shown_what_was_chosen_alone(folder, tmp_path):
    out = tmp_path / "usual.pdf"
    assert run(folder, out, "carer") == 0
    assert "mcg/day" not in text_of(out)
    out = tmp_path / "dose.pdf"
    assert run(folder, out, "carer", "--show", "dose") == 0
    assert "mcg/day" in text_of(out)
    out = tmp_path / "nothing.pdf"
    assert run(folder, out, "carer", "--show", "nothing") == 0
    assert "mcg/day" not in text_of(out)


@pytest.mark.parametrize(
    ("name", "words", "sentence"),
    [
        ("a.txt", ["letter"], "This page is a PDF"),
        ("a.html", ["carer"], "This page is a PDF"),
        ("a.png", ["card", "--layout", "tag"], "The tag is a PDF"),
        ("a.txt", ["card", "--paper", "letter"], "Only .pdf and .html are made for a paper"),
        ("a.pdf", ["letter", "--language", "xx"], 'There is no card in "xx"'),
        ("a.pdf", ["carer", "--show", "name,weight"], '--show: "weight" is no detail'),
    ],
)
def test_what_cannot_be_done_is_one_sentence_and_status_2(
    folder, tmp_path, name, words, sentence, capsys
):
    assert run(folder, tmp_path / name, *words) == 2
    error = capsys.readouterr().err
    assert error.startswith(sentence)
    assert len(error.splitlines()) == 1
    assert not (tmp_path / name).exists()
