"""The catalogue itself: signs and their cards, cautions and what they block, tape, lookups."""

import itertools
import re
from typing import get_args

import pytest

from companion.care import records
from companion.care.catalogue import (
    Sign,
    TriAnswer,
    sign_led_to,
)
from companion.care.levels import PARTS, level_rank
from companion.care.records import Level
from companion.presentation.language.fact_words import known_words
from tests.care.content import CATALOGUE, FACTS
from tests.care.walking import taught_plan

SIGNS = CATALOGUE.stop_list.signs

# Every row of the stop list: level, the signs that carry it, and the source of each as it is shown.
# Rows without one say "from memory" or "no source".
STOP_LIST_ROWS: tuple[tuple[Level, tuple[str, ...], str], ...] = (
    ("emergency", ("chest_or_breath",), "NG158"),
    ("today", ("leg_swollen", "sore_calf"), "NG158"),
    ("today", ("knee_hot_swollen",), "Coakley 2006"),
    ("emergency", ("infection_confused",), "NG51"),
    ("emergency", ("help_now",), "our choice, no source"),
    ("today", ("fever", "fever_checked"), "from memory"),
    ("emergency", ("fever_chemotherapy",), "from memory"),
    ("today", ("hot_knee_weak_defences",), "Coakley 2006"),
    ("care", ("unwell",), "from memory"),
    ("today", ("injury_check",), "Stiell 1996"),
    ("call", ("injury_hurts_more", "head_knock_other"), "common practice, no source"),
    ("care", ("light_bump",), "common practice, no source"),
    ("emergency", ("injury_shape",), "NHS Lothian 2024"),
    ("emergency", ("hip_after_fall", "blackout_fall"), "from memory"),
    ("today", ("hip_sore_after_fall", "back_pain_after_fall"), "from memory"),
    ("call", ("fall_hurt_elsewhere", "fall_unhurt"), "common practice, no source"),
    ("call", ("dizzy_on_rising", "dizzy_again", "swollen_days"), "common practice, no source"),
    ("call", ("two_slow_signs",), "Downie 2021"),
    ("call", ("not_sure_body", "not_sure_again", "not_sure_skin_again"), "our choice, no source"),
    ("care", ("not_sure_fall", "not_sure_knee", "not_sure_skin"), "our choice, no source"),
    ("emergency", ("head_knock",), "NICE 2023, guideline NG232"),
    ("today", ("pop_cannot_straighten",), "NHS Lothian 2024"),
    ("today", ("knee_stuck", "big_swelling"), "NHS Lothian 2024"),
    ("emergency", ("big_swelling_blood_thinner",), "Dalrymple 2022"),
    ("today", ("gave_way_fell", "gives_way_new"), "NHS 2026"),
    ("care", ("gives_way_known",), "common practice, no source"),
    ("call", ("gives_way_worse",), "common practice, no source"),
    ("emergency", ("foot_cold",), "Royal College of Emergency Medicine 2022"),
    ("emergency", ("saddle_numb",), "GIRFT 2023"),
    ("emergency", ("stroke_signs",), "NG127"),
    ("today", ("foot_drop",), "NHS Lothian 2025"),
    ("today", ("skin_spreading",), "NHS 2024"),
    ("call", ("skin_broken",), "common practice, no source"),
    ("call", ("rest_or_night_pain", "past_cancer"), "Downie 2021"),
    ("call", ("lump", "weight_loss"), "NHS Kernow 2019"),
    ("today", ("sudden_pain_no_weight",), "Huizinga 2020"),
    ("call", ("sudden_pain_every_step",), "Huizinga 2020"),
    ("today", ("operated_knee",), "Leeds Teaching Hospitals NHS Trust 2008"),
    ("today", ("injection_hotter",), "Coakley 2006"),
    ("call", ("stiff_mornings", "several_joints", "fast_worse"), "NG226"),
    ("emergency", ("allergic_reaction",), "from memory"),
    ("care", ("tape_tingling",), "from memory"),
    ("today", ("tape_tingling_stays",), "from memory"),
    ("call", ("skin_broken_before_replacement",), "common practice, no source"),
    ("call", ("faint_in_session",), "from memory"),
    ("care", ("pain_over_limit",), "Ageberg 2010"),
    ("care", ("more_pain_after",), "RACGP 2020"),
    ("call", ("more_pain_two_days",), "RACGP 2020"),
    ("call", ("patch_call",), "common practice, no source"),
    ("call", ("dose_call",), "our choice, no source"),
    ("call", ("spell_call",), "common practice, no source"),
    ("care", ("rest_or_night_pain_known",), "our choice, no source"),
    ("care", ("stiff_mornings_known",), "NG226"),
)
GIVES_NO_TIME = {
    "sudden_pain_no_weight",
    "sudden_pain_every_step",
    "past_cancer",
    "lump",
    "weight_loss",
}
"""Signs whose source says what they may be and not how fast to act."""


