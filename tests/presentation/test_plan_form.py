"""The plan writer's pages as data: each field of a plan is asked for, with a range and a source."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta
from typing import get_args

import pytest
from hypothesis import given
from hypothesis import strategies as st

from companion.care.plan_faults import FaultCode
from companion.care.records import Plan
from companion.presentation.plan_form import (
    SECTIONS,
    Field,
    SectionKey,
    contents,
    differences,
    neighbour,
    section,
    section_of,
    sections_of,
    signing,
)
from companion.presentation.plan_pages import preview_begins, preview_view
from companion.presentation.plan_words import fault_sentence, read_day
from companion.presentation.routine_pages import Setting, page_view
from companion.services.plan_draft import (
    DraftFault,
    PlanDraft,
    answers_of,
    draft_faults,
    from_last,
    limits,
    plan_of,
    sign,
)
from companion.services.plan_preview import routine_pages
from tests.care.content import CATALOGUE
from tests.services.plan_writing import AT, TODAY, put, ready, started

PAGES: tuple[SectionKey, ...] = SECTIONS[:-1]


def fields_of(draft: PlanDraft) -> dict[str, Field]:
    return {field.key: field for key in PAGES for field in section(key, draft, CATALOGUE).fields}


def signed(draft: PlanDraft) -> Plan:
    plan = sign(draft, CATALOGUE, name="R. Vane", registration="1", at=AT)
    assert isinstance(plan, Plan)
    return plan


# ---------------------------------------------------------------- fields


def test_every_answer_of_a_plan_has_its_field() -> None:
    draft = put(ready(), side="both", main_side="left", cautions__clot=True)
    asked = fields_of(draft)
    for key in answers_of(plan_of(draft)):
        if not key.endswith(".on"):  # the day of an answer follows from the answer
            assert key in asked, key


def test_every_field_has_a_label_and_a_source_and_every_number_a_range() -> None:
    for key, field in fields_of(put(ready(), side="both")).items():
        assert field.label, key
        assert field.about or key.endswith(".allowed"), key
        if field.kind == "number":
            assert field.range_words, key
            held = limits(key)
            assert (held.least, held.most) == (field.least, field.most)


def test_every_field_stands_on_the_page_its_faults_are_counted_on() -> None:
    draft = put(ready(), side="both")
    for key in PAGES:
        for field in section(key, draft, CATALOGUE).fields:
            shared = key == "session" and field.key == "tape.make"
            on_person = field.key == "session.held"
            assert shared or on_person or section_of(field.key) == key, field.key


def test_an_option_is_what_the_record_may_hold() -> None:
    draft = ready()
    for key, field in fields_of(draft).items():
        for option in field.options if field.kind == "choose" else ():
            after = put(draft, session__held=True, **{key.replace(".", "__"): option.value})
            assert (key, "not_allowed") not in {
                (f.key, f.code) for f in draft_faults(after, CATALOGUE)
            }


def test_a_section_has_the_same_fields_whatever_was_answered() -> None:
    one, other = started(), put(ready(), tape__when="never", replacement="listed")
    for key in PAGES:
        if key == "lengths":
            continue  # its knees follow from the side, which is answered on another page
        first = {field.key for field in section(key, one, CATALOGUE).fields}
        assert {field.key for field in section(key, other, CATALOGUE).fields} == first


def test_tape_is_not_asked_about_where_there_is_none() -> None:
    shown = [
        field.key
        for group in section("tape", put(ready(), tape__when="never"), CATALOGUE).groups
        for field in group.fields
        if group.shown and field.shown
    ]
    assert shown == ["tape.when"]


def test_what_a_yes_does_is_said_in_words() -> None:
    for caution in CATALOGUE.cautions.cautions:
        if caution.dated:
            continue
        key = f"cautions.{caution.id}"
        yes = put(ready(), **{key.replace(".", "__"): True})
        field = fields_of(yes)[key]
        assert caution.clinic_effect in field.line
        liftable = {"unless_ticked", "ask_first"} & {
            *caution.hands,
            *caution.tape,
            *caution.exercise,
        }
        assert fields_of(yes)[f"{key}.allowed"].shown == bool(liftable)


# ---------------------------------------------------------------- sentences


@pytest.mark.parametrize("code", get_args(FaultCode))
def test_every_fault_of_a_plan_has_a_sentence(code: FaultCode) -> None:
    said = fault_sentence(DraftFault("tape.start", code, "stroke_thigh:clot"), CATALOGUE)
    assert said[0].isupper()
    assert said.endswith(".")
    assert "{" not in said


def test_a_fault_is_said_beside_its_field_and_counted_in_the_contents() -> None:
    draft = put(ready(), pain_ceiling=1, cautions__clot=None)
    assert fields_of(draft)["pain_ceiling"].remarks[0].text.startswith("The pain ceiling is below")
    entries = {entry.key: entry for entry in contents(draft, CATALOGUE)}
    assert entries["limits"].faults == 1
    assert entries["cautions"].line == "1 to answer"
    assert entries["sign"].line == "2 things to settle first"
    assert [each.key for each in signing(draft, CATALOGUE, "0" * 64).faults] == [
        "cautions.clot",
        "pain_ceiling",
    ]
    assert signing(draft, CATALOGUE, "0" * 64).content_sha256 is None
    assert signing(ready(), CATALOGUE, "0" * 64).content_sha256 == "0" * 64


@pytest.mark.parametrize(
    ("typed", "day"),
    [
        ("24 12 2026", date(2026, 12, 24)),
        ("24.12.2026", date(2026, 12, 24)),
        ("4/1/2027", date(2027, 1, 4)),
        ("2026-12-24", date(2026, 12, 24)),
        ("today", TODAY),
        ("6w", TODAY + timedelta(weeks=6)),
        ("10 d", TODAY + timedelta(days=10)),
        ("31 2 2026", None),
        ("12 2026", None),
        ("soon", None),
        ("1 1 20260", None),
        ("", None),
    ],
)
def test_a_day_is_read_as_typed(typed: str, day: date | None) -> None:
    assert read_day(typed, TODAY) == day


@given(st.text(max_size=30))
def test_no_text_breaks_the_reading_of_a_day(typed: str) -> None:
    assert read_day(typed, TODAY) is None or isinstance(read_day(typed, TODAY), date)


@given(st.dates(date(1900, 1, 1), date(2200, 12, 31)))
def test_a_day_is_read_back_as_it_is_written(day: date) -> None:
    assert read_day(f"{day.day} {day.month} {day.year}", TODAY) == day
    assert read_day(day.isoformat(), TODAY) == day


# ---------------------------------------------------------------- order, versions, preview


def test_the_first_session_comes_after_the_cautions_and_only_when_it_is_held() -> None:
    assert "session" not in sections_of(ready())
    held = put(ready(), session__held=True)
    assert neighbour("cautions", held, 1) == "session"
    assert neighbour("cautions", ready(), 1) == "move"
    assert neighbour("person", held, -1) is None
    assert neighbour("sign", held, 1) is None


def test_every_difference_is_named_with_both_values() -> None:
    last = signed(ready())
    draft = put(
        from_last(last, TODAY),
        review_on=last.review_on,
        rounds=1,
        tape__highest=1,
        goal="Stairs.",
        techniques__stroke_thigh__seconds=45,
        cautions__poor_sight=True,
        exercises__heel_raises=True,
        exercises__heel_raises__taught_on=TODAY,
    )
    found = {(d.label, d.was, d.now) for d in differences(draft, CATALOGUE)}
    assert found == {
        ("Hands rounds", "2", "1"),
        ("Highest stage", "Side strips with short pieces", "Side strips"),
        ("Goal, in the person's words", "none", "Stairs."),
        ("Stroke the thigh: seconds", "30", "45"),
        ("Poor sight", "no", "yes"),
        (CATALOGUE.exercise("heel_raises").title, "none", "yes"),
    }
    view = signing(draft, CATALOGUE, "0" * 64)
    assert "hands rounds 1 (was 2)" in view.changes


def test_the_same_plan_again_differs_in_nothing() -> None:
    last = signed(ready())
    draft = put(from_last(last, TODAY), review_on=last.review_on)
    assert differences(draft, CATALOGUE) == ()
    assert differences(ready(), CATALOGUE) == ()


def test_the_preview_holds_what_was_taught_and_nothing_else() -> None:
    draft = put(ready(), techniques__stroke_thigh__taught_on=None)
    pages = routine_pages(plan_of(draft), "right", CATALOGUE, TODAY)
    headings = [
        preview_view(pages, place, plan_of(draft), "right", CATALOGUE).heading
        for place in range(len(pages))
    ]
    assert CATALOGUE.technique("stroke_thigh").title not in headings
    assert CATALOGUE.technique("ease_across").title in headings
    assert preview_begins(pages, "start") == 0
    assert pages[preview_begins(pages, "exercise")].key == "exercise:1"
    assert pages[preview_begins(pages, "tape")].key == "tape_ready"


def test_the_preview_is_the_page_of_the_routine() -> None:
    plan = plan_of(ready())
    pages = routine_pages(plan, "right", CATALOGUE, TODAY)
    setting = Setting(plan=plan, side="right", catalogue=CATALOGUE)
    for place, page in enumerate(pages):
        shown = preview_view(pages, place, plan, "right", CATALOGUE)
        home = page_view(page, setting)
        assert (shown.heading, shown.above) == (home.heading, home.above)
        assert repr(shown.blocks) == repr(home.blocks)


def test_a_plan_with_nothing_in_it_can_be_previewed() -> None:
    empty = replace(plan_of(ready("hands_only")), techniques=(), exercises=())
    assert routine_pages(empty, "right", CATALOGUE, TODAY)[0].key == "gate"
