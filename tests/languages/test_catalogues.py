"""The catalogues of other languages agree with what the program says, and are whole if offered."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, date, datetime
from pathlib import Path

import pytest
from babel import Locale
from babel.messages.catalog import Catalog

from companion.app import languages
from companion.app.commands import run
from companion.care.records import Contact
from companion.presentation.home.card_pages import card_block
from companion.presentation.home.numbers import WHERE_YOU_ARE
from companion.presentation.language import codes, phrases
from companion.presentation.language.code_table import capital, inside
from companion.presentation.language.phrases import Forms, dated, joined, long_day, phrase, spoken
from companion.system import resources
from tests.care.walking import CATALOGUE, taught_plan
from tests.languages.catalogues import (
    DOMAIN,
    faults,
    folder,
    merged,
    mo_bytes,
    parts,
    po_bytes,
    read,
    tags,
    taken_back,
    to_do,
    unread,
    whole,
)
from tests.languages.code_texts import Text
from tests.languages.locale_forms import forms_bytes, forms_of
from tests.languages.template import texts


def test_texts_are_found_in_code_tables_and_content() -> None:
    found = texts()
    assert Text("Choose an answer first.") in found  # a literal
    assert Text("one foot after the other") in found  # a row of a table of codes
    assert Text("{n} outing", "{n} outings") in found  # two columns of a row
    assert Text("Call the emergency number.") in found  # a content file
    assert Text("How much does your left knee hurt now?") in found
    assert not [text for text in found if "{knee}" in text.one]


def test_one_english_sentence_has_one_plural() -> None:
    """A catalogue knows a message by its singular and its context alone."""
    plurals: dict[tuple[str, str], set[str]] = {}
    for text in texts():
        if text.many is not None:
            plurals.setdefault((text.context, text.one), set()).add(text.many)
    assert [pair for pair in plurals.items() if len(pair[1]) > 1] == []


@pytest.mark.parametrize("tag", tags())
def test_a_language_is_offered_if_and_only_if_it_is_whole(tag: str) -> None:
    """`python -m tests.languages merge` brings it up to date and compiles it."""
    path = folder(tag) / f"{DOMAIN}.po"
    catalogue = read(path, tag)
    assert list(faults(catalogue)) == []
    compiled = path.with_suffix(".mo")
    assert compiled.exists() == whole(catalogue)
    if whole(catalogue):
        assert po_bytes(merged(tag, catalogue)) == path.read_bytes()
        assert mo_bytes(catalogue) == compiled.read_bytes()


def _catalogue(**said: str) -> Catalog:
    made = Catalog(locale="de", charset="utf-8")
    made.add("Call {name}.", said.get("call", ""), locations=[("a.py", 0)])
    made.add(("{n} day", "{n} days"), ("{n} Tag", said.get("days", "")), locations=[("b.py", 0)])
    return made


def test_what_cannot_be_right_is_told() -> None:
    assert list(faults(_catalogue(call="Ruf {name} an.", days="{n} Tage"))) == []
    assert len(list(faults(_catalogue(call="Ruf {wen} an.")))) == 1
    assert len(list(faults(_catalogue(call="Ruf {name an.")))) == 1
    assert len(list(faults(_catalogue(call=" Ruf {name} an.")))) == 1


@pytest.mark.parametrize(
    ("tag", "one", "wrong"),
    [("de", "ein Tag", 0), ("fr", "un jour", 1), ("fr", "{n} jour", 0), ("ru", "один день", 1)],
)
def test_only_a_form_for_one_number_may_leave_it_out(tag: str, one: str, wrong: int) -> None:
    """CLDR's plural rules: the first form is for 1 in German, 0, 1 in French, 1, 21 in Russian."""
    made = Catalog(locale=tag, charset="utf-8")
    others = ["{n} x"] * (made.num_plurals - 1)
    made.add(("{n} day", "{n} days"), (one, *others), locations=[("b.py", 0)])
    assert len(list(faults(made))) == wrong


def test_what_translators_wrote_at_the_head_is_kept() -> None:
    ours = _catalogue()
    ours.header_comment = "# plan = Plan"
    begun = merged("de", ours)
    assert begun.header_comment == "# plan = Plan"
    assert unread(merged("de", None)) == ""  # marked, but not yet said in it


def test_parts_come_back_into_the_whole() -> None:
    ours = _catalogue()
    one, other = parts(ours, 2)
    assert len(to_do(ours)) == len(one) + len(other) == 2
    filled = _catalogue(call="Ruf {name} an.", days="{n} Tage")
    assert taken_back(ours, [filled]) == 2
    assert whole(ours)


def test_english_writes_days_and_lists_as_the_locale_data_of_britain_do() -> None:
    """CLDR en-GB, by Babel; but its "Sept" is ours "Sep", three letters like the others,
    and its "50%" is ours "50 %" (The International System of Units, 9th edition, 5.4.7)."""
    own = Forms()
    british = forms_of("en-GB")
    assert own.name in str(british.pop("name"))  # with its country
    british["short_months"] = [
        str(month)[:3] for month in Locale("en", "GB").months["format"]["abbreviated"].values()
    ]
    assert british["percent"] == "{number}%"
    british["percent"] = "{number} %"
    for name, value in british.items():
        held = getattr(own, name)
        assert (list(held) if isinstance(held, tuple) else held) == value, name


