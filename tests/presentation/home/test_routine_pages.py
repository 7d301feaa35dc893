"""The pages of the routine, the stop list and tape: each has a view, in words that can be read."""

import inspect
from dataclasses import replace
from datetime import UTC, datetime
from functools import cache, partial
from typing import Any, get_args

import pytest

from companion.care import clearing, routine, stopping, taping
from companion.care.catalogue import Step
from companion.care.course import Action, Course, Decision, Reason, decide
from companion.care.flow import Given, WalkPage
from companion.care.levels import level_rank
from companion.care.policy import Ask
from companion.care.records import (
    CheckMove,
    Contact,
    CutLengths,
    Depth,
    KneeMeasures,
    MoveScore,
    Plan,
    Technique,
)
from companion.care.routine import DecisionPage, MovePage, RoutineEnd, StepPage
from companion.care.stopping import CardPage, SignTicked
from companion.care.tape_gate import TapeReason
from companion.care.taping import NoTapePage
from companion.care.trial_days import TrialRefusal
from companion.presentation.home.card_pages import card_block
from companion.presentation.home.looking_over import plain
from companion.presentation.home.routine_pages import (
    NO_TAPE_REASONS,
    decision_sentence,
    no_tape_reason,
    score_sentence,
    session_lines,
)
from companion.presentation.home.walk_pages import ViewContext, page_view
from companion.presentation.language.field_words import ENDS, end_words
from companion.presentation.language.said import said_words
from companion.presentation.papers.booklet import booklet
from companion.presentation.view.page import (
    ActionList,
    Button,
    Callout,
    CardBlock,
    Counting,
    LevelTick,
    Moments,
    Number,
    Numbered,
    PageView,
    Panels,
    Picture,
    Scale,
    Text,
)
from companion.presentation.view.page import (
    Choose as ChooseBlock,
)
from companion.services.walks import ExpiryReason
from tests.builders import at
from tests.care.asking import asked
from tests.care.test_catalogue_wording import BANNED
from tests.care.walking import (
    ASKS,
    CATALOGUE,
    EXERCISES,
    TECHNIQUES,
    Choose,
    any_answer,
    any_plan,
    any_start,
    chooser,
    taught_plan,
    walked,
)
from tests.presentation.wording import faults, lines

TAPE_ON = taping.TapeOnStart(stage=2, gate_asked=True, asks=ASKS)
SIGNS = tuple(sign.id for sign in CATALOGUE.stop_list.signs)
HAS_CARD = {sign.id: sign for sign in CATALOGUE.stop_list.signs}


def setting(plan: Plan | None = None, **fields: Any) -> ViewContext:
    return ViewContext(plan=plan or taught_plan(), side="right", catalogue=CATALOGUE, **fields)


def _classes() -> set[type]:
    return {
        found
        for module in (stopping, taping, routine, clearing)
        for name, found in inspect.getmembers(module, inspect.isclass)
        if name.endswith("Page") and found.__module__ == module.__name__
    }


@cache
def _met() -> dict[type, dict[str, tuple[WalkPage, Plan]]]:
    """Pages of every class as random walks meet them, by key, with the plan they belong to."""
    met: dict[type, dict[str, tuple[WalkPage, Plan]]] = {}
    for seed in range(400):
        choose = chooser(seed)
        plan = any_plan(choose)
        walks: tuple[Any, ...] = (
            routine.routine(plan, CATALOGUE, any_start(choose, plan)),
            lambda: stopping.stop_walk(CATALOGUE, stopping.StopStart(asked=SIGNS)),
            lambda: taping.tape_on_walk(CATALOGUE, TAPE_ON),
            taping.tape_off_walk,
            taping.tape_check_walk,
            lambda: taping.skin_walk(taping.SkinStart(tape_off="a" * 32)),
        )
        for walk in walks:
            pages, _, _ = walked(walk, partial(_any_answer, choose))
            for page in pages:
                met.setdefault(type(page), {})[page.key] = (page, plan)
    plan = taught_plan()
    more: tuple[WalkPage, ...] = (
        routine.ClosedPage(sign="fever"),
        taping.SkinTooEarlyPage(at=at(0, 18, 30)),
        clearing.OpenCardPage(key="open_card", sign=asked("knee_stuck")),
        clearing.CheckedPage(key="checked", sign="lump", most_days_ago=3),
        clearing.CheckedPage(key="checked long ago", sign="lump", most_days_ago=30),
        clearing.MistakePage(key="sure", sign="fever"),
        *(
            clearing.OpenSignPage(key=sign.id, sign=sign.id, asks=one.asks)
            for sign in CATALOGUE.stop_list.signs
            if (one := asked(sign.id)).asks is not None
        ),
    )
    for page in more:
        met.setdefault(type(page), {})[page.key] = (page, plan)
    return met


