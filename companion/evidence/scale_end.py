"""Whether a mean lies so near an end of the scale that change past it cannot show."""

from companion.evidence.figures import ScaleEnd

NEAR_THE_BOTTOM, NEAR_THE_TOP = 1.0, 8.0  # (fact: scale_ends)


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
