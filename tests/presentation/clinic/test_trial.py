"""What is said of a tape trial: to the clinic, on its page, and to the person."""

from dataclasses import replace
from datetime import timedelta

import pytest

from companion.care.history import current
from companion.care.records import Diary
from companion.care.trial_schedule import planned, schedule
from companion.evidence.figures import TapeWorth, TrialEstimate, TrialResult
from companion.evidence.tape_trial import estimate, trial_result
from companion.evidence.verdicts import tape_worth
from companion.exchange.files import read
from companion.presentation.clinic.answers import clinic_answers, knee_of
from companion.presentation.clinic.review import (
    figure_source,
    first_page_answers,
    is_known,
    record_days,
)
from companion.presentation.clinic.trial import TRIAL_ROWS, no_trial_words, trial_view
from companion.presentation.language.phrases import phrase
from companion.presentation.language.trial_words import (
    estimate_words,
    own_words_of,
    p_words,
    trial_sentence,
    trial_words,
)
from companion.presentation.papers.findings_words import findings_words
from companion.presentation.papers.plan_report import visit_report
from companion.presentation.papers.summary import visit_summary
from companion.system.resources import demo_profiles
from tests.builders import DAY
from tests.care.content import CATALOGUE, FACTS
from tests.found import findings
from tests.paper.wording import BANNED, words_in
from tests.presentation.wording import faults

FOUND = (-1.5, -0.5, -2, 0, -1, -0.5, -1.5, -1)
"""Made up by us; recomputed in R (V)."""


def jory() -> Diary:
    diary = read(demo_profiles() / "jory" / "diary.homeknee").diary
    assert diary is not None
    return diary


def tried() -> TrialResult:
    trial = findings(jory()).trial
    assert trial is not None
    return trial


def ending(low: float | None, high: float | None, mean: float, p: float) -> TrialResult:
    made = TrialEstimate(
        pairs=8,
        favouring=7,
        mean_difference=mean,
        low=low,
        high=high,
        hodges_lehmann=mean,
        p=p,
        smallest_p=2**-7,
    )
    return replace(tried(), estimate=made, first_day_dropped=made)


def sentence(trial: TrialResult) -> str:
    return trial_sentence(trial, tape_worth(trial)).replace("\u00a0", " ")


def line(trial: TrialResult) -> str:
    return " ".join(trial_words(trial, tape_worth(trial))).replace("\u00a0", " ")


def own(trial: TrialResult) -> str:
    return own_words_of(trial, tape_worth(trial))


# ---------------------------------------------------------------- the answer

ENDS: dict[TapeWorth, tuple[tuple[float, float, float, float], str]] = {
    "lower_with_tape": (
        (-2.25, -0.75, -1.5, 0.008),
        (
            "Lower with tape, by 1.5 points (0.8 to 2.3 lower), p 0.008; all 8 pairs counted, "
            "lower with tape in 7; not surely by a point; a hope worth 0.7 points is found "
            "so in 22 of 100 such trials."
        ),
    ),
    "higher_with_tape": (
        (1.0, 2.25, 1.5, 0.008),
        (
            "Higher with tape, by 1.5 points (1.0 to 2.3 higher), p 0.008; all 8 pairs counted, "
            "lower with tape in 7; surely by a point; a hope worth 0.7 points is found "
            "so in 22 of 100 such trials."
        ),
    ),
    "no_difference": (
        (-0.5, 0.5, -0.1, 0.6),
        (
            "No difference that matters (0.5 lower to 0.5 higher), p 0.600; all 8 pairs counted, "
            "lower with tape in 7."
        ),
    ),
    "cannot_tell": (
        (-1.5, 0.5, -0.5, 0.25),
        (
            "Cannot tell: could be 1.5 lower to 0.5 higher with tape, p 0.250; all 8 pairs "
            "counted, lower with tape in 7."
        ),
    ),
}


@pytest.mark.parametrize("told", ENDS)
def test_the_answer_follows_the_test_and_nothing_else(told: TapeWorth) -> None:
    numbers, said = ENDS[told]
    assert tape_worth(ending(*numbers)).verdict == told
    assert sentence(ending(*numbers)) == said


def test_a_first_day_that_turns_it_round_leaves_it_untold() -> None:
    made = ending(-2.25, -0.75, -1.5, 0.008)
    other = replace(made.first_day_dropped, mean_difference=0.2)
    turned = replace(made, first_day_dropped=other)
    assert tape_worth(turned).verdict == "cannot_tell"
    assert "without the first day of each period it turns round" in sentence(turned)


def test_a_trial_broken_off_tells_nothing() -> None:
    made = replace(ending(-2.25, -0.75, -1.5, 0.008), limitations=("broken_off",))
    assert tape_worth(made).verdict == "cannot_tell"
    assert sentence(made) == "Cannot tell: only a finished trial tells; 8 of 8 pairs complete."