def _any_answer(choose: Choose, page: WalkPage) -> Given:
    return any_answer(page, choose)


CLASSES = sorted(_classes(), key=lambda cls: cls.__name__)
each_page = pytest.mark.parametrize("cls", CLASSES, ids=lambda cls: cls.__name__)


def test_random_walks_meet_every_page_there_is() -> None:
    assert set(_met()) >= set(CLASSES)


@each_page
@pytest.mark.parametrize("helping", [False, True])
def test_every_page_has_a_view_in_words_that_can_be_read(cls: type, helping: bool) -> None:
    found: list[str] = []
    for page, plan in _met()[cls].values():
        view = page_view(page, setting(plan, helping=helping))
        assert view.key == page.key
        assert view.heading
        assert view.above.startswith("Right knee")
        assert view.main is not None or cls in (stopping.StopPage, routine.QuickStepPage)
        urgent = _urgent(page)
        found += faults(lines(view), most_grade=5 if urgent else 6)
        _answerable(view)
    assert sorted(set(found)) == []


def _urgent(page: WalkPage) -> bool:
    sign = getattr(page, "sign", None)
    sign = getattr(sign, "sign", sign)
    card = isinstance(page, CardPage | clearing.OpenCardPage | routine.ClosedPage)
    return card and level_rank(HAS_CARD[str(sign)].level) >= level_rank("today")


def _answerable(view: PageView) -> None:
    """Names of a page's questions are its own, but for what stands level by level, and nothing is
    chosen beforehand."""
    several = LevelTick | ActionList
    names = [b.name for b in view.blocks if hasattr(b, "name") and not isinstance(b, several)]
    assert len(set(names)) == len(names)
    for block in view.blocks:
        if isinstance(block, ChooseBlock):
            values = [option.value for option in block.options]
            assert len(set(values)) == len(values) >= 1


@each_page
def test_stop_is_on_every_page_but_where_it_was_pressed_or_a_card_is(cls: type) -> None:
    without = {
        stopping.CardPage,
        stopping.GoOnPage,
        stopping.StopPage,
        clearing.OpenCardPage,
        clearing.MistakePage,
        stopping.WhichKneePage,
    }
    for page, plan in _met()[cls].values():
        view = page_view(page, setting(plan))
        pressed = isinstance(page, stopping.StopListPage) and page.reason == "stop"
        assert view.stop != (cls in without or pressed)


@each_page
def test_a_practice_plan_marks_every_page(cls: type) -> None:
    for page, plan in _met()[cls].values():
        assert plan.practice
        assert "not for a real knee" in page_view(page, setting(plan)).mark


# ------------------------------------------------------------ the voice


def decision_page(before: int, *after: int, plan: Plan, **fields: Any) -> PageView:
    decision = decide(Course.from_plan(plan), before, after)
    page = DecisionPage(
        key="decision:2",
        before=before,
        latest=after[-1],
        role="after_hands",
        decision=decision,
        **fields,
    )
    return page_view(page, setting(plan))


def test_met_is_said_as_the_design_says_it() -> None:
    view = decision_page(7, 3, plan=taught_plan())
    assert " ".join(lines(view)).startswith(
        "Before 7, now 3. More than half is gone. Your plan says: that is enough for today."
    )


def test_not_met_is_said_as_the_design_says_it() -> None:
    view = decision_page(7, 5, plan=taught_plan(), start_zones=("inner_edge",))
    assert " ".join(lines(view)).startswith("Before 7, now 5. Your plan says: one more round.")
    assert "inner edge of the kneecap" in " ".join(lines(view))
    assert "where it still hurts" in " ".join(lines(view))


