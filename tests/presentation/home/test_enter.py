"""Enter goes on; it never says of tape, skin, a test piece or an outing what is so."""

from datetime import UTC, datetime
from typing import Any

import pytest

from companion.care import outing_questions, patch_questions, stopping, taping
from companion.presentation.home.walk_pages import ViewContext, page_view
from tests.care.walking import CATALOGUE, taught_plan

SETTING = ViewContext(plan=taught_plan(), side="right", catalogue=CATALOGUE)
AT = datetime(2026, 3, 2, 18, tzinfo=UTC)


@pytest.mark.parametrize(
    "page",
    [
        taping.TapeOnPage(key="tape_on:1", stage=1),
        patch_questions.PatchOnPage(make="Slate 50"),
        patch_questions.PatchClearPage(make="Slate 50", late=True),
        patch_questions.PatchUnderWayPage(make="Slate 50", look_from=AT),
        outing_questions.TapeForOutingPage(what_for="Walk", amount=None),
        outing_questions.OutingLookOverPage(what_for="Walk", amount=None, tape=()),
        stopping.GoOnPage(key="stop:go_on", none=True),
    ],
    ids=lambda page: type(page).__name__,
)
def test_enter_says_nothing_of_what_is_so(page: Any) -> None:
    view = page_view(page, SETTING)
    assert view.main is not None
    said = {name for name, _ in view.main.submitted}
    assert said & {name for other in view.others for name, _ in other.submitted}, "one of two"
    assert not view.enter_answers