def test_five_pairs_all_one_way_cannot_reach_the_usual_threshold() -> None:
    five = replace(tried(), estimate=estimate([-3.0] * 5))
    assert sentence(five) == (
        "Cannot tell: 5 complete pairs, 6 needed. 5 pairs all one way reach p 0.0625 at best, so "
        "they cannot reach the usual threshold."
    )
    assert " ".join(estimate_words(five.estimate)) == "cannot tell: 5 complete pairs, 6 needed"


def test_a_trial_without_a_pair_tells_nothing() -> None:
    none = trial_result(schedule("a seed", DAY, 6, 2), {}, {}, diary_ends=DAY)
    assert sentence(none) == "Cannot tell: no pair has a score on both sides yet."
    assert own(none) == "The days with tape and without are not over yet."
    over = trial_result(schedule("a seed", DAY, 6, 2), {}, {})
    assert line(over) == (
        "Cannot tell: only a finished trial tells; 0 of 6 pairs complete; not blinded, broken off"
    )


def test_p_is_never_nothing() -> None:
    assert p_words(2**-11) == "p under 0.001"
    assert p_words(4 / 256) == "p\u00a00.016"
    assert p_words(None) == "no p"


def test_statistics_own_differences_are_said_as_they_are() -> None:
    lead, rest = estimate_words(estimate(list(FOUND)))
    assert f"{lead} {rest}".replace("\u00a0", " ") == (
        "−1.0 points with tape (0.5 to 1.5 lower), 8 pairs, p 0.016"
    )


# ---------------------------------------------------------------- the person's own words


@pytest.mark.parametrize("told", ENDS)
def test_the_person_reads_a_plain_sentence_without_a_promise(told: TapeWorth) -> None:
    said = own(ending(*ENDS[told][0]))
    assert faults([said]) == []
    assert not [word for word in BANNED if word in said.lower()]
    if told in ("lower_with_tape", "higher_with_tape"):
        assert "by about 1½ points" in said


def test_who_scores_the_days_is_told_no_number_before_the_end() -> None:
    diary = jory()
    trial = diary.plan.trial
    assert trial is not None
    day = planned(trial).periods[13].last_day
    entries = tuple(entry for entry in diary.entries if entry.for_day <= day)
    found = findings(replace(diary, entries=entries))
    assert found.trial is not None
    assert found.trial.estimate.low is not None
    said = "Not over yet: 7 of 8 pairs complete, last day 18 Nov"
    assert line(found.trial) == said
    assert own(found.trial) == "The days with tape and without are not over yet."
    summary = visit_summary(replace(diary, entries=entries), [found], CATALOGUE)
    everything = " ".join(words_in(summary))
    assert said in everything
    assert "points with tape" not in everything
    assert "With tape, pain" not in everything


# ---------------------------------------------------------------- where it stands


def test_the_first_page_answers_the_primary_question_first() -> None:
    diary = jory()
    found = findings(diary)
    knees = [knee_of(found, current(diary.entries))]
    days = record_days(current(diary.entries), diary.plan, "right")
    answers = clinic_answers(knees, diary.plans, days, CATALOGUE)
    placed = first_page_answers(answers, knees, diary.plan.primary_question)
    first, column = placed[0]
    assert (first.question, column) == ("Tape worth it?", 1)
    assert first.rows[0].label == "Tape"
    assert "not blinded" in first.rows[0].cells[0].rest
    assert "1 day not followed" in first.rows[0].cells[0].rest
    assert first_page_answers(answers, knees)[0][0].question == "Better?"
    # Another primary question leaves it in its place; so does one without a trial.
    bare = replace(found, trial=None)
    without = [knee_of(bare, current(diary.entries))]
    plain = clinic_answers(without, diary.plans, days, CATALOGUE)
    assert first_page_answers(plain, without, "tape")[0][0].question == "Better?"
    assert "Tape trial" not in [row.label for answer in plain for row in answer.rows]


def test_each_row_opens_to_the_method_of_the_trial() -> None:
    diary = jory()
    found = findings(diary)
    knees = [knee_of(found, current(diary.entries))]
    view = trial_view(found)
    assert view is not None
    for part in view.parts:
        for row in part.rows:
            assert row.label in {phrase(label) for label in TRIAL_ROWS}
            assert is_known(row.label)
            source = figure_source(row, knees, diary.plans, FACTS)
            assert "sign-flip" in str(source.parts)
            assert "16 Sep to 18 Nov" in str(source.parts)


