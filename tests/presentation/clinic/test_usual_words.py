"""What is usual for one person, in words: numbers of `companion.evidence`, each with its days."""

from __future__ import annotations

import re

import pytest

from companion.care.records import Amount, Diary
from companion.presentation.clinic.answers import knee_of
from companion.presentation.clinic.review import figure_source, is_known
from companion.presentation.clinic.usual_words import mornings_answer, usual_answer
from companion.presentation.language.figures_in_words import MINUS
from tests.builders import at, diary, page, pages
from tests.care.content import FACTS
from tests.found import findings


def rows(made: Diary, *, mornings: bool = False) -> dict[str, str]:
    answer = usual_answer(findings(made, with_next_morning=mornings))
    return {row.label: row.cells[0].words.replace("\u00a0", " ") for row in answer.rows}


def test_too_few_days_say_what_they_lack() -> None:
    told = rows(diary(pages([5] * 9)))
    assert told == {
        "Spread of days": "cannot tell: 9 of the last 28 days, 14 needed",
        "Signals": "cannot be seen yet",
    }


def test_a_constant_diary() -> None:
    # By hand: spread at least .6, 1.96 x sqrt 2 x .6 = 1.663; the limit is 1.5, and the chance
    # Phi(1.15998) = .877 (see tests/evidence/test_edges.py).
    told = rows(diary(pages([5] * 40)))
    assert told["Spread of days"] == (
        "0.6 points, from the days below the usual 5.0; 28 of the last 28 days"
    )
    assert told["One day against another"].startswith("1.7 points or more, for two days picked")
    assert told["A rise of 2 for 3 days"] == "88 % chance of a signal; it takes 1.5 above the usual"
    assert told["Most days lie"] == "28 of 28 recorded of the last 28 days were 5"
    assert told["Signals"] == "no signal; none on the last day"


def test_a_process_chart_is_a_picture_and_no_alarm() -> None:
    # By hand: mean 5.5, every step 1, so 5.5 - 2.66 and 5.5 + 2.66 (NIST/SEMATECH 6.3.2.2).
    told = rows(diary(pages([5, 6] * 20)))
    assert told["Process chart"].startswith("2.8 to 8.2 round the mean 5.5 of all 40 recorded days")
    assert "a picture, not an alarm" in told["Process chart"]
    # A day with none beside it has no step, and then there is no row to read.
    alone = [page(2 * day, pain_average=5) for day in range(15)]
    assert "Process chart" not in rows(diary(alone))


def test_where_a_rise_would_hardly_be_noticed_it_says_so() -> None:
    told = rows(diary(pages([1, 5, 9, 4, 0, 5, 8] * 6)))
    assert told["A rise of 2 for 3 days"].startswith("hardly noticed: ")
    assert re.fullmatch(r"\d+ of 28 recorded of .* were \d to \d", told["Most days lie"])


def test_near_the_top_a_rise_cannot_be_recorded() -> None:
    told = rows(diary(pages([9] * 40)))
    assert told["A rise of 2 for 3 days"] == (
        "cannot be recorded: the top of the scale is too near"
    )


def test_a_signal_is_dated_and_no_flare() -> None:
    made = diary(pages([4] * 30 + [9, 4, 4]))
    assert rows(made)["Signals"].startswith("1: 1 Apr to 3 Apr, 1.7 above the usual")
    assert "not recorded flares" in usual_answer(findings(made)).notes[0]


def test_late_pages_are_told_with_and_without() -> None:
    late = [page(step, pain_average=1, written_at=at(60)) for step in range(32, 36)]
    told = rows(diary(pages([5] * 32), late, pages([5] * 10, first=36)))
    assert told["Change without late pages"].startswith("0.0 points, ")
    assert told["Change without late pages"].endswith("4 late pages; 14 and 10 of 14 days")
    gone = rows(
        diary(pages([5] * 27), [page(s, pain_average=1, written_at=at(60)) for s in range(27, 32)])
    )
    assert gone["Change without late pages"] == (
        "cannot tell: 5 late pages; 14 and 9 days are left in the windows, 10 needed"
    )


@pytest.mark.parametrize("days", [40, 70])
def test_a_next_morning_names_other_causes(days: int) -> None:
    made = diary(
        page(
            step,
            pain_average=4 + step % 3,
            amounts=(Amount(label="walk", unit="m", amount=100 + 7 * (step % 5)),),
        )
        for step in range(days)
    )
    assert "Day after walk" not in rows(made)
    told = rows(made, mornings=True)["Day after walk"]
    if days < 57:
        assert told == "cannot tell: 38 pairs of days; 56 that vary are needed"
    else:
        assert told.startswith(("+", MINUS, "0"))
        assert told.endswith("68 pairs of days; other causes are possible")


def walks(days: int) -> Diary:
    return diary(
        page(
            step,
            pain_average=4 + step % 3,
            amounts=(Amount(label="walk", unit="m", amount=100 + 7 * (step % 5)),),
        )
        for step in range(days)
    )


@pytest.mark.parametrize("days", [40, 70])
def test_every_figure_of_the_page_opens_to_its_source(days: int) -> None:
    made = walks(days)
    found = findings(made, with_next_morning=True)
    knee = knee_of(found, made.entries)
    answers = (usual_answer(found), mornings_answer(found))
    for row in (row for answer in answers for row in answer.rows):
        assert is_known(row.label), row.label
        for _, facts in figure_source(row, (knee,), made.plans, FACTS).parts:
            assert {"Method", "n", "Source"} <= {name for name, _ in facts}
    (row,) = mornings_answer(found).rows
    ((_, facts),) = figure_source(row, (knee,), made.plans, FACTS).parts
    assert dict(facts)["n"] == str(days - 2)
    assert "other causes are possible" in dict(facts)["Method"]


def test_the_next_morning_always_names_other_causes_and_what_it_needs() -> None:
    for made in (walks(40), walks(70), diary(pages([5] * 40))):
        answer = mornings_answer(findings(made, with_next_morning=True))
        assert answer.notes[0].startswith("Other causes are possible, always")
        assert "56 pairs of days are needed" in answer.notes[1]
    assert answer.rows == ()
    assert answer.notes[2] == "No amount was written down."


@pytest.mark.parametrize(
    ("score", "said"),
    [(0, "A mean of 0 is already at the bottom of the scale."), (10, "at the top"), (5, None)],
)
def test_floor_and_ceiling_are_said(score: int, said: str | None) -> None:
    notes = usual_answer(findings(diary(pages([score] * 40)))).notes
    assert len(notes) == (1 if said is None else 2)
    assert said is None or said in notes[-1]
