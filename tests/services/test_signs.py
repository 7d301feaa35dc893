"""Warning signs end to end: each card is on disk before it is answered, and holds until cleared."""

from dataclasses import replace
from datetime import timedelta
from typing import Any, get_args

import pytest

from companion.care.clearing import OpenSignPage, TalkedPage
from companion.care.closures import NOT_WHOLE, most_pressing, open_warnings
from companion.care.levels import PARTS, level_rank
from companion.care.records import KnownSign, Plan, Session, Side, TapeOff, TapeOn, WarningSign
from companion.care.routine import (
    ClosedPage,
    ExercisePage,
    MovePage,
    NoHandsPage,
    RestPainPage,
    StepPage,
)
from companion.care.stopping import CardPage
from companion.care.taping import NoTapePage, TapeOnPage, TapeStepPage
from companion.presentation.home.walk_pages import ViewContext, page_view
from companion.presentation.view.page import CardBlock
from companion.services.context import Context
from companion.services.day_page import DayWalk
from companion.services.front import front
from companion.services.outing import OutingWalk
from companion.services.routine import RoutineWalk
from companion.services.signs import (
    ClearWalk,
    StopWalk,
    asked_signs,
    known_signs,
)
from companion.services.tape import (
    SkinWalk,
    TapeCheckWalk,
    TapeOffWalk,
    TapeOnWalk,
)
from companion.services.visit import diary_file, summary_file
from companion.services.walks import (
    WalkKind,
    WalkResult,
    WalkStep,
    begin,
    give,
    stop,
)
from tests.builders import NOTHING_NEW, at, page, session, tape_off, tape_on, warning
from tests.care.content import POLICY, closed_for
from tests.care.walking import (
    CATALOGUE,
    GATE_ROWS,
    STANDING,
    STOP_ROWS,
    card_of,
    taught_plan,
    ticking,
)
from tests.services.conftest import Keep
from tests.services.context_for_tests import (
    Kept,
    answer_by,
    counting,
    ended,
    of,
    shown,
    walk_on,
)

SIGNS = CATALOGUE.stop_list.signs
# Listed for replacement with all known signs, and trained and taped before: every sign is offered.
PLAN: Plan = replace(
    taught_plan(),
    replacement="listed",
    replacement_on=at(200).date(),
    known_signs=tuple(KnownSign(sign=s.id, since=at(0).date()) for s in SIGNS if s.known_as),
)
BEFORE = (session(7, 6, 3), tape_on(at(5)), tape_off(at(7, 12)))
AS_BEFORE = {sign.known_as for sign in SIGNS} - {None}
COME = tuple(
    sign
    for sign in SIGNS
    if sign.id not in ("more_pain_after", "more_pain_two_days") and sign.asked_when != "state"
)
"""Those that come of the gate or of Stop; more pain comes of a morning after going out, and a call
of the days stands on the front page."""


