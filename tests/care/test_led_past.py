"""What a careful clinician would stop, and the program once led past: each scenario with its tests.

Every one of them was played by the walks as they were before the policy, and failed there. Numbers
and letters are those under which they were found: of the trade, then of the clinic's desk, of the
person at home, of the rooms. Whoever lets a test go lets it go by name.

2 A call card stopped nothing (a lump, new night pain, weight loss, past cancer, several joints,
fast worse, long stiffness): hands and tape went on, and "I have called" alone cleared it.
    tests/care/test_led_past.py::test_a_call_card_stops_what_it_names
    tests/services/test_signs.py::test_a_call_card_closes_hands_and_tape_until_somebody_said_go_on
    tests/care/test_clearing.py::test_not_spoken_of_opens_seated_exercise_alone
    tests/care/test_clearing.py::test_whom_is_asked_once_somebody_was_reached
3 "Do no standing steps" was followed by four standing check moves.
    tests/care/test_led_past.py::test_told_to_sit_nobody_is_led_to_stand
    tests/services/test_signs.py::test_told_to_sit_is_not_told_to_stand_for_a_score
    tests/services/test_policy_everywhere.py::test_the_routine_offers_what_is_open_and_nothing_else
4 The list could be left unread, and "not sure" with nothing ticked said "go on".
    tests/care/test_led_past.py::test_not_sure_and_nothing_ticked_is_not_waved_on
    tests/ui/home/test_gate.py::test_none_of_these_is_said_only_with_the_end_in_sight
    tests/ui/home/test_gate.py::test_every_level_has_a_look_of_its_own
    tests/care/test_stopping.py::test_a_yes_or_not_sure_opens_its_own_rows_and_no_others
5 A knee swollen over days, a fall with no hurt knee, a hip, a head, dizziness matched no row.
    tests/care/test_led_past.py::test_what_is_new_has_a_row_and_a_card
    tests/care/test_led_past.py::test_a_head_knock_names_more_than_a_thinner
6 An X-ray rule was used as leave to train on a fresh twist.
    tests/care/test_led_past.py::test_a_twist_with_more_pain_and_no_item_of_the_x_ray_rule_is_told
    tests/care/test_catalogue.py::test_the_x_ray_rule_sends_and_clears_nobody
    tests/care/test_led_past.py::test_paper_tells_of_a_twist_what_the_questions_of_the_screen_ask
7 Nothing limited the check move, and nothing a very bad day.
    tests/care/test_led_past.py::test_a_very_bad_day_is_scored_once
    tests/care/test_routine.py::test_a_very_bad_day_is_scored_once_and_goes_gently
    tests/care/test_routine.py::test_the_third_bad_session_running_brings_the_plan_for_a_bad_spell_or_the_call
    tests/services/test_other_doors.py::test_after_a_bad_day_no_door_of_that_day_offers_what_it_left_out
8 How the knee took the last routine was not asked, and changed no dose.
    tests/care/test_led_past.py::test_the_gate_asks_how_the_knee_took_the_last_routine
    tests/services/test_bad_spell.py::test_two_mornings_of_more_pain_make_the_next_routine_a_step_less
    tests/test_whole_outputs.py::test_every_limit_stands_on_the_page_of_the_booklet_it_limits
9 The day page took alarming answers in silence; two never reached the clinic's page.
    tests/care/test_day_questions.py::test_an_answer_that_is_new_leads_to_the_signs_it_may_mean
    tests/evidence/test_unsafe.py::test_new_answers_are_unsafe_and_usual_ones_are_not
    tests/care/test_day_answers.py::test_two_steps_above_the_first_full_page_are_new
    tests/presentation/papers/test_summary.py::test_swelling_nights_and_stiffness_are_told_where_they_alarm
10 Cautions guarded hands and tape, and almost none exercise or the check move.
    tests/care/test_led_past.py::test_a_caution_guards_standing_too
    tests/presentation/test_caution_effects.py::test_what_is_not_ready_closes_its_part_and_leaves_the_rest
    tests/care/test_caution_rules.py::test_exercise_stays_open_but_for_the_few_that_close_it_until_ticked
    tests/care/test_led_past.py::test_what_nobody_asked_the_clinician_is_asked
13 Nails, rings, cold hands, gel and heat on tape were not spoken of, nor a rash that comes late.
    tests/care/test_catalogue.py::test_hands_and_skin_are_made_ready
    tests/care/test_catalogue.py::test_tape_facts_in_words
    tests/presentation/home/test_routine_pages.py::test_hands_are_made_ready_as_the_plan_says
    tests/presentation/home/test_routine_pages.py::test_no_heat_on_tape_is_said_where_it_goes_on_and_in_the_booklet
    tests/presentation/papers/test_booklet.py::test_what_makes_hands_and_skin_ready_stands_in_the_booklet
    tests/presentation/home/test_patch_pages.py::test_two_clear_looks_ask_for_one_more_a_week_later
14 Of tape, hands, the chair stand and flares more was said than is known.
    tests/care/test_catalogue.py::test_what_is_known_is_said_and_no_more
    tests/care/test_catalogue.py::test_a_number_of_what_is_known_is_that_of_its_fact
    tests/presentation/clinic/test_review.py::test_a_chair_stand_beside_the_table
    tests/presentation/clinic/test_review.py::test_a_flare_is_told_to_go_by_the_persons_own_median
16 Fever opened for nobody, sudden pain was no call for the day, who answers at that hour was left
to the reader, cards did not say that nobody signed them, who is alone was told to walk with help.
    tests/care/test_clearing.py::test_fever_is_opened_by_the_person_only_when_all_of_rule_6_is_so
    tests/services/test_signs.py::test_a_fever_that_is_over_is_opened_by_the_person
    tests/presentation/home/test_routine_pages.py::test_a_card_names_first_whoever_answers_at_that_hour
    tests/presentation/test_unsigned.py::test_each_page_with_signs_says_so_until_somebody_signed
    tests/presentation/test_caution_effects.py::test_who_lives_alone_is_told_to_call_first_and_unlock_the_door
A3 Steps stopped for pain did not count as unsafe.
    tests/presentation/papers/test_summary.py::test_steps_stopped_for_pain_are_unsafe
    tests/evidence/test_unsafe.py::test_a_step_stopped_again_and_again_or_by_high_pain_is_unsafe
A10 A plan was signed with no number, or with one that nobody can dial.
    tests/care/test_contacts.py::test_nobody_signs_a_plan_without_the_numbers_its_cards_name
    tests/care/test_contacts.py::test_what_cannot_be_dialled_is_none
D No latex, no reason for an overruled caution, nobody living alone, no days with the helper.
    tests/care/test_caution_rules.py::test_answers
    tests/care/test_plan_faults.py::test_an_opened_caution_keeps_its_reason
    tests/care/test_caution_rules.py::test_living_alone_closes_nothing
    tests/care/test_caution_rules.py::test_steps_with_the_helper_are_not_on_days_without
B6 Forty signs stood in one column, the first three in sight.
    tests/ui/home/test_gate.py::test_nothing_new_takes_about_forty_seconds_and_a_press_for_each_question
    tests/ui/home/test_gate.py::test_none_of_these_is_said_only_with_the_end_in_sight
B8 With pain at rest above the limit the exercises came, limit and all, and no number was said.
    tests/care/test_routine.py::test_rest_pain_above_the_limit_leaves_hands_and_standing_out_for_the_day
    tests/care/test_routine.py::test_pain_at_rest_above_the_limit_leaves_the_gentle_exercises_to_two_above_where_it_began
    tests/test_whole_outputs.py::test_every_limit_stands_as_its_number_on_the_page_it_limits
B10 A card was cleared by a press, and nobody asked what was said of the routine.
    tests/care/test_clearing.py::test_only_these_opens_these_and_all_of_them_clears
    tests/services/test_signs.py::test_what_was_told_is_written_at_the_gate_and_opens_as_it_says
A5 Stop never asked which of two knees.
    tests/services/test_signs.py::test_which_knee_is_asked_after_the_card_and_until_then_it_is_both
    tests/presentation/home/test_signs_of_two_knees.py::test_the_walk_s_knee_is_no_answer_to_which
"""

