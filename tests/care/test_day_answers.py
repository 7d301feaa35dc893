"""Day page answers that may mean a sign: what is new for this person, and how often it is asked.

Common practice, no source: two steps above the usual, else three days of seven, then once a week.
NICE NG226 (2022) is the source of thirty minutes of stiffness alone.
"""

from collections.abc import Sequence
from dataclasses import replace
from datetime import timedelta
from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from companion.care.day_answers import RowOffer, offer_of, row_offers, value_of
from companion.care.records import AnyEntry, DayAnswer
from tests.builders import DAY, page, small_plan, warning
from tests.calibration import asked_days
from tests.care.content import CATALOGUE
from tests.simulated import Truth, scored

ANSWERS = CATALOGUE.policy.answers
RULES = {rule.answer: rule for rule in ANSWERS}
NOW = DAY + timedelta(days=30)
FIELDS = {
    "swelling": "swelling",
    "woken": "night_pain",
    "stiff": "stiffness_minutes",
    "worst": "pain_worst",
}
GIVEN: dict[str, list[Any]] = {
    "swelling": ["none", "some", "much"],
    "woken": [False, True],
    "stiff": [0, 10, 30, 31, 45, 120],
    "worst": [0, 2, 4, 6, 8, 10],
}


def offers(entries: Sequence[AnyEntry], *open_signs: str, **usual: Any) -> dict[str, RowOffer]:
    found = row_offers(ANSWERS, small_plan(**usual), entries, "right", NOW, open_signs)
    return {offer.answer: offer for offer in found}


def full(day: int, **fields: Any) -> AnyEntry:
    return page(day, form="full", **fields)


def at_least(answer: str, entries: Sequence[AnyEntry], **usual: Any) -> int | None:
    found = offers(entries, **usual).get(answer)
    return None if found is None else found.at_least


def test_each_answer_has_a_row_that_offers_signs_of_the_list() -> None:
    listed = {sign.id for sign in CATALOGUE.stop_list.signs}
    assert list(RULES) == ["swelling", "woken", "stiff", "worst"]
    assert all(rule.offers and listed.issuperset(rule.offers) for rule in ANSWERS)


@pytest.mark.parametrize(
    ("answer", "first", "new_from"),
    [
        ("swelling", {"swelling": "none"}, 2),
        ("stiff", {"stiffness_minutes": 10}, 40),
        ("stiff", {"stiffness_minutes": 0}, 31),  # the row itself says more than thirty minutes
        ("worst", {"pain_worst": 4}, 6),
    ],
)
def test_two_steps_above_the_first_full_page_are_new(
    answer: str, first: dict[str, Any], new_from: int
) -> None:
    assert at_least(answer, [full(0, **first), full(5, pain_worst=9, swelling="much")]) == new_from


def test_what_the_plan_says_is_usual_comes_before_the_first_page() -> None:
    first = [full(0, swelling="none", pain_worst=2, stiffness_minutes=0)]
    usual = {"usual_worst": 7, "usual_stiffness_minutes": 60}
    assert at_least("worst", first, **usual) == 9
    assert at_least("stiff", first, **usual) == 90
    assert at_least("swelling", first, usual_swelling="much") is None


def test_who_is_always_woken_is_not_asked_about_it() -> None:
    woken = [full(day, night_pain=True) for day in range(24, 30)]
    assert at_least("woken", woken, usual_night=True) is None
    assert at_least("woken", [full(0, night_pain=True), *woken]) is None


def test_without_two_steps_left_three_days_of_seven_count() -> None:
    quiet = full(0, night_pain=False, swelling="some", pain_worst=9)
    two = [full(day, night_pain=True, swelling="much", pain_worst=10) for day in (24, 28)]
    found = offers([quiet, *two])
    assert {answer: offer.at_least for answer, offer in found.items() if answer != "stiff"} == {
        "woken": 1,
        "swelling": 2,
        "worst": 10,
    }
    # The day a week ago is the eighth, and one day less is not enough.
    eighth = full(23, night_pain=True, swelling="much", pain_worst=10)
    assert not {"woken", "swelling", "worst"} & set(offers([quiet, two[1], eighth]))


def test_what_is_usual_of_the_main_knee_hides_nothing_of_the_other() -> None:
    usual = {"side": "both", "usual_swelling": "much", "usual_worst": 8}
    left = [full(0, side="left", swelling="none", pain_worst=2)]
    found = {
        main: {
            offer.answer: offer.usual
            for offer in row_offers(
                ANSWERS, small_plan(**usual, main_side=main), left, "left", NOW, ()
            )
        }
        for main in ("left", "right")
    }
    assert found["left"].get("worst") == 8
    assert (found["right"].get("swelling"), found["right"].get("worst")) == (0, 2)


def test_where_nothing_is_usual_three_days_of_seven_count() -> None:
    short = [page(day, pain_worst=8) for day in (25, 27)]
    assert at_least("worst", []) is None
    assert at_least("worst", short) == 8
    assert at_least("worst", [page(day, pain_worst=7) for day in (25, 27)]) is None