@pytest.mark.parametrize(("level", "sign_ids", "source"), STOP_LIST_ROWS)
def test_each_row_of_the_stop_list(level: Level, sign_ids: tuple[str, ...], source: str) -> None:
    for sign_id in sign_ids:
        sign = CATALOGUE.sign(sign_id)
        assert sign.level == level
        assert source in "; ".join(fact.named for fact in FACTS.of(sign.facts))
        assert sign_id not in GIVES_NO_TIME or "sign_levels" in sign.facts


def test_no_sign_outside_the_rows() -> None:
    listed = [sign_id for _, sign_ids, _ in STOP_LIST_ROWS for sign_id in sign_ids]
    assert sorted(listed) == sorted(sign.id for sign in SIGNS)


@pytest.mark.parametrize("sign", SIGNS, ids=lambda sign: sign.id)
def test_each_sign_reaches_its_card_at_its_level(sign: Sign) -> None:
    card = CATALOGUE.card(sign.card)
    assert card.level == sign.level
    assert card.heading
    assert card.actions


@pytest.mark.parametrize("sign", SIGNS, ids=lambda sign: sign.id)
def test_what_each_level_closes(sign: Sign) -> None:
    """Emergency and today end the session and close everything until checked."""
    high = sign.level in ("emergency", "today")
    row = CATALOGUE.policy.sign(sign.id)
    if high:
        assert row.parts == PARTS
        # A fever is over by what the person says of it, from its third day on (rule r06).
        person = ("well_again",) if sign.id == "fever" else ()
        (closing,) = row.closes
        assert closing.opens == ("checked_by_professional", *person)
        assert closing.after_days == (2 if person else 0)
        assert row.ends == "session"
    # Nothing ever closes tape off, the record, phone numbers or Visit: they are no part.
    assert not {"tape_off", "record", "stop", "numbers", "visit", "plan"} & {*PARTS}


def test_which_signs_may_be_known() -> None:
    """What a person may have had for long: of the signs to call about or care for, and of those to
    be seen today a swollen leg, a lock that frees itself and giving way; never an emergency, a fall
    or what is new by its nature. Common practice, no source."""
    known = {sign.id for sign in SIGNS if CATALOGUE.policy.sign(sign.id).known_since}
    assert known == {
        *("gives_way_new", "leg_swollen", "knee_stuck"),
        *("rest_or_night_pain", "stiff_mornings", "lump", "weight_loss", "past_cancer"),
        *("several_joints", "skin_broken", "swollen_days", "dizzy_on_rising"),
    }
    for sign in SIGNS:
        assert (sign.known_words is not None) == (sign.id in known)
        if sign.known_as is not None:
            assert CATALOGUE.sign(sign.known_as).level == "care"


HANDS_AND_TAPE = ("hands", "tape_on", "outing_tape")
CLOSED = {
    "unwell": PARTS,
    "faint_in_session": PARTS,
    "gives_way_worse": ("standing", "check_move"),
    "gives_way_known": ("standing", "check_move"),
    "sudden_pain_every_step": ("hands", "tape_on", "standing", "check_move", "outing_tape"),
    "fast_worse": ("hands", "tape_on", "standing", "check_move", "outing_tape"),
    **dict.fromkeys(
        (
            *("lump", "weight_loss", "past_cancer", "rest_or_night_pain", "stiff_mornings"),
            *("several_joints", "skin_broken", "skin_broken_before_replacement"),
        ),
        HANDS_AND_TAPE,
    ),
    **dict.fromkeys(("tape_tingling", "patch_call"), ("tape_on", "outing_tape")),
    # New or not sure what, a fall, a knock, dizzy; two slow signs; swollen over days.
    **dict.fromkeys(("not_sure_body", "head_knock_other"), PARTS),
    **dict.fromkeys(("not_sure_skin", "not_sure_skin_again", "light_bump"), HANDS_AND_TAPE),
    **dict.fromkeys(("fall_unhurt", "dizzy_on_rising", "dizzy_again"), ("standing", "check_move")),
    **dict.fromkeys(
        (
            *("not_sure_fall", "not_sure_knee", "not_sure_again", "injury_hurts_more"),
            *("fall_hurt_elsewhere", "swollen_days", "two_slow_signs"),
        ),
        ("hands", "tape_on", "standing", "check_move", "outing_tape"),
    ),
}
"""What signs below today close (C: the table of the policy); all others close nothing."""


