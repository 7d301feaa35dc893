"""What a tape trial can notice at all, shown before it starts.

Percent of trials whose p is at most 5 % when tape takes 1 point off, and 2, every day followed:
1000 simulated trials a number, the lowest over autocorrelations of 0, .3 and .6, rounded down.
Computed by `python -m tests.calibration power`, days rounded and bounded as they are recorded.
"""

from dataclasses import dataclass

from companion.evidence.sign_flip import smallest_p

_PERCENT: dict[tuple[int, int, float], tuple[int, int]] = {
    # pairs, scored days, spread: for 1 point, for 2
    (6, 2, 0.6): (41, 96),
    (6, 2, 1.0): (18, 68),
    (6, 2, 1.3): (10, 46),
    (6, 2, 1.6): (8, 34),
    (6, 3, 0.6): (53, 98),
    (6, 3, 1.0): (23, 78),
    (6, 3, 1.3): (15, 57),
    (6, 3, 1.6): (10, 42),
    (7, 2, 0.6): (67, 99),
    (7, 2, 1.0): (34, 92),
    (7, 2, 1.3): (23, 74),
    (7, 2, 1.6): (16, 57),
    (7, 3, 0.6): (82, 100),
    (7, 3, 1.0): (43, 95),
    (7, 3, 1.3): (27, 83),
    (7, 3, 1.6): (21, 69),
    (8, 2, 0.6): (82, 100),
    (8, 2, 1.0): (47, 97),
    (8, 2, 1.3): (30, 86),
    (8, 2, 1.6): (21, 70),
    (8, 3, 0.6): (91, 100),
    (8, 3, 1.0): (52, 99),
    (8, 3, 1.3): (34, 91),
    (8, 3, 1.6): (23, 79),
    (9, 2, 0.6): (91, 100),
    (9, 2, 1.0): (55, 99),
    (9, 2, 1.3): (35, 92),
    (9, 2, 1.6): (26, 81),
    (9, 3, 0.6): (96, 100),
    (9, 3, 1.0): (62, 99),
    (9, 3, 1.3): (41, 95),
    (9, 3, 1.6): (29, 86),
    (10, 2, 0.6): (96, 100),
    (10, 2, 1.0): (62, 99),
    (10, 2, 1.3): (43, 96),
    (10, 2, 1.6): (33, 86),
    (10, 3, 0.6): (97, 100),
    (10, 3, 1.0): (72, 100),
    (10, 3, 1.3): (51, 97),
    (10, 3, 1.6): (37, 90),
    (11, 2, 0.6): (97, 100),
    (11, 2, 1.0): (65, 99),
    (11, 2, 1.3): (45, 97),
    (11, 2, 1.6): (31, 88),
    (11, 3, 0.6): (99, 100),
    (11, 3, 1.0): (77, 100),
    (11, 3, 1.3): (56, 99),
    (11, 3, 1.6): (43, 93),
    (12, 2, 0.6): (98, 100),
    (12, 2, 1.0): (71, 100),
    (12, 2, 1.3): (51, 98),
    (12, 2, 1.6): (38, 92),
    (12, 3, 0.6): (99, 100),
    (12, 3, 1.0): (80, 100),
    (12, 3, 1.3): (60, 99),
    (12, 3, 1.6): (45, 95),
}
SPREADS = tuple(sorted({spread for _, _, spread in _PERCENT}))


@dataclass(frozen=True, slots=True)
class Outlook:
    """The smallest p a trial can reach, and how often it would notice 1 point and 2.

    `spread` is the one of the table that was read: the person's own, or the next above it.
    """

    smallest_p: float
    spread: float
    one_point_percent: int
    two_points_percent: int


def outlook(pairs: int, scored_days: int, spread: float) -> Outlook | None:
    """The outlook for a person whose days spread so (`limits`, in points).

    None outside the table: 6 to 12 pairs, 2 or 3 scored days, a spread up to 1.6.
    """
    above = next((each for each in SPREADS if spread <= each), None)
    found = None if above is None else _PERCENT.get((pairs, scored_days, above))
    if above is None or found is None:
        return None
    one, two = found
    return Outlook(
        smallest_p=smallest_p(pairs),
        spread=above,
        one_point_percent=one,
        two_points_percent=two,
    )
