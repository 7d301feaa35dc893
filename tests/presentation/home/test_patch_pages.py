"""The words of the patch test: when to look, what is not clear, and whom to call."""

from dataclasses import replace
from datetime import timedelta
from typing import Any, get_args

import pytest

from companion.care import patch_questions as patch
from companion.care.flow import WalkPage
from companion.care.records import Skin
from companion.care.stopping import CardPage
from companion.care.taping import NoTapePage
from companion.presentation.home.looking_over import plain
from companion.presentation.home.patch_pages import (
    day_and_time,
    patch_lines,
    patch_next,
    patch_written,
)
from companion.presentation.home.walk_pages import ViewContext, about, page_view
from companion.presentation.view import page as view
from tests.builders import DAY, at
from tests.care.content import CATALOGUE, whole_plan
from tests.oracles.readability import grade, longest_sentence, mean_sentence
from tests.presentation.home.test_outing_pages import FORBIDDEN, lines

PLAN = whole_plan()
SETTING = ViewContext(
    plan=PLAN, side="right", catalogue=CATALOGUE, about=about("patch", "right", DAY, DAY)
)
MAKE = "Slate 50"
FROM, UNTIL = at(DAY + timedelta(days=2), 10), at(DAY + timedelta(days=3), 10)
LOOKED = patch.PatchReadingEnd(make=MAKE, look="first", skin="clear")


def not_now(when: Any) -> patch.PatchNotNowPage:
    return patch.PatchNotNowPage(make=MAKE, when=when, look_from=FROM, look_until=UNTIL)


PAGES: tuple[WalkPage, ...] = (
    patch.MakePage(key="make:1", makes=(MAKE,)),
    patch.MakePage(key="make:2", makes=(MAKE,), again=True),
    patch.MakePage(key="make:3", makes=()),
    patch.PatchClearPage(make=MAKE),
    patch.PatchClearPage(make=MAKE, late=True),
    patch.PatchNotClearPage(make=MAKE),
    patch.PatchNotClearPage(make=MAKE, just_given=True, key="look:1:not_clear"),
    patch.PatchUnderWayPage(make=MAKE, look_from=FROM),
    patch.PatchSkinPage(make=MAKE),
    *(
        patch.PatchStepPage(key=f"patch_step:{n}", index=n, count=3)
        for n in range(len(CATALOGUE.tape_steps.patch_test.place))
    ),
    patch.PatchOnPage(make=MAKE),
    not_now("too_early"),
    not_now("too_late"),
    patch.PatchLookPage(key="look:1", make=MAKE, look="first", counts=True),
    patch.PatchLookPage(key="look:2", make=MAKE, look="second", counts=True),
    patch.PatchLookPage(key="look:3", make=MAKE, look="first", counts=False),
    patch.PatchLookOverPage(key="look_over:1", make=MAKE, look="first"),
    patch.PatchGonePage(make=MAKE),
)
ENDS = (
    patch.PatchEnd(make=MAKE, placed=True),
    replace(LOOKED, look_from=FROM, look_until=UNTIL),
    replace(LOOKED, why="too_late"),
    replace(LOOKED, look="second"),
    replace(LOOKED, skin="itchy"),
    replace(LOOKED, skin=None, why="too_early", look_from=FROM, look_until=UNTIL),
    replace(LOOKED, skin=None, why="too_late"),
    replace(LOOKED, skin=None, why="gone"),
)


@pytest.mark.parametrize("page", PAGES, ids=lambda page: page.key)
@pytest.mark.parametrize("helping", [False, True], ids=["person", "helper"])
def test_a_page_reads_easily(page: WalkPage, helping: bool) -> None:
    """Grade 6 at most, mean sentence 12 words, none over 20: what we hold Home to."""
    texts = lines(page_view(page, replace(SETTING, helping=helping)))
    assert grade(texts) <= 6
    assert mean_sentence(texts) <= 12
    assert longest_sentence(texts) <= 20
    assert not FORBIDDEN.search(" ".join(texts))


@pytest.mark.parametrize("end", ENDS, ids=str)
def test_what_comes_next_reads_easily(end: Any) -> None:
    texts = patch_next(end, FROM, CATALOGUE)
    assert texts
    assert grade(texts) <= 6
    assert mean_sentence(texts) <= 12
    assert longest_sentence(texts) <= 20
    assert not FORBIDDEN.search(" ".join(texts))


