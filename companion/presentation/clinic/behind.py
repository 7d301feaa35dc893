"""What stands behind the verdicts: windows, their change, the weeks, flares and days done, as rows.

They judge nothing. A band is named only beside a verdict that was told, and never by percent of a
small number.
"""

from __future__ import annotations

from collections.abc import Sequence

from companion.evidence.figures import (
    Band,
    Better,
    Findings,
    Pain,
    Window,
)
from companion.presentation.clinic.answers import (
    Cell,
    KneeFindings,
    ReviewQuestion,
    by_knee,
    counted,
    done_of_prescribed,
    rows_of,
    why_not,
)
from companion.presentation.language.code_table import CodeTable
from companion.presentation.language.figures_in_words import (
    change_between,
    hundredths,
    one_decimal,
    signed,
    whole_percent,
)
from companion.presentation.language.phrases import in_figures, parted, phrase
from companion.presentation.language.verdict_words import range_words
from companion.presentation.view.chart import DaySpan, days_between

BAND_FROM = 3.0
"""A percent of a smaller mean says nothing (C)."""
_BANDS: CodeTable[Band, str] = CodeTable(
    Band,
    {
        "clear_better": "clear fall",
        "slight_better": "slight fall",
        "little": "little change",
        "slight_worse": "slight rise",
        "clear_worse": "clear rise",
    },
)
_BANDS_OF: dict[Better, tuple[Band, ...]] = {
    "lower": ("clear_better", "slight_better"),
    "probably_lower": ("clear_better", "slight_better"),
    "lower_little": ("slight_better", "little"),
    "probably_higher": ("clear_worse", "slight_worse"),
    "same": ("little",),
    "cannot_tell": (),
}
"""The bands that say the same as a verdict; another is not named beside it."""


def behind_answer(knees: Sequence[KneeFindings]) -> ReviewQuestion:
    """The rows of all knees, the main one first."""
    return ReviewQuestion(
        question=phrase("How figures are made"),
        rows=rows_of(
            by_knee(phrase("Pain, first 14 days"), knees, lambda k: _window(k.found.pain.baseline)),
            by_knee(phrase("Pain, last 14 days"), knees, lambda k: _window(k.found.pain.latest)),
            by_knee(phrase("Change, first to last 14 days"), knees, lambda k: _change(k.found)),
            by_knee(phrase("Model from day 15"), knees, lambda k: _from_day_15(k.found.pain)),
            by_knee(phrase("By the week"), knees, lambda k: _trend(k.found.pain)),
            by_knee(phrase("Recorded flares"), knees, lambda k: _flares(k.found)),
            by_knee(
                phrase("Exercise, days"), knees, lambda k: done_of_prescribed(k.found.exercise)
            ),
            by_knee(phrase("Hands, days"), knees, lambda k: done_of_prescribed(k.found.routine)),
        ),
        notes=(
            phrase(
                "These judge nothing: the verdicts stand on the first page. The first 14 days are "
                "already under treatment. Recorded flares: one or two a quarter come by chance."
            ),
        ),
    )


def _window(window: Window) -> Cell | None:
    if window.mean is None:
        return None
    return Cell(one_decimal(window.mean), phrase("mean of {kept} of 14 days", kept=window.days))


def _change(found: Findings) -> Cell | None:
    pain = found.pain
    if found.period.days == 0:
        return None
    if pain.change_points is None:
        return Cell(phrase("not given:"), why_not(found, "pain.change_points"))
    parts = []
    if pain.low is not None and pain.high is not None:
        parts.append(phrase("95 % range {range}", range=range_words(pain.low, pain.high)))
    large = pain.baseline.mean is not None and pain.baseline.mean >= BAND_FROM
    if large and pain.change_percent is not None:
        parts.append(whole_percent(pain.change_percent, with_sign=True))
    if large and pain.band in _BANDS_OF[found.verdicts.better.verdict]:
        parts.append(phrase("band: {band}", band=_BANDS[pain.band]))
    if pain.acceptable_state is not None:
        parts.append(
            phrase("at 3.2 or less, which most call acceptable")
            if pain.acceptable_state
            else phrase("not yet at 3.2, which most call acceptable")
        )
    assert pain.baseline.mean is not None
    assert pain.latest.mean is not None  # a change has both ends
    change = change_between(pain.baseline.mean, pain.latest.mean)
    return Cell(change, phrase("points: {what}", what=parted(parts)))


def _from_day_15(pain: Pain) -> Cell | None:
    again = pain.model.from_day_15
    if again is None or again.change is None or again.low is None or again.high is None:
        return None
    return Cell(
        signed(again.change),
        phrase("points ({range})", range=range_words(again.low, again.high)),
    )


def _trend(pain: Pain) -> Cell | None:
    """The slope of the weekly means, or what it lacks."""
    trend = pain.trend
    if trend.verdict == "too_short":
        return Cell(
            phrase("not given:"),
            phrase(
                "{n} week with 4 recorded days or more, 5 needed",
                "{n} weeks with 4 recorded days or more, 5 needed",
                n=trend.weeks,
            ),
        )
    if trend.slope_per_week is None or trend.low is None or trend.high is None:
        return None
    if trend.slope_per_week == trend.low == trend.high == 0:
        return Cell(phrase("level,"), phrase("{n} week", "{n} weeks", n=trend.weeks))
    return Cell(
        hundredths(trend.slope_per_week),
        phrase(
            "points a week, {low} to {high}, {n} weeks",
            low=hundredths(trend.low),
            high=hundredths(trend.high),
            n=trend.weeks,
        ),
    )


def _flares(found: Findings) -> Cell | None:
    if found.period.days == 0:
        return None
    unseen = next((gap for gap in found.cannot_tell if gap.finding == "pain.flares"), None)
    if unseen is not None:
        return Cell(
            phrase("cannot be seen yet:"),
            phrase(
                "{have} earlier days with a score, {need} needed",
                have=in_figures(unseen.have),
                need=in_figures(unseen.need),
            ),
        )
    flares = [
        phrase(
            "{days}, peak {peak}, median {usual:g}",
            days=days_between(DaySpan(flare.first_day, flare.last_day)),
            usual=flare.usual,
            peak=flare.peak,
        )
        for flare in found.pain.flares
    ]
    return counted(len(flares), parted(flares)) if flares else Cell("", phrase("none"))
