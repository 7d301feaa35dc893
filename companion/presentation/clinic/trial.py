"""The tape trial of one knee for the clinic: its answer, its picture, its pairs as a table, and the
rest under the headings of CENT 2015 (Vohra 2015, BMJ 350:h1738; headings from memory).

The answer is the verdict alone. It was not blinded, and what tape leaves behind would hide a
difference: both are said in words.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta

from companion.care.trial_schedule import schedule
from companion.evidence.figures import (
    Findings,
    PairOfPeriods,
    TapeWorth,
    TrialEstimate,
    TrialLimitation,
    TrialResult,
)
from companion.presentation.clinic.answers import AnswerRow, Cell, ReviewQuestion
from companion.presentation.home.record_view import RecordTable, knee_words
from companion.presentation.language import codes
from companion.presentation.language.code_table import CodeTable
from companion.presentation.language.figures_in_words import (
    change_between,
    changed,
    one_decimal,
    signed,
    smallest_chance,
)
from companion.presentation.language.phrases import dated, listed, phrase, short_day
from companion.presentation.language.trial_words import estimate_words, goes_on, trial_sentence
from companion.presentation.language.verdict_words import TAPE
from companion.presentation.view.chart import Chart, DaySpan, days_between
from companion.presentation.view.charts import TrialPair, trial_chart

_HASH_SHOWN = 16
_DAY = timedelta(days=1)


def no_trial_words(found: Findings) -> str:
    """Why a knee has no trial to show."""
    if any(gap.finding == "trial" for gap in found.cannot_tell):
        return phrase(
            "The schedule of this knee’s trial is not the one that was fixed, so Home did not run "
            "it: it has no result."
        )
    return phrase("No tape trial for this knee.")


@dataclass(frozen=True, slots=True)
class TrialView:
    """What is shown of a trial: the answer in a sentence, what limits it, picture, table, and the
    three parts of a CENT report."""

    sentence: str
    limits: str
    chart: Chart
    table: RecordTable
    pairs_said: tuple[str, ...]
    results: ReviewQuestion
    discussion: ReviewQuestion
    methods: ReviewQuestion

    @property
    def parts(self) -> tuple[ReviewQuestion, ...]:
        """The parts of the report, what is asked for first before how it was done."""
        return (self.results, self.discussion, self.methods)


def trial_view(found: Findings) -> TrialView | None:
    """The trial of one knee; None where the plan held none."""
    trial = found.trial
    if trial is None:
        return None
    return TrialView(
        sentence=trial_sentence(trial, found.verdicts.tape),
        limits=_limits(trial),
        chart=_chart(found, trial),
        table=_table(trial),
        pairs_said=tuple(_pair_said(trial, pair) for pair in trial.pairs),
        results=_results(trial),
        discussion=_discussion(trial, found.verdicts.tape.verdict),
        methods=_methods(trial),
    )


def _limits(trial: TrialResult) -> str:
    """What is to be known before the number is believed."""
    said = [
        phrase("Not blinded: whoever knows tape is on may score differently."),
        phrase(
            "What outlasts the tape would hide a difference; first scored days left out: {cell}.",
            cell=_estimate(trial.first_day_dropped).words,
        ),
    ]
    if goes_on(trial):
        said.append(
            phrase(
                "The trial is not over: a look before its end takes chance for a difference more "
                "often."
            )
        )
    return " ".join(said)


def _estimate(found: TrialEstimate) -> Cell:
    return Cell(*estimate_words(found))


# ---------------------------------------------------------------- the picture and the table


def _chart(found: Findings, trial: TrialResult) -> Chart:
    design = trial.design
    planned = schedule(trial.randomisation.seed, design.first_day, design.pairs, design.scored_days)
    pairs = []
    for pair, first, second in zip(
        trial.pairs, planned.periods[::2], planned.periods[1::2], strict=True
    ):
        taped, bare = (first, second) if first.arm == "tape" else (second, first)
        pairs.append(
            TrialPair(
                number=pair.pair,
                tape_day=_middle(taped.scored_days),
                no_tape_day=_middle(bare.scored_days),
                tape=pair.tape_mean,
                no_tape=pair.no_tape_mean,
            )
        )
    return trial_chart(
        phrase("{knee}: each pair with tape and without", knee=knee_words(found.side)),
        DaySpan(design.first_day, design.last_day),
        pairs,
        description=" ".join(_pair_said(trial, pair) for pair in trial.pairs),
    )


def _middle(days: tuple[date, ...]) -> date:
    return days[len(days) // 2]


def _ahead(trial: TrialResult, pair: PairOfPeriods, periods: int) -> bool:
    """Whether the trial goes on and has not reached the end of this many periods of the pair.

    What is to come is shown only when it is due: the order of a pair ahead is on no page.
    """
    design, reached = trial.design, trial.flow.last_day_reached
    if not goes_on(trial):
        return False
    days = (2 * (pair.pair - 1) + periods) * (design.bare_days + design.scored_days)
    return reached is None or reached < design.first_day + timedelta(days=days) - _DAY


def _pair_said(trial: TrialResult, pair: PairOfPeriods) -> str:
    if pair.difference is None and _ahead(trial, pair, 2):
        return phrase("Pair {n}: not yet.", n=pair.pair)
    if pair.tape_mean is None or pair.no_tape_mean is None:
        return phrase("Pair {n}: dropped, a period without a score.", n=pair.pair)
    return phrase(
        "Pair {n}: {tape} with tape, {bare} without.",
        n=pair.pair,
        tape=one_decimal(pair.tape_mean),
        bare=one_decimal(pair.no_tape_mean),
    )


def _table(trial: TrialResult) -> RecordTable:
    return RecordTable.of(
        trial.pairs,
        (phrase("Pair"), lambda pair: str(pair.pair)),
        (phrase("First"), lambda pair: _order(trial, pair)),
        (phrase("Tape (n)"), lambda pair: _mean(pair.tape_mean, pair.tape_days)),
        (phrase("No tape (n)"), lambda pair: _mean(pair.no_tape_mean, pair.no_tape_days)),
        (phrase("Difference"), lambda pair: _difference(trial, pair)),
    )


def _order(trial: TrialResult, pair: PairOfPeriods) -> str | None:
    if pair.tape_days == pair.no_tape_days == 0 and _ahead(trial, pair, 1):
        return None
    return phrase("tape") if pair.tape_first else phrase("no tape")


def _difference(trial: TrialResult, pair: PairOfPeriods) -> str:
    if pair.tape_mean is not None and pair.no_tape_mean is not None:
        return change_between(pair.no_tape_mean, pair.tape_mean)
    return phrase("not yet") if _ahead(trial, pair, 2) else phrase("dropped")


def _mean(mean: float | None, days: int) -> str | None:
    if mean is None:
        return None
    return phrase("{mean} ({n})", mean=one_decimal(mean), n=days)


# ---------------------------------------------------------------- under the headings of CENT


def _results(trial: TrialResult) -> ReviewQuestion:
    flow, found = trial.flow, trial.estimate
    means = [
        (pair.tape_mean, pair.no_tape_mean)
        for pair in trial.pairs
        if pair.tape_mean is not None and pair.no_tape_mean is not None
    ]
    waiting = sum(p.difference is None and _ahead(trial, p, 2) for p in trial.pairs)
    pairs = phrase(
        "{n} of {all} pairs complete, {dropped} dropped",
        n=flow.pairs_complete,
        all=trial.design.pairs,
        dropped=flow.pairs_dropped - waiting,
    )
    if waiting:
        pairs = phrase("{pairs}, {n} not yet", pairs=pairs, n=waiting)
    rows = [AnswerRow(phrase("Outcome and estimate"), (_estimate(found),))]
    if means:
        tape, bare = (sum(column) / len(means) for column in zip(*means, strict=True))
        rows.append(
            AnswerRow.of(
                phrase("Means of the pairs"),
                phrase(
                    "{tape} with tape, {bare} without,",
                    tape=changed(bare, tape - bare),
                    bare=one_decimal(bare),
                ),
                phrase("{n} pair", "{n} pairs", n=len(means)),
            )
        )
    if found.hodges_lehmann is not None:
        rows.append(
            AnswerRow.of(
                phrase("Middle estimate"),
                signed(found.hodges_lehmann),
                phrase("points, the middle of all averages of two pairs (Hodges-Lehmann)"),
            )
        )
    rows += [
        AnswerRow(
            phrase("First day left out"),
            (_estimate(trial.first_day_dropped),),
        ),
        AnswerRow.of(
            phrase("Numbers analysed"),
            phrase("{n} of {all}", n=flow.days_recorded, all=flow.days_scheduled),
            phrase("scored days recorded; {pairs}", pairs=pairs),
        ),
        AnswerRow(phrase("Flow"), (_flow(trial),)),
        AnswerRow(phrase("Harms"), (_harms(trial),)),
    ]
    return ReviewQuestion(question=phrase("Results"), rows=tuple(rows))


def _flow(trial: TrialResult) -> Cell:
    flow, design = trial.flow, trial.design
    days = (design.last_day - design.first_day).days + 1
    # Of the days after the last one reached nothing is known, nor was asked yet.
    after = 0
    if flow.last_day_reached is not None:
        after = (design.last_day - flow.last_day_reached).days
    words = phrase(
        "not followed, {unknown} not known, of {days} days; all kept as scheduled",
        unknown=flow.days_followed_unknown - after,
        days=days - after,
    )
    if flow.broken_off_on is not None:
        words = phrase(
            "{words}; broken off by the plan of {day}",
            words=words,
            day=short_day(flow.broken_off_on),
        )
    elif flow.last_day_reached is not None and flow.last_day_reached < design.last_day:
        words = phrase(
            "{words}; last day reached {day}", words=words, day=short_day(flow.last_day_reached)
        )
    return Cell(
        phrase("{n} day", "{n} days", n=flow.days_not_followed),
        words,
    )


def _harms(trial: TrialResult) -> Cell:
    harms = trial.harms
    if not harms.skin_events and not harms.warnings and not harms.pink_days:
        return Cell("", phrase("no skin event, no warning card, no pink skin"))
    skin = listed(
        phrase("{day} {skin}", day=short_day(event.day), skin=event.skin)
        for event in harms.skin_events
    )
    return Cell(
        phrase("{n} skin event,", "{n} skin events,", n=len(harms.skin_events)),
        phrase(
            "{cards}, {pink}{which}",
            cards=phrase("{n} warning card", "{n} warning cards", n=len(harms.warnings)),
            pink=phrase("pink skin on {n} day", "pink skin on {n} days", n=harms.pink_days),
            which=phrase(": {skin}", skin=skin) if skin else "",
        ),
    )


def _discussion(trial: TrialResult, told: TapeWorth) -> ReviewQuestion:
    limits = [_LIMITS[mark] for mark in trial.limitations]
    return ReviewQuestion(
        question=phrase("Discussion"),
        rows=(
            AnswerRow.of(phrase("Limitations"), "", " ".join(limits)),
            AnswerRow.of(
                phrase("Generalisability"),
                "",
                phrase("This knee, this person, this tape, these weeks."),
            ),
            AnswerRow.of(phrase("Interpretation"), "", TAPE[told].meaning),
        ),
    )


_LIMITS: CodeTable[TrialLimitation, str] = CodeTable(
    TrialLimitation,
    {
        "not_blinded": "Not blinded.",
        "carry_over_hides_difference": ("Effects that outlast removal would hide a difference."),
        "days_not_followed": "Some days were not followed.",
        "pairs_dropped": "Pairs with an empty period were dropped.",
        "broken_off": "Broken off before its end.",
        "not_over": "Not over when the diary ends.",
        "schedule_not_fixed_before": ("The schedule is not the one fixed before the first day."),
    },
)


def _methods(trial: TrialResult) -> ReviewQuestion:
    design, drawn = trial.design, trial.randomisation
    fixed = (
        phrase("by the plan’s own dates before the first day")
        if drawn.as_fixed
        else phrase("not before the first day")
    )
    rows = (
        (
            phrase("Design"),
            phrase(
                "one person, {pairs} pairs of periods, each {bare} bare day then {scored} scored "
                "days; {days} {year}",
                pairs=design.pairs,
                bare=design.bare_days,
                scored=design.scored_days,
                days=days_between(DaySpan(design.first_day, design.last_day)),
                year=dated(design.last_day)[-4:],
            ),
        ),
        (
            phrase("Intervention"),
            phrase(
                "tape of the plan on the scored days of one period of each pair, none in the "
                "other; hands rest on scored days in both"
            ),
        ),
        (
            phrase("Outcome scored"),
            phrase("pain 0 to 10, {measure}", measure=codes.MEASURES[design.measure].clinic),
        ),
        (
            phrase("Sample size"),
            phrase(
                "{n} pairs reach p {p} at best",
                n=design.pairs,
                p=smallest_chance(design.smallest_p),
            ),
        ),
        (
            phrase("Randomisation"),
            phrase(
                "one fair bit of a seed, drawn once, for each pair; the order that follows from it "
                "has the hash {digest}, which signed plan and printed booklet hold; written down "
                "{fixed}",
                fixed=fixed,
                digest=drawn.sha256[:_HASH_SHOWN],
            ),
        ),
        (phrase("Blinding"), phrase("none")),
        (
            phrase("Statistics"),
            phrase(
                "p and range count out every order chance could have drawn, because with so few "
                "pairs no bell curve can be trusted; as scheduled, whatever was followed"
            ),
        ),
    )
    return ReviewQuestion(
        question=phrase("Methods"),
        rows=tuple(AnswerRow.of(label, "", words) for label, words in rows),
    )


TRIAL_ROWS = (
    "Tape trial",
    "Outcome and estimate",
    "Means of the pairs",
    "Middle estimate",
    "First day left out",
    "Numbers analysed",
    "Flow",
    "Harms",
    "Limitations",
    "Generalisability",
    "Interpretation",
    "Design",
    "Intervention",
    "Outcome scored",
    "Sample size",
    "Randomisation",
    "Blinding",
    "Statistics",
)
"""The labels of rows that rest on the trial."""
