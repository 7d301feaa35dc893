"""The one answer to each question, in words: a line for the clinic, a sentence for the person.

What judges stands in these tables and nowhere else. A cause is never named, nothing is promised.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from datetime import date, timedelta
from typing import TypeVar

from companion.evidence.figures import (
    Able,
    AmountChange,
    BecauseCode,
    Better,
    Kept,
    ModelRun,
    StatedVerdict,
    TapeWorth,
)
from companion.presentation.language.code_table import CodeTable, Wording, capital
from companion.presentation.language.figures_in_words import (
    changed,
    half_point,
    step_of,
    to_step,
)
from companion.presentation.language.pacing_words import with_unit
from companion.presentation.language.phrases import dated, in_figures, parted, phrase, short_day


class LineWords(Wording):
    """The verdict in a word or two, and what follows it for the clinic."""

    lead: str
    line: str


class VerdictWords(LineWords):
    """The same with the person's sentence."""

    own: str


class TapeWords(VerdictWords):
    """The same of a tape trial, and what it means under the headings of a report."""

    meaning: str


BETTER: CodeTable[Better, VerdictWords] = CodeTable(
    Better,
    {
        "lower": VerdictWords(
            "Lower,",
            "by {by} points ({range}): {before} to {after}",
            "Now about {level}, at first about {first}. Lower, likely real.",
        ),
        "probably_lower": VerdictWords(
            "Probably lower,",
            "by {by} points ({range}): {before} to {after}",
            "Now about {level}, at first about {first}. Probably lower.",
        ),
        "lower_little": VerdictWords(
            "Lower, but by less than matters:",
            "{by} points ({range}), {before} to {after}",
            "Now about {level}, at first about {first}. A little lower, by less than a point.",
        ),
        "probably_higher": VerdictWords(
            "Probably higher,",
            "by {by} points ({range}): {before} to {after}; said early on purpose: by chance of 2 "
            "to 7 in 100 diaries in which nothing changes, of 9 to 12 where pain comes and goes by "
            "the month",
            "Now about {level}, at first about {first}. Probably higher. Tell your clinic.",
        ),
        "same": VerdictWords(
            "About the same,",
            "still {after} ({range})",
            "Now about {level}, at first about {first}. About the same.",
        ),
        "cannot_tell": VerdictWords(
            "Cannot tell yet:",
            "could be {range}",
            "Now about {level}, at first about {first}. Cannot tell yet if it has changed.",
        ),
    },
)
ABLE: CodeTable[Able, VerdictWords] = CodeTable(
    Able,
    {
        "more": VerdictWords(
            "More,",
            "by {by} {unit} ({range}): {before} to {after}",
            "More, likely real",
        ),
        "probably_more": VerdictWords(
            "Probably more,",
            "by {by} {unit} ({range}): {before} to {after}",
            "Probably more",
        ),
        "more_little": VerdictWords(
            "More, but by less than matters:",
            "{by} {unit} ({range}), {before} to {after}",
            "A little more",
        ),
        "probably_less": VerdictWords(
            "Probably less,",
            "by {by} {unit} ({range}): {before} to {after}",
            "Probably less. Tell your clinic",
        ),
        "same": VerdictWords("About the same,", "still {after} ({range})", "About the same"),
        "cannot_tell": VerdictWords(
            "Cannot tell yet:", "could be {range}", "Cannot tell yet if it has changed"
        ),
    },
)
TAPE: CodeTable[TapeWorth, TapeWords] = CodeTable(
    TapeWorth,
    {
        "lower_with_tape": TapeWords(
            "Lower with tape,",
            "by {by} points ({range})",
            "On days with tape your pain was lower, by {points}. Talk it over at your visit.",
            "More than the drawn order alone gives. How much of it is knowing that tape is on "
            "cannot be told.",
        ),
        "higher_with_tape": TapeWords(
            "Higher with tape,",
            "by {by} points ({range})",
            "On days with tape your pain was higher, by {points}. Talk it over at your visit.",
            "More than the drawn order alone gives. How much of it is knowing that tape is on "
            "cannot be told.",
        ),
        "no_difference": TapeWords(
            "No difference that matters",
            "({range})",
            "On days with tape and without, your pain was much the same. Talk it over at your "
            "visit.",
            "Any difference lies within one point either way.",
        ),
        "cannot_tell": TapeWords(
            "Cannot tell:",
            "could be {range} with tape",
            "The days with tape and without cannot tell if tape makes a difference. Talk it over "
            "at your visit.",
            "Neither a difference nor its absence can be told.",
        ),
        "no_trial": TapeWords(
            "Cannot be told from this diary:",
            "no tape trial was done",
            "Only a tape trial can tell if tape makes a difference.",
            "No trial.",
        ),
    },
)
KEPT: CodeTable[Kept, str] = CodeTable(
    Kept,
    {
        "weeks": "In whole weeks:",
        "silent": "Nothing written since {day} ({days}):",
        "not_prescribed": "Nothing is prescribed",
        "cannot_tell": "Cannot tell yet:",
    },
)