@pytest.mark.parametrize(
    ("sign", "door"),
    [
        (sign, door)
        for sign in COME
        for door in ("gate", "stop")
        # What was not over at a gate, what is as before and the top row of Stop have one door.
        if sign.id not in ("not_sure_again", "not_sure_skin_again")
        and (door == "stop" or (sign.asked_when != "stop" and sign.id not in AS_BEFORE))
    ],
    ids=lambda one: getattr(one, "id", one),
)
def test_every_sign_has_its_card_its_entry_and_closes_its_parts(
    sign: Any, door: str, keep: Keep
) -> None:
    diary = keep(*BEFORE, plan=PLAN)
    context = diary.context
    conduct: WalkKind[Any, Any] = RoutineWalk() if door == "gate" else StopWalk()
    rows = GATE_ROWS if door == "gate" else STOP_ROWS
    answers, key = answer_by(ticking(sign.id, rows)), card_of(sign.id, rows)
    outcome = walk_on(context, conduct, answer=answers, until=key)
    assert isinstance(outcome, WalkStep)

    # Its card is on screen, with the words and the level of the list.
    card = shown(outcome)
    assert isinstance(card, CardPage)
    view = page_view(card, ViewContext(plan=PLAN, side="right", catalogue=CATALOGUE))
    (block,) = [block for block in view.blocks if isinstance(block, CardBlock)]
    assert block.level == sign.level
    assert (view.heading, block.heading) == (CATALOGUE.card(sign.card).heading, "")
    assert any(sign.words in getattr(block, "text", "") for block in view.blocks)

    # It is on disk before it is answered, and there after a kill.
    context = diary.kill()
    every = of(context, WarningSign)
    (written,) = [one for one in every if one.sign == sign.id]
    assert (written.level, written.cleared) == (sign.level, None)
    assert len(every) == (3 if sign.two_of else 1)

    after = give(context, conduct, outcome, {"card": "read"})
    row = POLICY.sign(sign.id)
    assert closed_for(context.entries) == (set() if row.for_session else {*row.parts})
    if row.ends == "session":
        assert isinstance(after, WalkResult)
    if door == "stop" and row.parts:
        assert ended(after).ends == "card"
    if level_rank(sign.level) >= level_rank("today"):
        _stays_closed_until_cleared(diary, sign.id)


def _stays_closed_until_cleared(diary: Kept, sign_id: str) -> None:
    context = diary.context
    for days in range(3):
        diary.clock.pass_by(days=min(days, 1))
        sessions = len(of(context, Session))
        # What is theirs to open by now is not so yet.
        still = answer_by({f"open:{sign_id}": {}, "gate": NOTHING_NEW})
        outcome = walk_on(context, RoutineWalk(), answer=still, until="closed")
        assert shown(outcome) == ClosedPage(sign=sign_id)
        assert isinstance(outcome, WalkStep)
        done = give(context, RoutineWalk(), outcome, {})
        assert isinstance(done, WalkResult)
        assert not done.tells
        assert len(of(context, Session)) == sessions, "a closed door is no session"
        tape = walk_on(context, TapeOnWalk(), answer=still)
        assert not ended(tape).put_on
        assert front(context).due[0].what == "locked"
    walk_on(
        context,
        ClearWalk(),
        answer=answer_by(told_all(sign_id)),
    )
    assert most_pressing(context.entries, POLICY) is None
    assert isinstance(shown(walk_on(context, RoutineWalk(), until="rest_pain")), RestPainPage)


@pytest.mark.parametrize("sign", ["chest_or_breath", "fever", "skin_broken", "unwell", "lump"])
def test_tape_off_record_and_visit_are_open_whatever_is_closed(sign: str, keep: Keep) -> None:
    diary = keep(tape_on(at(9)))
    context = diary.context
    walk_on(context, StopWalk(), answer=answer_by(ticking(sign, STOP_ROWS)))
    assert isinstance(walk_on(context, TapeCheckWalk()), WalkResult)
    done = walk_on(context, TapeOffWalk())
    assert isinstance(done, WalkResult)
    (off,) = of(context, TapeOff)
    assert off.happened_at == at(10)
    diary.clock.pass_by(minutes=31)
    assert ended(walk_on(context, SkinWalk())).skin == "clear"
    assert ended(walk_on(context, DayWalk())).pain_average == 3
    assert diary_file(context).startswith(b"homeknee diary 7 ")
    assert summary_file(context, lambda _diary, found, _catalogue: str(len(found)).encode())


# ------------------------------------------------------------ mistakes, several, levels


