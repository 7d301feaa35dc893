"""Every rule gives the same on all entries of a diary and on the diary as a window holds it: a
store of which only what is looked at is read.

The rules are found, not listed: every public function of the trade, of evidence and of the use
cases that is given `Entries`. What its other parameters are is said below, by their names.
"""

import importlib
import inspect
import pkgutil
import tempfile
from collections.abc import Callable, Iterator
from datetime import UTC, timedelta
from functools import cache
from pathlib import Path
from types import ModuleType
from typing import Any, get_args

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

import companion.care
import companion.evidence
import companion.services
from companion.care import finding
from companion.care.finding import Entries
from companion.care.history import current
from companion.care.records import AnyEntry, DayAnswer, Measure, Part, Record
from companion.care.state_calls import StateCall
from companion.care.taping import TapeWornStart
from companion.evidence.change_model import series_of
from companion.services.patch_test import PatchWaiting
from companion.services.walks import WalkState
from tests.builders import DAY, at, patch_test
from tests.care.content import CATALOGUE, POLICY
from tests.care.test_trial_days import in_trial, trial_of
from tests.care.walking import taught_plan
from tests.services.context_for_tests import HandClock, Kept
from tests.strategies import close_together

TODAY = DAY + timedelta(days=50)
NOW = at(50, 19)
OLDER = taught_plan(side="both", hands_days_a_week=3)
PLANS = (
    OLDER,
    in_trial(trial_of(TODAY - timedelta(days=9)), version=2, written_on=DAY + timedelta(days=20)),
)
STATE: WalkState[Record] = WalkState(
    walk="tape_on",
    id="b" * 32,
    side="right",
    plan=PLANS[-1],
    for_day=TODAY,
    begun_at=NOW - timedelta(days=2),
    written_by="person",
    start=TapeWornStart(tape_on="a" * 32),
)
SCORES = {TODAY - timedelta(days=days): days % 11 for days in range(40)}
DAYS = tuple(TODAY - timedelta(days=days) for days in (0, 1, 9, 30))
CHOICES: dict[str, tuple[Any, ...]] = {
    "plan": PLANS[::-1],
    "plans": (PLANS,),
    "versions": ({plan.version: plan for plan in PLANS},),
    "side": ("left", "right"),
    "part": get_args(Part),
    "today": (TODAY,),
    "now": (NOW, NOW - timedelta(days=3)),
    "zone": (UTC,),
    "day": DAYS,
    "first_day": DAYS[1:],
    "last_day": DAYS[:2],
    "rule": POLICY.answers,
    "answers": (POLICY.answers,),
    "answer": get_args(DayAnswer),
    "before": DAYS[:1],
    "open_signs": ((), ("stiff_mornings",)),
    "asked": ((),),
    "catalogue": (CATALOGUE,),
    "policy": (CATALOGUE.policy,),
    "sore_zones": (CATALOGUE.zones,),
    "readings": (CATALOGUE.tape_steps.patch_test.readings,),
    "tape": (OLDER.tape,),
    "make": (OLDER.tape.make, "Other 25"),
    "patch": (PatchWaiting(state="clear", make="Other 25", test=patch_test(at(49, 9))),),
    "cap_hours": (OLDER.tape.cap_hours,),
    "flare": (False,),
    "state": (STATE,),
    "call": get_args(StateCall),
    "measure": get_args(Measure),
    "scores": (SCORES,),
    "series": (series_of(SCORES), None),
}
"""What a parameter of that name may be, besides its default."""


def _modules(package: ModuleType) -> Iterator[ModuleType]:
    for found in pkgutil.iter_modules(package.__path__, f"{package.__name__}."):
        yield importlib.import_module(found.name)


def _rules() -> dict[str, Callable[..., Any]]:
    packages = companion.care, companion.evidence, companion.services
    return {
        f"{module.__name__.removeprefix('companion.')}.{name}": rule
        for package in packages
        for module in _modules(package)
        if module is not finding
        for name, rule in inspect.getmembers(module, inspect.isfunction)
        if rule.__module__ == module.__name__
        and not name.startswith("_")
        and "__mutmut_" not in name  # copies that mutation testing adds
        and any(one.annotation in (Entries, "Entries") for one in _parameters(rule))
    }


@cache
def _parameters(rule: Callable[..., Any]) -> list[inspect.Parameter]:
    return [*inspect.signature(rule).parameters.values()]


RULES = _rules()


def test_the_rules_are_found() -> None:
    known = ("due.due_today", "tape_applications.current_application")
    assert {*(f"care.{name}" for name in known), "services.tape.tape_outlook"} <= set(RULES)
    assert len(RULES) > 40


@pytest.mark.parametrize("name", RULES)
def test_what_a_rule_is_given_is_known(name: str) -> None:
    """Say in `CHOICES` what a parameter without a default is."""
    known = {*CHOICES, "entries", "context"}
    needed = [one.name for one in _parameters(RULES[name]) if one.default is one.empty]
    assert [one for one in needed if one not in known] == []


def _answer(rule: Callable[..., Any], values: dict[str, Any], entries: Entries) -> Any:
    values = values | {"entries": entries}
    submitted = {
        one.name: values[one.name] if one.name in values else CHOICES[one.name][0]
        for one in _parameters(rule)
        if one.default is one.empty or one.name in values
    }
    answer = rule(**submitted)
    return [*answer] if isinstance(answer, Iterator) else answer


chosen = st.fixed_dictionaries(
    {name: st.sampled_from([None, *range(len(choices))]) for name, choices in CHOICES.items()}
)
"""Which of the choices; None: the default, where there is one."""


@settings(max_examples=20)
@given(close_together(PLANS, TODAY), chosen)
def test_every_rule_sees_a_store_as_it_sees_all_entries(
    made: tuple[AnyEntry, ...], choice: dict[str, int | None]
) -> None:
    values = {name: CHOICES[name][number] for name, number in choice.items() if number is not None}
    clock = HandClock(NOW)
    with tempfile.TemporaryDirectory() as folder:
        diary = Kept(Path(folder, "diary"), OLDER, clock=clock)
        try:
            index = diary.context.entries
            half = made[: len(made) // 2]
            for entries, plans in ((half, PLANS[1:]), (made, ())):
                diary.context.journal.append(*entries, plans=plans)
                counting = current(entries)
                assert tuple(index) == counting
                # What is handed in plain stands in no order.
                plain = tuple(sorted(counting, key=lambda entry: entry.id))
                here = values | {"context": diary.context}
                for name, rule in RULES.items():
                    expected = _answer(rule, here, plain)
                    assert _answer(rule, here, index) == expected, name
        finally:
            diary.close()
