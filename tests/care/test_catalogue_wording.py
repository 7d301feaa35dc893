"""Every home text of ``resources/`` against the wording rules of the trade's facts.

Rules: grade 6 at most on home pages, 5 on emergency and today cards, mean sentence at most 12
words, none over 20, action first; no diagnosis, blame, promise or reassurance; home words.
"""

import re
from collections.abc import Iterable, Iterator
from pathlib import Path
from typing import get_args

import pytest

from companion.care.catalogue import Catalogue, StopCard
from companion.care.records import Level
from companion.presentation.language.said_pictures import PICTURES_SAID
from companion.wire.catalogue_reading import read_catalogue
from tests.oracles.readability import (
    grade,
    longest_sentence,
    mean_sentence,
    sentences,
    syllables,
    words,
)

RESOURCES = Path(__file__).parents[2] / "resources"
CATALOGUE = read_catalogue(RESOURCES)


def home_pages(catalogue: Catalogue) -> Iterator[tuple[str, list[str]]]:
    """Each page of the home side as a name and its lines."""
    for technique in catalogue.techniques:
        pressure = catalogue.pressure(technique.pressure)
        yield (
            f"technique {technique.id}",
            [
                technique.title,
                technique.position,
                technique.contact_words,
                pressure.word,
                pressure.explanation,
                *(step.person for step in technique.steps),
                *technique.stop_for,
            ],
        )
        yield (
            f"technique {technique.id}, helper",
            [
                technique.title,
                technique.position_helper,
                *(step.helper for step in technique.steps),
                *technique.stop_for,
            ],
        )
    for exercise in catalogue.exercises:
        yield (
            f"exercise {exercise.id}",
            [
                exercise.title,
                exercise.position,
                *exercise.needs,
                *(step.person for step in exercise.steps),
                *exercise.stop_for,
                *(felt.person for felt in exercise.felt),
            ],
        )
        yield (
            f"exercise {exercise.id}, helper",
            [
                exercise.title,
                exercise.position_helper,
                *(step.helper for step in exercise.steps),
                *exercise.stop_for,
                *(felt.helper for felt in exercise.felt),
            ],
        )
    for card in catalogue.cards.cards:
        yield f"card {card.id}", card_lines(card)
    for number in (1, 2, 3, 4, 5, None):
        yield (
            f"stop list, question {number}",
            [sign.words for sign in catalogue.stop_list.signs if sign.question == number],
        )
    for level in get_args(Level):
        yield (
            f"stop list on paper, {level}",
            [s.told or s.words for s in catalogue.stop_list.signs if s.level == level],
        )
    for sign in catalogue.stop_list.signs:
        if sign.questions:
            yield f"questions of {sign.id}", [question.words for question in sign.questions]
    gate = catalogue.short_gate
    yield (
        "short gate",
        [
            gate.heading,
            *(question.words for question in gate.questions),
            *(topic.words for question in gate.questions for topic in question.topics),
            gate.topics_question,
            gate.after_last_question,
        ],
    )
    yield (
        "after the gate",
        [*gate.when_none, gate.skin_clear_question, gate.well_again_question],
    )
    yield from tape_pages(catalogue)
    ready = catalogue.hands_ready
    for name, last in (("dry", ready.dry), ("lotion", ready.lotion)):
        steps = (*ready.steps, last, ready.lotion_off)
        yield f"hands ready, {name}", [step.person for step in steps]
        yield f"hands ready, {name}, helper", [step.helper for step in steps]
    yield "zones", [zone.home_words for zone in catalogue.zones.zones]
    for section in catalogue.intended_use.sections:
        yield f"intended use, {section.heading}", [section.heading, *section.sentences]


