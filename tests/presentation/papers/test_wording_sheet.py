"""The wording to sign: everything a clinician signs is on it, printed from the content."""

from __future__ import annotations

import re
from dataclasses import replace
from pathlib import Path

import pytest

from companion.app.clinic_window import draw_wording
from companion.paper.wording import wording_pdf
from companion.presentation.language import codes
from companion.presentation.papers.wording_sheet import wording_sheet, wording_view
from companion.presentation.view.page import Heading, Text
from tests.builders import DAY
from tests.care.content import CATALOGUE
from tests.paper.test_leaflet import words_of
from tests.presentation.wording import lines

SAID = " ".join(lines(wording_view(CATALOGUE)))
SHEET = wording_sheet(CATALOGUE, DAY)


def test_the_page_to_sign_has_every_rule_in_short_with_a_place_for_initials() -> None:
    *rules, daily = SHEET.rules
    for rule, line in zip(CATALOGUE.policy.rules, rules, strict=True):
        assert (line.mark, line.title) == (rule.id, f"{rule.title}.")
        assert line.words.startswith(rule.in_short)
        assert set(line.initials) == {"_"}
    for question in CATALOGUE.short_gate.questions:
        assert question.words in daily.words


def test_the_short_words_of_a_rule_hold_no_number_that_its_whole_words_do_not() -> None:
    for rule in CATALOGUE.policy.rules:
        whole = re.findall(r"\d+", rule.clinician_words)
        assert set(re.findall(r"\d+", rule.in_short)) <= set(whole), rule.id


@pytest.mark.parametrize("letter", [False, True])
def test_what_is_read_and_signed_is_one_page(letter: bool, tmp_path: Path) -> None:
    words = words_of(wording_pdf(SHEET, on=DAY, letter=letter), tmp_path)
    first, second, *_ = words.split("\f")
    for rule in CATALOGUE.policy.rules:
        assert rule.title in " ".join(first.split())
    assert "Day and signature" in first
    assert "Annex" in second


def test_each_page_of_the_annex_says_at_its_head_which_rule_it_goes_on_with(tmp_path: Path) -> None:
    _, _, *later = words_of(wording_pdf(SHEET, on=DAY), tmp_path).split("\f")[:-1]
    assert len(later) > 4
    for page in later:
        _, head, begins, *_ = (line.strip() for line in page.splitlines() if line.strip())
        titles = {block.text for block in SHEET.annex.blocks if isinstance(block, Heading)}
        assert head in {f"{title}, continued" for title in titles} or begins in titles


def test_every_rule_is_there_with_its_whole_words() -> None:
    view = wording_view(CATALOGUE)
    headings = [block.text for block in view.blocks if isinstance(block, Heading)]
    for rule in CATALOGUE.policy.rules:
        assert f"{rule.id}: {rule.title}" in headings
        assert rule.clinician_words in SAID
    assert CATALOGUE.policy.status_note in SAID


def test_every_row_of_the_stop_list_is_there_with_what_it_closes_and_its_whole_card() -> None:
    for sign in (*CATALOGUE.stop_list.signs, *CATALOGUE.stop_list.unknown):
        card = CATALOGUE.card(sign.card)
        assert sign.words in SAID
        asked = [question.words for question in sign.questions]
        for words in (*asked, *(question.words for question in card.opens_when)):
            assert words in SAID
        for line in (
            *(card.heading, *card.actions, card.by_when, card.say, card.say_away),
            *(card.heading_open, *card.actions_open),
        ):
            assert line is None or line in SAID, sign.id
        row = CATALOGUE.policy.sign(sign.id)
        level = codes.LEVELS[sign.level].clinic.capitalize()
        said = SAID[SAID.index(f"{level}: “{sign.words}”") :].partition("Card “")[0]
        for part in row.parts:
            assert codes.PARTS[part].clinic in said or "Closes everything" in said, sign.id
        if not row.parts:
            assert "Closes nothing" in said
        for closing in row.closes:
            ways = [codes.CLEARED[how].clinic for how in closing.opens]
            once = "opens once" if closing.parts else "over once"
            assert not ways or f"{once} {' or '.join(ways)}" in said, sign.id


def test_every_answer_of_the_day_page_is_there_with_what_it_is_offered() -> None:
    for answer in CATALOGUE.policy.answers:
        said = SAID[SAID.index(f"page: {codes.DAY_ANSWERS[answer.answer].clinic}") :]
        said = said.partition("[   ]")[0]
        for sign in answer.offers:
            assert CATALOGUE.sign(sign).words in said
        assert f"{answer.days} of {answer.of_days} days" in said
    assert f"above {CATALOGUE.policy.watch.step_above}" in SAID


def test_every_number_of_a_state_is_said_with_it() -> None:
    states = [line for line in lines(wording_view(CATALOGUE)) if "State: " in line]
    assert len(states) == len(CATALOGUE.policy.states)
    for rule in CATALOGUE.policy.rules:
        for state in CATALOGUE.policy.states:
            if state.rule == rule.id:
                said = re.findall(r"\d+", states.pop(0))
                assert set(said) == {str(one.value) for one in state.numbers}, state.state


def test_a_rule_somebody_confirmed_says_who() -> None:
    first, *rest = CATALOGUE.policy.rules
    policy = replace(
        CATALOGUE.policy, rules=(replace(first, confirmed_by="M. Hale, PH 0412"), *rest)
    )
    view = wording_view(replace(CATALOGUE, policy=policy))
    assert Text("Confirmed by M. Hale, PH 0412.", "strong") in view.blocks
    sheet = wording_sheet(replace(CATALOGUE, policy=policy), DAY)
    assert sheet.rules[0].initials == "M. Hale, PH 0412"


def test_no_code_is_on_it() -> None:
    assert "_ " not in SAID.replace("_" * 34, "")
    for rule in CATALOGUE.policy.rules:
        for fact in rule.facts:
            assert fact not in SAID


def test_all_of_it_reaches_the_paper(tmp_path: Path) -> None:
    printed = " ".join(words_of(draw_wording(CATALOGUE, DAY), tmp_path).split())
    for rule in CATALOGUE.policy.rules:
        assert f"{rule.id}: {rule.title}" in printed
    assert "No licensed clinician has signed" in printed