def test_what_the_lower_signs_close() -> None:
    """A card that says do not press or rub closes hands; one that says seated steps only closes the
    check move too."""
    policy = CATALOGUE.policy
    for sign in SIGNS:
        if sign.level in ("call", "care"):
            assert policy.sign(sign.id).parts == CLOSED.get(sign.id, ()), sign.id
    assert policy.sign("pain_over_limit").ends == "step"
    assert policy.sign("faint_in_session").ends == "session"
    assert [one.asked for one in policy.sign("skin_broken").closes] == ["skin_read_clear"]
    assert [one.asked for one in policy.sign("unwell").closes] == ["well_again"]


def test_tape_comes_off_where_the_rows_say_so() -> None:
    off = {sign.id for sign in SIGNS if sign.tape_off_now}
    assert off >= {"foot_cold", "tape_tingling", "skin_broken"}
    assert "chest_or_breath" not in off
    for sign_id in off:
        said = CATALOGUE.card(CATALOGUE.sign(sign_id).card).actions
        assert any({"tape", "off"} <= set(re.findall(r"\w+", action)) for action in said), sign_id


def test_planned_replacement_calls_the_surgical_team() -> None:
    sign = CATALOGUE.sign("skin_broken_before_replacement")
    assert sign.asked_when == "replacement_listed"
    assert CATALOGUE.card(sign.card).contacts[0] == "surgical_team"


# The Ottawa knee rule, Stiell 1996, JAMA 275:611: after an injury of the last 7 days, any of age
# 55 and over, sore kneecap bone or fibular head, no bend to 90 degrees, no four steps. In this
# list all but the four steps count only when the knee hurts more than before.
OTTAWA: tuple[tuple[str, dict[str, TriAnswer], str], ...] = (
    ("none of them", {}, "light_bump"),
    ("cannot walk four steps", {"cannot_walk_four_steps": "yes"}, "injury_check"),
    ("55 but no more pain", {"age_55_and_over": "yes"}, "light_bump"),
    ("hurts more, nothing else", {"hurts_more": "yes"}, "injury_hurts_more"),
    ("hurts more at 55", {"hurts_more": "yes", "age_55_and_over": "yes"}, "injury_check"),
    ("hurts more, no bend", {"hurts_more": "yes", "cannot_bend_to_90": "yes"}, "injury_check"),
    ("hurts more, sore bone", {"hurts_more": "yes", "sore_bone": "yes"}, "injury_check"),
    ("no more pain", {"sore_bone": "yes", "cannot_bend_to_90": "yes"}, "light_bump"),
    ("not sure about four steps", {"cannot_walk_four_steps": "not_sure"}, "injury_check"),
    ("not sure of both", {"hurts_more": "not_sure", "sore_bone": "not_sure"}, "injury_check"),
    ("not sure of more pain alone", {"hurts_more": "not_sure"}, "injury_hurts_more"),
)


@pytest.mark.parametrize(("case", "answers", "led_to"), OTTAWA, ids=[row[0] for row in OTTAWA])
def test_the_x_ray_rule_sends_and_clears_nobody(
    case: str, answers: dict[str, TriAnswer], led_to: str
) -> None:
    """Its five questions say who needs an X-ray. Whoever needs none, but has more pain, is to call;
    and no answer leaves a knock without a card."""
    sign = CATALOGUE.sign("injury_check")
    submitted: dict[str, TriAnswer] = {question.id: "no" for question in sign.questions}
    assert sign_led_to(sign, submitted | answers) == led_to, case