def tape_pages(catalogue: Catalogue) -> Iterator[tuple[str, list[str]]]:
    tape = catalogue.tape_steps
    patch = tape.patch_test
    yield "before tape", [tape.reach_question, *(step.person for step in tape.before)]
    yield "before tape, helper", [step.helper for step in tape.before]
    for stage in tape.stages:
        yield f"stage {stage.stage}", [stage.title, *(step.person for step in stage.steps)]
        yield f"stage {stage.stage}, helper", [step.helper for step in stage.steps]
    yield (
        "tape worn",
        [
            tape.write_off_day.person,
            *tape.after_on,
            *tape.while_worn,
            *tape.never,
            *tape.take_off_for,
        ],
    )
    yield "tape off", [step.person for step in tape.removal]
    yield "tape off, helper", [step.helper for step in tape.removal]
    yield (
        "skin",
        [
            tape.skin_question,
            tape.skin_again_question,
            *(finding.words for finding in tape.skin_findings),
        ],
    )
    yield (
        "patch test",
        [
            *(step.person for step in patch.place),
            patch.reading_question,
            *(reading.words for reading in patch.readings),
            patch.week,
            patch.week_not_clear,
            *patch.stop_for,
        ],
    )
    known = catalogue.known
    for name, about in (("core", known.core), ("hands", known.hands), ("tape", known.tape)):
        yield f"what is known of {name}", list(about.home)


def card_lines(card: StopCard) -> list[str]:
    lines = [card.heading, *card.actions, card.by_when, card.say, card.say_away, card.say_also]
    lines += [card.heading_open, *card.actions_open]
    lines += [question.words for question in card.opens_when]
    return [line for line in lines if line is not None]


PAGES = dict(home_pages(CATALOGUE))


@pytest.mark.parametrize(
    ("word", "count"),
    [
        # Counts as an English dictionary divides the words.
        ("knee", 1),
        ("kneecap", 2),
        ("eased", 1),
        ("wanted", 2),
        ("bruised", 1),
        ("pieces", 2),
        ("changes", 2),
        ("table", 2),
        ("gently", 2),
        ("safely", 2),
        ("clinician", 3),
        ("professional", 4),
        ("emergency", 4),
        ("infection", 3),
        ("replacement", 3),
        ("routine", 2),
        ("osteoarthritis", 6),
        ("twelve", 1),
        ("30", 2),
        ("7", 2),
        ("48", 3),
    ],
)
def test_syllables_as_in_a_dictionary(word: str, count: int) -> None:
    assert syllables(word) == count


def test_grade_by_hand() -> None:
    """Ten words of one syllable in two sentences: 0.39 x 5 + 11.8 x 1 - 15.59 = -1.84."""
    assert grade(["The cat sat on it. The dog ran off too."]) == pytest.approx(-1.84)
    # Six words, two sentences, 4 + 3 + 3 + 1 + 1 + 3 syllables: 0.39 x 3 + 11.8 x 2.5 - 15.59.
    assert grade(["Professional replacement tomorrow. Call the surgical."]) == pytest.approx(15.08)


@pytest.mark.parametrize("name", PAGES)
def test_home_page_reads_easily(name: str) -> None:
    lines = PAGES[name]
    assert grade(lines) <= 6
    assert mean_sentence(lines) <= 12
    assert longest_sentence(lines) <= 20


@pytest.mark.parametrize(
    "card",
    [card for card in CATALOGUE.cards.cards if card.level in ("emergency", "today")],
    ids=lambda card: card.id,
)
def test_urgent_card_reads_easier_still(card: StopCard) -> None:
    lines = card_lines(card)
    assert grade(lines) <= 5
    assert mean_sentence(lines) <= 12
    assert longest_sentence(lines) <= 20


VERBS = {"call", "be", "stop", "do", "rest", "take", "go", "seated", "no"}
"""What a card's heading may begin with: the action, or what is left of it."""


def test_cards_begin_with_the_action() -> None:
    for card in CATALOGUE.cards.cards:
        assert words(card.heading)[0] in VERBS, card.id


@pytest.mark.parametrize(
    "card",
    [card for card in CATALOGUE.cards.cards if card.level != "care"],
    ids=lambda card: card.id,
)
def test_card_tells_whom_to_call_first(card: StopCard) -> None:
    names = {
        "emergency": "emergency number",
        "doctor": "doctor",
        "clinic": "clinic",
        "surgical_team": "surgical team",
        "out_of_hours": "out-of-hours",
    }
    assert names[card.contacts[0]] in card.actions[0]
    assert card.by_when is not None
    assert card.say is not None


