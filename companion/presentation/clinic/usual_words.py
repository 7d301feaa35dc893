"""What is usual for one person, and what a change must be to stand out from it, as an answer.

Beside the clinic's six answers where there is room: in the terminal and on the clinic's screen. A
signal is never called a flare; late pages are told with and without.
"""

from __future__ import annotations

from companion.evidence.figures import Decision, Findings, Limits, Pain, ProcessChart, ScaleEnd
from companion.presentation.clinic.answers import AnswerRow, Cell, ReviewQuestion, counted, rows_of
from companion.presentation.language.code_table import CodeTable
from companion.presentation.language.figures_in_words import one_decimal, signed, whole_percent
from companion.presentation.language.phrases import parted, phrase
from companion.presentation.view.chart import DaySpan, days_between

_SCALE_ENDS: CodeTable[ScaleEnd, str] = CodeTable(
    ScaleEnd,
    {
        "at_bottom": "A mean of 0 is already at the bottom of the scale.",
        "near_bottom": "A mean under 1 is near the bottom: hardly room to fall.",
        "near_top": "A mean over 8 is near the top: hardly room to rise.",
        "at_top": "A mean of 10 is already at the top of the scale.",
    },
)
_SIGNAL_TODAY: CodeTable[Decision, str] = CodeTable(
    Decision,
    {
        "signal": "one on the last day",
        "no_signal": "none on the last day",
        "no_decision": "no decision on the last day: too little was recorded",
    },
)


HARDLY = 0.25
"""Below this chance a rise of two points would hardly be noticed (C)."""


def usual_answer(found: Findings) -> ReviewQuestion:
    """The rows of one knee; what cannot be told says what it lacks."""
    pain = found.pain
    return ReviewQuestion(
        question=phrase("Usual for this person?"),
        rows=rows_of(
            *_limits(pain.limits),
            _chart(pain.process_chart),
            _signals(pain),
            _late(pain),
            *_mornings(found),
        ),
        notes=(
            phrase(
                "Signals: three days past the person’s own limit. They are not recorded flares. "
                "One or two a quarter come by chance."
            ),
            *((_SCALE_ENDS[pain.scale_end],) if pain.scale_end is not None else ()),
        ),
    )


def mornings_answer(found: Findings) -> ReviewQuestion:
    """What goes with the next day's pain, for findings that were asked for it."""
    return ReviewQuestion(
        question=phrase("What goes with the next morning?"),
        rows=_mornings(found),
        notes=(
            phrase(
                "Other causes are possible, always: this is what goes together, not what causes "
                "what."
            ),
            phrase(
                "Each row: change in pain on the next day for a usual-sized rise in the amount "
                "(one standard deviation), in points, with the pain of the day before, the weekend "
                "and the time held equal; 95 % range, 99 % with several amounts. 56 pairs of days "
                "are needed."
            ),
            *(() if found.next_morning else (phrase("No amount was written down."),)),
        ),
    )


def _limits(limits: Limits) -> tuple[AnswerRow, ...]:
    spread = phrase("Spread of days")
    if limits.spread is None or limits.real_change_points is None or limits.most_low is None:
        return (
            AnswerRow.of(
                spread,
                phrase("cannot tell:"),
                phrase("{days} of the last 28 days, 14 needed", days=limits.days),
            ),
        )
    return (
        AnswerRow.of(
            spread,
            one_decimal(limits.spread),
            phrase(
                "points, from the days below the usual {mean}; {days} of the last 28 days",
                days=limits.days,
                mean=one_decimal(limits.mean or 0),
            ),
        ),
        AnswerRow(phrase("Most days lie"), (_most(limits),)),
        AnswerRow.of(
            phrase("One day against another"),
            one_decimal(limits.real_change_points),
            phrase(
                "points or more, for two days picked beforehand; the worst and the best "
                "day of a fortnight differ so in half of all fortnights"
            ),
        ),
        AnswerRow(phrase("A rise of 2 for 3 days"), (_noticed(limits),)),
    )


