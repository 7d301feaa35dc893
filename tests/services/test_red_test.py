"""A test piece whose skin was not clear closes tape and every further piece, of any make, until
somebody said what the clinic says of it."""

from typing import Any

import pytest

from companion.care.patch_looks import PATCH_CALL
from companion.care.records import AnyEntry, TapeOn, WarningSign
from companion.care.taping import NoTapePage
from companion.presentation.home.front import front_view
from companion.services.front import front
from companion.services.outing import OutingWalk
from companion.services.patch_test import PatchReadingWalk, PatchWalk
from companion.services.signs import ClearWalk
from companion.services.tape import TapeOnWalk
from tests.builders import at, patch_test, warning
from tests.care.walking import CATALOGUE, taught_plan
from tests.services.conftest import Keep
from tests.services.context_for_tests import Kept, answer_by, counting, of, shown, walk_on

PLAN = taught_plan({"patch_test": "tolerated_in_clinic", "when": "always"})
"""The plan's own make is worn for years; another one was tried."""
OTHER = "Cheap tape"


def red(**fields: Any) -> AnyEntry:
    look = {"first_read_at": at(9, 20), "first_skin": "red"}
    return patch_test(at(8, 18), make=OTHER, **(look | fields))


def cards(kept: Kept) -> list[str | None]:
    return [one.sign for one in front(kept.context).open if one.code == "card"]


def told(kept: Kept, what: str) -> None:
    answers = {
        "open_card": {"how": "asked"},
        f"open:{PATCH_CALL}:talked": {"told": what},
        f"open:{PATCH_CALL}:parts": {"parts": ["outing_tape"]},
        f"open:{PATCH_CALL}:checked": {"by": "clinic", "days_ago": 0},
    }
    walk_on(kept.context, ClearWalk(), answer=answer_by(answers))


def refused(kept: Kept, kind: Any) -> tuple[str, ...]:
    quay = answer_by({"what_for:1": {"what": "1"}})
    page = shown(walk_on(kept.context, kind, answer=quay, until="no_tape"))
    assert isinstance(page, NoTapePage)
    return page.reasons


def test_no_tape_and_no_piece_of_any_make_until_it_was_talked_of(keep: Keep) -> None:
    """It was forgotten a page later, and another make was offered."""
    kept = keep(red(), plan=PLAN)
    assert cards(kept) == [PATCH_CALL]
    assert refused(kept, PatchWalk()) == ("patch_red",)
    assert refused(kept, TapeOnWalk()) == ("patch_red",)
    assert refused(kept, OutingWalk()) == ("patch_red",)
    assert of(kept.context, TapeOn) == []
    told(kept, "all")
    assert cards(kept) == []
    (sign,) = counting(kept.context, WarningSign)
    assert (sign.sign, sign.cleared) == (PATCH_CALL, "checked_by_professional")
    walk_on(kept.context, TapeOnWalk())
    assert len(of(kept.context, TapeOn)) == 1
    makes = PatchWalk().start(kept.context, PLAN, "right", kept.clock.today())
    assert [(one.make, one.state) for one in makes.makes][-1] == (OTHER, "not_clear")


@pytest.mark.parametrize("what", ["not_yet", "not_reached", "not_spoken_of"])
def test_whoever_was_not_told_to_go_on_keeps_the_card(what: str, keep: Keep) -> None:
    kept = keep(red(), plan=PLAN)
    told(kept, what)
    assert cards(kept) == [PATCH_CALL]
    assert "patch_red" in refused(kept, PatchWalk())
    kept.clock.pass_by(days=2)
    assert cards(kept) == [PATCH_CALL]


def test_a_new_look_that_is_not_clear_is_a_new_call(keep: Keep) -> None:
    kept = keep(red(), plan=PLAN)
    told(kept, "all")
    kept.clock.pass_by(hours=2)
    kept.context.journal.append(patch_test(at(8, 20), make="Third", first_skin="itchy"))
    assert cards(kept) == []  # told after it was written
    late = patch_test(at(9, 9), make="Fourth", first_read_at=kept.clock.now(), first_skin="blister")
    kept.context.journal.append(late)
    assert cards(kept) == [PATCH_CALL]


def test_a_look_that_was_a_mistake_closes_nothing(keep: Keep) -> None:
    kept = keep(patch_test(at(9, 10), make=OTHER), plan=PLAN)
    look = {"look:1": {"skin": "red"}}
    walk_on(kept.context, PatchReadingWalk(), answer=answer_by(look), until="look:1:not_clear")
    assert cards(kept) == [PATCH_CALL]
    assert kept.context.journal.draft("patch_reading:right") is not None
    by = look | {"look:1:not_clear": {"skin": "mistake"}, "look:2": {"skin": "clear"}}
    walk_on(kept.context, PatchReadingWalk(), answer=answer_by(by))
    assert cards(kept) == []


def test_behind_another_card_it_is_said_in_a_line(keep: Keep) -> None:
    kept = keep(red(), warning(9, "knee_stuck"), plan=PLAN)
    assert cards(kept) == ["knee_stuck"]
    lines = front_view(front(kept.context), lambda: CATALOGUE).lines
    assert "Call your clinic: a test piece was not clear. No tape until then." in lines