@pytest.mark.parametrize(
    "page",
    [NoTapePage(reasons=("skin",)), CardPage(key="look:1:card", sign="skin_broken")],
    ids=lambda page: page.key,
)
def test_a_shared_page_looks_as_in_the_routine_but_names_no_knee(page: WalkPage) -> None:
    in_routine = page_view(page, replace(SETTING, about=None))
    assert page_view(page, SETTING) == replace(in_routine, above="Test piece")


def _options(shown: view.PageView, name: str) -> list[object]:
    (block,) = [b for b in shown.blocks if isinstance(b, view.Choose) and b.name == name]
    return [option.value for option in block.options]


def test_the_look_asks_what_the_record_holds() -> None:
    counted = patch.PatchLookPage(key="look:1", make=MAKE, look="first", counts=True)
    skins = _options(page_view(counted, SETTING), "skin")
    assert set(skins) - {"gone"} <= set(get_args(Skin))
    assert {"clear", "gone"} <= set(skins)
    uncounted = replace(counted, counts=False)
    assert "gone" not in _options(page_view(uncounted, SETTING), "skin")


def test_the_makes_are_offered_by_name() -> None:
    shown = page_view(patch.MakePage(key="make:1", makes=(MAKE, "Harbour tape")), SETTING)
    assert _options(shown, "make") == ["1", "2", "own"]


def test_not_clear_says_no_tape_of_this_make_and_whom_to_call() -> None:
    page = patch.PatchNotClearPage(make=MAKE, just_given=True)
    shown = page_view(page, SETTING)
    assert "No tape of this make: Slate 50." in lines(shown)
    (card,) = [block for block in shown.blocks if isinstance(block, view.CardBlock)]
    assert "0100 555" in [phone.number for phone in card.phones]
    assert "Use no tape at all until you have talked." in card.actions
    assert [button.submitted for button in shown.others] == [(("skin", "mistake"),)]
    assert page_view(patch.PatchNotClearPage(make=MAKE), SETTING).others == ()


def test_a_plan_without_a_number_says_so() -> None:
    bare = replace(SETTING, plan=whole_plan(contacts=()))
    shown = page_view(patch.PatchNotClearPage(make=MAKE), bare)
    (card,) = [block for block in shown.blocks if isinstance(block, view.CardBlock)]
    assert [phone.number for phone in card.phones] == [""]


def test_too_early_says_when_to_come_back() -> None:
    """2 March 2026 is a Monday."""
    assert day_and_time(FROM) == "Wednesday 4 March, 10:00"
    texts = lines(page_view(not_now("too_early"), SETTING))
    assert "Look from Wednesday 4 March, 10:00." in texts
    assert "After Thursday 5 March, 10:00 it is too late." in texts


def test_too_late_says_that_a_new_piece_is_needed() -> None:
    texts = " ".join(lines(page_view(not_now("too_late"), SETTING)))
    assert "does not count as clear" in texts
    assert "new piece" in texts


def test_a_reaction_can_be_said_at_any_time() -> None:
    for when in ("too_early", "too_late"):
        submitted = [button.submitted for button in page_view(not_now(when), SETTING).others]
        assert submitted == [(("look", "reaction"),)]


def test_two_clear_looks_ask_for_one_more_a_week_later() -> None:
    clear = replace(LOOKED, look="second", look_from=None, look_until=None)
    said = patch_next(clear, at(DAY, 10), CATALOGUE)
    test = CATALOGUE.tape_steps.patch_test
    assert said[:3] == ("Both looks were clear.", test.week, test.week_not_clear)
    assert "call your clinic" in test.week_not_clear
    assert test.week in lines(page_view(patch.PatchOnPage(make=MAKE), SETTING))


def test_the_first_look_is_a_day_after_the_piece_went_on() -> None:
    end = patch.PatchEnd(make=MAKE, placed=True)
    assert patch_next(end, at(DAY, 10), CATALOGUE)[0] == (
        "Look for the first time from Tuesday 3 March, 10:00."
    )
    assert plain(patch_lines(end)).rows == (("Tape", MAKE), ("Test piece on", "yes"))


def test_facts_and_what_was_not_written() -> None:
    assert plain(patch_lines(LOOKED)).rows == (("Tape", MAKE), ("First look", "Clear, as usual"))
    for skin in get_args(Skin):
        assert len(plain(patch_lines(replace(LOOKED, skin=skin))).rows) == 2
    for nothing in (
        patch.PatchEnd(make=MAKE, placed=False),
        patch.PatchEnd(make=None, placed=False),
        replace(LOOKED, skin=None, why="gone"),
    ):
        assert not patch_written(nothing)
        assert plain(patch_lines(nothing)).rows == ()