BANNED = re.compile(
    r"\b(?:"
    # promise
    r"recommend\w*|cures?|cured|heals?|healed|healing|guarantee\w*|safe|always works|proven|"
    # reassurance and praise
    r"don't worry|no need to worry|worry|harmless|nothing serious|you are fine|"
    r"well done|great|good job|excellent|bravo|congratulations|"
    # blame
    r"you should have|you failed|forgot|fault|careless|"
    # diagnosis, and words of the trade that the home side says plainly
    r"you have arthritis|you have a clot|diagnos\w*|patella\w*|tibia\w*|femur|femoral|quadriceps|"
    r"medial|lateral|cranial|caudal|retinacul\w*|oedema|effusion|palpat\w*|analgesic|thrombos\w*|"
    r"anticoagulant\w*|contraindicat\w*"
    r")\b",
    re.IGNORECASE,
)


def _home_lines() -> Iterable[tuple[str, str]]:
    for name, lines in PAGES.items():
        for line in lines:
            yield name, line


def test_no_word_that_promises_reassures_blames_or_names_an_illness() -> None:
    found = [(name, line) for name, line in _home_lines() if BANNED.search(line)]
    assert found == []


@pytest.mark.parametrize(
    "line",
    ["Tape is recommended.", "It will heal.", "You are fine.", "Press on the patella."],
)
def test_banned_words_are_seen(line: str) -> None:
    assert BANNED.search(line)


def test_no_shouting_and_no_loose_space() -> None:
    for name, line in _home_lines():
        assert line == line.strip(), name
        assert "  " not in line, name
        assert not re.search(r"\b[A-Z]{4,}\b", line), (name, line)


def test_helper_verbs_are_short_enough_for_two_metres() -> None:
    steps = [step for technique in CATALOGUE.techniques for step in technique.steps]
    steps += [step for exercise in CATALOGUE.exercises for step in exercise.steps]
    tape = CATALOGUE.tape_steps
    steps += [*tape.before, *tape.removal, *tape.patch_test.place, tape.write_off_day]
    steps += [step for stage in tape.stages for step in stage.steps]
    for step in steps:
        assert 1 <= len(words(step.verb)) <= 4, step.verb
        assert len(step.verb) <= 21, step.verb


def test_the_gate_that_finds_nothing_says_what_the_rule_says() -> None:
    """Wording rule: this sentence to the letter, no "you are fine"."""
    assert " ".join(CATALOGUE.short_gate.when_none) == (
        "You ticked none of these. Go on as your clinician showed you. Stop if anything changes."
    )


def test_sentences_split_at_stops_alone() -> None:
    assert sentences(["One. Two", "Three? Four!"]) == ["One.", "Two", "Three?", "Four!"]


LAID = re.compile(r"\b[Ll]ay (it|the strip|the last part of strip \d) down\b")
LEG_DIRECTIONS = re.compile(
    r"\b(up|down|above|below|under|upper end|lower end|upwards)\b", re.IGNORECASE
)


def test_directions_along_the_leg_are_towards_hip_or_foot_for_whoever_looks() -> None:
    """One's own drawing has the foot on top, so "above the kneecap" would lie below it there: what
    is said beside a drawing of the knee goes towards the hip or towards the foot."""
    tape = CATALOGUE.tape_steps
    steps = [step for sheet in CATALOGUE.techniques for step in sheet.steps]
    steps += [step for stage in tape.stages for step in stage.steps if step.moment is not None]
    lines = [line for step in steps for line in (step.person, step.helper, step.beyond or "")]
    lines += [sheet.title for sheet in CATALOGUE.techniques]
    lines += [zone.home_words for zone in CATALOGUE.zones.zones]
    lines += [
        words for code, words in PICTURES_SAID.items()
        if code.startswith(("place_", "zone_", "pull_"))
    ]  # fmt: skip
    assert [line for line in lines if LEG_DIRECTIONS.search(LAID.sub("", line))] == []