def test_the_check_move_is_asked_as_the_design_says_it() -> None:
    page = MovePage(key="move:before:1", role="before", number=1, allowed=4)
    said = " ".join(lines(page_view(page, setting())))
    assert "Rise from the chair once, as you were shown." in said
    assert "0 is no pain. 10 is the worst possible pain." in said


def test_half_and_more_than_half_are_not_mixed_up() -> None:
    assert score_sentence(10, 5, 50) == "Before 10, now 5. Half is gone."
    assert score_sentence(9, 4, 50) == "Before 9, now 4. More than half is gone."
    assert score_sentence(9, 5, 50) == "Before 9, now 5."
    assert score_sentence(0, 0, 50) == "Before 0, now 0."


@pytest.mark.parametrize("before", range(11))
@pytest.mark.parametrize("after", range(11))
def test_numbers_come_first_then_what_the_plan_says(before: int, after: int) -> None:
    for target in (30, 50, 80):
        plan = taught_plan(ease_target_percent=target)
        view = decision_page(before, after, plan=plan)
        assert view.heading.startswith(f"Before {before}, now {after}."), view
        assert isinstance(view.blocks[0], Text)
        assert "our plan" in view.blocks[0].text
        met = before > 0 and 100 * (before - after) >= target * before
        assert ("eased less" in view.blocks[0].text) <= (not met)
        assert faults(lines(view)) == []


def test_no_reason_of_a_decision_is_without_words() -> None:
    for reason in get_args(Reason):
        for action in get_args(Action):
            sentence = decision_sentence(Decision(action, reason, 1), taught_plan())
            assert "our plan" in sentence
    met_unscored = decision_sentence(Decision("finish", "moves_used_up"), taught_plan())
    assert "eased less" not in met_unscored


def test_every_way_a_session_ends_has_words() -> None:
    assert set(get_args(ExpiryReason)) | set(get_args(Reason)) <= set(ENDS)
    assert not [words for _, words in ENDS.items() if BANNED.search(words)]
    assert end_words("reason_of_another_program") == "Ended"


def test_why_no_tape_goes_on_has_words_for_every_reason_of_the_gate() -> None:
    plan = taught_plan()
    assert all(no_tape_reason(reason, plan) for reason in get_args(TapeReason))
    decision = Decision("finish", "tape_not_allowed_today")
    page = DecisionPage(
        key="decision:3",
        before=8,
        latest=5,
        role="after_hands",
        decision=decision,
        tape_off=("rest",),
    )
    said = lines(page_view(page, setting(plan)))
    assert "The skin still needs rest: 24 hours from the last tape." in said


@pytest.mark.parametrize("reason", get_args(TrialRefusal))
def test_no_tape_by_the_trial_is_said_by_itself(reason: TrialRefusal) -> None:
    page = NoTapePage(reasons=(reason, "patch_test_missing", "rest"))
    said = lines(page_view(page, setting()))
    assert NO_TAPE_REASONS[reason] in said
    assert no_tape_reason("rest", taught_plan()) not in said
    assert "skin?" not in " ".join(said)
    assert faults(said) == []


def test_a_tape_day_that_cannot_be_kept_is_said_without_blame() -> None:
    page = NoTapePage(reasons=("patch_test_missing",), tape_day=True)
    said = lines(page_view(page, setting()))
    assert "If it cannot go on, this day goes without tape. Write your day page as always." in said
    assert faults(said) == []
    assert lines(page_view(replace(page, tape_day=False), setting())) == [
        line for line in said if "goes without tape" not in line
    ]


@pytest.mark.parametrize(
    ("reasons", "heading", "line"),
    [
        (("skin", "not_clean"), "No tape now", "Tape only once the skin is clear again."),
        (("not_clean", "reach"), "No tape now", "You can open Tape again later today."),
        (("skin", "locked"), "No tape today", None),
        (("rest",), "No tape today", None),
    ],
)
def test_what_may_pass_is_not_said_to_last_the_tape_day(
    reasons: tuple[TapeReason, ...], heading: str, line: str | None
) -> None:
    """The front page goes on to offer the tape of a tape day, and the gate asks each time."""
    view = page_view(NoTapePage(reasons=reasons, tape_day=True), setting())
    again = {"Tape only once the skin is clear again.", "You can open Tape again later today."}
    assert view.heading == heading
    assert again & set(lines(view)) == ({line} if line else set())
    assert faults(lines(view)) == []
    other = page_view(NoTapePage(reasons=reasons), setting())
    assert other.heading == "No tape today"
    assert not again & set(lines(other))


