"""Lists and numbers are written by the language (CLDR, in its `Forms`), never by hand."""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator
from decimal import Decimal
from pathlib import Path

import pytest

import companion
from companion.evidence.findings import findings
from companion.exchange.files import read
from companion.presentation.language import phrases
from companion.presentation.language.figures_in_words import (
    amount_of,
    change_between,
    one_decimal,
    smallest_chance,
)
from companion.presentation.language.phrases import Forms, in_figures, listed, parted, phrase, speak
from companion.presentation.language.translated import Translated
from companion.presentation.papers.findings_words import findings_words
from companion.system.resources import demo_profiles, resource
from companion.wire.catalogue_reading import read_catalogue
from companion.wire.resource_reading import shipped_policy

PACKAGE = Path(companion.__file__).parent
SAYS = ("presentation", "ui", "app", "paper", "canvas")
NO_SENTENCE = {
    "ui/kit/theme.py": "a style sheet of the toolkit",
}
_SAID = ("Refused", "MachineFails")
_BETWEEN = re.compile(r"[,;]\s*|\s*(and|or)\s*")
_POINT = re.compile(r"(?<=\d)\.(?=\d)")
_WRITTEN = re.compile(r"[-+ ]?,?(\.(\d+|\{.*\}))?[efg%]")


def by_hand(tree: ast.AST) -> Iterator[ast.expr]:
    """Lists, broken numbers and per cent made without the language; what is raised is no word."""
    raised = {id(part) for node in ast.walk(tree) for part in _within(node)}
    for node in ast.walk(tree):
        match node:
            case ast.Call(func=ast.Attribute(ast.Constant(str() as mark), "join")):
                if _BETWEEN.fullmatch(mark) and id(node) not in raised:
                    yield node
            case ast.JoinedStr(values=values) if id(node) not in raised:
                if any(map(_written, values)) or "}%" in ast.unparse(node).replace(" ", ""):
                    yield node


def _within(node: ast.AST) -> Iterator[ast.AST]:
    match node:
        case ast.Raise(exc=ast.Call(func=ast.Name(id=kind)) as made) if kind not in _SAID:
            yield from ast.walk(made)


def _written(part: ast.expr) -> bool:
    if not isinstance(part, ast.FormattedValue) or part.format_spec is None:
        return False
    spec = ast.unparse(part.format_spec).removeprefix("f")[1:-1]
    return _WRITTEN.fullmatch(spec) is not None


def test_no_list_and_no_number_is_written_by_hand() -> None:
    found = {}
    for path in sorted(path for floor in SAYS for path in (PACKAGE / floor).rglob("*.py")):
        name = path.relative_to(PACKAGE).as_posix()
        made = [*by_hand(ast.parse(path.read_text(encoding="utf-8")))]
        if made:
            found[name] = [f"{node.lineno}: {ast.unparse(node)}" for node in made]
    assert {name: found[name] for name in found if name not in NO_SENTENCE} == {}
    assert set(NO_SENTENCE) <= set(found)


@pytest.mark.parametrize(
    "code",
    [
        '", ".join(words)',
        '"; ".join(words)',
        '" and ".join(words)',
        'f"{pain:g}"',
        'f"{pain:+.1f} points"',
        'f"{pain:.{places}f}"',
        'f"{share} %"',
        'raise Refused(", ".join(words))',
    ],
)
def test_what_is_by_hand_is_found(code: str) -> None:
    assert len([*by_hand(ast.parse(code))]) == 1


@pytest.mark.parametrize(
    "code", ['" ".join(words)', 'f"{day:02d}"', 'f"{name}"', 'raise ValueError(f"{size:g}")']
)
def test_what_is_no_list_and_no_number_is_left(code: str) -> None:
    assert [*by_hand(ast.parse(code))] == []


@pytest.fixture
def _french(monkeypatch: pytest.MonkeyPatch) -> None:
    """The forms of French as CLDR has them, and no catalogue: the words stay English."""
    for name in ("_translate", "_forms", "_tag"):
        monkeypatch.setattr(phrases, name, getattr(phrases, name))
    forms = Forms()
    forms.decimal, forms.percent, forms.unit_gap = ",", "{number}\u00a0%", "\u202f"
    speak("fr", Translated(lambda *_: "", forms), forms)


@pytest.mark.usefixtures("_french")
def test_another_language_writes_its_decimal_sign_and_its_spaces() -> None:
    assert in_figures(7.5) == "7,5"
    assert in_figures(Decimal("0.10"), "f") == "0,10"
    assert (one_decimal(4.44), change_between(6.5, 4.4)) == ("4,4", "\u22122,1")
    assert smallest_chance(1 / 128) == "0,0078"
    assert amount_of(7.5, "min") == "7,5\u202fmin"
    assert phrase("step {step} % of 5 mm, {name} m", step=20, name="2") == (
        "step 20\u00a0% of 5\u202fmm, 2\u202fm"
    )
    assert phrase("{said}", said="20 % and 5 mm") == "20 % and 5 mm"  # as it was written


def _told(name: str) -> str:
    diary = read(demo_profiles() / name / "diary.homeknee").diary
    assert diary is not None
    found = findings(diary, policy=shipped_policy())
    return "\n".join(findings_words(diary, found, read_catalogue(resource())))


def test_what_a_diary_shows_has_the_decimal_sign_of_the_language_throughout(
    request: pytest.FixtureRequest,
) -> None:
    """No words are read again as a number, and none is left with a point."""
    english = _told("wilma").replace("yet at 3.2,", "yet at 3,2,")  # written by the translator
    assert len(_POINT.findall(english)) > 10
    request.getfixturevalue("_french")
    french = _told("wilma").replace("yet at 3.2,", "yet at 3,2,")
    assert _spaces(french) == _spaces(_POINT.sub(",", english))


def _spaces(text: str) -> str:
    return re.sub("[\u00a0\u202f]", " ", text)


def test_english_stays_as_it_is_written() -> None:
    assert phrase("step {step} % of 5 mm", step=20) == "step 20 % of 5 mm"
    assert (listed("abc"), parted("abc"), in_figures(50.0)) == ("a, b, c", "a; b; c", "50")
