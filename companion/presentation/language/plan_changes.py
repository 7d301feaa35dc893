"""What a new version of the plan changed, in short words for the clinic's page."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import replace
from datetime import date
from typing import TYPE_CHECKING

from companion.care.records import (
    CheckMove,
    Contact,
    Depth,
    Exercise,
    Plan,
    PlanSide,
    Side,
    TapePlan,
    TapeTrial,
    Technique,
)
from companion.care.trial_days import fixed_schedule
from companion.presentation.language import codes
from companion.presentation.language.field_words import key_words
from companion.presentation.language.phrases import dated, listed, phrase
from companion.services.plan_answers import Answer, answers_of

if TYPE_CHECKING:
    from companion.care.catalogue import Catalogue


def plan_changes(old: Plan, new: Plan, catalogue: Catalogue) -> tuple[str, ...]:
    """Each changed part of the plan as one short phrase; empty when only dates or names differ.

    Titles of techniques and exercises come from the catalogue; one it does not hold keeps its key.
    """
    changes = [
        *_gone_and_new(
            (t.technique for t in old.techniques),
            (t.technique for t in new.techniques),
            lambda key: key_words("step", key, catalogue),
        ),
        *_doses(old, new, catalogue),
        *_changed(old, new, catalogue, ""),
        *_tape(old.tape, new.tape),
        *_changed(old, new, catalogue, "tape"),
        *_trial(old, new),
        *_whole(old, new),
    ]
    return tuple(changes)


def whose_knee(side: PlanSide) -> str:
    """The side of a plan in words, inside a sentence."""
    return codes.SIDES[side].knee


def move_words(move: CheckMove) -> str:
    """The check move and its depth, for the clinic."""
    name = move.own_words or codes.MOVES[move.name].clinic
    depth = depth_words(move.depth)
    return phrase("{move}, {depth}", move=name, depth=depth) if depth else name


def depth_words(depth: Depth) -> str:
    """How the move was done; empty when nothing was said."""
    parts: list[str] = []
    if depth.seat_cm is not None:
        parts.append(phrase("seat {height} cm", height=depth.seat_cm))
    if depth.how_low is not None:
        parts.append(depth.how_low)
    if depth.arms_used is not None:
        parts.append(phrase("with arms") if depth.arms_used else phrase("without arms"))
    if depth.support is not None:
        parts.append(depth.support)
    if depth.shoes is not None:
        parts.append(phrase("in shoes") if depth.shoes else phrase("without shoes"))
    if depth.stick:
        parts.append(phrase("with a stick"))
    return listed(parts)


def highest_stage_words(tape: TapePlan) -> str:
    """How far the plan lets tape go."""
    if tape.highest == 0 or tape.when == "never":
        return codes.STAGES[0]
    return codes.STAGES[tape.highest]


def trial_words(trial: TapeTrial) -> str:
    """A tape trial in words for the clinic; never its order."""
    fixed = fixed_schedule(trial)
    if fixed is None:
        return phrase(
            "from {first}, {knee}: not run, its schedule is not the one that was fixed",
            knee=whose_knee(trial.side),
            first=dated(trial.first_day),
        )
    return phrase(
        "{pairs} pairs of {days} days with and without, {knee}, {first} to {last}",
        pairs=trial.pairs,
        days=trial.scored_days,
        knee=whose_knee(trial.side),
        first=dated(fixed.first_day),
        last=dated(fixed.last_day),
    )


def replacement_words(plan: Plan) -> str:
    """Where the person stands with a knee replacement."""
    words = codes.REPLACEMENT[plan.replacement].clinic
    if plan.replacement != "listed":
        return words
    if plan.replacement_on is None:
        return phrase("{listed}, no date", listed=words)
    return phrase("{listed} for {day}", listed=words, day=dated(plan.replacement_on))


def _gone_and_new(old: Iterable[str], new: Iterable[str], words: Callable[[str], str]) -> list[str]:
    before, after = list(dict.fromkeys(old)), list(dict.fromkeys(new))
    added = [words(item) for item in after if item not in before]
    gone = [words(item) for item in before if item not in after]
    changes: list[str] = []
    if added:
        changes.append(phrase("new: {names}", names=listed(added)))
    if gone:
        changes.append(phrase("left out: {names}", names=listed(gone)))
    return changes


def _doses(old: Plan, new: Plan, catalogue: Catalogue) -> list[str]:
    changes = _gone_and_new(
        (e.exercise for e in old.exercises),
        (e.exercise for e in new.exercises),
        lambda key: key_words("step", key, catalogue),
    )
    earlier: list[Technique | Exercise] = [*old.techniques, *old.exercises]
    steps: list[Technique | Exercise] = [*new.techniques, *new.exercises]
    before = {_of(step): _dose(step) for step in earlier}
    return changes + [
        dose_words(step, catalogue)
        for step in steps
        if before.get(_of(step), _dose(step)) != _dose(step)
    ]


def dose_words(step: Technique | Exercise, catalogue: Catalogue) -> str:
    """A technique with its repeats and seconds, an exercise with its sets and repeats."""
    if isinstance(step, Technique):
        return phrase(
            "{name} {repeats} x {seconds} s",
            name=key_words("technique", step.technique, catalogue),
            repeats=step.repeats,
            seconds=step.seconds,
        )
    return phrase(
        "{name} {sets} x {repeats}",
        name=key_words("exercise", step.exercise, catalogue),
        sets=step.sets,
        repeats=step.repeats,
    )


def _dose(step: Technique | Exercise) -> Technique | Exercise:
    return replace(step, taught_on=None)


def _of(step: Technique | Exercise) -> str:
    return step.technique if isinstance(step, Technique) else step.exercise


def _changed(old: Plan, new: Plan, catalogue: Catalogue, place: str) -> list[str]:
    """What the form says of each field below a place that changed, in the order of the records."""
    before, after = answers_of(old), answers_of(new)
    said = {field.key: field.change for field in catalogue.plan_form.fields}
    changes = []
    for key, answer in after.items():
        change = said.get(key) if key.rpartition(".")[0] == place else None
        if (
            change is not None
            and before[key] != answer
            and all(condition.holds(after[condition.of]) for condition in change.shown)
        ):
            was, now = _told(before[key]), _told(answer)
            changes.append(phrase(change.words, before=was, after=now))
    return changes


def _told(answer: Answer) -> str:
    if answer is None:
        return phrase("none")
    return dated(answer) if isinstance(answer, date) else str(answer)


def _tape(old: TapePlan, new: TapePlan) -> list[str]:
    changes: list[str] = []
    before, after = highest_stage_words(old), highest_stage_words(new)
    if before != after:
        changes.append(phrase("tape: {after} (was {before})", after=after, before=before))
    if old.when != new.when and new.highest and new.when != "never":
        changes.append(phrase("tape {when}", when=codes.WHEN_TAPE[new.when].clinic))
    if new.highest and (old.start, old.highest) != (new.start, new.highest) and new.start == 2:
        changes.append(phrase("tape starts with short pieces"))
    return changes


def _trial(old: Plan, new: Plan) -> list[str]:
    if old.trial == new.trial:
        return []
    if new.trial is not None:
        return [phrase("tape trial: {words}", words=trial_words(new.trial))]
    assert old.trial is not None  # they differ
    fixed = fixed_schedule(old.trial)
    if fixed is None or fixed.first_day > new.written_on:
        return [phrase("no tape trial")]
    if fixed.last_day < new.written_on:
        return [phrase("the tape trial is over")]
    return [phrase("the tape trial is broken off")]


def _whole(old: Plan, new: Plan) -> list[str]:
    changes: list[str] = []
    if old.side != new.side:
        changes.append(
            phrase(
                "{after} (was {before})", after=whose_knee(new.side), before=whose_knee(old.side)
            )
        )
    if old.check_move != new.check_move:
        changes.append(phrase("check move: {move}", move=move_words(new.check_move)))
    changes += _gone_and_new(old.activities, new.activities, str)
    changes += _gone_and_new(
        (amount.label for amount in old.amounts), (amount.label for amount in new.amounts), str
    )
    if old.goal != new.goal and new.goal is not None:
        changes.append(phrase("new goal"))
    if (old.replacement, old.replacement_on) != (new.replacement, new.replacement_on):
        changes.append(phrase("knee replacement: {words}", words=replacement_words(new)))
    if _numbers_to_call(old.contacts) != _numbers_to_call(new.contacts):
        changes.append(phrase("numbers to call"))
    if old.cautions != new.cautions:
        changes.append(phrase("answers to cautions"))
    return changes


def _numbers_to_call(contacts: Iterable[Contact]) -> frozenset[tuple[str, str]]:
    return frozenset((contact.role, contact.number) for contact in contacts)


def side_of(side: Side | None) -> str:
    """`, right knee` behind an event, or nothing for one of the whole person."""
    return "" if side is None else phrase(", {knee}", knee=whose_knee(side))