@pytest.mark.parametrize("door", [GATE_ROWS, STOP_ROWS])
def test_a_mistake_keeps_both_the_tick_and_what_became_of_it(door: str, keep: Keep) -> None:
    context = keep(*BEFORE).context
    conduct: WalkKind[Any, Any] = RoutineWalk() if door == GATE_ROWS else StopWalk()
    answers = ticking("fever", door) | {card_of("fever", door): {"card": "mistake"}}
    page = f"{card_of('fever', door)}:mistake"
    sure = walk_on(context, conduct, answer=answer_by(answers), until=page)
    assert isinstance(sure, WalkStep)
    assert closed_for(context.entries) == {*PARTS}, "closed until it was read once more"
    outcome = give(context, conduct, sure, {"mistake": "another"})
    assert isinstance(outcome, WalkStep), "the list comes back"
    assert shown(outcome).key.startswith(f"{door}:2")
    first, second = of(context, WarningSign)
    assert first.cleared is None
    assert (second.cleared, second.replaces) == ("ticked_by_mistake", first.id)
    assert "hands" not in closed_for(context.entries)


def test_all_signs_ticked_are_on_disk_when_the_first_card_is_seen(keep: Keep) -> None:
    """Whoever puts the screen down to call for help has ticked the others too."""
    context = keep(*BEFORE).context
    rows = {"stop:1:list:1": {"signs": ["skin_broken", "lump", "foot_cold"]}}
    answers = answer_by({"stop:1": {"about": "not_sure"}} | rows)
    walk_on(context, StopWalk(), answer=answers, until=card_of("foot_cold", STOP_ROWS))
    assert {w.sign for w in of(context, WarningSign)} == {"foot_cold", "skin_broken", "lump"}


def test_levels_only_rise(keep: Keep) -> None:
    """A lower sign ticked later takes nothing from a higher one that is open."""
    context = keep(*BEFORE).context
    ranks = []
    for sign in ("lump", "fever", "foot_cold", "lump"):
        walk_on(context, StopWalk(), answer=answer_by(ticking(sign, STOP_ROWS)))
        highest = most_pressing(context.entries, POLICY)
        assert highest is not None
        ranks.append(level_rank(highest.level))
    assert ranks == sorted(ranks)
    assert ranks[-1] == level_rank("emergency")


def test_the_card_on_the_front_page_is_the_one_that_is_cleared_first(keep: Keep) -> None:
    context = keep(
        warning(8, "lump", "call"), warning(9, "fever"), warning(9, "foot_cold", "emergency")
    ).context
    pressing = front(context).locked
    assert pressing is not None
    assert pressing.sign == "foot_cold"
    assert shown(begin(context, ClearWalk(), "right")).sign.sign == "foot_cold"  # type: ignore[attr-defined]


# ------------------------------------------------------------ Stop in the middle


@pytest.mark.parametrize(
    "sign",
    [s.id for s in SIGNS if POLICY.sign(s.id).parts and s.asked_when in ("always", "in_session")],
)
def test_a_sign_that_closes_is_not_walked_past_after_stop(sign: str, keep: Keep) -> None:
    """Stop in a hands step, a tick that closes: the routine is over, as far as it came."""
    diary = keep()
    context = diary.context
    walk_on(context, RoutineWalk(), until="step:1:2")
    stopped = walk_on(context, StopWalk(), answer=answer_by(ticking(sign, STOP_ROWS)))
    assert ended(stopped).ends == "card"
    (entry,) = stop(context, RoutineWalk(), "right", "card")
    assert isinstance(entry, Session)
    assert (entry.ended, entry.reason) == ("stopped", "card")
    assert len(entry.rounds[0].steps) == 1


@pytest.mark.parametrize("left_by", ["the front page", "the other knee"])
def test_a_routine_left_in_the_middle_is_closed_by_a_sign_ticked_elsewhere(
    left_by: str, keep: Keep
) -> None:
    diary = keep(plan=taught_plan(side="both"))
    context = diary.context
    walk_on(context, RoutineWalk(), "right", until="step:1:2")
    if left_by == "the front page":
        walk_on(context, StopWalk(), "right", answer_by(ticking("fever", STOP_ROWS)))
    else:
        walk_on(context, RoutineWalk(), "left", answer_by(ticking("fever")))
    outcome = begin(context, RoutineWalk(), "right")
    assert shown(outcome) == ClosedPage(sign="fever")
    mine = [entry for entry in of(context, Session) if entry.side == "right"]
    assert [(entry.ended, entry.reason) for entry in mine] == [("stopped", "card")]


