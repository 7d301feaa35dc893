"""The committed files are what the generator writes, and they read back whole."""

import dataclasses
from datetime import date
from pathlib import Path

import pytest

from companion.care.clocks import written_after
from companion.care.records import Diary, Plan
from companion.exchange.cross_checks import plans_faults, sound
from companion.exchange.files import diary_bytes, plan_bytes, read
from companion.system.resources import demo_profiles
from companion.wire.sign_off import sign_off_holds
from demo_profiles.generate import catalogue, files_of, main, person_named
from demo_profiles.people import PEOPLE

NAMES = [person.name for person in PEOPLE]
FOLDER = demo_profiles()


def plan_of(name: str) -> Plan:
    plan = read(FOLDER / name / "plan.homeknee").plan
    assert plan is not None
    return plan


def diary_of(name: str) -> Diary:
    diary = read(FOLDER / name / "diary.homeknee").diary
    assert diary is not None
    return diary


def test_the_five_people_are_the_folders() -> None:
    assert sorted(NAMES) == sorted(path.parent.name for path in FOLDER.glob("*/story.txt"))
    assert len(NAMES) == 5


@pytest.mark.parametrize("name", NAMES)
def test_the_generator_writes_the_committed_files_again(name: str) -> None:
    for file_name, data in files_of(person_named(name), catalogue()).items():
        assert (FOLDER / name / file_name).read_bytes() == data, file_name


@pytest.mark.parametrize("name", NAMES)
def test_reading_and_writing_changes_no_byte(name: str) -> None:
    folder = FOLDER / name
    assert plan_bytes(plan_of(name)) == (folder / "plan.homeknee").read_bytes()
    assert diary_bytes(diary_of(name)) == (folder / "diary.homeknee").read_bytes()


@pytest.mark.parametrize("name", NAMES)
def test_plan_and_diary_belong_together(name: str) -> None:
    diary = diary_of(name)
    assert diary.plan == plan_of(name)
    # 25 November 2026: nothing in a demo may lie in the future on the day it was made.
    assert plans_faults(diary.plan.person, diary.plans) == ()
    assert sound(diary.plans, diary.entries).faults == ()
    assert written_after(diary.entries, date(2026, 11, 25)) == frozenset()


@pytest.mark.parametrize("name", NAMES)
def test_whoever_signs_is_plainly_invented(name: str) -> None:
    for plan in diary_of(name).plans:
        assert plan.sign_off is not None
        assert "invented" in plan.sign_off.name
        assert "example" in plan.sign_off.registration


@pytest.mark.parametrize("name", NAMES)
def test_every_plan_version_is_signed_and_unchanged_since(name: str) -> None:
    for plan in diary_of(name).plans:
        assert sign_off_holds(plan)


@pytest.mark.parametrize("name", NAMES)
def test_the_story_is_one_line(name: str) -> None:
    story = (FOLDER / name / "story.txt").read_text(encoding="utf-8")
    assert story.endswith(".\n")
    assert story.count("\n") == 1
    assert 40 <= len(story) <= 160


@pytest.mark.parametrize("name", NAMES)
def test_numbers_to_call_belong_to_nobody(name: str) -> None:
    # 01632 960000 to 960999 is kept for drama (Ofcom, numbers for TV and radio drama; from memory).
    contacts = plan_of(name).contacts
    assert {"emergency", "clinic", "doctor"} <= {contact.role for contact in contacts}
    for contact in contacts:
        assert contact.role == "emergency" or contact.number.startswith("01632 960")
        assert contact.role != "emergency" or contact.number == "112"


def test_ten_years_are_long_enough_to_try_a_full_diary_on(tmp_path: Path) -> None:
    out = tmp_path / "long.homeknee"
    assert main(["--years", "10", "--name", "edda", "--out", str(out)]) == 0
    diary = read(out).diary
    assert diary is not None
    assert len(diary.entries) >= 7300
    assert (diary.entries[-1].for_day - diary.entries[0].for_day).days >= 3650
    assert plans_faults(diary.plan.person, diary.plans) == ()
    assert sound(diary.plans, diary.entries).faults == ()
    assert written_after(diary.entries, date(2026, 11, 25)) == frozenset()
    assert all(sign_off_holds(plan) for plan in diary.plans)
    assert out.read_bytes() == diary_bytes(diary)


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (["--years", "10", "--name", "nobody", "--out", "x"], "nobody is not one of edda"),
        (["--years", "0", "--name", "edda", "--out", "x"], "0 years is not between 1 and 40"),
    ],
)
def test_a_wrong_wish_is_refused_in_one_line(
    arguments: list[str], words: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(arguments) == 1
    refused = capsys.readouterr().err
    assert words in refused
    assert refused.count("\n") == 1


def test_another_seed_is_another_diary() -> None:
    person = person_named("edda")
    other = dataclasses.replace(person, seed=person.seed + 1)
    sheets = catalogue()
    assert files_of(other, sheets)["diary.homeknee"] != files_of(person, sheets)["diary.homeknee"]
