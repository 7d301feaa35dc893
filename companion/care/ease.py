"""Ease: the fall from before to after as a share of before, in whole numbers."""


def ease_percent(before: int | None, after: int | None) -> float | None:
    """The fall in per cent of `before` (0-10); negative for a rise.

    None when a score is absent, and when `before` is 0: there is nothing to take a share of.
    """
    if before is None or after is None or before == 0:
        return None
    return 100 * (before - after) / before


def target_met(before: int, after: int, target_percent: int) -> bool:
    """Whether the fall reaches the target share. Never met from a before score of 0.

    Whole numbers only: exactly half of 10 meets 50 %, without a rounding error to tip it.
    """
    return before > 0 and 100 * (before - after) >= target_percent * before
