"""Every name of a walk has its kind, and no other; what another version kept is no walk."""

from pathlib import Path
from typing import get_args

import pytest

from companion.care.json_values import JsonObject
from companion.care.open_things import UnderWay
from companion.services.front import expire_left_behind
from companion.services.open_now import open_now
from companion.services.walk_kinds import WALK_KINDS
from companion.services.walks import WalkName, WalkStep, begin, give
from tests.builders import at
from tests.care.test_outing_questions import going_out
from tests.services.context_for_tests import HandClock, Kept
from tests.services.test_outing import PLAN, TODAY, taught


def test_each_name_has_one_kind_that_bears_it() -> None:
    assert set(WALK_KINDS) == set(get_args(WalkName))
    assert all(kind.name == name for name, kind in WALK_KINDS.items())


@pytest.mark.parametrize("days", [0, 1])
def test_a_walk_kept_by_another_version_in_another_shape_is_begun_anew(
    tmp_path: Path, days: int
) -> None:
    """An outing was of one knee, and so was what a walk to it had begun from: the diary did not
    open at all where one was under way when the program was brought up to date."""
    diary = Kept(tmp_path, PLAN, taught(), HandClock(at(TODAY, 14)))
    context, kind = diary.context, WALK_KINDS["outing"]
    step = begin(context, kind, "right")
    assert isinstance(step, WalkStep)
    give(context, kind, step, going_out(step.page))
    draft = context.journal.draft("outing:right")
    assert draft is not None
    start: JsonObject = {"two_knees": False, "wearing": None, "stage": 1, "helper_needed": False}
    context.journal.save_draft("outing:right", draft | {"start": start})
    kept = context.journal.draft("outing:right")
    context.journal.save_draft("evening:left", {"step": 1})
    context = diary.kill()
    diary.clock.pass_by(days=days)
    found = open_now(context, PLAN)
    assert not any(isinstance(one, UnderWay) for one in found)
    assert context.journal.draft("outing:right") == kept, "looking changes nothing"
    expire_left_behind(context)
    assert context.journal.draft_keys() == ()
    again = begin(context, kind, "right")
    assert isinstance(again, WalkStep)
    assert again.page.key == ("gate" if days else "what_for:1"), "what the gate wrote counts"
    diary.close()
