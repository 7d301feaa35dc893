"""What the booklet holds: what may be played, for each knee, and days that can be typed in."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from typing import Any

import pytest

from companion.care.records import CautionAnswer, Plan, Side, TapeTrial
from companion.care.trial_schedule import schedule
from companion.exchange.files import read
from companion.presentation.home.card_pages import closed_by_card
from companion.presentation.home.cutting import lengths_to_cut
from companion.presentation.language.phrases import dated
from companion.presentation.language.said import said_words
from companion.presentation.papers.booklet import (
    Booklet,
    BookletPage,
    Pictures,
    ToFill,
    Together,
    booklet,
    fridge_pages,
    warned,
)
from companion.presentation.papers.still_open import open_to_print
from companion.presentation.view.figures import shown_steps
from companion.presentation.view.page import (
    Bulleted,
    Callout,
    DefinitionList,
    Heading,
    Numbered,
    Phones,
    Text,
)
from companion.system.resources import demo_profiles
from tests.builders import warning
from tests.care.content import CATALOGUE
from tests.care.test_trial_days import trial_of
from tests.presentation import wording

TODAY = date(2026, 11, 25)
NAMES = ("edda", "jory", "osric", "tobin", "wilma")


def plan_of(name: str) -> Plan:
    """The plan of an invented person."""
    plan = read(demo_profiles() / name / "plan.homeknee").plan
    assert plan is not None
    return plan


def made(name: str, **more: Any) -> Booklet:
    """Their booklet."""
    return booklet(plan_of(name), CATALOGUE, today=TODAY, **more)


def words_of(page: BookletPage) -> str:
    """Everything one page says outside its pictures."""
    flat = [
        each
        for block in page.blocks
        for each in (block.blocks if isinstance(block, Together) else (block,))
    ]
    found = [page.heading]
    for block in flat:
        match block:
            case ToFill(words):
                found.append(words)
            case Text(text, _):
                found.append(text)
            case Callout(text, heading):
                found += [heading, text]
            case Numbered(items, _) | Bulleted(items):
                found += items
            case DefinitionList(rows):
                found += [cell for row in rows for cell in row]
            case Phones(heading, lines):
                found += [heading, *(line.number for line in lines)]
            case Pictures(_, captions):
                found += captions
            case _:
                found.append(getattr(block, "text", ""))
    return "\n".join(found)


@pytest.mark.parametrize("name", NAMES)
def test_each_technique_of_the_plan_has_its_page_with_its_pictures(name: str) -> None:
    plan, content = plan_of(name), made(name)
    for side in plan.sides:
        for technique in plan.techniques:
            title = CATALOGUE.technique(technique.technique).title
            heading = title if plan.side == "both" else f"{side.capitalize()} knee: {title}"
            (page,) = [page for page in content.pages if page.heading == heading]
            rows = [block for block in page.blocks if isinstance(block, Pictures)]
            drawn = [drawing for row in rows for drawing in row.drawings]
            each = len(drawn) // len(plan.sides)
            at = each * plan.sides.index(side)
            captions = [caption for row in rows for caption in row.captions][at : at + each]
            pictures = Pictures(tuple(drawn[at : at + each]), tuple(captions))
            sheet = CATALOGUE.technique(technique.technique)
            # Hands laid on and hands that move, under the number and verb of their steps.
            steps = [(number, sheet.steps[number - 1].verb) for number in shown_steps(sheet)]
            said = [f"{number} {verb}" for number, verb in steps]
            # A row a knee where they are many: six in one leave the words over each other.
            assert len(rows) == (len(plan.sides) if len(drawn) > 4 else 1)
            assert list(pictures.captions) == said
            for drawing in pictures.drawings:
                assert said_words(drawing.description).startswith(
                    f"{side.capitalize()} knee, as you see it"
                )


def test_pages_of_one_knee_show_that_knee_alone() -> None:
    plan = plan_of("wilma")
    assert plan.side == "both"
    for page in made("wilma").pages:
        for side, other in (("left", "right"), ("right", "left")):
            if page.heading.startswith(f"{side.capitalize()} knee"):
                for block in page.blocks:
                    if isinstance(block, Pictures):
                        for drawing in block.drawings:
                            assert f"{other.capitalize()} knee" not in said_words(
                                drawing.description
                            )


def test_what_both_knees_do_stands_there_once() -> None:
    """Every step stood there twice, on sixteen pages."""
    plan, content = plan_of("wilma"), made("wilma")
    sheets = [CATALOGUE.technique(one.technique).title for one in plan.techniques]
    sheets += [CATALOGUE.exercise(one.exercise).title for one in plan.exercises]
    headings = [page.heading for page in content.pages]
    assert [heading for heading in headings if heading in sheets] == sheets
    assert len(headings) == len(set(headings))
    by_leg = {
        CATALOGUE.exercise(one.exercise).title: CATALOGUE.exercise(one.exercise).both_legs
        for one in plan.exercises
    }
    for page in content.pages:
        if page.heading in by_leg:
            twice = "then as often with the other" in words_of(page)
            assert twice != by_leg[page.heading]


def test_tape_has_a_panel_for_each_moment_of_each_strip() -> None:
    content = made("osric")
    panels = {
        page.heading: sum(len(one.drawings) for one in page.blocks if isinstance(one, Pictures))
        for page in content.pages
        if page.heading.startswith(("Left knee: Strip", "Left knee: Short", "Left knee: Rub"))
    }
    assert panels == {
        "Left knee: Strip 1, inner side": 4,
        "Left knee: Strip 2, outer side": 6,
        "Left knee: Short pieces 3 and 4": 6,
    }
    assert "Right knee: Short pieces 3 and 4" not in [page.heading for page in made("edda").pages]


def test_while_a_tape_trial_runs_the_plan_says_no_other_time_for_tape() -> None:
    plan = plan_of("edda")
    of_trial = "use tape only on the tape days of your trial."
    for trial, said in ((None, False), (trial_of(), True)):
        today = TODAY if trial is None else trial.first_day
        pages = booklet(replace(plan, trial=trial), CATALOGUE, today=today).pages
        words = "\n".join(words_of(page) for page in pages)
        assert (of_trial in words) == said
        assert ("Then use tape if" in words) != said


def test_a_plan_without_tape_has_no_tape_pages() -> None:
    assert not [page for page in made("wilma").pages if "tape" in page.heading.lower()]


def test_a_blocked_technique_is_not_in_it() -> None:
    plan = plan_of("edda")
    clot = CautionAnswer(caution="clot", answer=True, on=date(2026, 11, 1))
    stopped = booklet(replace(plan, cautions=(*plan.cautions, clot)), CATALOGUE, today=TODAY)
    headings = {page.heading for page in stopped.pages}
    for technique in plan.techniques:
        title = CATALOGUE.technique(technique.technique).title
        assert f"Right knee: {title}" not in headings
        assert f"Right knee: {title}" in {page.heading for page in made("edda").pages}


def test_where_the_plan_closes_the_check_move_the_booklet_asks_for_none() -> None:
    """A fracture not yet ticked: nothing is stood up for, in the steps either; hands stay."""
    plan = plan_of("edda")
    broken = CautionAnswer(caution="recent_fracture", answer=True, on=plan.written_on)
    others = tuple(one for one in plan.cautions if one.caution != broken.caution)
    policy = CATALOGUE.policy
    light = tuple(replace(row, closes=("standing", "check_move")) for row in policy.cautions)
    sheets = replace(CATALOGUE, policy=replace(policy, cautions=light))
    first = words_of(
        booklet(replace(plan, cautions=(*others, broken)), sheets, today=TODAY).pages[0]
    )
    assert "Do the check move" not in first
    assert "Do not stand up, step or squat for a score." in first
    assert "Write down how much the knee hurts at rest." in first
    assert "Do the check move" in words_of(booklet(plan, CATALOGUE, today=TODAY).pages[0])


def test_what_was_not_shown_back_is_not_in_it() -> None:
    plan = plan_of("edda")
    untaught = replace(
        plan, techniques=tuple(replace(one, taught_on=None) for one in plan.techniques)
    )
    pages = booklet(untaught, CATALOGUE, today=TODAY).pages
    assert "Press and glide" not in "".join(page.heading for page in pages)


def test_the_helper_gets_the_helpers_words_and_pictures() -> None:
    own, helper = made("edda"), made("edda", for_helper=True)
    drawings = [
        drawing
        for page in helper.pages
        for block in page.blocks
        if isinstance(block, Pictures)
        for drawing in block.drawings
        for said in (said_words(drawing.description),)
        if "as you see it" in said or "helper’s view" in said
    ]
    assert len(drawings) > 9
    assert all("helper’s view" in said_words(drawing.description) for drawing in drawings)
    assert "Ask them to bend the knee gently." in "".join(words_of(page) for page in helper.pages)
    assert "Ask them to bend the knee gently." not in "".join(words_of(page) for page in own.pages)


@pytest.mark.parametrize("name", NAMES)
def test_the_fridge_page_has_the_numbers_and_what_does_not_wait(name: str) -> None:
    plan = plan_of(name)
    pages = fridge_pages(plan, CATALOGUE)
    for page, level in zip(pages, ("emergency", "today"), strict=True):
        assert page.sheet == "fronts"
        words = words_of(page)
        for contact in plan.contacts:
            assert contact.number in words
        for sign in CATALOGUE.stop_list.signs:
            does_not_wait = sign.level == level and sign.asked_when not in ("stop", "state")
            assert ((sign.told or sign.words) in words.split("\n")) == does_not_wait


def test_a_practice_plan_says_so_at_the_foot_of_each_page() -> None:
    practice = replace(plan_of("edda"), sign_off=None)
    content = booklet(practice, CATALOGUE, today=TODAY)
    assert content.foot == "Practice plan: nobody signed it. Not for a real knee."
    assert content.foot in words_of(content.pages[0])
    assert content.foot in words_of(fridge_pages(practice, CATALOGUE)[0])


def test_the_pull_the_plan_names_is_told_with_the_tape() -> None:
    plan = plan_of("edda")
    pulled = replace(plan, tape=replace(plan.tape, pull="towards the hip, a little inwards"))
    pages = booklet(pulled, CATALOGUE, today=TODAY).pages
    page = next(page for page in pages if page.heading == "Right knee: Strip 2, outer side")
    assert "Your clinic adds: towards the hip, a little inwards." in words_of(page)


def test_a_tape_trial_is_told_in_place_of_when_to_tape_and_never_its_order() -> None:
    plan = plan_of("edda")
    days = schedule("one", TODAY, 6, 2)
    trial = TapeTrial(
        side=plan.main_side,
        first_day=TODAY,
        pairs=6,
        scored_days=2,
        seed="one",
        schedule_sha256=days.sha256,
    )
    tried = replace(plan, trial=trial)
    page = booklet(tried, CATALOGUE, today=TODAY).pages[0]
    words = words_of(page)
    assert "Your tape trial" in words
    assert "From 25 November 2026 to 30 December 2026" in words
    assert "use tape only on the tape days of your trial" in words
    assert "Then use tape if too little" not in words
    both = replace(tried, side="both")
    assert "Then use tape if too little" in words_of(booklet(both, CATALOGUE, today=TODAY).pages[0])
    blocks = tuple(b for b in page.blocks if not isinstance(b, Pictures | Together | ToFill))
    assert wording.faults(wording.lines_of(blocks)) == []
    over = booklet(tried, CATALOGUE, today=date(2026, 12, 31)).pages[0]
    assert "trial" not in words_of(over)
    other: Side = "left" if plan.main_side == "right" else "right"
    for wrong in (
        replace(trial, schedule_sha256="0" * 64),
        replace(trial, seed=" "),
        replace(trial, side=other),
    ):
        faulty = replace(tried, trial=wrong)
        assert "trial" not in words_of(booklet(faulty, CATALOGUE, today=TODAY).pages[0])


def test_where_and_which_way_the_skin_is_drawn_is_told_and_drawn() -> None:
    plan = plan_of("edda")
    tape = replace(plan.tape, pull_at="lower_edge", pull_towards="outer")
    pages = booklet(replace(plan, tape=tape), CATALOGUE, today=TODAY).pages
    page = next(page for page in pages if page.heading == "Right knee: Strip 1, inner side")
    assert "Draw the skin beside the lower edge of the kneecap." in words_of(page)
    assert "Draw it towards the hip and the outer side." in words_of(page)
    drawn = [one for block in page.blocks if isinstance(block, Pictures) for one in block.drawings]
    told = "towards the hip and the outer side at the lower edge of the kneecap"
    assert [told in said_words(one.description) for one in drawn] == [False, True, False, False]
    assert all(any(shape.role == "hand" for shape in one.shapes) for one in drawn)


def test_a_booklet_says_what_the_plan_says() -> None:
    """Whoever has it has no other plan: lengths, hours, times a week, which way, the patch test."""
    plan = plan_of("osric")
    tape = replace(
        plan.tape, patch_test="at_home", knee_bend_degrees=30, pull_towards="outer", rest_hours=36
    )
    content = booklet(replace(plan, tape=tape), CATALOGUE, today=TODAY)
    said = "\n".join(words_of(page) for page in content.pages)
    assert "as your plan says" not in said
    for words in (
        f"{plan.hands_days_a_week} days a week",
        *lengths_to_cut(replace(plan, tape=tape), "left", 2),
        "Sit with your leg bent by about 30 degrees.",
        f"off after {tape.first_wear_hours} hours",
        f"{tape.cap_hours} hours",
        "36 hours at least",
        "Each make of tape needs its own test.",
        "Off no later than 24 hours after, on",
        "rest about 60 seconds",
    ):
        assert words in said, words
    assert said.count("Draw it towards the hip and the outer side.") >= 2, "once a strip"


@pytest.mark.parametrize(
    ("arms", "words"),
    [
        (True, "Stand up slowly. Push up with your hands."),
        (False, "Stand up slowly. Do not use your hands."),
        (None, "Stand up slowly. Use your hands if you need them."),
    ],
)
def test_whether_hands_help_in_standing_up_is_that_of_the_check_move(
    arms: bool | None, words: str
) -> None:
    plan = plan_of("osric")
    move = replace(plan.check_move, depth=replace(plan.check_move.depth, arms_used=arms))
    content = booklet(replace(plan, check_move=move), CATALOGUE, today=TODAY)
    assert words in "\n".join(words_of(page) for page in content.pages)


def test_what_is_filled_in_or_hung_up_has_paper_of_its_own() -> None:
    pages = made("osric").pages
    filled = {
        page.heading
        for page in pages
        for block in page.blocks
        for part in (block.blocks if isinstance(block, Together) else (block,))
        if isinstance(part, ToFill)
    }
    assert {page.heading for page in pages if page.sheet == "own"} == filled != set()


@pytest.mark.parametrize("helping", [False, True])
def test_a_booklet_says_which_warnings_are_open_as_it_is_printed(helping: bool) -> None:
    """Each with what it closes, at the head; without one nothing of it."""
    plan = plan_of("edda")
    stuck = warning(TODAY, "knee_stuck", "today")
    unknown = warning(TODAY, "not_in_any_list", "call")
    over = warning(
        TODAY, "swollen_days", "call", cleared="ticked_by_mistake", cleared_on=TODAY, id="over"
    )
    assert open_to_print(plan, CATALOGUE, (over,)) == ()
    told = open_to_print(plan, CATALOGUE, (stuck, unknown, over), ("spell_call",))
    assert len(told) == 3
    plain = booklet(plan, CATALOGUE, today=TODAY, for_helper=helping)
    assert warned(plain, (), TODAY) == plain
    paper = warned(plain, told, TODAY, whole=True)
    head, *each = paper.pages[0].blocks[:4]
    assert all(isinstance(block, Together) for block in (head, *each)), "turned over in one"
    (callout,) = head.blocks  # type: ignore[union-attr]
    first, closes = each[0].blocks  # type: ignore[union-attr]
    assert isinstance(callout, Callout)
    assert callout.heading == f"3 warnings were open on {dated(TODAY)}"
    assert "their cards" in callout.text
    sign = CATALOGUE.sign("knee_stuck")
    assert first == Text(sign.told or sign.words, "strong")
    assert isinstance(closes, DefinitionList)
    assert closes.rows == closed_by_card(CATALOGUE.sign("knee_stuck"), plan, CATALOGUE)
    assert plain.pages[1:] == paper.pages[1:]
    assert plain.pages[0].blocks == paper.pages[0].blocks[4:]


@pytest.mark.parametrize("lotion", [None, "a little skin oil"])
def test_what_makes_hands_and_skin_ready_stands_in_the_booklet(lotion: str | None) -> None:
    """Nails, rings, warm hands, no gel or the plan's lotion, washed off before tape; no heat on it,
    taken off along the hair, a look a week later."""
    plan = plan_of("edda")
    at_home = replace(plan.tape, patch_test="at_home")
    plan = replace(plan, lotion=lotion, tape=at_home)
    said = " ".join(map(words_of, booklet(plan, CATALOGUE, today=TODAY).pages))
    told = CATALOGUE.tape_steps
    for sentence in (*told.while_worn, *told.never, *told.take_off_for, told.patch_test.week):
        assert sentence in said, sentence
    for step in told.removal:
        assert step.person in said, step.person
    for word in ("nails", "rings", "warm", "bare skin", "the way the hair grows", "heat"):
        assert word in said.lower(), word
    wanted = ("no pain gel", "no cream") if lotion is None else (lotion, "wash all of the lotion")
    assert all(word in said.lower() for word in wanted)


def test_paper_has_a_mark_of_a_bad_day_where_the_plan_says_none() -> None:
    """By the usual score, as the program works it out; none where the clinic left it off."""
    plan = replace(plan_of("edda"), bad_day_mark=None, bad_day_mark_off=False, pain_ceiling=5)
    (told,) = (line for line in bad_day_lines(plan) if "check move" in line)
    assert told.startswith("2 or more above your usual score, and at least 6, at the check move:")
    off = replace(plan, bad_day_mark_off=True)
    assert not any("check move" in line for line in bad_day_lines(off))


def bad_day_lines(plan: Plan) -> tuple[str, ...]:
    """The lines under A bad day."""
    blocks = booklet(plan, CATALOGUE, today=TODAY).pages[0].blocks
    sections = (block.blocks for block in blocks if isinstance(block, Together))
    (section,) = (parts for parts in sections if parts[0] == Heading("A bad day"))
    lines = section[1]
    assert isinstance(lines, Bulleted)
    return lines.items


@pytest.mark.parametrize("name", NAMES)
def test_the_course_of_a_routine_leaves_no_part_of_the_plan_out(name: str) -> None:
    """The hands-on part stood in it only where the check move was closed."""
    plan = plan_of(name)
    said = words_of(booklet(plan, CATALOGUE, today=TODAY).pages[0])
    move, hands, again, exercise = (
        said.index(words)
        for words in (
            "Do the check move and write",
            "Do the hands-on steps in this booklet",
            "Do the check move again",
            "Do your exercises.",
        )
    )
    assert move < hands < again < exercise
    bare = replace(plan, techniques=())
    without = words_of(booklet(bare, CATALOGUE, today=TODAY).pages[0])
    assert "Do the hands-on steps" not in without
    assert "Hands: " not in without
