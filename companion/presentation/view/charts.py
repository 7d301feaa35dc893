"""The charts of the program: what each shows, under which name and by which sign.

The signs of a chart differ by shape or fill, and one thing has one sign in all of them: a square is
tape with side strips, on the screen and on every page.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from companion.presentation.language import codes
from companion.presentation.language.phrases import phrase
from companion.presentation.view.chart import (
    Chart,
    DaySpan,
    Lane,
    PlanLine,
    Point,
    Series,
    SeriesSign,
    Stroke,
    TimeStretch,
    spans_of_days,
)

AVERAGE = SeriesSign("circle", "accent")
AVERAGE_LINE = Stroke("accent", firm=True)
WORST = SeriesSign("bar")
NOW = SeriesSign("circle", fill="open", size=1.6)
TAPED = SeriesSign("hatch")
MEDICINE = SeriesSign("diamond", size=1.5)
FLARE = SeriesSign("bracket")
WARNING = SeriesSign("triangle", size=1.5)
SKIN = SeriesSign("square", fill="open", size=1.3)
BEFORE = SeriesSign("circle", fill="ground", size=1.4)
AFTER: Mapping[int | None, SeriesSign] = {
    0: SeriesSign("circle", "accent"),
    1: SeriesSign("square", "accent"),
    2: SeriesSign("triangle", "accent", size=1.35),
    None: SeriesSign("circle", "accent"),
}
"""By tape stage: 0 bare, 1 side strips, 2 with short pieces; None where it is not known."""
WITHOUT_TAPE = BEFORE
WITH_TAPE = AFTER[1]


def pain_chart(
    title: str,
    days: DaySpan,
    *,
    average: Mapping[date, float],
    worst: Mapping[date, float],
    now: Mapping[date, float],
    taped: Iterable[date] = (),
    medicine: Iterable[date] = (),
    flares: Iterable[DaySpan] = (),
    plan_lines: Iterable[PlanLine] = (),
    description: str = "",
) -> Chart:
    """Pain by diary day, each score 0-10; the days with tape and with extra pain medicine below."""
    series = (
        (phrase("Average"), AVERAGE, average, AVERAGE_LINE),
        (phrase("Worst"), WORST, worst, None),
        (phrase("Now"), NOW, now, None),
    )
    lanes = (
        (phrase("Tape on"), spans_of_days(taped), TAPED),
        (phrase("Extra pain medicine"), spans_of_days(medicine), MEDICINE),
        (phrase("Flare"), tuple(flares), FLARE),
    )
    return Chart(
        title=title,
        score_axis=phrase("Pain, 0 to 10"),
        first_day=days.first_day,
        last_day=days.last_day,
        series=tuple(
            Series(name, sign, tuple(Point(day, score) for day, score in sorted(of.items())), line)
            for name, sign, of, line in series
            if of
        ),
        lanes=tuple(Lane(name, spans, sign) for name, spans, sign in lanes if spans),
        plan_lines=tuple(plan_lines),
        nothing=phrase("No score in these days"),
        description=description,
    )


def seen_lanes(warnings: Iterable[date], skin: Iterable[date]) -> tuple[Lane, ...]:
    """The days on which a warning sign was said, and those on which the skin was not clear."""
    lanes = (
        (phrase("Warning sign"), spans_of_days(warnings), WARNING),
        (phrase("Skin not clear"), spans_of_days(skin), SKIN),
    )
    return tuple(Lane(name, spans, sign) for name, spans, sign in lanes if spans)


def stretch_chart(
    title: str,
    days: DaySpan,
    stretches: Sequence[TimeStretch],
    *,
    middle: Mapping[date, float],
    worst: Mapping[date, float],
    lanes: Iterable[Lane] = (),
    plan_lines: Iterable[PlanLine] = (),
    description: str = "",
) -> Chart:
    """Pain by week or by months: what stands for one stretch stands on its `middle_day`."""
    longest = max((one.days.days for one in stretches), default=1)
    series = (
        (phrase("Average"), AVERAGE, middle, AVERAGE_LINE),
        (phrase("Worst"), WORST, worst, None),
    )
    return Chart(
        title=title,
        score_axis=phrase("Pain, 0 to 10: the middle of each"),
        first_day=days.first_day,
        last_day=days.last_day,
        series=tuple(
            Series(
                name,
                sign,
                tuple(Point(day, score) for day, score in sorted(of.items())),
                line,
                longest,
            )
            for name, sign, of, line in series
            if of
        ),
        lanes=tuple(lanes),
        plan_lines=tuple(plan_lines),
        by_day=False,
        stretches=tuple(stretches),
        nothing=phrase("No score in these days"),
        description=description,
    )


def middle_day(days: DaySpan) -> date:
    """The day on which what stands for some days stands."""
    return days.first_day + timedelta(days=(days.days - 1) // 2)


@dataclass(frozen=True, slots=True)
class SessionPair:
    """One session: the before score and the last after score, each 0-10 or None when not given.

    `tape_stage` is 0 (bare), 1 or 2, or None when it is not known what the after score was
    taken with.
    """

    day: date
    before: float | None
    after: float | None
    tape_stage: int | None = 0


def session_chart(
    title: str,
    days: DaySpan,
    pairs: Iterable[SessionPair],
    *,
    plan_lines: Iterable[PlanLine] = (),
    stretches: Sequence[TimeStretch] = (),
    description: str = "",
) -> Chart:
    """The score of the check move before and after, by session in their order; the sessions of one
    day side by side. With `stretches` a pair stands for each of them."""
    of_day: dict[date, list[SessionPair]] = {}
    for pair in pairs:
        of_day.setdefault(pair.day, []).append(pair)
    befores: list[Point] = []
    afters: dict[int | None, list[Point]] = {}
    links = []
    for day, held in sorted(of_day.items()):
        for place, pair in enumerate(held):
            share = (place + 0.5) / len(held)
            if pair.before is not None:
                befores.append(Point(day, pair.before, share))
            if pair.after is not None:
                of_stage = afters.setdefault(pair.tape_stage, [])
                of_stage.append(Point(day, pair.after, share))
                if pair.before is not None:
                    links.append((befores[-1], of_stage[-1]))
    taped_too = any(afters.keys() - {0, None})
    names: dict[int | None, str] = {None: phrase("After")}
    for stage, words in codes.STAGES.items():
        names[stage] = phrase("After: {stage}", stage=words) if taped_too else names[None]
    if not taped_too and None in afters:
        afters = {0: sorted([*afters.get(0, ()), *afters[None]], key=lambda p: (p.day, p.share))}
    shown = [Series(names[n], AFTER[n], tuple(afters[n])) for n in (0, 1, 2, None) if n in afters]
    before = [Series(phrase("Before"), BEFORE, tuple(befores))] if befores else []
    return Chart(
        title=title,
        score_axis=phrase("Score of the check move, 0 to 10"),
        first_day=days.first_day,
        last_day=days.last_day,
        series=(*before, *shown),
        links=tuple(links),
        plan_lines=tuple(plan_lines),
        by_day=not stretches,
        stretches=tuple(stretches),
        nothing=phrase("No score in these days"),
        description=description,
    )


@dataclass(frozen=True, slots=True)
class TrialPair:
    """One pair of a tape trial: the mean score of each period, 0-10, on its middle day.

    A mean is None where no day of the period was scored.
    """

    number: int
    tape_day: date
    no_tape_day: date
    tape: float | None
    no_tape: float | None


def trial_chart(
    title: str, days: DaySpan, pairs: Iterable[TrialPair], *, description: str = ""
) -> Chart:
    """The pairs of a tape trial over its days, the two means of each pair joined."""
    taped, bare, links, spans, numbers = [], [], [], [], []
    for pair in pairs:
        spans.append(DaySpan(*sorted((pair.tape_day, pair.no_tape_day))))
        numbers.append(str(pair.number))
        if pair.tape is not None:
            taped.append(Point(pair.tape_day, pair.tape))
        if pair.no_tape is not None:
            bare.append(Point(pair.no_tape_day, pair.no_tape))
        if pair.tape is not None and pair.no_tape is not None:
            links.append((taped[-1], bare[-1]))
    for span in spans:
        if span.cut_to(days) != span:
            raise ValueError(f"the pair of {span.first_day} lies outside the trial")
    series = ((phrase("With tape"), WITH_TAPE, taped), (phrase("Without tape"), WITHOUT_TAPE, bare))
    return Chart(
        title=title,
        score_axis=phrase("Mean pain of a period, 0 to 10"),
        first_day=days.first_day,
        last_day=days.last_day,
        series=tuple(Series(name, sign, tuple(points)) for name, sign, points in series if points),
        lanes=(Lane(phrase("Pair"), tuple(spans), texts=tuple(numbers)),) if spans else (),
        links=tuple(links),
        link_stroke=AVERAGE_LINE,
        by_day=False,
        nothing=phrase("No score in these days"),
        description=description,
    )