def test_tape_on_left_in_the_middle_is_closed_by_a_sign_ticked_elsewhere(keep: Keep) -> None:
    context = keep().context
    walk_on(context, TapeOnWalk(), until="tape:1:3")
    walk_on(context, StopWalk(), answer=answer_by(ticking("skin_broken", STOP_ROWS)))
    done = walk_on(context, TapeOnWalk(), answer=answer_by({"open:skin_broken": {"over": "no"}}))
    assert not ended(done).put_on
    assert not of(context, TapeOn)


def test_tape_off_that_is_stopped_by_a_card_is_written_as_far_as_it_came(keep: Keep) -> None:
    context = keep(tape_on(at(9))).context
    walk_on(context, TapeOffWalk(), until="skin")
    walk_on(context, StopWalk(), answer=answer_by(ticking("foot_cold", STOP_ROWS)))
    stop(context, TapeOffWalk(), "right", "card")
    assert len(of(context, TapeOff)) == 1


def test_stop_pressed_anew_later_begins_at_the_list(keep: Keep) -> None:
    diary = keep()
    answers = answer_by(ticking("lump", STOP_ROWS))
    left = walk_on(diary.context, StopWalk(), answer=answers, until=card_of("lump", STOP_ROWS))
    assert begin(diary.kill(), StopWalk(), "right") == left
    diary.clock.pass_by(hours=2)
    assert shown(begin(diary.context, StopWalk(), "right")).key == "stop:1"


# ------------------------------------------------------------ asked again


@pytest.mark.parametrize("sign", ["more_pain_after", "more_pain_two_days"])
def test_more_pain_is_asked_about_at_the_next_gate_until_it_is_answered(
    sign: str, keep: Keep
) -> None:
    diary = keep(*BEFORE, warning(9, sign, CATALOGUE.sign(sign).level), plan=PLAN)
    context = diary.context
    for _ in range(2):
        diary.clock.pass_by(days=1)
        outcome = begin(context, RoutineWalk(), "right")
        assert shown(outcome) == OpenSignPage(key=f"open:{sign}", sign=sign, asks="asked_again")
        walk_on(context, RoutineWalk(), answer=answer_by({f"open:{sign}": {"over": "no"}}))
    diary.clock.pass_by(days=1)
    walk_on(context, RoutineWalk(), answer=answer_by({f"open:{sign}": {"over": "yes"}}))
    assert counting(context, WarningSign)[0].cleared == "asked_again"
    assert not isinstance(shown(begin(context, RoutineWalk(), "right")), OpenSignPage)


OUT: dict[str, Any] = {
    "what_for:1": {"what": "own", "own": "Quay"},
    "look_over": {"going": "no"},
}


def told_all(sign: str) -> dict[str, Any]:
    """Behind the card: a professional said do all of it again."""
    return {
        "open_card": {"how": "asked"},
        f"open:{sign}": {},
        f"open:{sign}:talked": {"told": "all"},
    }


@pytest.mark.parametrize("sign", ["sudden_pain_every_step", "gives_way_worse"])
def test_told_to_sit_is_not_told_to_stand_for_a_score(sign: str, keep: Keep) -> None:
    """A card that says seated steps only is followed by no standing exercise and by no check move,
    today and on every day until somebody said otherwise."""
    known = sign == "gives_way_worse"
    diary = keep(*BEFORE, plan=PLAN if known else replace(PLAN, known_signs=()))
    context = diary.context
    worse = {"known": dict.fromkeys(known_signs(PLAN), "as_before") | {"gives_way_new": "worse"}}
    pages = _pages(context, RoutineWalk(), worse if known else ticking(sign))
    for _ in range(3):
        assert not [p for p in pages if isinstance(p, MovePage)]
        assert not {p.exercise.exercise for p in pages if isinstance(p, ExercisePage)} & STANDING
        assert [p for p in pages if isinstance(p, ExercisePage)], "what is seated goes on"
        assert bool([p for p in pages if isinstance(p, StepPage)]) == known
        diary.clock.pass_by(days=1)
        pages = _pages(context, RoutineWalk(), {})
    walk_on(context, ClearWalk(), answer=answer_by(told_all(sign)))
    diary.clock.pass_by(days=1)
    assert not closed_for(context.entries)
    pages = _pages(context, RoutineWalk(), {})
    if known:  # as before it holds what the plan says
        assert not [p for p in pages if isinstance(p, MovePage)]
        return
    assert [p for p in pages if isinstance(p, MovePage)]
    assert {p.exercise.exercise for p in pages if isinstance(p, ExercisePage)} & STANDING


