"""What may not stand together on the pages of one diary: a table, checked by machine.

`python -m tests.calibration pages` holds 2,000 simulated diaries to it, the suite a few of fixed
seeds. A row names the two things and says when both stand there.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, replace
from datetime import date, timedelta
from typing import get_args

import numpy as np

from companion.care.history import current
from companion.care.records import Diary, LastFortnight
from companion.evidence.figures import Findings
from companion.presentation.clinic.answers import clinic_answers, knee_of
from companion.presentation.clinic.behind import behind_answer
from companion.presentation.clinic.usual_words import usual_answer
from companion.presentation.language.verdict_words import better_own
from companion.presentation.view.chart import DaySpan
from tests.builders import diary, page, plan, session
from tests.care.content import CATALOGUE
from tests.found import findings
from tests.simulated import TRUTHS, Truth, diaries_of

OWN = "To the person"


@dataclass(frozen=True, slots=True)
class Read:
    """What is read of one diary: every line by its label, and the findings behind them."""

    found: Findings
    lines: Mapping[str, str]

    def says(self, label: str, words: str) -> bool:
        """Whether the line of a label is there and holds a pattern."""
        return re.search(words, self.lines.get(label, "")) is not None

    @property
    def lower(self) -> bool:
        return self.says("Pain", "^(Lower|Probably lower)")


def read(made: Diary, read_on: date | None = None) -> Read:
    """The lines of review, summary, own limits and what stands behind them."""
    found = findings(made, read_on=read_on)
    knee = knee_of(found, current(made.entries))
    first, last = found.period.first_day, found.period.last_day
    days = DaySpan(first or made.plan.written_on, last or made.plan.written_on)
    answers = (
        *clinic_answers((knee,), made.plans, days, CATALOGUE),
        behind_answer((knee,)),
        usual_answer(found),
    )
    lines = {
        row.label: "; ".join(cell.words for cell in row.cells)
        for answer in answers
        for row in answer.rows
    }
    lines[OWN] = better_own(found.verdicts.better, found.pain.model)
    return Read(found, {label: words.replace("\u00a0", " ") for label, words in lines.items()})


_CHANGE = re.compile(r"by ([\d.]+) \S+ \([^)]*\): ([\d.]+) to ([\d.]+)")


def _ends_differ(of: Read) -> bool:
    """Whether a change is another than its two ends leave, as they are read."""
    told = [found.groups() for line in of.lines.values() for found in _CHANGE.finditer(line)]
    windows = [
        re.match(r"[+\u2212]?([\d.]+) ", of.lines.get(label, ""))
        for label in (
            *("Change, first to last 14 days", "Pain, first 14 days"),
            "Pain, last 14 days",
        )
    ]
    shown = tuple(one[1] for one in windows if one is not None)
    if len(shown) == len(windows):
        told.append(shown)
    return any(
        abs(abs(float(after) - float(before)) - float(by)) > 1e-9 for by, before, after in told
    )


TOGETHER: dict[str, Callable[[Read], bool]] = {
    "pain lower, and pain going up": lambda r: r.lower and "Pain going up" in r.lines,
    "pain the same, and pain going up": lambda r: (
        r.says("Pain", "^About the same") and "Pain going up" in r.lines
    ),
    "pain going up, and not higher": lambda r: (
        "Pain going up" in r.lines and not r.says("Pain", "^Probably higher")
    ),
    "pain higher, and not under what may be unsafe": lambda r: (
        r.says("Pain", "^Probably higher") and "Pain going up" not in r.lines
    ),
    "cannot tell, and a band": lambda r: (
        r.says("Pain", "^Cannot tell") and r.says("Change, first to last 14 days", "band:")
    ),
    "lower, and a band of rise": lambda r: (
        r.says("Pain", "^(Lower|Probably lower)")
        and r.says("Change, first to last 14 days", "rise")
    ),
    "higher, and a band of fall": lambda r: (
        r.says("Pain", "^Probably higher") and r.says("Change, first to last 14 days", "fall")
    ),
    "the person is told less, the clinic not": lambda r: (
        r.says(OWN, "[.] (Lower|A little lower|Probably lower)")
        and not r.says("Pain", "(?i)^(probably )?lower")
    ),
    "the person is told more, the clinic not": lambda r: (
        r.says(OWN, "Probably higher") and not r.says("Pain", "^Probably higher")
    ),
    "the person is told nothing, the clinic something": lambda r: (
        r.says(OWN, "(?i)cannot tell") and not r.says("Pain", "^Cannot tell")
    ),
    "lower from week 3 on too, and a reservation": lambda r: (
        r.says("Pain", "from week 3 on cannot tell")
        and r.found.pain.model.from_day_15 is not None
        and (r.found.pain.model.from_day_15.high or 0) < 0
        and (r.found.pain.model.from_day_15.change or 0) <= -1
    ),
    "decided, and more weeks would decide": lambda r: (
        not r.says("Pain", "^Cannot tell") and r.says("Pain", "would (hardly )?decide")
    ),
    "cannot tell at all, and more weeks would decide": lambda r: (
        r.says("Pain", "^Cannot tell:") != r.says("Pain", "would hardly decide")
    ),
    "a change, and ends that differ by something else": _ends_differ,
    "what was said of the fortnight before, and that nothing was": lambda r: (
        r.says("Pain", "fortnight before: not answered")
        and r.found.pain.model.bad_spell is not None
    ),
    "a fall, and nothing of the fortnight before": lambda r: (
        r.lower != r.says("Pain", "fortnight before:")
    ),
    "a range past the scale": lambda r: _past_the_scale(r.found),
    "a flare is none, and none can be seen": lambda r: (
        r.says("Recorded flares", "none")
        and any(gap.finding == "pain.flares" for gap in r.found.cannot_tell)
    ),
    "no signal, and none can be seen": lambda r: (
        r.says("Signals", "no signal") and r.found.pain.limits.mean is None
    ),
    "a signal now, and none on the last day": lambda r: (
        "Own limit passed" in r.lines and not r.says("Signals", "one on the last day")
    ),
    "silent, and not under what may be unsafe": lambda r: (
        r.says("Weeks kept", "^Nothing written") and "Nothing written since" not in r.lines
    ),
    "every week kept, and weeks not known": lambda r: any(
        kept == of and "not known" in rest
        for kept, of, rest in re.findall(
            r"in (\d+) of (\d+) weeks?([^;]*)", r.lines.get("Weeks kept", "")
        )
    ),
    "the level said, and the last days elsewhere": lambda r: (
        r.says("Pain", "^(Lower|Probably)")
        and r.found.pain.latest.mean is not None
        and r.found.pain.latest.days >= 10
        and abs((r.found.pain.model.after or 0) - r.found.pain.latest.mean) > 2
    ),
    "two things judge a change": lambda r: any(
        re.search("measurement error|acceptable state|may be chance", words)
        for label, words in r.lines.items()
        if label != "Chair stand"
    ),
}
"""What may not stand together, and when it does."""


def _past_the_scale(found: Findings) -> bool:
    model = found.pain.model
    if model.before is None or model.low is None or model.high is None:
        return False
    return model.before + model.low < -1e-9 or model.before + model.high > 10 + 1e-9


def contradictions(of: Read) -> list[str]:
    """The rows of the table that stand in one diary."""
    return [name for name, both in TOGETHER.items() if both(of)]


def as_diary(rng: np.random.Generator, scores: Mapping[date, int]) -> Diary:
    """A diary that holds these scores, with sessions on most days."""
    days = sorted(scores)
    own = plan(hands_days_a_week=5, written_on=days[0], review_on=days[0] + timedelta(days=56))
    entries = [page(day, pain_average=scores[day]) for day in days]
    said = (None, *get_args(LastFortnight))[int(rng.integers(4))]
    entries[0] = replace(entries[0], last_fortnight=said)
    done = [session(day, 5, 3) for day in days if rng.random() < 0.7]
    return diary(entries, done, plans=[own])


def simulated(rows: int, seed: int) -> Iterable[tuple[str, Read]]:
    """So many diaries of all kinds in turn, cut at random, read on a day after their last."""
    rng = np.random.default_rng(seed)
    kinds = list(TRUTHS.items())
    for row in range(rows):
        name, truth = kinds[row % len(kinds)]
        shorter: Truth = replace(truth, days=int(rng.integers(15, 100)))
        (scores,) = diaries_of(rng, shorter, 1)
        late = max(scores) + timedelta(days=int(rng.choice([0, 1, 5, 30])))
        yield name, read(as_diary(rng, scores), late)
