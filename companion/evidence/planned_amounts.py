"""What a plan paces, such as a walk in metres: the model of its change over all days.

An amount has no scale of its own. It is fitted as tenths of its goal, and what lies beyond the goal
counts as the goal (fact: amount_tenths): so the model, and what matters in it, are those of a score
from 0 to 10. The largest of a day counts. Fitted is what is lacking to the goal, as the trouble of
an activity is, so that one ladder of verdicts serves both; it is told in the amount's own unit.
"""

from collections.abc import Sequence
from dataclasses import replace

from companion.care.records import AmountPlan
from companion.evidence.change_model import Fit, ModelSeries, series_of
from companion.evidence.figures import AmountChange, ModelRun
from companion.evidence.paced_amounts import amounts_done
from companion.evidence.readings import Readings
from companion.evidence.verdicts import ABLE, run_of, told_of, upside_down

TENTHS = 10  # (fact: amount_tenths)


def planned(readings: Readings) -> tuple[AmountPlan, ...]:
    """The amounts of the plan in force that have a goal."""
    return tuple(amount for amount in readings.plans[-1].amounts if amount.goal)


def lacking(readings: Readings) -> tuple[ModelSeries | None, ...]:
    """What the model is fitted to: of each of the `planned`, how many tenths the day's largest
    amount was short of its goal."""
    amounts = planned(readings)
    done = amounts_done(readings.entries) if amounts else {}
    return tuple(
        series_of(
            {
                day: TENTHS * (1 - min(most / amount.goal, 1.0))
                for day, most in done.get((amount.label, amount.unit), {}).items()
            }
        )
        for amount in amounts
    )


def amount_changes(
    readings: Readings, fitted: Sequence[tuple[ModelSeries | None, Fit | None]]
) -> tuple[AmountChange, ...]:
    """Each of the `planned`; `fitted` is what is `lacking` with its fits."""
    return tuple(
        AmountChange(
            label=amount.label,
            unit=amount.unit,
            goal=amount.goal,
            days=0 if series is None else len(series.scores),
            model=_in_units(upside_down(run_of(series, fit)), amount.goal / TENTHS),
            verdict=ABLE[told_of(run_of(series, fit))],
        )
        for amount, (series, fit) in zip(planned(readings), fitted, strict=True)
    )


def _in_units(run: ModelRun, unit: float) -> ModelRun:
    """The same, a tenth being so much."""

    def of(tenths: float | None) -> float | None:
        return None if tenths is None else tenths * unit

    return replace(
        run,
        before=of(run.before),
        after=of(run.after),
        change=of(run.change),
        low=of(run.low),
        high=of(run.high),
    )
