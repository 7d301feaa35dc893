"""What an interval lets be said of a change: three outcomes, and the end of the scale.

Codes alone; the sentences are presentation's (fact: cannot_tell).
"""

from companion.evidence.figures import Outcome, ScaleEnd

ONE_POINT = 1.0  # (fact: pain_noise)
NEAR_THE_BOTTOM, NEAR_THE_TOP = 1.0, 8.0  # (fact: scale_ends)


def outcome(change: float, low: float, high: float) -> Outcome:
    """Of a change with its 95 % interval.

    `lower` or `higher`: the interval on one side of 0 and the change beyond one point;
    `little_change`: the interval within one point either way; else `cannot_tell`.
    """
    if high < 0 and change < -ONE_POINT:
        return "lower"
    if low > 0 and change > ONE_POINT:
        return "higher"
    return "little_change" if low >= -ONE_POINT and high <= ONE_POINT else "cannot_tell"


def scale_end(*means: float | None) -> ScaleEnd | None:
    """Whether a mean 0-10 is so near an end of the scale that change past it cannot show.

    The last of `means` that is near an end decides; None when none is.
    """
    for mean in reversed(means):
        if mean is None:
            continue
        if mean <= 0:
            return "at_bottom"
        if mean < NEAR_THE_BOTTOM:
            return "near_bottom"
        if mean >= 10:
            return "at_top"
        if mean > NEAR_THE_TOP:
            return "near_top"
    return None