def test_worst_pain_is_read_against_the_range_of_the_first_pages() -> None:
    """From day to day it goes up and down by itself: one page of it is chance (our choice)."""
    first, *later = [3, 5, 4, 6, 5]
    pages = [full(0, pain_worst=first), *(page(n, pain_worst=w) for n, w in enumerate(later, 1))]
    assert at_least("worst", pages[:4]) == 5, "of four pages the first alone"
    assert at_least("worst", pages) == 7, "the middle is 5, the highest 6"
    assert offers(pages)["worst"].usual == 5
    high = page(5, pain_worst=8)
    assert at_least("worst", [*pages, high]) == 9, "as bad was there in the first days"
    # The tenth page is the last that says what is usual, and a page before the full one never does.
    more = [page(day, pain_worst=5) for day in range(6, 10)]
    assert at_least("worst", [*pages, *more, page(11, pain_worst=5), page(12, pain_worst=9)]) == 7
    assert at_least("worst", [page(-1, pain_worst=9), *pages]) == 7
    # The other answers go by the first full page alone.
    stiff = [full(day, stiffness_minutes=10 + 5 * day) for day in range(10)]
    assert at_least("stiff", stiff) == 40


def test_no_room_above_the_range_counts_days_again() -> None:
    pages = [full(0, pain_worst=7), *(page(day, pain_worst=10 - day % 3) for day in range(1, 10))]
    assert at_least("worst", pages) is None
    assert at_least("worst", [*pages, page(26, pain_worst=10), page(28, pain_worst=10)]) == 10


def test_calm_days_are_asked_about_half_as_often_as_by_one_page() -> None:
    """Sixty people with 60 days that only vary; and a rise of three points is asked about."""
    rng = np.random.default_rng(15)
    diaries = scored(rng, Truth(days=60, level=5), 60).astype(int).tolist()
    one_page = replace(RULES["worst"], usual_pages=1, usual_pages_needed=1)
    by_range = sum(len(asked_days(RULES["worst"], worst)) for worst in diaries)
    by_page = sum(len(asked_days(one_page, worst)) for worst in diaries)
    assert by_range <= 0.65 * by_page
    risen = [[*worst[:30], *(min(10, score + 3) for score in worst[30:40])] for worst in diaries]
    told = [any(day >= 30 for day in asked_days(RULES["worst"], worst)) for worst in risen]
    assert sum(told) >= 0.95 * len(told)


def test_the_first_full_page_is_not_held_against_itself() -> None:
    assert at_least("swelling", [full(30, swelling="none")]) is None


def test_as_before_is_asked_again_a_week_later() -> None:
    first = full(0, stiffness_minutes=0)
    for days_ago, asked in ((1, False), (6, False), (7, True)):
        said = full(30 - days_ago, stiffness_minutes=60, as_before=("stiff",))
        assert ("stiff" in offers([first, said])) is asked
        assert "worst" not in offers([first, said])
    # A page that is written again asks again: the answer may have been the wrong one.
    assert "stiff" in offers([first, full(30, stiffness_minutes=60, as_before=("stiff",))])


def test_a_sign_that_is_open_or_was_ticked_lately_is_not_offered() -> None:
    first = full(0, stiffness_minutes=0)
    assert "stiff" not in offers([first], "stiff_mornings")
    ticked = warning(28, "stiff_mornings", "call", cleared="asked_again", cleared_on=NOW)
    assert "stiff" not in offers([first, ticked])
    mistaken = replace(ticked, cleared="ticked_by_mistake")
    assert "stiff" in offers([first, mistaken])
    older = warning(20, "stiff_mornings", "call", cleared="asked_again", cleared_on=NOW)
    assert "stiff" in offers([first, older])


@given(st.data(), st.sampled_from(sorted(FIELDS)))
def test_nothing_at_or_below_the_usual_is_ever_new(data: st.DataObject, answer: DayAnswer) -> None:
    given_values = st.sampled_from([None, *GIVEN[answer]])
    entries: list[AnyEntry] = []
    for day in range(20, 30):
        value = data.draw(given_values)
        entries.append(full(day, **{FIELDS[answer]: value}))
    usual = data.draw(given_values)
    name = {"swelling": "usual_swelling", "woken": "usual_night"}.get(answer)
    name = name or {"stiff": "usual_stiffness_minutes", "worst": "usual_worst"}[answer]
    plan = small_plan(**{name: usual})
    offer = offer_of(RULES[answer], plan, entries, "right", NOW)
    if offer is None:
        return
    assert offer.at_least >= RULES[answer].lowest
    if usual is not None:
        usual_number = value_of(page(0, **{FIELDS[answer]: usual}), answer)
        assert offer.usual == usual_number
        assert usual_number is not None
        assert offer.at_least > usual_number
