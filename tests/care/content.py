"""The shipped content, and a plan in which everything is taught and every caution is a no."""

from collections.abc import Collection
from dataclasses import replace
from datetime import date
from pathlib import Path
from typing import Any

from companion.care.closures import closures
from companion.care.records import (
    AnyEntry,
    CautionAnswer,
    CheckMove,
    Contact,
    Exercise,
    KneeMeasures,
    Part,
    Plan,
    Side,
    Technique,
)
from companion.wire.catalogue_reading import read_catalogue
from tests.builders import DAY, plan

CATALOGUE = read_catalogue(Path(__file__).parents[2] / "resources")
FACTS = CATALOGUE.facts
POLICY = CATALOGUE.policy


def closed_for(
    entries: Collection[AnyEntry], side: Side = "right", *, on: date | None = None
) -> frozenset[Part]:
    """What the diary alone closes for a knee, under a plan whose cautions are all a no."""
    return closures(POLICY, plan(cautions=no_to_all()), entries, side, today=DAY, on=on).parts


def no_to_all() -> tuple[CautionAnswer, ...]:
    return tuple(
        CautionAnswer(caution=caution.id, answer=False, on=DAY)
        for caution in CATALOGUE.cautions.cautions
        if not caution.dated
    )


def answered(caution: str, *, allowed: bool = False) -> tuple[CautionAnswer, ...]:
    return tuple(
        replace(one, answer=True, allowed=allowed) if one.caution == caution else one
        for one in no_to_all()
    )


def whole_plan(tape: dict[str, Any] | None = None, **fields: Any) -> Plan:
    glide = CATALOGUE.technique("glide_inner_edge")
    rise = CATALOGUE.exercise("sit_to_stand")
    base: dict[str, Any] = {
        "techniques": (
            Technique(
                technique=glide.id,
                seconds=glide.seconds.default,
                repeats=glide.repeats.default,
                taught_on=DAY,
            ),
        ),
        "exercises": (
            Exercise(
                exercise=rise.id,
                repeats=rise.repeats.default,
                sets=rise.sets.default,
                hold_seconds=rise.hold_seconds.default,
                taught_on=DAY,
            ),
        ),
        "cautions": no_to_all(),
        "check_move": CheckMove(safe="alone"),
        "bad_day_mark": 8,
        "knees": (KneeMeasures(side="right", bump_to_upper_edge_mm=120),),
        "contacts": tuple(
            Contact(role=role, label=role, number="0100 555")
            for role in ("emergency", "clinic", "doctor", "out_of_hours")
        ),
    }
    return plan(tape, **(base | fields))
