"""Steps and exercises of the routine that ended because of pain, each with the limit it passed."""

from collections.abc import Iterator

from companion.care.adherence import RoutinePart
from companion.care.records import Session, StepDone
from companion.care.step_limits import step_limit
from companion.evidence.figures import StoppedStep
from companion.evidence.readings import Readings


def stopped_steps(readings: Readings) -> tuple[StoppedStep, ...]:
    """Every step that was stopped, oldest first, by the limits of the plan its session names.

    Without a limit it was stopped because the person said that it hurt too much.
    """
    found: list[StoppedStep] = []
    for session in readings.sessions:
        plan, rest = readings.plan_of(session), session.rest_pain
        for part, step in _steps(session):
            if step.outcome != "stopped":
                continue
            limit = step_limit(part, plan, rest)
            passed = step.pain is not None and step.pain > limit.most
            found.append(
                StoppedStep(
                    day=session.for_day,
                    part=part,
                    step=step.step,
                    pain=step.pain,
                    rest_pain=rest,
                    limit=limit.by if passed else None,
                    limit_points=limit.most if passed else None,
                )
            )
    return tuple(sorted(found, key=lambda each: each.day))


def _steps(session: Session) -> Iterator[tuple[RoutinePart, StepDone]]:
    for one in session.rounds:
        for step in one.steps:
            yield "hands", step
    for exercise in session.exercises:
        yield "exercise", exercise
