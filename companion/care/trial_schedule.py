"""The schedule of a tape trial: pairs of periods with and without tape, fixed before the first day.

It follows from a stored seed, and its SHA-256 says later that it was not changed. Each period opens
with one unscored bare day, in both arms: it rests the skin and thins what carries over.
"""

from dataclasses import dataclass
from datetime import date, timedelta
from hashlib import sha256
from typing import Literal

from companion.care.records import TapeTrial

Arm = Literal["tape", "no_tape"]
PAIRS_NEEDED = 6  # (fact: trial_pairs)
MOST_PAIRS = 40
BARE_DAYS = 1  # (fact: trial_bare_day)
MOST_SCORED_DAYS = 7
_DAY = timedelta(days=1)


@dataclass(frozen=True, slots=True, kw_only=True)
class TrialPeriod:
    """One period: a bare day without tape or score, then the scored days of its arm."""

    pair: int
    arm: Arm
    bare_day: date
    scored_days: tuple[date, ...]

    @property
    def last_day(self) -> date:
        """The last scored day."""
        return self.scored_days[-1]


@dataclass(frozen=True, slots=True, kw_only=True)
class Schedule:
    """Pairs of periods, day by day without a gap, from `first_day` on. Pairs count from 1."""

    seed: str
    first_day: date
    pairs: int
    scored_days: int
    periods: tuple[TrialPeriod, ...]

    @property
    def last_day(self) -> date:
        """The last scored day of the last period."""
        return self.periods[-1].last_day

    @property
    def tape_first(self) -> tuple[bool, ...]:
        """For each pair whether its first period is the one with tape."""
        return tuple(period.arm == "tape" for period in self.periods[::2])

    @property
    def sha256(self) -> str:
        """The hash of every period as text, 64 hex digits: kept before the first day."""
        return sha256(self.text.encode()).hexdigest()

    @property
    def text(self) -> str:
        """What is hashed: a line of seed and sizes, then a line a period, newline ended."""
        lines = [f"{self.seed} {self.pairs} {self.scored_days} {self.first_day.isoformat()}"]
        lines += [
            f"{period.pair} {period.arm} {period.bare_day.isoformat()} "
            f"{period.last_day.isoformat()}"
            for period in self.periods
        ]
        return "".join(f"{line}\n" for line in lines)

    def due(self, day: date) -> TrialPeriod | None:
        """The period of `day`, and no later one; None outside the trial."""
        return next(
            (period for period in self.periods if period.bare_day <= day <= period.last_day), None
        )


def fair_bit(seed: str, pair: int) -> bool:
    """Whether tape comes first in a pair: one bit of the hash of the seed and the pair."""
    return bool(sha256(f"{seed}/{pair}".encode()).digest()[0] & 1)


def planned(trial: TapeTrial) -> Schedule:
    """The schedule of a plan's trial."""
    return schedule(trial.seed, trial.first_day, trial.pairs, trial.scored_days)


def schedule(seed: str, first_day: date, pairs: int = 8, scored_days: int = 3) -> Schedule:
    """The whole schedule from a seed drawn by chance, the same for the same seed.

    Raises ValueError in one plain sentence for a seed of nothing, fewer than six pairs or more
    than forty, or scored days outside 1 to 7.
    """
    if not seed.strip():
        raise ValueError("The seed of the tape trial is empty; draw one by chance.")
    if not PAIRS_NEEDED <= pairs <= MOST_PAIRS:
        raise ValueError(
            f"A tape trial needs {PAIRS_NEEDED} to {MOST_PAIRS} pairs of periods; "
            f"with {PAIRS_NEEDED - 1} or fewer it cannot tell anything."
        )
    if not 1 <= scored_days <= MOST_SCORED_DAYS:
        raise ValueError(f"A period of the tape trial has 1 to {MOST_SCORED_DAYS} scored days.")
    periods: list[TrialPeriod] = []
    day = first_day
    for pair in range(1, pairs + 1):
        order: tuple[Arm, Arm] = (
            ("tape", "no_tape") if fair_bit(seed, pair) else ("no_tape", "tape")
        )
        for arm in order:
            scored = tuple(day + step * _DAY for step in range(BARE_DAYS, BARE_DAYS + scored_days))
            periods.append(TrialPeriod(pair=pair, arm=arm, bare_day=day, scored_days=scored))
            day = scored[-1] + _DAY
    return Schedule(
        seed=seed,
        first_day=first_day,
        pairs=pairs,
        scored_days=scored_days,
        periods=tuple(periods),
    )
