"""What the commands say to whoever types them is said in the language that was asked for."""

from __future__ import annotations

import ast
import re
from pathlib import Path

import pytest

import companion
from companion.app import commands
from companion.app.commands import run
from companion.presentation.language import phrases
from tests.languages.recorded import marked

APP = sorted((Path(companion.__file__).parent / "app").glob("*.py"))
_SAYS = ("_say", "Refused", "MachineFails", "ArgumentTypeError", "error")
_WORDS = ("help", "description", "epilog")


@pytest.fixture
def _marked(monkeypatch: pytest.MonkeyPatch) -> None:
    """A language whose sentences stand in brackets."""
    monkeypatch.setattr(phrases, "_translate", marked)


@pytest.mark.usefixtures("_marked")
@pytest.mark.parametrize("command", ["", *commands._COMMANDS])
def test_help_is_said_to_the_last_word(command: str, capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(SystemExit):
        run([*command.split(), "--help"])
    told = capsys.readouterr().out
    assert told.startswith("<usage: >homeknee")
    assert "<options>:" in told
    said = re.sub(r"<[^>]*>", "", told.partition("\n\n")[2])
    # What is left is syntax: options, commands, places in capitals, the names of arguments.
    syntax = r"(?<!\w)-{1,2}[a-z-]+|[A-Z/|]+|[,:{}\[\].]"
    names = {*commands._COMMANDS, *["name", "folder", "file", "diary", "plan", "left", "right"]}
    names |= {"person", "helper", "a4", "letter"}
    left = [word for word in re.sub(syntax, " ", said).split() if word not in names]
    assert [word for word in left if word.isalpha()] == []


def test_the_language_is_chosen_wherever_it_stands(capsys: pytest.CaptureFixture[str]) -> None:
    for line in (["--language", "xx", "--help"], ["demo", "--lang=xx", "--help"]):
        assert run(line) == 1
        assert "There are: en" in capsys.readouterr().err


def _texts(node: ast.expr) -> bool:
    """Whether an expression is words that no language was asked about."""
    match node:
        case ast.Constant(value=str() as text):
            return any(letter.isalpha() for letter in text)
        case ast.JoinedStr(values=values):
            return any(map(_texts, values))
        case ast.BinOp(left=left, right=right):
            return _texts(left) or _texts(right)
        case ast.IfExp(body=one, orelse=other):
            return _texts(one) or _texts(other)
    return False


def bare(tree: ast.AST) -> list[int]:
    """The lines on which a command says what did not go through `phrase`."""
    found = []
    for node in ast.walk(tree):
        if isinstance(node, ast.Call):
            name = getattr(node.func, "id", getattr(node.func, "attr", ""))
            aloud = name == "print" and any(word.arg == "file" for word in node.keywords)
            said = node.args[:1] if name in _SAYS or aloud else []
            said += [word.value for word in node.keywords if word.arg in _WORDS]
            found += [node.lineno for one in said if _texts(one)]
    return found


def test_no_command_says_what_is_in_no_catalogue() -> None:
    found = {path.name: bare(ast.parse(path.read_text(encoding="utf-8"))) for path in APP}
    assert {name: lines for name, lines in found.items() if lines} == {}
    for code in ('_say("No.")', 'Refused(f"No {x}.")', 'a(help="no")', 'print("No", file=e)'):
        assert bare(ast.parse(code)) == [1]
    assert bare(ast.parse('_say(phrase("No.")); print("x"); Refused(said)')) == []