def test_hands_that_rest_for_the_trial_have_words() -> None:
    said = lines(page_view(routine.NoHandsPage(reason="trial", exercises=2), setting()))
    assert "Your tape trial is on. So the hands-on part rests today." in said
    assert "Your exercises come next." in said
    assert faults(said) == []


def test_a_step_over_its_limit_says_pain_and_limit() -> None:
    for stop, pain, limit in (("above_ceiling", 6, 5), ("above_rest", 4, 3), ("said", None, 5)):
        page = routine.StepStoppedPage(
            key="s",
            stop=stop,  # type: ignore[arg-type]
            pain=pain,
            most_pain=limit,
        )
        said = " ".join(lines(page_view(page, setting())))
        assert f"stop above {limit}" in said
        assert str(pain or "") in said


def test_the_lightest_pressure_and_the_veins_are_said_on_the_step() -> None:
    page = StepPage(
        key="step:1:1",
        round_number=1,
        rounds=2,
        index=1,
        count=3,
        technique=TECHNIQUES[0],
        asks=("lightest_hands", "not_over_veins"),
        most_pain=5,
    )
    said = " ".join(lines(page_view(page, setting())))
    lightest = CATALOGUE.pressure(CATALOGUE.techniques[0].pressure, lightest=True)
    assert lightest.word in said
    assert "Keep off the thick veins" in said
    plain = page_view(replace(page, asks=()), setting())
    assert "veins" not in " ".join(lines(plain))


def test_every_technique_and_exercise_reads_easily_for_both() -> None:
    found: list[str] = []
    for helping in (False, True):
        for number, technique in enumerate(TECHNIQUES, 1):
            step = StepPage(
                key=f"step:1:{number}",
                round_number=1,
                rounds=2,
                index=number,
                count=len(TECHNIQUES),
                technique=technique,
                asks=get_args(Ask) if helping else (),
                most_pain=5,
            )
            found += faults(lines(page_view(step, setting(helping=helping))))
        for number, exercise in enumerate(EXERCISES, 1):
            page = routine.ExercisePage(
                key=f"exercise:{number}",
                index=number,
                count=len(EXERCISES),
                exercise=exercise,
                most_pain=5,
                easier=helping,
            )
            found += faults(lines(page_view(page, setting(helping=helping))))
    assert found == []


@pytest.mark.parametrize("sets", [1, 3])
def test_the_rest_between_rounds_is_told_where_there_are_rounds(sets: int) -> None:
    """60 s by default: common practice, no source; on the page and in the booklet alike."""
    exercise = replace(EXERCISES[0], sets=sets)
    page = routine.ExercisePage(key="exercise:1", index=1, count=1, exercise=exercise, most_pain=5)
    plan = taught_plan(exercises=(exercise,))
    on_paper = str(booklet(plan, CATALOGUE, today=at(0).date()).pages)
    rest = CATALOGUE.exercise(exercise.exercise).rest_seconds.default
    told = f"rest about {rest} seconds"
    (count,) = (b for b in page_view(page, setting()).blocks if isinstance(b, Counting))
    rests = [beat.seconds for beat in count.beats if beat.kind == "rest"]
    assert rests == [rest] * (sets - 1)
    assert (told in on_paper) == (sets > 1)


def test_times_are_counted_in_words() -> None:
    page = StepPage(
        key="step:1:1",
        round_number=1,
        rounds=2,
        index=1,
        count=1,
        technique=Technique(technique="stroke_thigh", seconds=60, repeats=1),
        most_pain=5,
    )
    assert "60 seconds, once" in lines(page_view(page, setting()))
    twice = replace(page, technique=replace(page.technique, repeats=2))
    assert "60 seconds, 2 times" in lines(page_view(twice, setting()))


# ------------------------------------------------------------ hands and skin made ready


