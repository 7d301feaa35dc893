"""Every effect a caution can name does something that Home shows, holds back or asks."""

from dataclasses import replace
from pathlib import Path
from typing import Any, get_args

import pytest

from companion.care.catalogue import Catalogue, Caution, Effect
from companion.care.caution_rules import (
    DAILY_LOOK_CAUTIONS,
    front_page_daily_look,
    tape_looked_at_daily,
)
from companion.care.records import Plan
from companion.care.taping import TapeCheckPage, TapeOnPage
from companion.presentation.home.home_pages import tape_room_view
from companion.presentation.home.walk_pages import Setting, page_view
from companion.presentation.language.words import daily_look, daily_look_today
from companion.presentation.papers.booklet import booklet
from companion.services.context import Context
from companion.services.routine import RoutineWalk
from companion.services.tape import TapeOnWalk
from tests.builders import at, page
from tests.care.content import answered, no_to_all
from tests.care.walking import CATALOGUE, taught_plan
from tests.content.checking import EFFECTS_ONLY_ON
from tests.presentation.wording import faults, lines
from tests.services.context_for_tests import Kept

PARTS = ("hands", "tape", "exercise")
ALLOWED = [
    (part, effect) for effect in get_args(Effect) for part in EFFECTS_ONLY_ON.get(effect, PARTS)
]
FLARING = "inflamed_arthritis"
LIFTED = ("unless_ticked", "ask_first")
FLARE = tuple(page(day, pain_average=2 if day < 7 else 8) for day in range(10))
"""Two points and more above usual for days on end is a recorded flare (facts: flare_points,
flare_days)."""


def with_one_effect(caution_id: str, part: str, effect: str) -> Catalogue:
    """The content with a caution that does this alone, and guards everything."""

    def alone(caution: Caution) -> Caution:
        none: dict[str, Any] = dict.fromkeys(PARTS, ()) | {part: (effect,)}
        return replace(caution, **none, rest_days=7 if effect == "rest_days" else None)

    def guarded(sheet: Any) -> Any:
        return replace(
            sheet,
            guarded_by=(*sheet.guarded_by, caution_id),
        )

    return replace(
        CATALOGUE,
        cautions=replace(
            CATALOGUE.cautions,
            cautions=tuple(
                alone(c) if c.id == caution_id else c for c in CATALOGUE.cautions.cautions
            ),
        ),
        techniques=tuple(guarded(sheet) for sheet in CATALOGUE.techniques),
        exercises=tuple(guarded(sheet) for sheet in CATALOGUE.exercises),
        tape_steps=guarded(CATALOGUE.tape_steps),
    )


def at_home(folder: Path, plan: Plan, catalogue: Catalogue) -> list[Any]:
    """What the routine and tape begin with, and what the page after the tape says."""
    kept = Kept(folder, plan, FLARE)
    context = Context(journal=kept.context.journal, clock=kept.clock, catalogue=catalogue)
    today = kept.clock.today()
    setting = Setting(plan=plan, side="right", catalogue=catalogue)
    walks = (RoutineWalk(), TapeOnWalk())
    begun = [walk.start(context, plan, "right", today) for walk in walks]
    kept.close()
    return [*begun, lines(page_view(TapeOnPage(key="tape_on:1", stage=1), setting))]


@pytest.mark.parametrize(("part", "effect"), ALLOWED)
def test_every_effect_does_something(part: str, effect: str, tmp_path: Path) -> None:
    """Whatever the data may name, not only what they name today."""
    content = with_one_effect(FLARING, part, effect)
    no = taught_plan(cautions=no_to_all())
    said = answered(FLARING, allowed=effect not in LIFTED)
    yes = taught_plan(cautions=tuple(replace(one, on=at(10).date()) for one in said))
    assert at_home(tmp_path / "no", no, content) != at_home(tmp_path / "yes", yes, content)


def test_a_flare_holds_back_by_the_one_caution_that_is_asked_about() -> None:
    """Home looks for a flare only where this caution was answered yes."""
    named = {
        c.id
        for c in CATALOGUE.cautions.cautions
        if "none_in_flare" in (*c.hands, *c.tape, *c.exercise)
    }
    assert named == {FLARING}


def test_what_hands_keep_off_are_veins() -> None:
    """The words say thick veins; another caution of that effect needs words of its own."""
    over = {c.id for c in CATALOGUE.cautions.cautions if "not_over" in (*c.hands, *c.tape)}
    assert over == {"varicose_veins"}


@pytest.mark.parametrize("caution", [c.id for c in CATALOGUE.cautions.cautions if not c.dated])
def test_a_daily_look_is_told_wherever_tape_is_on(caution: str) -> None:
    plan = taught_plan(cautions=answered(caution, allowed=True))
    wanted = caution == "numb_feet"  # (fact: cautions_acted_on): daily look by helper
    assert tape_looked_at_daily(plan, CATALOGUE) == wanted
    assert front_page_daily_look(plan) == wanted, "the front page does without the catalogue"
    assert (caution in DAILY_LOOK_CAUTIONS) == wanted
    for helping in (False, True):
        setting = Setting(plan=plan, side="right", catalogue=CATALOGUE, helping=helping)
        told = daily_look(helping=helping)
        for walked in (TapeOnPage(key="tape_on:1", stage=1), TapeCheckPage()):
            found = lines(page_view(walked, setting))
            assert (told in found) == wanted
            assert faults(found) == []
        paper = booklet(plan, CATALOGUE, today=at(10).date(), for_helper=helping)
        assert (told in str(paper.pages)) == wanted


def test_the_tape_room_says_it_too() -> None:
    view = tape_room_view("Right knee", "Off this evening at 21:00", looked_at_daily=True)
    assert daily_look_today() in lines(view)
    assert faults(lines(view)) == []