@pytest.mark.parametrize("tag", tags())
def test_a_language_writes_them_as_the_locale_data_do(tag: str) -> None:
    said = unread(read(folder(tag) / f"{DOMAIN}.po", tag))
    assert (folder(tag) / "forms.json").read_bytes() == forms_bytes(tag, said)


def _given_back(monkeypatch: pytest.MonkeyPatch) -> None:
    """The language is English again after the test."""
    for name in ("_translate", "_forms", "_tag"):
        monkeypatch.setattr(phrases, name, getattr(phrases, name))


NUMBERS = (
    Contact(role="out_of_hours", number="555 0103"),
    Contact(role="doctor", number="555 0102", days="weekdays", opens="8:00", closes="18:00"),
    Contact(role="clinic", number="555 0101", days="weekdays", opens="8:30", closes="17:00"),
    Contact(role="surgical_team", number="555 0104", days="weekdays", opens="9:00", closes="12:00"),
)
EMERGENCY = Contact(role="emergency", number="555 0199")


@pytest.mark.parametrize("away", [False, True])
@pytest.mark.parametrize("tag", [one.tag for one in languages.offered()[1:]])
def test_each_card_says_at_each_hour_whom_to_call_as_a_whole_sentence_of_the_language(
    tag: str, away: bool, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A word changed inside a translated sentence could leave the name of who does not answer."""
    _given_back(monkeypatch)
    said = {
        str(m.id): str(m.string) for m in read(folder(tag) / f"{DOMAIN}.po", tag) if not m.context
    }
    signs = {sign.card: sign for sign in CATALOGUE.stop_list.signs}

    def lines(language: str, hour: int) -> list[tuple[str, ...]]:
        languages.choose(language)
        emergency = replace(EMERGENCY, label=phrase(WHERE_YOU_ARE) if away else None)
        without = [NUMBERS, NUMBERS[:2], NUMBERS[:1], NUMBERS[2:], ()]
        plans = [taught_plan(contacts=(emergency, *numbers)) for numbers in without]
        at = datetime(2026, 3, 20, hour, 5, tzinfo=UTC)
        return [
            card_block(sign, plan, CATALOGUE, at).actions
            for sign in signs.values()
            for plan in plans
        ]

    for hour in (7, 8, 10, 12, 17, 18, 23):
        for english, told in zip(lines("en", hour), lines(tag, hour), strict=True):
            if any(line.startswith("You are away") for line in english):
                assert not any(" at home" in line for line in english)
            for ours, theirs in zip(english, told, strict=True):
                sentence = ours.removeprefix("Say: “").removesuffix("”")
                assert said[sentence] in theirs, sentence


@pytest.fixture
def _german(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A small catalogue, compiled and chosen as the program does."""
    made = Catalog(locale="de", charset="utf-8")
    made.add("left knee", "linkes Knie")
    made.add("Left knee: {n} day", "")
    made.add("Pain in your left knee", "Schmerz im linken Knie")
    made.add(("{n} day", "{n} days"), ("{n} Tag", "{n} Tage"))
    made.add("Open", "Offen", context="not answered yet")
    made.add("{n} points", "{n} Punkte")
    (tmp_path / "de").mkdir()
    (tmp_path / "de" / f"{DOMAIN}.mo").write_bytes(mo_bytes(made))
    (tmp_path / "de" / "forms.json").write_bytes(forms_bytes("de"))
    _given_back(monkeypatch)
    monkeypatch.setattr(resources, "resource", lambda *parts: tmp_path.joinpath(*parts[1:]))
    languages.choose("de")


@pytest.mark.usefixtures("_german")
def test_a_chosen_language_says_whole_sentences_and_plurals() -> None:
    assert spoken() == "de"
    assert phrase("Pain in your {knee}", knee=codes.SIDES["left"].knee) == "Schmerz im linken Knie"
    assert capital(codes.SIDES["left"].knee) == "Linkes Knie"
    assert [phrase("{n} day", "{n} days", n=n) for n in (1, 2, 1.5)] == [
        "1 Tag",
        "2 Tage",
        "1,5 Tage",
    ]
    assert phrase("{n} points", n=7.5) == "7,5 Punkte"
    assert phrase("Open", context="not answered yet") == "Offen"
    assert phrase("Open") == "Open"  # what no catalogue has stays English
    assert inside("Schmerz") == "Schmerz"
    assert long_day(date(2026, 11, 2)) == "Montag, 2. November"
    assert dated(date(2026, 11, 2)) == "2. November 2026"
    assert joined(("a", "b", "c")) == "a, b und c"
    languages.choose("en")
    assert (spoken(), phrase("{n} points", n=7.5)) == ("en", "7.5 points")
    assert long_day(date(2026, 11, 2)) == "Monday 2 November"


def test_a_language_that_is_not_there_is_refused_with_those_that_are(
    capsys: pytest.CaptureFixture[str],
) -> None:
    assert run(["demo", "--language", "xx"]) == 1
    assert "There are: en" in capsys.readouterr().err