import re
from collections.abc import Iterable
from pathlib import Path
from typing import Any

import pytest

from companion.care.plan_faults import playable_exercises
from companion.care.ready import routine_asks
from companion.care.records import CautionAnswer, CheckMove, MoveName, Part, Plan
from companion.care.routine import ExercisePage, routine
from companion.care.stopping import GatePage
from companion.presentation.home.settings_pages import signs_in_words
from tests.builders import DAY
from tests.care.walking import CATALOGUE, NO_CAUTIONS, pages_of, start_of, taught_plan, walked
from tests.steady import steady

TAPED: dict[str, Any] = {"when": "always", "highest": 1}
PARTS = {
    "StepPage": "hands",
    "MovePage": "check_move",
    "TapeStepPage": "tape",
    "TapeOnPage": "tape",
}


def gate(question: int | None, said: str = "yes") -> dict[str, Any]:
    """The gate with one question answered so and the others with no."""
    replies = {f"q{n}": said if n == question else "no" for n in range(1, 5)}
    return replies | {"gate": "none" if question is None else "something"}


def played(plan: Plan, question: int | None = None, **by_page: Any) -> list[Any]:
    """The pages of a routine, with these answers by the name of the page and a steady person's."""
    rows = tuple(sign.id for sign in CATALOGUE.stop_list.signs if sign.question is not None)

    def answer(page: Any) -> Any:
        name = type(page).__name__
        if name in by_page:
            said = by_page[name]
            return said(page) if callable(said) else said
        return gate(question) if name == "GatePage" else steady(page)

    pages, _, _ = walked(routine(plan, CATALOGUE, start_of(plan, asked_signs=rows)), answer)
    return pages


