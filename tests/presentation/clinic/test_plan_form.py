"""The plan writer's pages as data: each field of a plan is asked for, with a range and a source."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta
from typing import Any, get_args

import pytest

from companion.care.plan_faults import FaultCode
from companion.care.records import Plan
from companion.presentation.clinic.plan_form import (
    Field,
    contents,
    neighbour,
    section,
    sections_of,
)
from companion.presentation.clinic.plan_pages import preview_begins, preview_view
from companion.presentation.clinic.plan_signing import differences, signing
from companion.presentation.clinic.plan_words import fault_sentence, usual_words
from companion.presentation.home.walk_pages import ViewContext, page_view
from companion.services.plan_answers import answers_of, limits
from companion.services.plan_draft import (
    DraftCode,
    DraftFault,
    PlanDraft,
    draft_faults,
    drawn,
    from_last,
    plan_of,
    sign,
)
from companion.services.plan_preview import routine_pages
from tests.care.content import CATALOGUE
from tests.services.plan_writing import AT, SEED, TODAY, put, ready, started, tried

PAGES = tuple(each.id for each in CATALOGUE.plan_form.sections[:-1])


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
            assert shared or CATALOGUE.plan_form.section_of(field.key).id == key, field.key
    for key, page in {
        "exercises": "exercise",
        "trial": "trial",
        "cautions.clot.on": "cautions",
        "sign_off.name": "sign",
    }.items():
        assert CATALOGUE.plan_form.section_of(key).id == page


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
        closes = CATALOGUE.policy.caution(caution.id).closes
        assert fields_of(yes)[f"{key}.allowed"].shown == bool(closes)


def test_a_caution_that_was_overruled_is_named_at_signing_with_its_reason() -> None:
    draft = put(
        replace(ready("hands_only"), last=signed(ready("hands_only"))),
        cautions__blood_thinner=True,
        cautions__blood_thinner__allowed=True,
        cautions__blood_thinner__reason="doctor_agrees",
        cautions__blood_thinner__reason_words="Warfarin, Dr Pell",
        cautions__blood_thinner__closed="tape_on outing_tape",
    )
    page = signing(draft, CATALOGUE, "0" * 64)
    (told,) = (words for name, words in page.facts if name == "On your judgement")
    for part in ("blood thinner", "the treating doctor agrees", "Warfarin, Dr Pell", "tape on"):
        assert part in told
    assert "Tape on, Tape for an outing" in [one.now for one in page.differences]


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


# ---------------------------------------------------------------- order, versions, preview


def test_the_first_session_comes_after_the_cautions_and_only_when_it_is_held() -> None:
    assert "session" not in sections_of(ready(), CATALOGUE)
    held = put(ready(), session__held=True)
    assert neighbour("cautions", held, 1, CATALOGUE) == "session"
    assert neighbour("cautions", ready(), 1, CATALOGUE) == "move"
    assert neighbour("person", held, -1, CATALOGUE) is None
    assert neighbour("sign", held, 1, CATALOGUE) is None


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
        ("Highest stage", "Side strips and short pieces", "Side strips"),
        ("Goal, in the person’s words", "none", "Stairs."),
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
    setting = ViewContext(plan=plan, side="right", catalogue=CATALOGUE)
    for place, page in enumerate(pages):
        shown = preview_view(pages, place, plan, "right", CATALOGUE)
        home = page_view(page, setting)
        assert (shown.heading, shown.above) == (home.heading, home.above)
        assert repr(shown.blocks) == repr(home.blocks)


def test_the_preview_of_a_trial_is_a_day_on_which_hands_rest() -> None:
    plan = plan_of(tried())
    pages = routine_pages(plan, "right", CATALOGUE, TODAY, in_trial=True)
    first = preview_begins(pages, "trial")
    view = preview_view(pages, first, plan, "right", CATALOGUE)
    assert "the hands-on part rests today" in repr(view.blocks)
    assert not any(page.key.startswith(("step", "tape")) for page in pages)


def test_a_plan_with_nothing_in_it_can_be_previewed() -> None:
    empty = replace(plan_of(ready("hands_only")), techniques=(), exercises=())
    assert routine_pages(empty, "right", CATALOGUE, TODAY)[0].key == "gate"


# ---------------------------------------------------------------- the tape trial


def told(draft: PlanDraft) -> str:
    """All that is in sight of the page of the trial."""
    page = section("trial", draft, CATALOGUE)
    words = [page.lead]
    for group in page.groups:
        if group.shown:
            words += [group.heading, *group.said]
            words += [f"{name}: {value}" for name, value in group.facts or ()]
            words += [field.label for field in group.fields if field.shown]
            words += [r.text for field in group.fields for r in field.remarks]
    return "\n".join(words)


def test_the_page_of_the_trial_is_there_where_there_is_tape() -> None:
    assert "trial" in sections_of(ready(), CATALOGUE)
    assert neighbour("lengths", ready(), 1, CATALOGUE) == "trial"
    assert "trial" not in sections_of(put(ready(), tape__when="never"), CATALOGUE)
    # A trial that was ticked does not vanish with the tape: what is wrong has to be seen.
    assert "trial" in sections_of(put(tried(), tape__when="never"), CATALOGUE)


def test_before_it_starts_the_page_says_what_the_trial_can_tell() -> None:
    # 8 pairs: smallest two-sided p 2/2^8 = .0078 (D). 8 x 3 at a spread of 1.0, read
    # for the 0.8 of these days: 52 and 99 of 100 (companion.evidence.trial_power).
    words = told(tried())
    assert "Smallest p: 0.0078, two-sided" in words
    assert "Usual spread: 0.8 points, from 28 of the last 28 days" in words
    assert "at 1.0, its next spread from there up" in words
    assert "If tape takes 1 point off: noticed in 52 of 100 trials" in words
    assert "If tape takes 2 points off: noticed in 99 of 100 trials" in words
    assert "Lasts: 64 days, 3 March 2026 to 5 May 2026" in words
    for said in ("not blinded", "replaces when to tape", "outings", "Hands rest on scored days"):
        assert said in words


def test_without_a_usual_spread_the_table_says_it_for_four() -> None:
    words = told(replace(tried(), at_hand=None))
    assert "No diary is at hand" in words
    for line in (
        "When days spread 0.6: 1 point noticed in 91 %, 2 points in 100 %",
        "When days spread 1.6: 1 point noticed in 23 %, 2 points in 79 %",
    ):
        assert line in words
    draft = tried()
    assert draft.at_hand is not None
    few = {key: replace(each, days=9, spread=None) for key, each in draft.at_hand.limits.items()}
    short = replace(draft, at_hand=replace(draft.at_hand, limits=few))
    assert "9 of the last 28 days" in told(short)


def test_a_spread_above_the_table_is_said_and_no_number_made_up() -> None:
    draft = tried()
    assert draft.at_hand is not None
    wide = {key: replace(each, spread=2.4) for key, each in draft.at_hand.limits.items()}
    words = told(replace(draft, at_hand=replace(draft.at_hand, limits=wide)))
    assert "up to a spread of 1.6" in words
    assert "If tape takes 1 point off: noticed in fewer than 23 of 100 trials" in words


def test_what_stands_in_the_way_on_other_pages_is_said_on_the_page_of_the_trial() -> None:
    words = told(put(tried(), tape__rest_hours=48))
    assert "Under Tape: The tape trial gives the skin one bare day" in words
    entries = {e.key: e for e in contents(put(tried(), tape__rest_hours=48), CATALOGUE)}
    assert (entries["tape"].faults, entries["trial"].faults) == (1, 0)


def test_the_order_is_nowhere_in_the_writer() -> None:
    draft = tried()
    words = told(draft) + repr(signing(draft, CATALOGUE, "0" * 64))
    assert draft.seed not in words
    assert not any(f.key == "trial.seed" for f in fields_of(draft).values())


def test_a_running_trial_is_told_and_can_only_be_taken_away() -> None:
    last = signed(tried())
    draft = from_last(last, TODAY + timedelta(days=30))
    words = told(draft)
    assert "Day 30 of 64" in words
    assert "First day" not in words
    assert "Smallest p" not in words
    assert "Lasts: 64 days" in words


def test_what_a_version_does_to_the_trial_is_said() -> None:
    last, plain = signed(tried()), signed(put(ready(), review_on=TODAY + timedelta(days=84)))
    tick = signing(put(tried(), review_on=plain.review_on), CATALOGUE, "0" * 64)
    said = dict(tick.facts)["Tape trial"]
    words = "8 pairs of 3 days with and without, right knee, 3 March 2026 to 5 May 2026"
    assert last.trial is not None
    assert said == f"{words}. Order {last.trial.schedule_sha256[:16]}"
    begun = put(drawn(from_last(plain, TODAY), SEED), trial__on=True, review_on=plain.review_on)
    assert any(c.startswith("tape trial: 8 pairs") for c in changes_of(begun))
    assert [(d.label, d.was, d.now) for d in differences(begun, CATALOGUE)] == [
        ("Tape trial", "none", "yes")
    ]
    ahead = put(from_last(last, TODAY), trial__pairs=9, review_on=last.review_on)
    assert [(d.label, d.was, d.now) for d in differences(ahead, CATALOGUE)] == [
        ("Tape trial: pairs", "8", "9")
    ]
    running = put(from_last(last, TODAY + timedelta(days=30)), trial__on=False)
    assert "the tape trial is broken off" in changes_of(running)
    assert "the tape trial is over" in changes_of(from_last(last, TODAY + timedelta(days=65)))
    assert "no tape trial" in changes_of(put(from_last(last, TODAY), trial__on=False))
    assert changes_of(from_last(last, TODAY + timedelta(days=30))) == ()


def changes_of(draft: PlanDraft) -> tuple[str, ...]:
    return signing(draft, CATALOGUE, "0" * 64).changes


@pytest.mark.parametrize("code", get_args(get_args(DraftCode)[-1]))
def test_every_fault_of_a_draft_has_a_sentence(code: Any) -> None:
    said = fault_sentence(DraftFault("tape.start", code), CATALOGUE)
    assert said.endswith(".")
    assert "{" not in said


@pytest.mark.parametrize(
    ("lowest", "highest", "words"),
    [
        (3, 20, "usually 3 to 20"),
        (0, 15, "usually 0 to 15"),
        (0, 0, "usually none"),
        (5, 5, "usually 5"),
    ],
)
def test_what_is_usual_is_said_without_a_range_of_nothing(
    lowest: int, highest: int, words: str
) -> None:
    assert usual_words(lowest, highest) == words


@pytest.mark.parametrize("template", [t.id for t in CATALOGUE.templates])
def test_every_field_says_alone_which_it_is(template: str) -> None:
    """A change is told by the field's name alone: "Days a week: 5, now 3" says not of what."""
    draft = put(
        ready(template), side="both", main_side="right", session__held=True, session__stage=1
    )
    named: dict[str, set[str]] = {}
    for key in sections_of(draft, CATALOGUE):
        if key != "sign":
            for field in section(key, draft, CATALOGUE).fields:
                named.setdefault(field.alone, set()).add(field.key)
    assert {name: keys for name, keys in named.items() if len(keys) > 1} == {}


def test_the_offered_bad_day_mark_stands_beside_its_field_and_fills_nothing() -> None:
    """Two above usual, one above the ceiling at least; without a score 8; none from 9 on."""
    for before, said in (
        (None, "No score is known yet. Offered mark: 8."),
        (7, "Usual before score 7. Offered mark: 9."),
        (2, "Usual before score 2. Offered mark: 6."),
        (9, "Usual before score 9: no mark is offered. You decide."),
    ):
        draft = put(ready(), bad_day_mark=None, session__held=True, session__before=before)
        page = section("limits", draft, CATALOGUE)
        assert [said] == [line for group in page.groups for line in group.said if "mark" in line]
        assert {field.key: field.value for field in page.fields}["bad_day_mark"] is None