@pytest.mark.parametrize(
    "sign",
    [
        *("lump", "rest_or_night_pain", "weight_loss", "past_cancer"),
        *("several_joints", "fast_worse", "stiff_mornings"),
    ],
)
def test_a_call_card_closes_hands_and_tape_until_somebody_said_go_on(sign: str, keep: Keep) -> None:
    """The card says "do not press or rub it": no hands step, no tape and no patch follow, in any
    walk, whatever is pressed at a gate, until a professional was asked."""
    diary = keep(*BEFORE[:1], plan=PLAN)
    context = diary.context
    for day in range(4):
        answers = ticking(sign) if day == 0 else {}
        pages = _pages(context, RoutineWalk(), answers)
        pages += _pages(context, TapeOnWalk(), {"gate": NOTHING_NEW})
        pages += _pages(context, OutingWalk(), OUT)
        assert not [p for p in pages if isinstance(p, StepPage | TapeStepPage | TapeOnPage)]
        assert [p for p in pages if isinstance(p, ExercisePage)]
        assert {"hands", "tape_on", "outing_tape"} <= closed_for(context.entries)
        diary.clock.pass_by(days=1)
    walk_on(context, ClearWalk(), answer=answer_by(told_all(sign)))
    assert closed_for(context.entries) == set()
    assert [p for p in _pages(context, RoutineWalk(), {}) if isinstance(p, StepPage)]


def test_night_pain_as_before_for_a_week_is_opened_by_the_person(keep: Keep) -> None:
    diary = keep(*BEFORE, plan=PLAN)
    context = diary.context
    walk_on(context, StopWalk(), answer=answer_by(ticking("rest_or_night_pain", STOP_ROWS)))
    for _ in range(6):
        diary.clock.pass_by(days=1)
        assert not [p for p in _pages(context, RoutineWalk(), {}) if isinstance(p, OpenSignPage)]
    diary.clock.pass_by(days=1)
    over = {"open:rest_or_night_pain": {"over": "yes"}}
    assert [p for p in _pages(context, RoutineWalk(), over) if isinstance(p, StepPage)]
    assert [one.cleared for one in counting(context, WarningSign)] == ["as_before"]


# ------------------------------------------------------------ skin


FOUND_BY: dict[str, tuple[WalkKind[Any, Any], tuple[Any, ...], dict[str, Any]]] = {
    "tape off": (TapeOffWalk(), (tape_on(at(9)),), {"skin": {"skin": "blister"}}),
    "the second look": (
        SkinWalk(),
        (tape_on(at(9)), tape_off(at(10, 17))),
        {"skin": {"skin": "broken"}},
    ),
    "the tape check": (
        TapeCheckWalk(),
        (tape_on(at(9)),),
        {"tape_check": {"feelings": ["itch"]}, "skin": {"skin": "broken"}},
    ),
    "the day page": (DayWalk(), (tape_on(at(9)),), {"skin": {"skin": "blister"}}),
    "the list": (RoutineWalk(), (), ticking("skin_broken")),
}


