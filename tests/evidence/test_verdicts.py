"""One verdict a question: the ladder, what stands beside it, weeks kept, the first unsafe thing."""

from dataclasses import replace
from datetime import timedelta
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from companion.care.records import LastFortnight, Plan
from companion.evidence.change_model import (
    days_to_go,
    fits,
    record_start,
    series_of,
    told,
    worse_from,
)
from companion.evidence.figures import Because, Better, Findings
from companion.presentation.language.verdict_words import better_own, better_words, kept_words
from tests.builders import DAY, at, by_day, diary, page, pages, plan, session, warning
from tests.found import findings


def reasons(of: tuple[Because, ...]) -> dict[str, Any]:
    return {each.code: dict(each.numbers) for each in of}


def line(found: Findings) -> str:
    return " ".join(better_words(found.verdicts.better, found.pain.model))


# ---------------------------------------------------------------- better?


@pytest.mark.parametrize(
    ("change", "p_lower", "p_same", "verdict"),
    [
        # (fact: change_verdicts)
        (-1.0, 0.975, 0.5, "lower"),
        (-1.0, 0.974, 0.5, "probably_lower"),
        (-1.0, 0.949, 0.5, "cannot_tell"),
        (-0.99, 0.975, 0.5, "lower_little"),
        (-0.99, 0.974, 0.8, "same"),
        (1.0, 0.1, 0.5, "probably_higher"),
        (1.0, 0.11, 0.5, "cannot_tell"),
        (0.99, 0.001, 0.5, "cannot_tell"),
        (0.99, 0.001, 0.8, "same"),
    ],
)
def test_the_first_row_that_holds_is_the_verdict(
    change: float, p_lower: float, p_same: float, verdict: Better
) -> None:
    assert told(change, p_lower, 1 - p_lower, p_same, worse_from(0.0)) == verdict


@pytest.mark.parametrize(("slow", "bar"), [(0.0, 0.90), (0.5, 0.96), (1.0, 0.975)])
def test_where_pain_comes_and_goes_by_the_month_a_rise_needs_more(slow: float, bar: float) -> None:
    # (facts: change_verdicts, change_verdicts_slow); never more than a fall needs.
    assert worse_from(slow) == pytest.approx(bar)
    assert told(1.0, 1 - bar, bar + 1e-9, 0.1, worse_from(slow)) == "probably_higher"
    assert told(1.0, 1 - bar, bar - 1e-3, 0.1, worse_from(slow)) == "cannot_tell"


def test_a_fall_and_a_rise_are_found_and_steadiness_is_said_with_its_level() -> None:
    falling = findings(diary(pages([7] * 20 + [6] * 10 + [5] * 10 + [4] * 20)))
    assert falling.verdicts.better.verdict == "lower"
    assert line(falling).startswith("Lower, by ")
    rising = findings(diary(pages([3] * 20 + [4] * 10 + [5] * 10 + [6] * 20)))
    assert rising.verdicts.better.verdict == "probably_higher"
    assert rising.verdicts.unsafe.verdict == "rising"
    assert "Tell your clinic" in better_own(rising.verdicts.better, rising.pain.model)
    steady = findings(diary(pages([7] * 60)))
    assert steady.verdicts.better.verdict == "same"
    assert line(steady).startswith("About the same, still 7.0 (")
    assert better_own(steady.verdicts.better, steady.pain.model) == (
        "Now about 7, at first about 7. About the same."
    )


def test_a_stray_page_begins_nothing() -> None:
    row = pages([6, 6, 5, 6] * 5 + [4, 3, 4, 4] * 10, first=30)
    alone, with_stray = findings(diary(row)), findings(diary(row, page(0, pain_average=9)))
    assert with_stray.pain.model == alone.pain.model
    assert with_stray.verdicts.better == alone.verdicts.better
    assert record_start([DAY, DAY + timedelta(days=9)]) is None


