"""The day page: what is asked, and that what was not answered is absent."""

from dataclasses import fields, replace
from typing import Any

import pytest
from hypothesis import given

from companion.care.day_answers import RowOffer
from companion.care.day_questions import (
    ActivityPage,
    AmountsPage,
    DayEnd,
    DayEnds,
    DayLookOverPage,
    DayStart,
    MedicinePage,
    NotePage,
    OtherKnee,
    PainPage,
    SignOfAnswerPage,
    StairsPage,
    WorstBelowAveragePage,
    day_walk,
)
from companion.care.flow import WalkPage, knee_of
from companion.care.records import Amount, AmountPlan
from companion.care.stopping import CardPage, NoneTickedPage
from tests.care.walking import CATALOGUE, Choose, any_answer, choices, pages_of, walked
from tests.steady import steady

WALK = AmountPlan(label="Walk to the quay", unit="m", baseline=200, goal=300)


def day(start: DayStart, **answers: Any) -> tuple[list[WalkPage], DayEnd]:
    pages, _, end = walked(
        lambda: day_walk(start, CATALOGUE), lambda page: answers.get(page.key, steady(page))
    )
    return pages, end


def test_a_short_page_is_pain_medicine_and_a_note() -> None:
    pages, _ = day(DayStart(side="right", form="short"))
    assert [page.key for page in pages] == ["average", "worst", "medicine", "note", "look_over"]


def test_the_fortnight_before_is_asked_before_anything_can_end_the_page() -> None:
    start = DayStart(side="right", form="full", fortnight=True, taped=True)
    said = {"last_fortnight": {"last_fortnight": "worse"}, "skin": {"skin": "blister"}}
    pages, end = day(start, **said)
    keys = [page.key for page in pages]
    assert keys.index("last_fortnight") == keys.index("now") + 1 < keys.index("skin")
    assert end.last_fortnight == "worse"


def test_the_plans_measure_is_asked_on_short_days_too() -> None:
    pages, end = day(DayStart(side="right", form="short", measure="now"))
    assert "now" in [page.key for page in pages]
    assert end.pain_now == 3


def test_what_pacing_needs_is_asked_on_short_days_too() -> None:
    start = DayStart(side="right", form="short", amounts=(WALK,))
    pages, end = day(start, amounts={"amount:0": 180.5})
    keys = [page.key for page in pages]
    assert keys == ["average", "worst", "medicine", "amounts", "note", "look_over"]
    assert [amount.amount for amount in end.amounts] == [180.5]


def test_a_full_page_asks_everything_of_the_plan() -> None:
    start = DayStart(
        side="right",
        form="full",
        taped=True,
        activities=("Harbour steps", "Market"),
        amounts=(WALK,),
    )
    pages, end = day(start, amounts={"amount:0": 180})
    assert len(pages_of(pages, ActivityPage)) == 2
    assert [score.label for score in end.activities] == ["Harbour steps", "Market"]
    assert end.amounts == (Amount(label="Walk to the quay", unit="m", amount=180.0),)
    assert (end.skin, end.stiffness_minutes, end.stairs) == ("clear", 10, "with_rail")


def test_what_is_the_persons_is_asked_on_one_knee_alone() -> None:
    start = DayStart(
        side="left", form="full", person=False, activities=("Market",), amounts=(WALK,)
    )
    pages, end = day(start)
    persons = (MedicinePage, ActivityPage, AmountsPage, StairsPage)
    assert not [page for page in pages if isinstance(page, persons)]
    assert (end.medicine, end.stairs, end.activities) == (None, None, ())


def test_a_worst_below_the_average_is_asked_about_once() -> None:
    answers = {"average": {"score": 5}, "worst": {"score": 3}}
    pages, end = day(DayStart(side="right", form="short"), **answers)
    assert pages_of(pages, WorstBelowAveragePage) == [WorstBelowAveragePage(average=5, worst=3)]
    assert (end.pain_average, end.pain_worst) == (5, 3)


@pytest.mark.parametrize("skin", ["blister", "broken"])
def test_broken_skin_on_a_day_page_shows_its_card(skin: str) -> None:
    pages, _ = day(DayStart(side="right", form="short", taped=True), skin={"skin": skin})
    assert [page.sign for page in pages_of(pages, CardPage)] == ["skin_broken"]


def test_no_medicine_is_not_the_same_as_no_answer() -> None:
    start = DayStart(side="right", form="short")
    assert day(start, medicine={"medicine": None})[1].medicine is None
    assert day(start, medicine={"medicine": "no"})[1].medicine is False


def test_nothing_answered_is_an_empty_page() -> None:
    start = DayStart(side="right", form="full", taped=True, activities=("Market",), amounts=(WALK,))
    _, _, end = walked(lambda: day_walk(start, CATALOGUE), lambda _page: {})
    assert end.empty
    assert end == DayEnd()