@pytest.mark.parametrize("helping", [False, True])
@pytest.mark.parametrize("lotion", [None, "plain skin lotion"])
def test_hands_are_made_ready_as_the_plan_says(lotion: str | None, helping: bool) -> None:
    """The plan's little lotion, named, and off before tape; else no cream and no pain gel."""
    plan = taught_plan({"when": "always", "highest": 1}, lotion=lotion)
    stand = setting(plan, helping=helping)
    ready = page_view(routine.HandsReadyPage(), stand)
    assert faults(lines(ready)) == []
    said = " ".join(lines(ready))
    assert ("plain skin lotion" in said) is (lotion is not None)
    assert ("No cream and no pain gel" in said) is (lotion is None)
    tape = page_view(taping.TapeReadyPage(stage=1, helper_needed=False), stand)
    off = CATALOGUE.hands_ready.lotion_off.person
    assert (off in lines(tape)) is (lotion is not None)
    paper = str(booklet(plan, CATALOGUE, today=at(0).date(), for_helper=helping).pages)
    for sentence in ready_words(ready):
        assert sentence in paper
    assert (off in paper) is (lotion is not None)


def ready_words(view: PageView) -> list[str]:
    """The sentences of the list, without a helper's verbs."""
    return [
        words
        for block in view.blocks
        for words in (block.items if isinstance(block, Numbered) else (_text(block),))
        if words
    ]


def _text(block: object) -> str:
    return block.text if isinstance(block, Text) else ""


def test_no_heat_on_tape_is_said_where_it_goes_on_and_in_the_booklet() -> None:
    heat = CATALOGUE.tape_steps.after_on[-1]
    plan = taught_plan({"when": "always", "highest": 1})
    assert heat in lines(page_view(taping.TapeOnPage(key="tape_on:1", stage=1), setting(plan)))
    assert heat in str(booklet(plan, CATALOGUE, today=at(0).date()).pages)


# ------------------------------------------------------------ cards


def test_a_card_has_the_numbers_the_clinic_typed_and_never_guesses_one() -> None:
    plan = taught_plan(contacts=(Contact(role="emergency", label="Emergency", number="555 0199"),))
    sign = HAS_CARD["chest_or_breath"]
    (phone,) = card_block(sign, plan, CATALOGUE).phones
    assert (phone.who, phone.number) == ("Emergency", "555 0199")
    bare = card_block(sign, taught_plan(contacts=()), CATALOGUE)
    assert [(line.who, line.number) for line in bare.phones] == [("Emergency", "")]


NUMBERS = (
    Contact(role="out_of_hours", number="555 0103"),
    Contact(role="doctor", number="555 0102", days="weekdays", opens="8:00", closes="18:00"),
    Contact(role="clinic", number="555 0101", days="weekdays", opens="8:30", closes="17:00"),
    Contact(role="emergency", number="555 0199"),
)


@pytest.mark.parametrize(
    ("sign", "hour", "first", "whom", "then"),
    [
        # Friday, 20 March 2026, at noon and in the evening: the surgery closes at 18.
        ("knee_hot_swollen", 12, "555 0102", "Call your doctor now.", ["555 0103", "555 0199"]),
        (
            "knee_hot_swollen",
            18,
            "555 0103",
            "Call the out-of-hours number now.",
            ["555 0102", "555 0199"],
        ),
        ("chest_or_breath", 18, "555 0199", "Call the emergency number.", []),
        ("lump", 12, "555 0101", "Call the clinic.", ["555 0102"]),
        ("lump", 17, "555 0102", "Call your doctor.", ["555 0101"]),
        (
            "faint_in_session",
            17,
            "555 0102",
            "Stop and sit or lie down. Then call your doctor.",
            ["555 0101"],
        ),
        ("tape_tingling", 20, "555 0103", "Take the tape off now, slowly.", ["555 0102"]),
        ("unwell", 20, "555 0103", "Do no routine until you are well.", ["555 0102"]),
        ("lump", 20, "555 0101", "Call the clinic.", ["555 0102"]),
    ],
)
def test_a_card_names_first_whoever_answers_at_that_hour(
    sign: str, hour: int, first: str, whom: str, then: list[str]
) -> None:
    now = datetime(2026, 3, 20, hour, 5, tzinfo=UTC)
    block = card_block(HAS_CARD[sign], taught_plan(contacts=NUMBERS), CATALOGUE, now)
    assert [phone.number for phone in block.phones] == [first, *then]
    assert block.actions[0] == whom
    assert block.no_answer == ("No answer? Then call:" if then else "No answer? Call again.")