def offered(pages: Iterable[Any]) -> set[str]:
    """What of the routine they ask somebody to do."""
    found = set()
    for page in pages:
        name = type(page).__name__
        if name == "ExercisePage":
            sheet = CATALOGUE.exercise(page.exercise.exercise)
            found.add("standing" if sheet.standing else "seated")
        elif name in PARTS:
            found.add(PARTS[name])
    return found


def ticked(sign: str, plan: Plan | None = None) -> list[Any]:
    """A routine in which that row is ticked at the gate."""
    row = CATALOGUE.sign(sign)
    whole = plan or taught_plan(TAPED)

    def rows(page: Any) -> Any:
        assert sign in page.signs
        return {"signs": [sign]}

    return played(whole, row.question, StopListPage=rows)


def cards(pages: Iterable[Any]) -> list[str]:
    return [page.sign for page in pages if type(page).__name__ == "CardPage"]


@pytest.mark.parametrize(
    "sign",
    [
        *("lump", "rest_or_night_pain", "weight_loss", "past_cancer", "several_joints"),
        *("fast_worse", "stiff_mornings"),
    ],
)
def test_a_call_card_stops_what_it_names(sign: str) -> None:
    pages = ticked(sign)
    assert cards(pages) == [sign]
    assert not {"hands", "tape"} & offered(pages)
    assert "seated" in offered(pages), "guidelines keep exercise"


@pytest.mark.parametrize("move", ["rise_from_chair", "small_squat", "step_down", "stairs"])
@pytest.mark.parametrize("sign", ["gives_way_worse", "gives_way_known", "sudden_pain_every_step"])
def test_told_to_sit_nobody_is_led_to_stand(sign: str, move: MoveName) -> None:
    plan = taught_plan(TAPED, check_move=CheckMove(name=move, safe="alone"))
    assert not {"check_move", "standing"} & offered(ticked(sign, plan))


@pytest.mark.parametrize("question", [1, 2, 3, 4])
def test_not_sure_and_nothing_ticked_is_not_waved_on(question: int) -> None:
    pages = played(
        taught_plan(TAPED),
        GatePage=gate(question, "not_sure"),
        StopListPage={"signs": [], "rest": "not_sure"},
    )
    assert cards(pages)
    assert not {"hands", "tape"} & offered(pages)
    assert not [page for page in pages if type(page).__name__ == "NoneTickedPage"]


@pytest.mark.parametrize(
    "sign",
    [
        *("swollen_days", "fall_unhurt", "fall_hurt_elsewhere", "hip_after_fall"),
        *("hip_sore_after_fall", "back_pain_after_fall", "blackout_fall", "dizzy_on_rising"),
    ],
)
def test_what_is_new_has_a_row_and_a_card(sign: str) -> None:
    assert cards(ticked(sign)) == [sign]


def test_a_head_knock_names_more_than_a_thinner() -> None:
    """Blackout, memory, a fit, headache and confusion (fact: sign_head)."""
    words = CATALOGUE.sign("head_knock").words.lower()
    for one in ("thinner", "blacked out", "recall", "fit", "head hurts more", "confused"):
        assert one in words, words


def test_a_twist_with_more_pain_and_no_item_of_the_x_ray_rule_is_told() -> None:
    def replies(page: Any) -> Any:
        asked = CATALOGUE.sign(page.sign).questions
        return {one.id: "yes" if one.id == "hurts_more" else "no" for one in asked}

    pages = played(
        taught_plan(TAPED), 2, StopListPage={"signs": ["injury_check"]}, SignQuestionsPage=replies
    )
    assert cards(pages) == ["injury_hurts_more"]
    assert offered(pages) == {"seated"}


def test_a_very_bad_day_is_scored_once() -> None:
    """Ten at the start was followed by three more check moves, two rounds and tape."""
    pages = played(taught_plan(TAPED, bad_day_mark=8), MovePage={"score": 10, "same_depth": True})
    assert sum(type(page).__name__ == "MovePage" for page in pages) <= 1
    assert not {"standing", "tape"} & offered(pages)