@pytest.mark.parametrize("found_by", FOUND_BY)
def test_broken_skin_closes_hands_and_tape_there_until_it_is_read_clear(
    found_by: str, keep: Keep
) -> None:
    conduct, entries, answers = FOUND_BY[found_by]
    diary = keep(*entries, plan=taught_plan(side="both"))
    context = diary.context
    walk_on(context, conduct, answer=answer_by(answers))
    (card,) = open_warnings(context.entries, POLICY)
    assert (card.sign, card.sides) == ("skin_broken", ("right",))
    assert closed_for(context.entries, "right") == {"hands", "tape_on", "outing_tape"}
    assert closed_for(context.entries, "left") == set()
    if found_by == "the day page":  # the tape is still on: it comes off first
        walk_on(context, TapeOffWalk(), answer=answer_by({"skin": {"skin": "clear"}}))

    for over in ("no", "yes"):
        diary.clock.pass_by(days=2)
        pages = _pages(context, RoutineWalk(), {"open:skin_broken": {"over": over}})
        kinds = {type(found) for found in pages}
        assert OpenSignPage in kinds
        assert (StepPage in kinds) == (over == "yes")
        assert ExercisePage in kinds
    assert "tape_on" not in closed_for(context.entries)


def _pages(context: Context, conduct: WalkKind[Any, Any], answers: dict[str, Any]) -> list[Any]:
    pages = []
    outcome = begin(context, conduct, "right")
    answer = answer_by(answers)
    while isinstance(outcome, WalkStep):
        pages.append(outcome.page)
        outcome = give(context, conduct, outcome, answer(outcome.page))
    return pages


@pytest.mark.parametrize("skin", NOT_WHOLE)
def test_broken_skin_of_a_paper_page_is_asked_about_without_a_card(skin: Any, keep: Keep) -> None:
    diary = keep(page(8, skin=skin, written_by="paper"))
    context = diary.context
    pages = _pages(context, RoutineWalk(), {"open:skin_broken": {"over": "no"}})
    assert isinstance(pages[0], OpenSignPage)
    assert [p.reason for p in pages if isinstance(p, NoHandsPage)] == ["skin"]
    diary.clock.pass_by(days=1)
    walk_on(context, RoutineWalk(), answer=answer_by({"open:skin_broken": {"over": "yes"}}))
    (read,) = of(context, WarningSign)
    assert (read.cleared, read.replaces) == ("skin_read_clear", None)
    assert "hands" not in closed_for(context.entries)


def test_stop_does_not_guess_which_knee_a_sore_belongs_to(keep: Keep) -> None:
    context = keep(plan=taught_plan(side="both")).context
    knee = {card_of("skin_broken", STOP_ROWS) + ":knee": {"knee": "both"}}
    walk_on(context, StopWalk(), answer=answer_by(ticking("skin_broken", STOP_ROWS) | knee))
    still = open_warnings(context.entries, POLICY)
    assert sorted(w.sides for w in still) == [("left",), ("right",)]
    walk_on(context, RoutineWalk(), answer=answer_by({"open:skin_broken": {"over": "yes"}}))
    assert "hands" not in closed_for(context.entries, "right")
    assert "hands" in closed_for(context.entries, "left")


@pytest.mark.parametrize("knee", ["left", "right"])
def test_which_knee_is_asked_after_the_card_and_until_then_it_is_both(
    knee: Side, keep: Keep
) -> None:
    diary = keep(plan=taught_plan(side="both"))
    context = diary.context
    answers = ticking("lump", STOP_ROWS) | {card_of("lump", STOP_ROWS) + ":knee": {"knee": knee}}
    page = card_of("lump", STOP_ROWS) + ":knee"
    walk_on(context, StopWalk(), answer=answer_by(answers), until=page)
    context = diary.kill()
    for side in get_args(Side):
        assert "hands" in closed_for(context.entries, side), "whoever leaves now has both closed"
    walk_on(context, StopWalk(), answer=answer_by(answers))
    (lump,) = open_warnings(context.entries, POLICY)
    assert lump.sides == (knee,)
    for side in get_args(Side):
        assert ("hands" in closed_for(context.entries, side)) == (side == knee)