def test_the_card_keeps_its_level_wherever_it_is_shown() -> None:
    for sign in CATALOGUE.stop_list.signs:
        pages: list[WalkPage] = [
            CardPage(key="c", sign=sign.id),
            clearing.OpenCardPage(key="o", sign=asked(sign.id)),
            routine.ClosedPage(sign=sign.id),
        ]
        for page in pages:
            view = page_view(page, setting())
            (block,) = [one for one in view.blocks if isinstance(one, CardBlock)]
            assert block.level == sign.level
            assert faults(lines(view), most_grade=5 if _urgent(page) else 6) == []


def test_an_open_sign_asks_what_fits_it() -> None:
    found = {}
    for sign in (
        "skin_broken",
        "unwell",
        "more_pain_two_days",
        "more_pain_after",
        "rest_or_night_pain",
    ):
        asks = asked(sign).asks
        assert asks is not None
        view = page_view(clearing.OpenSignPage(key="o", sign=sign, asks=asks), setting())
        found[sign] = next(b.question for b in view.blocks if isinstance(b, ChooseBlock))
    assert found["skin_broken"] == CATALOGUE.short_gate.skin_clear_question
    assert found["unwell"] == CATALOGUE.short_gate.well_again_question
    assert found["more_pain_two_days"] == "Have you called about this?"
    assert found["rest_or_night_pain"] == (
        "Were the last 7 nights as they were before you ticked this?"
    )
    assert found["more_pain_after"] == "Is that over?"


def test_no_day_before_the_sign_is_offered_for_a_check() -> None:
    few = page_view(clearing.CheckedPage(key="c", sign="lump", most_days_ago=0), setting())
    asked_when = [b for b in few.blocks if isinstance(b, ChooseBlock) and b.name == "days_ago"]
    assert [o.value for b in asked_when for o in b.options] == ["0"]
    many = page_view(clearing.CheckedPage(key="c", sign="lump", most_days_ago=12), setting())
    (number,) = [block for block in many.blocks if isinstance(block, Number)]
    assert (number.least, number.most, number.needed) == (0, 12, True)


def test_nothing_ticked_says_what_the_rule_says() -> None:
    unsure = page_view(stopping.NoneTickedPage(key="n", unsure=True), setting())
    assert "You can still be ill." in lines(unsure)
    none = page_view(stopping.NoneTickedPage(key="n"), setting())
    said = [b.text for b in none.blocks if isinstance(b, Text) and b.weight != "quiet"]
    assert [none.heading, *said] == list(CATALOGUE.short_gate.when_none)


# ------------------------------------------------------------ set-up and look-over


def test_the_check_move_is_set_up_as_in_the_plan() -> None:
    depth = Depth(seat_cm=46, arms_used=False, shoes=True, stick=True, support="the rail")
    move = CheckMove(name="step_down", safe="alone", depth=depth)
    view = page_view(routine.DepthPage(), setting(taught_plan(check_move=move)))
    said = " ".join(lines(view))
    for part in ("46 cm", "Without your arms", "With shoes", "With your stick", "the rail"):
        assert part in said


def test_a_scale_is_never_filled_in_and_the_scores_are_needed() -> None:
    page = MovePage(key="move:before:1", role="before", number=1, allowed=4)
    view = page_view(page, setting())
    (scale,) = [block for block in view.blocks if isinstance(block, Scale)]
    assert scale.needed
    assert not hasattr(scale, "value")
    assert view.main == Button("Next")