@pytest.mark.parametrize(
    ("row", "code", "have", "need"),
    [
        ("5 " * 20, "days_spanned", 20, 21),
        ("5 5 5 " + "- " * 16 + "5 5 5", "days_recorded", 6, 10),
        ("5 " * 14 + "- " * 20 + "5", "days_recent", 1, 3),
    ],
)
def test_below_the_minimum_it_says_what_is_missing(
    row: str, code: str, have: int, need: int
) -> None:
    found = findings(diary(pages(row)))
    assert found.verdicts.better.verdict == "cannot_tell"
    assert found.pain.model.change is None
    assert reasons(found.verdicts.better.because)[code] == {"have": have, "need": need}
    assert found.verdicts.better.need == need - have
    assert f"{have} " in line(found)


def test_above_it_the_days_that_would_decide_are_said_or_that_none_would() -> None:
    steady = series_of(by_day([5, 3, 7, 5, 4, 6, 4] * 3))
    assert steady is not None
    (fit,) = fits([steady])
    assert fit is not None
    assert fit.verdict == "cannot_tell"
    days = days_to_go(steady, fit)
    assert days is not None
    assert days % 14 == 0
    wild = findings(diary(pages([0, 10, 2, 9, 1, 8, 10] * 5)))
    assert wild.verdicts.better.verdict == "cannot_tell"
    assert wild.verdicts.better.need is None
    assert "twelve more weeks would hardly decide" in line(wild)


def test_a_fall_of_the_first_fortnight_alone_carries_its_reservation() -> None:
    # A bad spell at the start, and nothing after it.
    found = findings(diary(pages([8, 8, 7, 8, 7, 8, 8, 7, 7, 6, 6, 6, 5, 5] + [5, 4, 5, 5] * 12)))
    assert found.verdicts.better.verdict in ("lower", "probably_lower")
    assert "from_day_15_open" in reasons(found.verdicts.better.because)
    assert "from week 3 on cannot tell" in line(found)
    own = better_own(found.verdicts.better, found.pain.model)
    assert own.endswith("Part may be a bad spell passing.")


@pytest.mark.parametrize(
    ("said", "bad_spell", "words"),
    [
        ("worse", True, "fortnight before: worse than usual, the person said"),
        ("not_worse", False, "fortnight before: not worse than usual, the person said"),
        ("cannot_tell", None, "fortnight before: the person could not tell"),
        (None, None, "fortnight before: not answered"),
    ],
)
def test_what_was_said_of_the_fortnight_before_stands_beside_a_fall(
    said: LastFortnight | None, bad_spell: bool | None, words: str
) -> None:
    scores = [7] * 20 + [6] * 10 + [5] * 10 + [4] * 20
    days = pages(scores)
    first = replace(days[0], last_fortnight=said)
    at_home = findings(diary([first, *days[1:]]))
    held = session(0, 6, 4, place="clinic", last_fortnight=said)
    in_the_clinic = findings(diary(days, [held]))
    for found in (at_home, in_the_clinic):
        assert found.pain.model.bad_spell is bad_spell
        assert words in line(found)
        own = better_own(found.verdicts.better, found.pain.model)
        assert ("Part may be" in own) is (said == "worse")
    # Of the other knee, or asked when the record had begun, it is another fortnight.
    for other in (replace(held, side="left"), session(20, 6, 4, last_fortnight=said)):
        assert findings(diary(days, [other])).pain.model.bad_spell is None


def test_the_fortnight_stands_beside_no_other_verdict() -> None:
    first, *rest = pages([7] * 60)
    found = findings(diary([replace(first, last_fortnight="worse"), *rest]))
    assert found.pain.model.bad_spell is True
    assert "fortnight before" not in line(found)


def test_what_else_was_different_stands_in_the_same_line() -> None:
    falling = [7] * 20 + [6] * 10 + [5] * 10 + [4] * 20
    days = [page(n, pain_average=s, medicine=n > 40) for n, s in enumerate(falling)]
    made = diary(days, plans=[plan(), *(plan(version=v, written_on=at(v).date()) for v in (2, 3))])
    because = reasons(findings(made).verdicts.better.because)
    assert because["medicine"] == {"first": 0, "first_of": 14, "last": 14, "last_of": 14}
    assert because["looks"] == {"count": 3}
    assert "bad_spell_unknown" in because