FEVER: tuple[tuple[tuple[str, ...], str], ...] = (
    ((), "fever"),
    (("knee_hotter",), "fever_checked"),
    (("joint_replaced",), "fever_checked"),
    (("injection_14_days",), "fever_checked"),
    (("weak_defences",), "fever_checked"),
    (("on_chemotherapy",), "fever_chemotherapy"),
    (("on_chemotherapy", "knee_hotter"), "fever_chemotherapy"),
)


@pytest.mark.parametrize(("yes", "led_to"), FEVER)
def test_a_fever_is_graver_with_what_the_rule_names(yes: tuple[str, ...], led_to: str) -> None:
    """On chemotherapy an emergency; a professional clears it where the knee is hotter, a joint was
    replaced or injected, or the defences are weak. Common practice, no source."""
    sign = CATALOGUE.sign("fever")
    submitted: dict[str, TriAnswer] = {
        question.id: "yes" if question.id in yes else "no" for question in sign.questions
    }
    assert sign_led_to(sign, submitted) == led_to


def test_ottawa_numbers_in_the_words() -> None:
    """Stiell 1996: 55 years, four steps, 90 degrees; seven days after the injury."""
    sign = CATALOGUE.sign("injury_check")
    asked = {question.id: question.words for question in sign.questions}
    assert "7 days" in sign.words
    assert "four steps" in asked["cannot_walk_four_steps"]
    assert "90 degrees" in asked["cannot_bend_to_90"]
    assert "55 or older" in asked["age_55_and_over"]


def test_a_question_left_unanswered_is_not_a_no() -> None:
    assert sign_led_to(CATALOGUE.sign("injury_check"), {}) == "injury_check"


ASKING = [sign for sign in SIGNS if sign.questions]


@pytest.mark.parametrize("sign", ASKING, ids=lambda sign: sign.id)
def test_more_yes_never_lowers_the_level(sign: Sign) -> None:
    ids = [question.id for question in sign.questions]
    for answers in itertools.product(("no", "yes"), repeat=len(ids)):
        submitted: dict[str, TriAnswer] = dict(zip(ids, answers, strict=True))  # type: ignore[arg-type]
        before = level_rank(CATALOGUE.sign(sign_led_to(sign, submitted)).level)
        for question_id in ids:
            more = CATALOGUE.sign(sign_led_to(sign, submitted | {question_id: "yes"}))
            assert level_rank(more.level) >= before


def test_numbers_in_the_words_of_other_rows() -> None:
    """NG226: stiffness over 30 minutes; Coakley 2006: two weeks; injection 7 days; fever 38 C."""
    assert "more than 30 minutes" in CATALOGUE.sign("stiff_mornings").words
    assert "two weeks" in CATALOGUE.sign("knee_hot_swollen").words
    assert "7 days" in CATALOGUE.sign("injection_hotter").words
    assert "38" in CATALOGUE.sign("fever").words
    assert "30 minutes" in CATALOGUE.sign("tape_tingling_stays").words
    assert "2 hours" in CATALOGUE.sign("more_pain_after").words
    assert "dark skin" in CATALOGUE.sign("leg_swollen").words


def test_levels_rise_to_emergency() -> None:
    levels: tuple[Level, ...] = ("care", "call", "today", "emergency")
    assert [level_rank(level) for level in levels] == [0, 1, 2, 3]


def test_techniques_are_done_sitting_or_lying_and_reach_every_zone_that_hands_may() -> None:
    served: set[str] = set()
    for technique in CATALOGUE.techniques:
        assert not technique.standing
        assert technique.posture != "standing"
        served |= set(technique.zones)
    assert served == set(get_args(records.Zone)) - {"back_of_knee", "elsewhere"}
    assert CATALOGUE.zone("back_of_knee").stop_list_if_new


def test_standing_exercises_need_something_to_hold_or_sit_on() -> None:
    standing = {exercise.id: exercise for exercise in CATALOGUE.exercises if exercise.standing}
    assert set(standing) == {"sit_to_stand", "heel_raises", "step_up"}
    for exercise in standing.values():
        assert any("chair" in need or "rail" in need for need in exercise.needs)
        assert any(
            "unsteady" in felt.person and "unsteady" in felt.helper for felt in exercise.felt
        )


