"""A sign of a later version's diary, which nobody here knows: it closes, it is said to be one, and
nothing fails over it."""

from dataclasses import replace
from typing import Any

import pytest

from companion.care.closures import closures, open_warnings
from companion.care.flow import Given, WalkPage
from companion.care.records import KnownSign, Level, WarningSign
from companion.care.stopping import CardPage, KnownPage
from companion.presentation.home.front import front_view
from companion.presentation.home.handed_over import entries_view, pages_of
from companion.presentation.home.walk_pages import ViewContext, page_view
from companion.presentation.papers.findings_words import findings_words
from companion.presentation.papers.plan_report import visit_report
from companion.presentation.papers.summary import visit_summary
from companion.services.front import front
from companion.services.routine import RoutineWalk
from companion.services.signs import ClearWalk
from tests.builders import DAY, at, session, warning
from tests.care.walking import CATALOGUE, taught_plan
from tests.found import findings
from tests.presentation.wording import lines, lines_of
from tests.raw_codes import codes_in, said
from tests.services.context_for_tests import HandClock
from tests.services.offered import WALKS, in_memory, offered, out_and_home, pages_of_walk

LATER = "sign_of_a_later_version"
NOT_KNOWN = "A warning that this program does not know."
PLAN = taught_plan({"when": "always", "highest": 1}, chair_stand="alone")
BEFORE = session(9, 6, 3, full_list=True, plan_version=1, gate="none")
LEVELS: tuple[Level, ...] = ("care", "call", "today", "emergency")


def diary(level: Level, clock: HandClock | None = None) -> Any:
    sign = warning(9, sign=LATER, level=level)
    return in_memory(clock or HandClock(at(10)), (BEFORE, sign), PLAN)


@pytest.mark.parametrize("level", LEVELS)
def test_it_closes_by_its_level_and_no_walk_offers_what_is_closed(level: Level) -> None:
    context = diary(level)
    row = CATALOGUE.policy.sign(LATER, level)
    found = closures(CATALOGUE.policy, PLAN, context.entries, "right", today=at(10).date())
    assert found.parts == {*row.parts} >= {"hands", "tape_on", "outing_tape", "standing"}
    assert not set().union(*offered(lambda: diary(level), "right").values()) & found.parts


@pytest.mark.parametrize("level", LEVELS)
def test_the_front_page_and_every_page_of_a_walk_say_what_it_is(level: Level) -> None:
    clock = HandClock(at(10))
    context = diary(level, clock)
    shown = front_view(front(context), lambda: CATALOGUE)
    assert shown.card is not None
    assert shown.card.level == CATALOGUE.sign(LATER, level).level
    told = ""
    for conduct in (*WALKS, ClearWalk()):
        clock.pass_by(days=1)
        setting = ViewContext(plan=PLAN, side="right", catalogue=CATALOGUE, now=clock.now())
        for page in pages_of_walk(context, conduct, "right"):
            view = page_view(page, setting)
            told += " ".join(lines(view))
            for button in view.others:
                assert "mistake" not in button.text, "nobody can read it once more"
    assert NOT_KNOWN in told
    assert not codes_in([told])


def test_whoever_was_told_to_go_on_is_open_again() -> None:
    context = diary("emergency")

    def answer(page: WalkPage) -> Given:
        key = page.key.split(":")
        if key[0] == "open_card":
            return {"how": "asked"}
        if key[-1] == "checked":
            return {"by": "hospital", "who": None, "days_ago": 0}
        return {"told": "all"} if key[-1] == "talked" else out_and_home(page)

    pages_of_walk(context, ClearWalk(), "right", answer)
    assert open_warnings(context.entries, CATALOGUE.policy) == ()
    assert front(context).locked is None


@pytest.mark.parametrize("level", ["call", "emergency"])
def test_the_clinic_and_its_papers_read_of_it(level: Level) -> None:
    made = diary(level).journal.diary()
    found = findings(made, "right")
    pages = pages_of(made, "warning", CATALOGUE)
    for told in (
        " ".join(findings_words(made, found, CATALOGUE)),
        " ".join(said(visit_summary(made, [found], CATALOGUE))),
        " ".join(said(visit_report(made, [found], CATALOGUE))),
        " ".join(lines_of(entries_view("warning", pages, 0, CATALOGUE).blocks)),
    ):
        assert NOT_KNOWN.rstrip(".") in told
        assert LATER not in told


def test_one_that_a_plan_marks_as_known_is_asked_about_and_has_a_card_when_it_is_worse() -> None:
    plan = replace(PLAN, known_signs=(KnownSign(sign=LATER, since=DAY),))
    context = in_memory(HandClock(at(10)), (BEFORE,), plan)

    def answer(page: WalkPage) -> Given:
        return {LATER: "worse"} if isinstance(page, KnownPage) else out_and_home(page)

    pages = pages_of_walk(context, RoutineWalk(), "right", answer)
    setting = ViewContext(plan=plan, side="right", catalogue=CATALOGUE)
    (asked,) = [page for page in pages if isinstance(page, KnownPage)]
    assert NOT_KNOWN in " ".join(lines(page_view(asked, setting)))
    (card,) = [page for page in pages if isinstance(page, CardPage)]
    assert "Call the clinic" in page_view(card, setting).heading
    (written,) = [one for one in context.entries if isinstance(one, WarningSign)]
    assert written.level == "call"
    shut = closures(CATALOGUE.policy, plan, context.entries, "right", today=at(10).date())
    assert "hands" in shut.parts
