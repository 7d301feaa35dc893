"""What the booklet holds: what may be played, for each knee, and days that can be typed in."""

from __future__ import annotations

import csv
import io
from dataclasses import replace
from datetime import UTC, date, datetime
from typing import Any

import pytest

from companion.care.records import CautionAnswer, Diary, Plan, Side, TapeTrial
from companion.care.trial_schedule import schedule
from companion.exchange.files import read
from companion.exchange.table import read_table
from companion.presentation.language.said import said_words
from companion.presentation.papers.booklet import Booklet, BookletPage, Pictures, booklet
from companion.presentation.view.page import (
    Bulleted,
    Callout,
    DefinitionList,
    Numbered,
    Phones,
    Text,
)
from companion.system.resources import demo_profiles
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
    found = [page.heading]
    for block in page.blocks:
        match block:
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
def test_each_technique_of_the_plan_has_its_page_with_two_pictures(name: str) -> None:
    plan, content = plan_of(name), made(name)
    for side in plan.sides:
        for technique in plan.techniques:
            heading = f"{side.capitalize()} knee: {CATALOGUE.technique(technique.technique).title}"
            page = next(page for page in content.pages if page.heading == heading)
            pictures = next(block for block in page.blocks if isinstance(block, Pictures))
            assert len(pictures.drawings) == 2
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


def test_tape_stages_have_a_picture_for_each_strip() -> None:
    content = made("osric")
    headings = [page.heading for page in content.pages]
    assert "Left knee: Side strips" in headings
    assert "Left knee: Short pieces" in headings
    captions = [
        caption
        for page in content.pages
        for block in page.blocks
        if isinstance(block, Pictures)
        for caption in block.captions
    ]
    assert [caption for caption in captions if caption[:5] in ("Strip", "Piece")] == [
        "Strip 1",
        "Strip 2",
        "Strip 1",
        "Strip 2",
        "Piece 3",
        "Piece 4",
    ]
    assert "Left knee: Short pieces" not in [page.heading for page in made("edda").pages]


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
    assert "tape_stage" not in [row.column for row in made("wilma").day_tables[0].rows]


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
        if "outer side" not in said_words(drawing.description)[:40]
    ]
    assert drawings
    assert all("as your helper sees it" in said_words(drawing.description) for drawing in drawings)
    assert "Ask them to bend the knee gently." in "".join(words_of(page) for page in helper.pages)
    assert "Ask them to bend the knee gently." not in "".join(words_of(page) for page in own.pages)


@pytest.mark.parametrize("name", NAMES)
def test_the_fridge_page_has_the_numbers_and_what_does_not_wait(name: str) -> None:
    plan, content = plan_of(name), made(name)
    for page, level in zip(content.pages[1:3], ("emergency", "today"), strict=True):
        assert page.heading.startswith("For the fridge")
        assert page.one_page
        words = words_of(page)
        for contact in plan.contacts:
            assert contact.number in words
        for sign in CATALOGUE.stop_list.signs:
            does_not_wait = sign.level == level and sign.asked_when != "stop"
            assert ((sign.told or sign.words) in words.split("\n")) == does_not_wait


def test_a_practice_plan_says_so_at_the_foot_of_each_page() -> None:
    practice = replace(plan_of("edda"), sign_off=None)
    content = booklet(practice, CATALOGUE, today=TODAY)
    assert content.foot == "Practice plan: nobody signed it. Not for a real knee."
    assert content.foot in words_of(content.pages[0])
    assert content.foot in words_of(content.pages[1])


VALUES = {
    "day": "2026-11-23", "pain_average": "4", "pain_worst": "6", "pain_now": "3",
    "stiffness_min": "10", "before": "6", "steps_done": "1", "after_hands": "3",
    "exercise_done": "1", "tape_stage": "1", "after_tape": "2", "tape_worn": "1", "skin": "clear",
    "medicine": "0", "note": "",
}  # fmt: skip


@pytest.mark.parametrize("name", NAMES)
def test_what_is_written_on_a_day_page_can_be_taken_in(name: str) -> None:
    """The small word of each row is a column the table knows; every cell is taken."""
    plan, content = plan_of(name), made(name)
    assert len(content.day_tables) == 2 * len(plan.sides)
    for table in content.day_tables:
        columns = [row.column for row in table.rows]
        assert len(columns) == len(set(columns))
        cells = [VALUES.get(column, "5") for column in columns]
        if plan.side == "both":
            columns, cells = ["side", *columns], [table.heading.split()[-2], *cells]
        text = io.StringIO(newline="")
        writer = csv.writer(text)
        writer.writerows([columns, cells])
        taken = read_table(text.getvalue().encode(), plan, datetime(2026, 11, 25, 12, tzinfo=UTC))
        assert taken.faults == ()
        assert isinstance(Diary(plans=(plan,), entries=tuple(taken.entries)), Diary)
        assert taken.entries


def test_the_pull_the_plan_names_is_told_with_the_tape() -> None:
    plan = plan_of("edda")
    pulled = replace(plan, tape=replace(plan.tape, pull="towards the hip, a little inwards"))
    pages = booklet(pulled, CATALOGUE, today=TODAY).pages
    page = next(page for page in pages if page.heading == "Right knee: Side strips")
    assert "How to draw the skin" in words_of(page)
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
    blocks = tuple(block for block in page.blocks if not isinstance(block, Pictures))
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
    page = next(page for page in pages if page.heading == "Right knee: Side strips")
    assert "Draw the skin beside the lower edge of the kneecap." in words_of(page)
    assert "Draw it up and to the outer side." in words_of(page)
    drawn = [block.drawings for block in page.blocks if isinstance(block, Pictures)][-1]
    for drawing in drawn:
        assert "up and to the outer side at the lower edge of the kneecap" in said_words(
            drawing.description
        )
        assert any(shape.role == "hand" for shape in drawing.shapes)