def test_no_exercise_tells_a_helper_to_stop_for_what_their_own_body_says() -> None:
    """A helper read that the exercise ends when "your chest hurts"."""
    for exercise in CATALOGUE.exercises:
        for words in (*exercise.stop_for, *(felt.helper for felt in exercise.felt)):
            assert not {"you", "your"} & set(re.findall(r"\w+", words.lower())), words


def test_defaults_fit_the_fields_of_a_plan() -> None:
    for sheet in CATALOGUE.techniques:
        records.Technique(
            technique=sheet.id, seconds=sheet.seconds.default, repeats=sheet.repeats.default
        )
        assert 5 <= sheet.seconds.lowest <= sheet.seconds.highest <= 600
        assert 1 <= sheet.repeats.lowest <= sheet.repeats.highest <= 50
    for exercise in CATALOGUE.exercises:
        assert 1 <= exercise.repeats.lowest <= exercise.repeats.highest <= 50
        assert 1 <= exercise.sets.lowest <= exercise.sets.highest <= 10
        assert 0 <= exercise.hold_seconds.lowest <= exercise.hold_seconds.highest <= 120


def test_pressure_words_and_the_lightest_of_them() -> None:
    assert CATALOGUE.pressure("medium", lightest=True).id == "very_light"
    assert CATALOGUE.pressure("medium").id == "medium"


def test_tape_stages_build_on_each_other() -> None:
    """Stage 1 two side strips, stage 2 two short pieces on top. Common practice, no source."""
    stages = CATALOGUE.tape_steps.stages
    assert [(stage.stage, stage.adds_to, stage.pieces) for stage in stages] == [
        (1, 0, 2),
        (2, 1, 2),
    ]
    for stage in stages:
        by_piece: dict[int, list[tuple[str, ...]]] = {}
        for step in stage.steps:
            if step.piece is not None:
                by_piece.setdefault(step.piece, []).append(step.anchors)
        for anchors in by_piece.values():
            assert anchors[0][0] == ("bony_bump" if stage.stage == 1 else "lower_edge")
    first = [step.verb for step in stages[0].steps if step.piece == 1]
    assert first == ["Stick the first end", "Draw the skin", "Lay down", "Lay the last end"]
    assert [step.verb for step in stages[0].steps[-2:]] == ["Rub the tape", "Bend the knee"]


def test_tape_facts_in_words() -> None:
    """Removal, patch test readings, never-nevers: common practice; 30 minutes: McNichol 2013."""
    tape = CATALOGUE.tape_steps
    assert tape.skin_again_minutes == 30
    assert tape.warm_up_minutes == 60
    readings = [
        (reading.earliest_hours, reading.latest_hours) for reading in tape.patch_test.readings
    ]
    assert readings == [(24, 47), (48, 72)]
    removal = " ".join(step.person for step in tape.removal)
    for must in (
        *("oil or warm water", "one hand", "flat", "slowly", "Stop if the skin lifts"),
        *("upper end", "the way the hair grows", "stay low"),
    ):
        assert must in removal
    never = " ".join(tape.never)
    assert "behind the knee" in never
    assert "full ring" in never
    before = " ".join(step.person for step in tape.before)
    for must in (
        "dry",
        "no cream, no oil and no pain gel",
        "Do not shave",
        "Round all the corners",
    ):
        assert must in before
    on = " ".join(tape.after_on)
    for must in ("No heat", "hot bottle", "heat pack", "sun", "sauna", "No pain gel on it"):
        assert must in on
    # Contact allergy may show after days: from memory.
    assert tape.patch_test.week_days == 7
    assert "a week after the piece went on" in tape.patch_test.week


def test_hands_and_skin_are_made_ready() -> None:
    """Common practice, no source."""
    ready = CATALOGUE.hands_ready
    for of in ("person", "helper"):
        dry, lotion = (
            " ".join(getattr(step, of) for step in ready.for_plan(taught_plan(lotion=which)))
            for which in (None, "plain skin lotion")
        )
        for must in ("nails short", "rings", "watch", "Wash, dry and warm", "bare skin"):
            assert must in dry
            assert must in lotion
        assert "No cream and no pain gel" in dry
        assert "A little lotion" in lotion
        assert "cream" not in lotion