def test_the_gate_asks_how_the_knee_took_the_last_routine() -> None:
    plan = taught_plan()
    start = start_of(plan, after_last=True)
    pages, _, _ = walked(
        routine(plan, CATALOGUE, start),
        lambda page: (
            gate(None) | {"after_last": "same"}
            if type(page).__name__ == "GatePage"
            else steady(page)
        ),
    )
    assert [page.after_last for page in pages_of(pages, GatePage)] == [True]


@pytest.mark.parametrize(
    "caution",
    [
        *("poor_sight", "weak_hands", "cannot_tell_pain", "kneecap_slips_out"),
        *("severe_osteoporosis", "operation_recent", "clot_untreated", "unstable_heart_lung"),
        *("uncontrolled_pressure", "unexplained_faint", "diabetes", "falls_two", "unsteady"),
        *("dizzy_rising", "hip_replaced"),
    ],
)
def test_a_caution_guards_standing_too(caution: str) -> None:
    """It closes what is done standing, or says there what to mind."""
    assert caution in {one.id for one in CATALOGUE.cautions.cautions}
    yes = CautionAnswer(caution=caution, answer=True, on=DAY)
    others = tuple(one for one in NO_CAUTIONS if one.caution != caution)
    plan = taught_plan(cautions=(*others, yes))
    exercises = playable_exercises(plan, "right", CATALOGUE, (), DAY, False)
    start = start_of(plan, exercises=exercises, asks=routine_asks(plan, CATALOGUE.policy))
    pages, _, _ = walked(routine(plan, CATALOGUE, start), steady)
    standing = [
        page
        for page in pages_of(pages, ExercisePage)
        if CATALOGUE.exercise(page.exercise.exercise).standing
    ]
    assert all(page.asks for page in standing)


@pytest.mark.parametrize(
    ("caution", "parts"),
    [
        ("unstable_heart_lung", {"seated", "standing", "check_move"}),
        ("uncontrolled_pressure", {"seated", "standing", "check_move"}),
        ("unexplained_faint", {"seated", "standing", "check_move"}),
        ("falls_two", {"standing", "check_move"}),
        ("unsteady", {"standing", "check_move"}),
        ("dizzy_rising", {"standing", "check_move"}),
        ("diabetes", {"tape_on", "standing"}),
        ("kidney_failure", {"hands", "seated", "standing"}),
        ("immune_drugs", {"hands", "seated", "standing"}),
        ("skin_disease", {"hands", "tape_on"}),
        ("clot_past", {"hands", "seated", "standing"}),
        ("lymphoedema", {"hands", "tape_on"}),
        ("poor_circulation", {"tape_on", "standing"}),
        ("leg_ulcer", {"hands", "tape_on", "standing"}),
        ("crps", {"hands", "tape_on"}),
        ("cannot_tell_pain", {"hands", "tape_on", "seated", "standing", "check_move"}),
        ("pregnancy", {"hands", "seated", "standing"}),
        ("hip_replaced", {"hands", "seated", "standing", "check_move"}),
    ],
)
def test_what_nobody_asked_the_clinician_is_asked(caution: str, parts: set[Part]) -> None:
    """Each is a caution of its own now, and says something of these parts at least."""
    asked = {one.id: one for one in CATALOGUE.cautions.asked()}
    assert asked[caution].clinic_words
    assert parts <= CATALOGUE.policy.caution(caution).guards


def test_paper_tells_of_a_twist_what_the_questions_of_the_screen_ask() -> None:
    """Its row stood bare under "be seen today" there, so each knock was to be seen."""
    sign = CATALOGUE.sign("injury_check")
    assert sign.told is not None
    for words in ("four steps", "right angle", "sore bone", "55"):
        assert words in sign.told
    assert sign.told in signs_in_words(CATALOGUE, "today")
    assert sign.words not in signs_in_words(CATALOGUE, "today")


def test_each_scenario_names_living_tests() -> None:
    scenarios = re.split(r"^(?=(?:\d+|[A-D]\d*) \S)", __doc__ or "", flags=re.MULTILINE)[1:]
    assert [int(one.split()[0]) for one in scenarios[:9]] == [*range(2, 11)]
    for scenario in scenarios:
        named = re.findall(r"^    (\S+\.py)::(test_\w+)$", scenario, re.MULTILINE)
        assert named, scenario
        for file, test in named:
            text = (Path(__file__).parents[2] / file).read_text("utf-8")
            assert f"def {test}(" in text, (file, test)