def _most(limits: Limits) -> Cell:
    """In whole scores: `24 of 28 recorded days were 3 to 5`."""
    lead = phrase("{n} of {of}", n=limits.most_days, of=limits.days)
    if limits.most_low == limits.most_high:
        return Cell(lead, phrase("recorded of the last 28 days were {low}", low=limits.most_low))
    return Cell(
        lead,
        phrase(
            "recorded of the last 28 days were {low} to {high}",
            low=limits.most_low,
            high=limits.most_high,
        ),
    )


def _chart(chart: ProcessChart) -> AnswerRow | None:
    """Below its days there is no row: the spread of days says already what is lacking."""
    if chart.centre is None or chart.low is None or chart.high is None:
        return None
    return AnswerRow.of(
        phrase("Process chart"),
        phrase("{low} to {high}", low=one_decimal(chart.low), high=one_decimal(chart.high)),
        phrase(
            "round the mean {mean} of all {days} recorded days, by their steps from a day to the "
            "next; a picture, not an alarm: days beyond it come by chance, and by a slow change",
            mean=one_decimal(chart.centre),
            days=chart.days,
        ),
    )


def _noticed(limits: Limits) -> Cell:
    if limits.rise_noticed is None:
        return Cell("", phrase("cannot be recorded: the top of the scale is too near"))
    if limits.rise_noticed < HARDLY:
        return Cell(
            phrase("hardly noticed:"),
            phrase(
                "{chance} chance of a signal; it takes {points} above the usual, since the last 28 "
                "days differ much",
                chance=whole_percent(100 * limits.rise_noticed),
                points=one_decimal(limits.rise_limit_points or 0),
            ),
        )
    return Cell(
        whole_percent(100 * limits.rise_noticed),
        phrase(
            "chance of a signal; it takes {points} above the usual",
            points=one_decimal(limits.rise_limit_points or 0),
        ),
    )


def _signals(pain: Pain) -> AnswerRow:
    label = phrase("Signals")
    told = parted(
        phrase(
            "{days}, {rise} above the usual",
            days=days_between(DaySpan(signal.first_day, signal.last_day)),
            rise=one_decimal(signal.rise_points),
        )
        for signal in pain.signals
    )
    today = _SIGNAL_TODAY[pain.signal_decision]
    if not pain.signals:
        if pain.limits.mean is None:
            return AnswerRow.of(label, "", phrase("cannot be seen yet"))
        return AnswerRow.of(label, "", phrase("no signal; {today}", today=today))
    return AnswerRow(
        label,
        (counted(len(pain.signals), phrase("{told}; {today}", told=told, today=today)),),
    )


def _late(pain: Pain) -> AnswerRow | None:
    late = pain.without_late
    if late is None:
        return None
    label = phrase("Change without late pages")
    pages = phrase("{n} late page", "{n} late pages", n=late.late_days)
    if late.change_points is None or late.low is None or late.high is None:
        return AnswerRow.of(
            label,
            phrase("cannot tell:"),
            phrase(
                "{pages}; {first} and {last} days are left in the windows, 10 needed",
                pages=pages,
                first=late.baseline_days,
                last=late.latest_days,
            ),
        )
    return AnswerRow.of(
        label,
        signed(late.change_points),
        phrase(
            "points, {low} to {high}, {pages}; {first} and {last} of 14 days",
            low=signed(late.low),
            high=signed(late.high),
            pages=pages,
            first=late.baseline_days,
            last=late.latest_days,
        ),
    )


def _mornings(found: Findings) -> tuple[AnswerRow, ...]:
    rows = []
    for each in found.next_morning:
        label = phrase("Day after {label}", label=each.label)
        if each.points is None or each.low is None or each.high is None or each.spread is None:
            words = phrase(
                "{n} pair of days; 56 that vary are needed",
                "{n} pairs of days; 56 that vary are needed",
                n=each.pairs,
            )
            rows.append(AnswerRow.of(label, phrase("cannot tell:"), words))
            continue
        rows.append(
            AnswerRow.of(
                label,
                signed(each.points),
                phrase(
                    "points after {step} {unit} more, {low} to {high} ({percent} % range), "
                    "{n} pairs of days; other causes are possible",
                    percent=each.range_percent,
                    step=one_decimal(each.spread),
                    unit=each.unit,
                    low=signed(each.low),
                    high=signed(each.high),
                    n=each.pairs,
                ),
            )
        )
    return tuple(rows)