@pytest.mark.parametrize(
    ("after", "names"),
    [
        (("yes",), ["After hands"]),
        (("no", "yes"), ["After hands", "After hands, again"]),
        (("yes", "yes"), ["After round 1", "After round 2"]),
        (("yes", "no", "no"), ["After round 1", "After round 2", "After round 2, again"]),
        (("no", "yes", "yes"), ["After round 1", "After round 1, again", "After round 2"]),
    ],
)
def test_a_score_asked_again_is_no_further_round(after: tuple[str, ...], names: list[str]) -> None:
    moves = [MoveScore(role="before", score=7)]
    moves += [MoveScore(role="after_hands", score=3, same_depth=one == "yes") for one in after]
    end = RoutineEnd(ended="finished", reason="target_met", moves=tuple(moves))
    told = [name for name, _ in plain(session_lines(end, setting())).rows]
    assert told[1 : 1 + len(after)] == names


def test_a_score_with_tape_asked_again_says_so() -> None:
    first = MoveScore(role="after_tape", score=3, stage=1, same_depth=False)
    moves = (MoveScore(role="before", score=7), first, replace(first, same_depth=True))
    end = RoutineEnd(ended="finished", reason="target_met", moves=moves)
    told = [name for name, _ in plain(session_lines(end, setting())).rows]
    assert told[1:3] == ["With tape", "With tape, again"]


def test_a_session_is_looked_over_with_all_it_holds() -> None:
    end = RoutineEnd(
        ended="stopped",
        reason="worse_with_tape",
        rest_pain=2,
        signs=(SignTicked(sign="lump", mistake=True), SignTicked(sign="fever", mistake=False)),
        stage=0,
        comparable=False,
    )
    rows = plain(session_lines(end, setting())).rows
    names = [name for name, _ in rows]
    assert {"Pain at rest", "Tape", "Ticked", "Ticked by mistake", "How it ended"} <= set(names)
    assert ("Done the same way", "no") in rows
    assert plain(session_lines(RoutineEnd(ended="left", reason="left_behind"), setting())).rows == (
        ("How it ended", "It was not finished"),
    )


def test_a_page_nobody_described_is_a_bug() -> None:
    class Strange:
        key = "strange"

    with pytest.raises(TypeError, match="no view"):
        page_view(Strange(), setting())


def _tape_pages(plan: Plan, *, helping: bool = False) -> list[tuple[list[Step], PageView]]:
    """Every page of tape, as it goes on from bare skin up to short pieces, with its steps."""
    pages = [page for page, _ in walked_tape(2)]
    shown = []
    for page in pages:
        told = CATALOGUE.tape_steps.before
        if page.part == "stage":
            told = CATALOGUE.tape_steps.stages[page.stage - 1].steps
        steps = [told[index] for index in page.steps]
        shown.append((steps, page_view(page, setting(plan, helping=helping, now=ON_AT))))
    return shown


@pytest.mark.parametrize(("when", "unseen"), [("at_once", "Still"), ("after_30_min", "Pink")])
def test_skin_is_shown_as_each_answer_means_it_at_that_look(when: Any, unseen: str) -> None:
    """What is pink at the second look is still pink: a picture of passing pink beside the answer
    that it is gone would be taken for it."""
    view = page_view(taping.SkinPage(when=when), setting())
    (panels,) = (block for block in view.blocks if isinstance(block, Panels))
    words = [said_words(word.what) for one in panels.drawings for word in one.words]
    assert len(words) == 5
    assert not [word for word in words if word.startswith(unseen)]


ON_AT = datetime(2026, 12, 1, 18, 0, tzinfo=UTC)


def walked_tape(stage: int) -> list[tuple[taping.TapeStepPage, int]]:
    """The pages of tape steps of a walk from bare skin."""
    walk, found = taping.tape_steps(CATALOGUE, 0, stage, wear=1), []
    page = next(walk)
    while isinstance(page, taping.TapeStepPage):
        found.append((page, page.number))
        page = walk.send({})
    return found