@given(st.lists(st.none() | st.integers(0, 10), min_size=21, max_size=60))
def test_turned_upside_down_the_change_is_turned(row: list[int | None]) -> None:
    one = series_of(by_day(row))
    if one is None or not one.enough:
        return
    other = replace(one, scores={day: 10 - score for day, score in one.scores.items()})
    here, there = fits([one, other])
    assert here is not None
    assert there is not None
    assert here.p_lower == pytest.approx(there.p_higher, abs=1e-9)
    assert here.p_same == pytest.approx(there.p_same, abs=1e-9)


# ---------------------------------------------------------------- kept to?

PLAN: Plan = plan(hands_days_a_week=5, exercise_days_a_week=0)


def kept(*entries: Any, read: int) -> Findings:
    return findings(diary(*entries, plans=[PLAN]), read_on=DAY + timedelta(days=read))


def done(*days: int) -> list[Any]:
    return [session(day, 5, 3) for day in days]


def test_weeks_count_to_the_day_of_reading_and_silence_comes_first() -> None:
    four_weeks = [day for week in range(4) for day in range(7 * week, 7 * week + 5)]
    found = kept(pages([5] * 28), done(*four_weeks), read=69)
    told_of = found.verdicts.kept
    assert told_of.verdict == "silent"
    weeks = reasons(told_of.because)["hands_weeks"]
    assert (weeks["kept"], weeks["not_kept"], weeks["not_known"], weeks["of"]) == (4, 0, 6, 10)
    said = " ".join(kept_words(told_of, found.read_on))
    assert said.startswith("Nothing written since 29 March 2026 (42 days): hands kept (4 of 5 days")
    assert "in 4 of 10 weeks, 6 not known, last done 27 Mar" in said
    # Only what is kept and silence depend on the day of reading.
    other = kept(pages([5] * 28), done(*four_weeks), read=28)
    assert other.verdicts.kept.verdict == "weeks"
    assert other.verdicts.better == found.verdicts.better


def test_a_week_is_kept_by_four_of_five_days_and_seven_make_no_other_good() -> None:
    seven_and_three = [*range(7), 7, 8, 9]
    weeks = reasons(kept(done(*seven_and_three), read=13).verdicts.kept.because)["hands_weeks"]
    assert (weeks["kept"], weeks["not_kept"], weeks["days"], weeks["a_week"]) == (1, 1, 4, 5)


def test_days_that_were_closed_count_on_neither_side() -> None:
    # From day 2 to 6 a card closed hands; done on both open days is all that was asked.
    card = warning(2, "lump", "call", cleared="by_professional", cleared_on=DAY + timedelta(days=7))
    found = kept(done(0, 1), card, pages([5] * 14), read=6)
    weeks = reasons(found.verdicts.kept.because)["hands_weeks"]
    assert (weeks["kept"], weeks["of"]) == (1, 1)


def test_three_sessions_and_no_page_are_not_nothing_prescribed() -> None:
    assert kept(done(0, 2, 4), read=6).verdicts.kept.verdict == "weeks"
    none = plan(hands_days_a_week=0, exercise_days_a_week=0)
    nothing = findings(diary(pages([5] * 9), plans=[none])).verdicts.kept
    assert nothing.verdict == "not_prescribed"
    first_days = kept(done(0), read=3).verdicts.kept
    assert (first_days.verdict, first_days.need) == ("cannot_tell", 3)


def test_a_stray_page_begins_no_weeks() -> None:
    found = kept(page(0, pain_average=5), pages([5] * 14, first=28), done(28, 29, 30, 31), read=41)
    assert reasons(found.verdicts.kept.because)["hands_weeks"]["of"] == 2


# ---------------------------------------------------------------- anything unsafe?


def test_the_first_unsafe_thing_is_the_verdict_and_the_others_are_counted() -> None:
    rising = pages([2] * 20 + [4] * 10 + [6] * 20)
    card = warning(49, "leg_swollen", "today")
    both = findings(diary(rising, card)).verdicts.unsafe
    assert both.verdict == "open_card"
    assert reasons(both.because) == {"open_card": {"count": 1}, "rising": {"count": 1}}
    assert findings(diary(pages([5] * 30))).verdicts.unsafe.verdict == "none_written"
