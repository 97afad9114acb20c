"""An option of the whole program counts before and after the command, and is never passed over."""

import pytest

from pocketpump.cli import build_parser, main
from pocketpump.cli.options import parse
from pocketpump.core.errors import InputError

FILL = ["--filled", "2026-01-12", "--volume", "20 mL", "--strength", "500 mcg/mL",
        "--dose", "200 mcg/day", "--alarm-volume", "2 mL"]  # fmt: skip
COMMANDS = {
    (): [],
    ("demo",): [],
    ("forecast",): FILL,
    ("dates",): [],
    ("check",): [],
    ("signs",): [],
    ("card",): ["--out", "x.pdf"],
    ("letter",): ["--out", "x.pdf"],
    ("carer",): ["--out", "x.pdf"],
    ("calendar",): ["--out", "x.ics"],
    ("sheet",): ["--out", "x.pdf"],
    ("backup", "x"): [],
    ("restore", "x"): [],
    ("merge", "x"): [],
    ("start-over", "x"): [],
    ("erase", "x"): [],
    ("export", "csv", "x"): [],
    ("import", "x"): [],
    ("check-record",): [],
    ("web", "x"): [],
}
VALUES = {"record": "/somewhere", "zone": "Asia/Tokyo", "port": "4321"}


def parsed(*arguments: str):
    return parse(build_parser(), arguments)


def known(words: tuple[str, ...]) -> set[str]:
    """The options that a command takes after its name."""
    if not words:
        return set(VALUES)
    given = parsed(*words, *COMMANDS[words])
    return {name.removeprefix("--") for name in given.parser.shared}


def test_every_command_is_here():
    found = next(a for a in build_parser()._actions if a.choices and "dates" in a.choices)
    assert {words[0] for words in COMMANDS if words} == set(found.choices)


@pytest.mark.parametrize("name", VALUES)
@pytest.mark.parametrize("words", COMMANDS, ids=" ".join)
def test_an_option_counts_before_and_after_the_command_alike(words, name):
    own, option = COMMANDS[words], (f"--{name}", VALUES[name])
    if name not in known(words):
        for arguments in ((*option, *words, *own), (*words, *own, *option)):
            with pytest.raises(InputError, match=f"--{name}"):
                parsed(*arguments)
        return
    before, after = parsed(*option, *words, *own), parsed(*words, *own, *option)
    assert str(getattr(before, name)) == VALUES[name]
    assert {**vars(before), "parser": 0} == {**vars(after), "parser": 0}
    other = "Europe/Rome" if name == "zone" else "1"
    both = parsed(f"--{name}", other, *words, *own, *option) if words else after
    assert str(getattr(both, name)) == VALUES[name]


@pytest.mark.parametrize("words", COMMANDS, ids=" ".join)
def test_without_them_every_command_has_its_own_default(words):
    given = parsed(*words, *COMMANDS[words])
    usual = {"zone": "UTC" if COMMANDS[words] == FILL or words == ("check",) else None,
             "port": 8378 if words[:1] == ("web",) else None, "record": None}  # fmt: skip
    for name in known(words) & usual.keys():
        assert getattr(given, name) == usual[name]


def test_no_browser_counts_before_demo_too():
    assert parsed("--no-browser", "demo").no_browser is True
    assert parsed("demo", "--no-browser").no_browser is True
    assert parsed("demo").no_browser is False
    with pytest.raises(InputError, match="--no-browser does not belong to pocketpump dates"):
        parsed("--no-browser", "dates")


def test_what_reads_a_record_reads_the_one_named_before_the_command(capsys, tmp_path, monkeypatch):
    monkeypatch.setenv("POCKETPUMP_RECORD", str(tmp_path / "usual"))
    for arguments in (["--record", str(tmp_path / "x"), "dates"],
                      ["dates", "--record", str(tmp_path / "x")]):  # fmt: skip
        assert main(arguments) == 2
        assert str(tmp_path / "x") in capsys.readouterr().err


@pytest.mark.parametrize("text", ["", " ", "\t \n", "\u200b", "\u00a0"])
@pytest.mark.parametrize("words", [words for words in COMMANDS if "record" in known(words)],
                         ids=" ".join)  # fmt: skip
def test_a_record_named_by_nothing_is_refused_and_never_the_usual_one(
    capsys, tmp_path, monkeypatch, words, text
):
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("POCKETPUMP_RECORD", str(tmp_path / "usual"))
    for arguments in ([*words, *COMMANDS[words], "--record", text],
                      ["--record", text, *words, *COMMANDS[words]],
                      [*words, *COMMANDS[words], f"--record={text}"]):  # fmt: skip
        assert main(arguments) == 2
        told = capsys.readouterr().err
        assert told.count("\n") == 1
        assert "--record" in told
        assert "folder" in told
    assert list(tmp_path.iterdir()) == []


def test_control_c_ends_with_one_sentence(capsys, monkeypatch):
    def stopped(*_args: object) -> str:
        raise KeyboardInterrupt

    monkeypatch.setattr("pocketpump.cli.dates.run", stopped)
    assert main(["dates"]) == 130
    assert capsys.readouterr() == (
        "",
        "Stopped before the end; the record holds no half entries.\n",
    )