def test_a_choice_about_a_note_that_is_not_there_is_still_empty() -> None:
    _, _, end = walked(
        lambda: day_walk(DayStart(side="right", form="short"), CATALOGUE),
        lambda page: {"private": "yes"} if isinstance(page, NotePage) else {},
    )
    assert end.empty


@given(choices)
def test_absent_is_absent(choose: Choose) -> None:
    """A field holds an answer only when its page was answered; never 0, never carried forward."""
    start = DayStart(
        side="right",
        form=choose(["short", "full"]),
        taped=choose([True, False]),
        person=choose([True, False]),
        activities=("Market",),
        amounts=(WALK,),
    )
    seen: dict[str, Any] = {}

    def answer(page: WalkPage) -> Any:
        submitted = any_answer(page, choose)
        if not isinstance(page, CardPage | DayLookOverPage | WorstBelowAveragePage):
            seen[page.key] = submitted
        return submitted

    _, _, end = walked(lambda: day_walk(start, CATALOGUE), answer)
    assert end.pain_average == seen["average"]["score"]
    assert end.pain_worst == seen["worst"]["score"]
    assert end.pain_now == seen.get("now", {}).get("score")
    assert end.skin == seen.get("skin", {}).get("skin")
    morning = seen.get("morning", {})
    assert end.stiffness_minutes == morning.get("stiffness_minutes")
    assert end.swelling == morning.get("swelling")
    words = {True: "yes", False: "no", None: None}
    assert words[end.night_pain] == morning.get("night_pain")
    assert words[end.medicine] == seen.get("medicine", {}).get("medicine")
    assert [s.score for s in end.activities] == [
        submitted["score"]
        for key, submitted in seen.items()
        if key == "activity:1" and submitted["score"] is not None
    ]
    assert [a.amount for a in end.amounts] == [
        amount for amount in seen.get("amounts", {}).values() if amount is not None
    ]
    assert end.note == seen["note"]["note"]
    answered = [v for submitted in seen.values() for k, v in submitted.items() if k != "private"]
    assert end.empty == all(value is None for value in answered)
    assert {field.name for field in fields(DayEnd)} >= {"note_private"}


def test_the_page_is_looked_over_before_it_is_written() -> None:
    pages, end = day(DayStart(side="right", form="short"))
    assert pages[-1] == DayLookOverPage(end=end)
    assert pages_of(pages, PainPage)


# ---------------------------------------------------------------- answers that may mean a sign

OFFERS = tuple(
    RowOffer(answer=rule.answer, at_least=rule.lowest, usual=0, signs=rule.offers)
    for rule in CATALOGUE.policy.answers
)
QUIET = {"stiffness_minutes": 0, "night_pain": "no", "swelling": "none"}
ASKED = DayStart(side="right", form="full", offers=OFFERS)
YES_TO_ALL = {
    f"sign_of:{sign.id}:ask": {question.id: "yes" for question in sign.questions}
    for sign in CATALOGUE.stop_list.signs
}
"""Yes to every question behind a sign."""


@pytest.mark.parametrize(
    ("answer", "submitted", "value"),
    [
        ("swelling", {"swelling": "much"}, 2),
        ("woken", {"night_pain": "yes"}, 1),
        ("stiff", {"stiffness_minutes": 120}, 120),
    ],
)
def test_an_answer_that_is_new_leads_to_the_signs_it_may_mean(
    answer: str, submitted: dict[str, Any], value: int
) -> None:
    asked = {"worst": {"score": 0}, "average": {"score": 0}, "morning": QUIET | submitted}
    pages, end = day(ASKED, **asked)
    (found,) = pages_of(pages, SignOfAnswerPage)
    assert (found.answer, found.value) == (answer, value)
    assert end.as_before == (answer,)  # as a steady person answers
    for sign in found.signs:
        pages, end = day(ASKED, **asked, **{f"sign_of:{answer}": {"sign": sign}}, **YES_TO_ALL)
        assert [page.sign for page in pages_of(pages, CardPage)] == [sign]
        assert end.as_before == ()


def test_the_worst_pain_of_a_short_page_is_read_too() -> None:
    start = DayStart(side="right", form="short", offers=OFFERS)
    pages, end = day(start, worst={"score": 9})
    assert [page.answer for page in pages_of(pages, SignOfAnswerPage)] == ["worst"]
    assert end.as_before == ("worst",)


def test_answers_below_what_is_offered_ask_nothing() -> None:
    pages, end = day(ASKED, worst={"score": 0}, average={"score": 0}, morning=QUIET)
    assert not pages_of(pages, SignOfAnswerPage)
    assert not end.as_before


def test_after_a_card_to_be_seen_today_the_rest_is_not_asked() -> None:
    submitted = {
        "morning": QUIET | {"swelling": "much"},
        "worst": {"score": 0},
        "sign_of:swelling": {"sign": "big_swelling"},
    }
    start = replace(ASKED, activities=("Market",))
    pages, end = day(start, **submitted, **YES_TO_ALL)
    after = pages[pages.index(pages_of(pages, CardPage)[-1]) + 1 :]
    assert [page.key for page in after] == ["look_over"]
    assert (end.swelling, end.activities, end.medicine) == ("much", (), None)
    # A card ticked by mistake: the page goes on where it was.
    back = submitted | {"sign_of:big_swelling:card": {"card": "mistake"}}
    pages, end = day(start, **back, **YES_TO_ALL)
    assert pages_of(pages, MedicinePage)