@pytest.mark.parametrize("helping", [False, True])
def test_each_tape_step_shows_what_is_done_now(helping: bool) -> None:
    """Each moment of each strip has a panel of its own with its number and name, and none stands
    for two."""
    shown = []
    for steps, view in _tape_pages(taught_plan(), helping=helping):
        moments = [n for n, step in enumerate(steps, 1) if step.moment or step.flat]
        panels = [
            one for block in view.blocks if isinstance(block, Panels) for one in block.drawings
        ]
        stage = [block for block in view.blocks if isinstance(block, Moments)]
        for staged in stage:
            assert helping
            assert len(staged.each) == len(steps)
            panels = [staged.each[number - 1].drawing for number in moments]
        assert len(panels) == len(moments)
        for number, panel in zip(moments, panels, strict=True):
            words = {said_words(word.what) for word in panel.words}
            assert f"{number} {steps[number - 1].verb}" in words
            if steps[number - 1].moment == "bend":
                assert {"hip", "foot"} <= words
                assert "from its outer side" in said_words(panel.description)
            elif steps[number - 1].moment:
                assert {"inner", "outer", "hip", "foot"} <= words
                seen = "helper’s view" if helping else "as you see it"
                assert seen in said_words(panel.description)
        shown += panels
        if not helping:
            (numbered,) = (block for block in view.blocks if isinstance(block, Numbered))
            assert len(numbered.items) == len(steps)
        else:
            assert bool(stage) is bool(moments)
    assert len({drawing.items for drawing in shown}) == len(shown) == 16
    assert len(walked_tape(2)) <= 5


def test_the_day_it_must_come_off_is_named_where_it_is_to_be_written() -> None:
    """24 hours for the first wear, brought forward to nothing here: 18:00 is before the evening."""
    *others, (_, last) = _tape_pages(taught_plan())
    (off,) = (block for block in last.blocks if isinstance(block, Callout))
    assert off.heading == CATALOGUE.tape_steps.write_off_day.person
    assert off.text == "Wednesday 2 December, 18:00"
    assert not [block for _, view in others for block in view.blocks if isinstance(block, Callout)]


@pytest.mark.parametrize("helping", [False, True])
def test_the_step_that_draws_the_skin_says_where_and_which_way(helping: bool) -> None:
    plan = taught_plan()
    tape = replace(
        plan.tape, pull_at="upper_edge", pull_towards="inner", pull="Only a little, Edda."
    )
    said = [
        "Draw the skin beside the upper edge of the kneecap.",
        "Draw it towards the hip and the inner side.",
        "Your clinic adds: Only a little, Edda.",
    ]
    for steps, view in _tape_pages(replace(plan, tape=tape), helping=helping):
        told = [line for line in lines(view) if line in said]
        assert told == (said if any(step.moment == "draw" for step in steps) else [])
        assert faults(line for line in lines(view) if line != said[-1]) == []
    plain = [line for _, view in _tape_pages(plan) for line in lines(view)]
    assert not set(plain) & set(said)


@pytest.mark.parametrize("bend", [0, 30])
def test_how_to_sit_for_the_tape_is_seen_from_the_side(bend: int) -> None:
    plan = taught_plan()
    plan = replace(plan, tape=replace(plan.tape, knee_bend_degrees=bend))
    (picture,) = (
        block for _, view in _tape_pages(plan) for block in view.blocks
        if isinstance(block, Picture)
    )  # fmt: skip
    words = {said_words(word.what) for word in picture.drawing.words}
    assert "Right knee, from its outer side" in words
    assert ("Knee bent 30 degrees" in words) == bool(bend)


@pytest.mark.parametrize(("stage", "pieces"), [(1, ("side strip",)), (2, ("side", "short piece"))])
def test_the_step_that_cuts_says_how_long(stage: int, pieces: tuple[str, ...]) -> None:
    plan = taught_plan()
    knee = KneeMeasures(side="right", cut=CutLengths(side_strip_mm=200.0, short_piece_mm=90.0))
    plan = replace(plan, tape=replace(plan.tape, length_from="as_cut"), knees=(knee,))
    before = CATALOGUE.tape_steps.before
    (page,) = (
        page for page, _ in walked_tape(stage)
        if page.part == "before" and any(before[index].cuts for index in page.steps)
    )  # fmt: skip
    said = " ".join(lines(page_view(page, setting(plan))))
    # 200 mm slack on tape that sits 10 % stretched on its paper is 220 mm there: arithmetic.
    assert "Cut each side strip 220 mm long, measured on its paper." in said
    assert ("Cut each short piece 99 mm long, measured on its paper." in said) is (stage == 2)
    assert all(piece in said for piece in pieces)
    bare = " ".join(lines(page_view(page, setting(replace(plan, knees=())))))
    assert "Ask your clinic how long to cut each side strip." in bare