def test_with_one_knee_in_the_plan_nobody_is_asked_which(keep: Keep) -> None:
    context = keep(plan=taught_plan(side="left")).context
    walk_on(context, StopWalk(), "left", answer=answer_by(ticking("lump", STOP_ROWS)))
    (lump,) = of(context, WarningSign)
    assert lump.sides == ("left",)


def test_what_was_told_is_written_at_the_gate_and_opens_as_it_says(keep: Keep) -> None:
    """Rule r08: asked daily while nobody spoke of the routine; seated exercise is open."""
    diary = keep(*BEFORE, plan=PLAN)
    context = diary.context
    walk_on(context, StopWalk(), answer=answer_by(ticking("faint_in_session", STOP_ROWS)))
    talked = "open:faint_in_session:talked"
    for said in ("not_reached", "not_spoken_of"):
        diary.clock.pass_by(days=1)
        pages = _pages(context, RoutineWalk(), {talked: {"told": said}})
        assert [p for p in pages if isinstance(p, TalkedPage)]
        exercises = [p.exercise.exercise for p in pages if isinstance(p, ExercisePage)]
        assert exercises
        assert not {*exercises} & STANDING
        assert closed_for(context.entries) == {*PARTS} - {"seated"}
        (sign,) = counting(context, WarningSign)
        assert (sign.told, sign.cleared) == (said, None)
    diary.clock.pass_by(days=1)
    _pages(context, RoutineWalk(), {talked: {"told": "all"}})
    assert closed_for(context.entries) == set()
    (sign,) = counting(context, WarningSign)
    assert (sign.cleared, sign.told_by) == ("checked_by_professional", "clinic")


def test_a_fever_that_is_over_is_opened_by_the_person(keep: Keep) -> None:
    diary = keep(*BEFORE, plan=PLAN)
    context = diary.context
    walk_on(context, StopWalk(), answer=answer_by(ticking("fever", STOP_ROWS)))
    diary.clock.pass_by(days=1)
    assert isinstance(shown(begin(context, RoutineWalk(), "right")), ClosedPage)
    diary.clock.pass_by(days=1)
    assert [p for p in _pages(context, RoutineWalk(), {}) if isinstance(p, StepPage)]
    assert [one.cleared for one in counting(context, WarningSign)] == ["well_again"]


def test_stop_ticked_by_mistake_takes_both_knees_back(keep: Keep) -> None:
    context = keep(plan=taught_plan(side="both")).context
    answers = ticking("skin_broken", STOP_ROWS)
    answers[card_of("skin_broken", STOP_ROWS)] = {"card": "mistake"}
    walk_on(context, StopWalk(), answer=answer_by(answers))
    assert not open_warnings(context.entries, POLICY)


def test_open_broken_skin_does_not_end_tape_off_and_refuses_tape_on(keep: Keep) -> None:
    context = keep(warning(9, "skin_broken", "call", sides=("right",))).context
    pages = _pages(context, TapeOnWalk(), {"open:skin_broken": {"over": "no"}})
    assert [p.reasons for p in pages if isinstance(p, NoTapePage)] == [("locked",)]
    assert not of(context, TapeOn)


# ------------------------------------------------------------ known signs, what is offered


def test_known_signs_bring_their_worse_form_and_for_stop_the_one_as_before(keep: Keep) -> None:
    plan = taught_plan(known_signs=(KnownSign(sign="gives_way_new", since=at(0).date()),))
    context = keep(plan=plan).context
    offered = set(asked_signs(context, plan, ()))
    assert {"gives_way_new", "gives_way_worse", "gave_way_fell"} <= offered
    assert "gives_way_known" not in offered, "at the gate it has a page of its own"
    assert "gives_way_known" in asked_signs(context, plan, (), stop=True)
    for other in (False, True):
        assert "stiff_mornings_known" not in asked_signs(context, plan, (), stop=other)
        assert "gives_way_worse" not in asked_signs(context, taught_plan(), (), stop=other)