def test_where_none_fits_one_hears_whom_to_ask_and_is_asked_again() -> None:
    submitted = {"worst": {"score": 9}, "sign_of:worst": {"sign": None}}
    pages, end = day(ASKED, **submitted)
    assert pages_of(pages, NoneTickedPage)
    assert end.as_before == ()


def test_who_is_not_sure_gets_the_card_of_that_question_at_the_gate() -> None:
    submitted = {"worst": {"score": 9}, "sign_of:worst": {"sign": "not_sure"}}
    pages, end = day(ASKED, **submitted)
    assert [page.sign for page in pages_of(pages, CardPage)] == ["not_sure_knee"]
    assert not pages_of(pages, NoneTickedPage)
    assert end.as_before == ()


def test_who_meant_another_sign_is_asked_again() -> None:
    submitted = {
        "worst": {"score": 9},
        "sign_of:worst": {"sign": "fast_worse"},
        "sign_of:fast_worse:card": {"card": "mistake"},
        "sign_of:fast_worse:card:mistake": {"mistake": "another"},
        "sign_of:again:worst": {"sign": "sudden_pain_every_step"},
    }
    pages, _ = day(ASKED, **submitted)
    assert len(pages_of(pages, SignOfAnswerPage)) == 2
    assert [page.sign for page in pages_of(pages, CardPage)] == [
        "fast_worse",
        "sudden_pain_every_step",
    ]


# ------------------------------------------------------------ questions that share a page

WORST = next(offer for offer in OFFERS if offer.answer == "worst")
WORST = replace(WORST, at_least=8)


def test_whoever_knows_the_questions_has_three_pages() -> None:
    start = DayStart(side="right", form="short", together=True, amounts=(WALK,), taped=True)
    said: dict[str, Any] = {
        "rest": {"medicine": "yes", "amount:0": 150, "note": "Wet.", "private": "yes"}
    }
    pages, end = day(start, **said)
    assert [page.key for page in pages] == ["pains", "rest", "look_over"]
    long, same = day(
        replace(start, together=False),
        amounts={"amount:0": 150},
        medicine={"medicine": "yes"},
        note={"note": "Wet.", "private": "yes"},
    )
    assert end == same
    assert len(long) > len(pages)


def test_a_full_page_for_both_knees_asks_the_person_once() -> None:
    other = OtherKnee(side="left", form="short", offers=(WORST,))
    start = DayStart(side="right", form="full", together=True, other=other, activities=("Market",))
    pages, end = day(start, **{"left:pains": {"average": 2, "worst": 9}})
    assert [page.key for page in pages] == [
        *("right:pains", "right:morning", "left:pains", "left:sign_of:worst"),
        *("activities", "rest", "look_over"),
    ]
    assert isinstance(end, DayEnds)
    assert (end.pain_worst, end.other.pain_worst) == (5, 9)
    assert (end.medicine, end.other.medicine) == (False, None)
    assert end.other.as_before == ("worst",)


def test_an_ordinary_day_of_two_knees_has_four_pages() -> None:
    other = OtherKnee(side="left", form="short")
    pages, _ = day(DayStart(side="right", form="short", together=True, other=other))
    assert [page.key for page in pages] == ["right:pains", "left:pains", "rest", "look_over"]
    assert [knee_of(page) for page in pages] == ["right", "left", None, None]


def test_a_card_of_the_other_knee_ends_both_and_loses_nothing() -> None:
    other = OtherKnee(side="left", form="short", offers=(WORST,))
    start = DayStart(side="right", form="short", together=True, other=other)
    sign = {"left:sign_of:worst": {"sign": "fast_worse"}}
    pages, end = day(start, **{"left:pains": {"average": 2, "worst": 9}}, **sign)
    card = next(page for page in pages if isinstance(page, CardPage))
    assert knee_of(card) == "left"
    assert isinstance(end, DayEnds)
    assert (end.pain_worst, end.other.pain_worst) == (5, 9)


@given(choices)
def test_any_answers_come_to_pages_that_hold_only_them(choose: Choose) -> None:
    other = OtherKnee(side="left", form=choose(["short", "full"]), taped=True, offers=(WORST,))
    start = DayStart(
        side="right",
        form=choose(["short", "full"]),
        together=True,
        other=choose([None, other]),
        amounts=(WALK,),
        offers=(WORST,),
    )
    pages, _, end = walked(
        lambda: day_walk(start, CATALOGUE), lambda page: any_answer(page, choose)
    )
    assert len({page.key for page in pages}) == len(pages)
    assert isinstance(end, DayEnds) == (start.other is not None)
