"""Reading ``resources/`` with the plain codec.

``read_*`` raise :class:`CatalogueError` at the first fault. That the content holds together, from
one file to another, is checked once, by the tests.
"""

from pathlib import Path
from typing import TypeVar

from companion.care.catalogue import (
    Catalogue,
    Cautions,
    ExerciseSheet,
    HandsReady,
    IntendedUse,
    PlanTemplate,
    PressureWords,
    ShortGate,
    SoreZones,
    StopCards,
    StopList,
    TapeSteps,
    TechniqueSheet,
    WhatIsKnown,
)
from companion.care.form import PlanForm
from companion.wire.facts_reading import read_facts
from companion.wire.resource_reading import EXERCISES_FOLDER, names_in, read_policy, read_record

T = TypeVar("T")

PRESSURE_FILE = "pressure.json"
STOP_LIST_FILE = "stop_list.json"
CARDS_FILE = "cards.json"
SHORT_GATE_FILE = "short_gate.json"
CAUTIONS_FILE = "cautions.json"
POLICY_FILE = "policy.json"
ZONES_FILE = "zones.json"
TAPE_STEPS_FILE = "tape_steps.json"
HANDS_READY_FILE = "hands_ready.json"
KNOWN_FILE = "known.json"
INTENDED_USE_FILE = "intended_use.json"
PLAN_FORM_FILE = "forms/plan.json"
TECHNIQUES_FOLDER = "techniques"
TEMPLATES_FOLDER = "templates"


# ---------------------------------------------------------------- plain reading


def read_catalogue(folder: Path) -> Catalogue:
    """Everything below the resources ``folder``. Raises CatalogueError."""
    return Catalogue(
        pressure_words=read_record(folder, PRESSURE_FILE, PressureWords),
        techniques=_read_each(folder, TECHNIQUES_FOLDER, TechniqueSheet),
        exercises=_read_each(folder, EXERCISES_FOLDER, ExerciseSheet),
        stop_list=read_record(folder, STOP_LIST_FILE, StopList),
        cards=read_record(folder, CARDS_FILE, StopCards),
        short_gate=read_record(folder, SHORT_GATE_FILE, ShortGate),
        cautions=read_record(folder, CAUTIONS_FILE, Cautions),
        zones=read_record(folder, ZONES_FILE, SoreZones),
        tape_steps=read_record(folder, TAPE_STEPS_FILE, TapeSteps),
        hands_ready=read_record(folder, HANDS_READY_FILE, HandsReady),
        known=read_record(folder, KNOWN_FILE, WhatIsKnown),
        intended_use=read_record(folder, INTENDED_USE_FILE, IntendedUse),
        templates=_read_each(folder, TEMPLATES_FOLDER, PlanTemplate),
        plan_form=read_record(folder, PLAN_FORM_FILE, PlanForm),
        policy=read_policy(folder),
        facts=read_facts(folder),
    )


def _read_each(folder: Path, part: str, cls: type[T]) -> tuple[T, ...]:
    return tuple(read_record(folder, name, cls) for name in names_in(folder, part))