def test_the_page_shows_picture_table_and_the_headings_of_cent() -> None:
    found = findings(jory())
    view = trial_view(found)
    assert view is not None
    assert found.trial is not None
    assert "Not blinded" in view.limits
    assert "outlasts the tape" in view.limits
    assert "first scored days left out: −1.3" in view.limits
    chart, pairs = view.chart, found.trial.pairs
    (numbers,) = chart.lanes
    assert numbers.texts == tuple(str(number) for number in range(1, 9))
    tape, no_tape = chart.series
    assert (tape.name, no_tape.name) == ("With tape", "Without tape")
    assert [point.score for point in tape.points] == [pair.tape_mean for pair in pairs]
    assert [point.score for point in no_tape.points] == [pair.no_tape_mean for pair in pairs]
    held = jory().plan.trial
    assert held is not None
    for taped, bare, pair in zip(tape.points, no_tape.points, pairs, strict=True):
        assert (taped.day < bare.day) is pair.tape_first
        worn = [p for p in planned(held).periods if p.pair == pair.pair and p.arm == "tape"]
        assert worn[0].scored_days[1] == taped.day
    assert "Pair 1: 5.0 with tape, 5.5 without." in chart.description
    assert len(view.table.rows) == 8
    assert [part.question for part in view.parts] == ["Results", "Discussion", "Methods"]
    # CENT 2015 (Vohra 2015, BMJ 350:h1738), headings from memory (M).
    labels = {row.label for part in view.parts for row in part.rows}
    assert labels >= {
        "Design", "Intervention", "Outcome scored", "Sample size", "Randomisation", "Blinding",
        "Statistics", "Flow", "Numbers analysed", "Outcome and estimate", "Harms", "Limitations",
        "Generalisability", "Interpretation",
    }  # fmt: skip


def test_a_trial_broken_off_says_so_with_its_day() -> None:
    diary = jory()
    trial = diary.plan.trial
    assert trial is not None
    end = planned(trial).periods[8].bare_day
    later = replace(diary.plan, version=3, written_on=end, trial=None)
    found = findings(replace(diary, plans=(*diary.plans, later)))
    view = trial_view(found)
    assert view is not None
    said = " ".join(words_in(view))
    assert "broken off by the plan of 18 Oct" in said
    assert "Broken off before its end." in said
    assert "Pair 8: dropped" in said
    assert "4 complete pairs, 6 needed" in view.sentence
    assert view.table.rows[7][2:] == (None, None, "dropped")
    assert end - timedelta(days=1) == found.trial.flow.last_day_reached  # type: ignore[union-attr]


def test_a_trial_that_goes_on_shows_no_order_to_come() -> None:
    diary = jory()
    trial = diary.plan.trial
    assert trial is not None
    day = planned(trial).periods[4].scored_days[0]
    entries = tuple(entry for entry in diary.entries if entry.for_day <= day)
    found = findings(replace(diary, entries=entries))
    view = trial_view(found)
    assert view is not None
    rows = view.table.rows
    assert [row[4] for row in rows[2:]] == ["not yet"] * 6
    # The pair of today is known by its first period, and no pair after it.
    assert [row[1] for row in rows] == ["tape", "no tape", "tape", *([None] * 5)]
    assert "Pair 4: not yet." in view.pairs_said
    said = " ".join(words_in(view.results))
    assert "2 of 8 pairs complete, 0 dropped, 6 not yet" in said
    assert "The trial is not over" in view.limits
    assert "pairs_dropped" not in found.trial.limitations  # type: ignore[union-attr]
    assert "0 days not followed, 1 not known, of 18 days" in said


def test_summary_report_and_terminal_say_it_and_none_promises() -> None:
    diary = jory()
    found = findings(diary)
    summary = visit_summary(diary, [found], CATALOGUE)
    assert found.trial is not None
    said = trial_sentence(found.trial, found.verdicts.tape)
    assert f"Its answer: {said}" in summary.clinic_lead
    mine = next(row for row in summary.own_rows if row.label == "Tape trial")
    assert mine.cells[0].words == own(found.trial)
    report = visit_report(diary, [found], CATALOGUE)
    assert [line.n for line in report.sources if line.figure == "Tape trial"] == ["8"]
    lines = findings_words(diary, found, CATALOGUE)
    assert f"  {said}" in lines
    everything = " ".join([*words_in(report.trials), *lines[lines.index("Tape trial") :]]).lower()
    assert not [word for word in BANNED if word in everything]


def test_without_a_trial_nothing_is_said() -> None:
    diary = replace(jory(), plans=jory().plans[:1])
    found = findings(diary)
    assert trial_view(found) is None
    assert no_trial_words(found) == "No tape trial for this knee."
    held = jory().plan.trial
    assert held is not None
    blank = replace(jory().plan, trial=replace(held, seed=" "))
    faulty = findings(replace(diary, plans=(*diary.plans, blank)))
    assert trial_view(faulty) is None
    assert "not the one that was fixed" in no_trial_words(faulty)
    assert visit_report(diary, [found], CATALOGUE).trials == ()
    assert "Tape trial" not in findings_words(diary, found, CATALOGUE)