V = TypeVar("V", bound=str)
W = TypeVar("W", bound=LineWords)
Numbers = Mapping[str, float]


def reason(of: StatedVerdict[V], code: BecauseCode) -> Numbers | None:
    """The numbers of one reason behind a verdict; None where it is not among them."""
    return next((each.numbers for each in of.because if each.code == code), None)


def range_words(low: float, high: float, less: str = "", more: str = "", step: str = "0.1") -> str:
    """Both ends of a range with their way: `0.8 to 3.4 lower`, `0.2 lower to 1.9 higher`."""
    less, more = less or phrase("lower"), more or phrase("higher")
    near, far = (to_step(end, step) for end in sorted((abs(low), abs(high))))
    if low < 0 < high:
        return phrase(
            "{low} {less} to {high} {more}",
            low=to_step(-low, step),
            less=less,
            high=to_step(high, step),
            more=more,
        )
    return phrase("{near} to {far} {way}", near=near, far=far, way=less if high <= 0 else more)


def half_points(points: float) -> str:
    """`about 2 points`, `about 1 point`, `about 1½ points`; else `under half a point`."""
    half = half_point(abs(points))
    if half == "0":
        return phrase("under half a point")
    return phrase(
        "about {half} point", "about {half} points", n=1 if half in ("1", "½") else 2, half=half
    )


def _filled(
    words: W,
    run: ModelRun,
    less: str = "",
    more: str = "",
    unit: str = "",
    step: str = "0.1",
) -> W:
    """The words of a model that told something."""
    assert run.change is not None
    assert run.low is not None
    assert run.high is not None
    assert run.before is not None
    assert run.after is not None
    return words.filled(
        by=to_step(abs(run.change), step),
        range=range_words(run.low, run.high, less, more, step),
        before=to_step(run.before, step),
        after=changed(run.before, run.change, step),
        level=half_point(run.after),
        first=half_point(run.before),
        unit=unit,
    )


# ---------------------------------------------------------------- better, for the clinic


def better_words(told: StatedVerdict[Better], run: ModelRun) -> tuple[str, str]:
    """The verdict on pain, and all that stands in its line."""
    words = BETTER[told.verdict]
    if run.change is None:
        return words.lead, parted((*_missing(told), *_need(told)))
    line = _filled(words, run)
    lead = phrase("Cannot tell:") if _hardly(told) else line.lead
    return lead, parted((line.line, *_need(told), *_reserved(told), *_beside(told)))


def _hardly(told: StatedVerdict[Better]) -> bool:
    """Whether more weeks would hardly tell either: then it is not a matter of waiting."""
    return told.verdict == "cannot_tell" and told.need is None


def able_words(verdict: Able, run: ModelRun) -> tuple[str, str]:
    """The verdict on an activity, 0 unable to 10 as before."""
    words = ABLE[verdict]
    if run.change is None:
        return words.lead, phrase("too few days were scored")
    line = _filled(words, run, phrase("less"), phrase("more"), phrase("points"))
    return line.lead, line.line