def test_what_the_skin_findings_are() -> None:
    tape = CATALOGUE.tape_steps
    assert "must come off" in tape.write_off_day.person
    assert [finding.id for finding in tape.skin_findings] == list(get_args(records.Skin))
    assert [finding.id for finding in tape.skin_findings if finding.clear] == ["clear", "pink"]


def test_what_is_known_is_said_and_no_more() -> None:
    known = CATALOGUE.known
    for about in (known.hands, known.tape):
        assert "Your clinician chose this" in " ".join(about.home)
    # Wu 2022 (F): both arms exercised; less pain at first, function no better.
    home = " ".join(known.tape.home)
    for must in ("people did exercises", "tape as well", "no clear change", "no better with tape"):
        assert must in home
    clinic = " ".join(known_words(known.tape, CATALOGUE.facts))
    assert "Wu 2022, Front Physiol 13, doi 10.3389/fphys.2022.961264" in clinic
    assert "Callaghan and Selfe 2012" in clinic
    for must in ("added to exercise", "-0.86, -1.32 to -0.40", "0.28 (-9.16 to 9.71)"):
        assert must in clinic
    assert "-0.15 (-1.15 to 0.85)" in clinic
    hands = " ".join(known_words(known.hands, CATALOGUE.facts))
    for guideline in ("NICE 2022", "Kolasinski 2020", "RACGP 2018", "AAOS 2021"):
        assert guideline in hands
    # NICE NG226, 1.2.2 (F): exercise, weight, information and support.
    core = " ".join((*known.core.home, *known_words(known.core, CATALOGUE.facts)))
    for must in ("exercise that fits you", "knowing about your knee", "weight", "information"):
        assert must in core


def test_a_number_of_what_is_known_is_that_of_its_fact() -> None:
    for about in (CATALOGUE.known.core, CATALOGUE.known.hands, CATALOGUE.known.tape):
        for one in about.clinic:
            rests_on = [fact.value or "" for fact in CATALOGUE.facts.of(one.facts)]
            told = re.findall(r"-?\d+\.\d\d", one.words)
            assert set(told) == set(re.findall(r"-?\d+\.\d\d", " ".join(rests_on))), one.words


def test_templates() -> None:
    by_id = {template.id: template for template in CATALOGUE.templates}
    assert set(by_id) == {
        "hands_only",
        "hands_and_side_strips",
        "up_to_short_pieces",
        "mainly_outings",
        "waiting_for_replacement",
    }
    assert by_id["hands_only"].tape.highest == 0
    assert by_id["hands_and_side_strips"].tape.highest == 1
    assert by_id["up_to_short_pieces"].tape.highest == 2
    assert by_id["mainly_outings"].tape.when == "outings"
    assert by_id["waiting_for_replacement"].replacement == "listed"
    for template in CATALOGUE.templates:
        assert template.exercises, "guidelines put exercise first"
        # Wear: 24 h, then 48 h, then 72 h, cap 120 h, rest 24 h. From memory; common practice.
        tape = template.tape
        hours = (tape.first_wear_hours, tape.second_wear_hours, tape.wear_hours, tape.cap_hours)
        assert hours == (24, 48, 72, 120)
        assert tape.rest_hours == 24


@pytest.mark.parametrize(
    "look_up",
    [
        CATALOGUE.technique,
        CATALOGUE.exercise,
        CATALOGUE.card,
        CATALOGUE.caution,
        CATALOGUE.zone,
        CATALOGUE.pressure,
        CATALOGUE.template,
    ],
)
def test_an_unknown_id_is_a_key_error(look_up: object) -> None:
    assert callable(look_up)
    with pytest.raises(KeyError, match="moon"):
        look_up("moon")


@pytest.mark.parametrize("level", ["care", "call", "today", "emergency"])
def test_a_sign_nobody_knows_has_words_a_card_and_a_row_that_closes(level: Level) -> None:
    """A later version may have written it; what it is about is not known, so care is a call."""
    sign = CATALOGUE.sign("moon", level)
    at_least = "call" if level == "care" else level
    assert (sign.level, CATALOGUE.card(sign.card).level) == (at_least, at_least)
    assert "does not know" in sign.words
    row = CATALOGUE.policy.sign("moon", level)
    assert {"hands", "tape_on", "standing"} <= {*row.parts}
    assert all(one.opens == ("checked_by_professional",) for one in row.closes)