def test_stop_offers_what_may_happen_in_the_first_session(keep: Keep) -> None:
    context = keep().context
    start = StopWalk().start(context, taught_plan(), "right", at(10).date())
    assert {"faint_in_session", "pain_over_limit"} <= set(start.asked)


def test_signs_of_tape_are_offered_once_tape_was_worn(keep: Keep) -> None:
    context = keep(tape_on(at(9))).context
    assert "tape_tingling" in asked_signs(context, taught_plan(), context.entries)
    assert "tape_tingling" not in asked_signs(context, taught_plan(), ())


def test_broken_skin_before_a_replacement_is_offered_when_one_is_listed(keep: Keep) -> None:
    context = keep().context
    assert "skin_broken_before_replacement" in asked_signs(context, PLAN, ())
    assert "skin_broken_before_replacement" not in asked_signs(context, taught_plan(), ())


# ------------------------------------------------------------ clearing


def test_a_check_is_dated_and_never_before_the_sign(keep: Keep) -> None:
    context = keep(warning(8)).context
    page = "open:knee_stuck:checked"
    said = {"by": "phone_line", "days_ago": 1, "who": "M. Vane"}
    answers = told_all("knee_stuck") | {page: said}
    checked = walk_on(context, ClearWalk(), answer=answer_by(answers), until=page)
    assert shown(checked).most_days_ago == 2  # type: ignore[attr-defined]
    walk_on(context, ClearWalk(), answer=answer_by(answers))
    (cleared,) = counting(context, WarningSign)
    assert cleared.cleared == "checked_by_professional"
    assert cleared.cleared_on == at(10).date() - timedelta(days=1)
    assert (cleared.told, cleared.told_by, cleared.told_name) == ("all", "phone_line", "M. Vane")
    assert cleared.for_day == at(8).date(), "the day it was ticked stays"
    assert len(of(context, WarningSign)) == 2


def test_not_yet_leaves_it_open(keep: Keep) -> None:
    context = keep(warning(8)).context
    walk_on(context, ClearWalk(), answer=answer_by({"open_card": {"how": "not_yet"}}))
    assert most_pressing(context.entries, POLICY) is not None


def test_clearing_left_half_way_is_not_gone_on_with_for_another_sign(keep: Keep) -> None:
    context = keep(warning(8)).context
    walk_on(
        context,
        ClearWalk(),
        answer=answer_by(told_all("knee_stuck")),
        until="open:knee_stuck:checked",
    )
    walk_on(context, StopWalk(), answer=answer_by(ticking("foot_cold", STOP_ROWS)))
    again = shown(begin(context, ClearWalk(), "right"))
    assert again.key == "open_card"
    assert again.sign.sign == "foot_cold"  # type: ignore[attr-defined]


def test_what_was_told_of_a_sign_that_did_not_go_is_told_of_the_first_tick_too(keep: Keep) -> None:
    """Not sure what, asked again at the next gate, not gone: a call. Told to go on, nothing of it
    is open still, and the next gate does not ask of the first one."""
    diary = keep(session(7, 6, 3, full_list=True), warning(9, "not_sure_knee", "care"))
    context = diary.context
    outcome = walk_on(
        context,
        RoutineWalk(),
        answer=answer_by({"open:not_sure_knee": {"gone": "no"}}),
        until="not_over:1:not_sure_again:card",
    )
    assert isinstance(shown(outcome), CardPage)
    told = {
        "open_card": {"how": "asked"},
        "open:not_sure_again:talked": {"told": "all"},
        "open:not_sure_again:checked": {"by": "clinic", "who": None, "days_ago": 0},
    }
    walk_on(context, ClearWalk(), answer=answer_by(told))
    assert not open_warnings(context.entries, POLICY)
    diary.clock.pass_by(days=1)
    assert not closed_for(context.entries)