def amount_words(found: AmountChange) -> tuple[str, str]:
    """The verdict on an amount that the plan paces, in its unit."""
    words, step = ABLE[found.verdict], step_of(found.goal)
    line = _filled(words, found.model, phrase("less"), phrase("more"), found.unit, step)
    goal = phrase("goal {goal}", goal=to_step(found.goal, step))
    return line.lead, phrase("{line}; {goal}", line=line.line, goal=goal)


def _missing(told: StatedVerdict[Better]) -> Iterator[str]:
    if reason(told, "not_begun") is not None:
        yield phrase("no seven days hold three pages with a score")
    for code, words in _MISSING.items():
        lacking = reason(told, code)
        if lacking is not None:
            yield phrase(words, have=in_figures(lacking["have"]), need=in_figures(lacking["need"]))


_MISSING: dict[BecauseCode, str] = {
    "days_spanned": "{have} days so far, {need} needed",
    "days_recorded": "{have} days with a score, {need} needed",
    "days_recent": "{have} of the last 14 days with a score, {need} needed",
}


def _need(told: StatedVerdict[Better]) -> Iterator[str]:
    if told.verdict != "cannot_tell":
        return
    if told.need is None:
        yield phrase("twelve more weeks would hardly decide")
    elif reason(told, "change") is None:
        yield phrase("{n} more day at least", "{n} more days at least", n=told.need)
    else:
        yield phrase("about {n} more weeks of pages would decide", n=-(-told.need // 7))


def _reserved(told: StatedVerdict[Better]) -> Iterator[str]:
    if reason(told, "from_day_15_open") is not None:
        yield phrase(
            "lower than the first fortnight; from week 3 on cannot tell: part may be a bad spell "
            "passing"
        )
    if reason(told, "from_day_15_short") is not None:
        yield phrase("too early to set a bad spell at the start apart")
    for code, words in _FORTNIGHT.items():
        if reason(told, code) is not None:
            yield phrase(words)


_FORTNIGHT: dict[BecauseCode, str] = {
    "bad_spell": "fortnight before: worse than usual, the person said",
    "no_bad_spell": "fortnight before: not worse than usual, the person said",
    "bad_spell_cannot_tell": "fortnight before: the person could not tell",
    "bad_spell_unknown": "fortnight before: not answered",
}


def _beside(told: StatedVerdict[Better]) -> Iterator[str]:
    near = reason(told, "near_end")
    if near is not None and near["points"] < 5:
        yield phrase("near the bottom of the scale: hardly room to fall")
    elif near is not None:
        yield phrase("near the top of the scale: hardly room to rise")
    medicine = reason(told, "medicine")
    if medicine is not None:
        yield phrase(
            "extra medicine {first} of {first_of} days at first, {last} of {last_of} at the end",
            **{name: in_figures(value) for name, value in medicine.items()},
        )
    care = reason(told, "care_between")
    if care is not None:
        yield phrase(
            "{n} other treatment or illness between",
            "{n} other treatments or illnesses between",
            n=int(care["count"]),
        )
    closed = reason(told, "days_closed")
    if closed is not None:
        yield phrase(
            "closed on {n} of {of} days", n=in_figures(closed["count"]), of=in_figures(closed["of"])
        )
    trial = reason(told, "trial_days")
    if trial is not None:
        yield phrase(
            "tape trial on {first} of the first 14 days, {last} of the last",
            first=in_figures(trial["first"]),
            last=in_figures(trial["last"]),
        )
    looks = reason(told, "looks")
    if looks is not None:
        yield phrase(
            "visit {n} on the same first days: chance had {n} tries",
            n=in_figures(looks["count"]),
        )


# ---------------------------------------------------------------- better, for the person


def better_own(told: StatedVerdict[Better], run: ModelRun) -> str:
    """The same verdict to the person: now and at first in half points, and what it comes to."""
    if run.change is None:
        said = [phrase("Cannot tell yet if it has changed.")]
    elif _hardly(told):
        assert run.before is not None
        assert run.after is not None
        said = [
            phrase(
                "Now about {level}, at first about {first}. Cannot tell if it has changed: your "
                "good days and your bad days are too far apart.",
                level=half_point(run.after),
                first=half_point(run.before),
            )
        ]
    else:
        said = [_filled(BETTER[told.verdict], run).own]
    if told.need is not None and told.verdict == "cannot_tell":
        said.append(_more_weeks(told.need))
    if any(reason(told, code) is not None for code in _MAY_BE_A_SPELL):
        said.append(phrase("Part may be a bad spell passing."))
    return " ".join(said)


def goal_own(found: AmountChange, most: float | None) -> str:
    """How far the person has come toward a goal in their plan: now, at first and the goal. `most`
    is the largest amount of the last fortnight, which is said before there is a model."""
    run = found.model
    goal = with_unit(found.goal, found.unit)
    if run.before is None or run.after is None:
        return phrase(
            "{what}: {most}. Your goal is {goal}. Cannot tell yet if it has changed.",
            what=capital(found.label),
            most=phrase("nothing written these two weeks")
            if most is None
            else phrase("now at most {amount}", amount=with_unit(most, found.unit)),
            goal=goal,
        )
    return phrase(
        "{what}: now about {now}, at first about {first}. Your goal is {goal}. {told}.",
        what=capital(found.label),
        now=_about(run.after, found.goal),
        first=_about(run.before, found.goal),
        goal=goal,
        told=ABLE[found.verdict].own,
    )


def _about(amount: float, goal: float) -> str:
    """An amount of a model as a person says it: tens of metres of a goal of hundreds."""
    if goal >= _IN_TENS:
        return str(10 * round(amount / 10))
    return to_step(amount, step_of(goal))


_IN_TENS = 100
_MAY_BE_A_SPELL: tuple[BecauseCode, ...] = ("from_day_15_open", "bad_spell")


def _more_weeks(days: int) -> str:
    weeks = max(-(-days // 7), 1)
    return phrase(
        "{n} more week of day pages would help.", "{n} more weeks of day pages would help.", n=weeks
    )


# ---------------------------------------------------------------- kept to?


def kept_words(told: StatedVerdict[Kept], read_on: date) -> tuple[str, str]:
    """Weeks kept, and first that nothing was written, where that is so."""
    last = reason(told, "last_written")
    days = 0 if last is None else int(last["days"])
    since = phrase("{n} day", "{n} days", n=days)
    lead = KEPT.said(told.verdict, day=dated(read_on - timedelta(days=days)), days=since)
    if told.verdict == "cannot_tell":
        if told.need is None:
            return lead, phrase("nothing was written at home under a plan")
        return lead, phrase("no whole week yet")
    parts = (
        part_weeks(phrase("exercise"), reason(told, "exercise_weeks"), read_on),
        part_weeks(phrase("hands"), reason(told, "hands_weeks"), read_on),
    )
    return lead, parted(each for each in parts if each)


def part_weeks(part: str, numbers: Numbers | None, read_on: date) -> str:
    """`exercise kept (4 of 5 days or more) in 8 of 10 weeks, 1 not known, last done 22 Nov`; empty
    where none was prescribed."""
    if numbers is None:
        return ""
    days, a_week = int(numbers["days"]), int(numbers["a_week"])
    words = phrase(
        "{part} kept ({days}) in {kept} of {n} week",
        "{part} kept ({days}) in {kept} of {n} weeks",
        n=int(numbers["of"]),
        part=part,
        days=phrase("{n} day", "all {n} days", context="of a week", n=days)
        if days == a_week
        else phrase("{days} of {a_week} days or more", days=days, a_week=a_week),
        kept=in_figures(numbers["kept"]),
    )
    if numbers["not_known"]:
        words = phrase("{words}, {n} not known", words=words, n=in_figures(numbers["not_known"]))
    if "last_done_days" not in numbers:
        return phrase("{words}, never done", words=words)
    day = read_on - timedelta(days=int(numbers["last_done_days"]))
    return phrase("{words}, last done {day}", words=words, day=short_day(day))
