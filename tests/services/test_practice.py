"""The clinic's desk without a window: the list, long work, undo, one diary, and one trouble."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import Any, TypeVar

import pytest

from companion.care.records import Diary
from companion.exchange.files import diary_bytes
from companion.exchange.taking_in import Refusal
from companion.presentation.clinic.people import look_words
from companion.services.clinic_import import Reason
from companion.services.clinic_papers import save_paper
from companion.services.practice import (
    Looking,
    MakingAnew,
    Practice,
    TakingIn,
    Task,
    differs,
    files_in,
    is_in_list,
    open_diary,
    opened_lately,
    people,
    remember_opened,
    take_made,
    undo,
    undoing,
)
from companion.services.saving import save_file
from companion.services.trouble import Trouble
from companion.system.settings import SettingsFile
from tests.builders import DAY, page, small_plan
from tests.exchange.made import full_diary

Step = TypeVar("Step")
Result = TypeVar("Result")


@pytest.fixture
def brought(tmp_path: Path) -> str:
    """A folder of two people's diaries and a letter."""
    inbox = tmp_path / "inbox"
    inbox.mkdir()
    (inbox / "a.homeknee").write_bytes(diary_bytes(full_diary()))
    other = Diary(plans=(replace(small_plan(), person="K-31"),))
    (inbox / "b.homeknee").write_bytes(diary_bytes(other))
    (inbox / "letter").write_bytes(b"Dear clinic")
    return str(inbox)


def done(task: Task[Step, Result], most: int = 99) -> Result:
    """Do a task as the window does; broken off after `most` steps."""
    steps = list(zip(range(most), task.steps(), strict=False))
    for _, step in steps:
        task.keep(step)
    return task.end(stopped=len(steps) == most)


def take_in(practice: Practice, folder: str) -> frozenset[str]:
    """Take in whatever is ready; the codes that changed."""
    found = done(Looking(practice, files_in(folder)))
    assert found is not None
    task = TakingIn(practice, [look for look in found if look.ready])
    done(task)
    return task.changed()


def test_what_is_taken_in_says_whose_diaries_changed(practice: Practice, brought: str) -> None:
    assert people(practice).files == 0
    assert take_in(practice, brought) == {"K-07", "K-31"}
    there = people(practice)
    assert [case.code for case in there.cases] == ["K-07", "K-31"]
    assert there.can_undo
    assert is_in_list(practice, "K-31")
    assert not differs(practice)
    undone = undoing(practice)
    assert undo(practice, undone) == {"K-07", "K-31"}
    assert people(practice).cases == ()


def test_work_broken_off_keeps_what_it_promises(practice: Practice, brought: str) -> None:
    looking = Looking(practice, files_in(brought))
    assert looking.count == 3
    assert done(looking, 1) is None
    found = done(Looking(practice, files_in(brought)))
    assert found is not None
    taking = TakingIn(practice, [look for look in found if look.ready])
    assert len(done(taking, 1)) == 1
    assert len(people(practice).cases) == 1
    anew = MakingAnew(practice, look_words)
    assert done(anew, 1) is None
    assert anew.changed() == frozenset()
    anew = MakingAnew(practice, look_words)
    assert done(anew) == 1
    assert anew.changed() == taking.changed()


class _Enough(BaseException):
    """Raised as the window's thread does where Cancel was pressed."""


@pytest.mark.parametrize("anew", [False, True])
def test_work_is_broken_off_inside_a_file(
    practice: Practice, tmp_path: Path, *, anew: bool
) -> None:
    """Cancel acted between two files alone: nobody could leave the only one."""
    pages = tuple(page(0, id=f"{number:032x}") for number in range(500))
    inbox = tmp_path / "one"
    inbox.mkdir()
    (inbox / "a.homeknee").write_bytes(diary_bytes(Diary(plans=(small_plan(),), entries=pages)))
    task: Task[Any, Any] = Looking(practice, files_in(str(inbox)))
    if anew:
        take_in(practice, str(inbox))
        task = MakingAnew(practice, look_words)
    seen: list[int] = []

    def beat(percent: int) -> None:
        seen.append(percent)
        if percent > 0:
            raise _Enough

    task.beat = beat
    with pytest.raises(_Enough):
        next(task.steps())
    assert seen[0] == 0
    assert 0 < seen[-1] < 100
    assert task.end(stopped=True) is None
    assert len(people(practice).cases) == anew


def test_a_diary_is_read_when_it_is_asked_for(practice: Practice, brought: str) -> None:
    take_in(practice, brought)
    assert open_diary(practice, "K-99") is None
    diary = open_diary(practice, "K-07")
    assert diary is not None
    whole = diary.whole()
    assert set(diary.lately(112).entries) <= set(whole.entries)
    assert diary.whole() is whole
    side = whole.plan.sides[0]
    assert diary.found(side) is diary.found(side)
    assert diary.found(side).next_morning == ()
    assert diary.found_with_mornings(side) is not diary.found(side)


def test_a_file_made_here_goes_by_the_same_rules(practice: Practice, brought: str) -> None:
    plan = replace(small_plan(), person="K-55")
    assert take_made(practice, diary_bytes(Diary(plans=(plan,)))).file is not None
    again = take_made(practice, diary_bytes(Diary(plans=(plan,))))
    assert again.file is None
    assert again.reason == Reason("here_already")
    take_in(practice, brought)
    rival = replace(small_plan(), person="K-07", birth_year=1900)
    refused = take_made(practice, diary_bytes(Diary(plans=(rival,)))).reason
    assert isinstance(refused, Refusal)
    assert refused.why == "another_birth_year"
    assert [case.code for case in people(practice).cases] == ["K-07", "K-31", "K-55"]


def test_every_floors_fault_is_one_trouble(
    practice: Practice, brought: str, tmp_path: Path
) -> None:
    take_in(practice, brought)
    with pytest.raises(Trouble) as told:
        files_in(str(tmp_path / "absent"))
    assert told.value.where.endswith("absent")
    assert told.value.why
    with pytest.raises(Trouble):
        save_file(str(tmp_path / "absent" / "x"), b"")
    for file in practice.people.files("K-07"):
        (tmp_path / "data" / "files" / file.name).write_bytes(b"other")
    with pytest.raises(Trouble, match=r"^kept_changed"):
        open_diary(practice, "K-07")
    # What is there of a person is read again before more of theirs is taken in.
    more = replace(small_plan(), person="K-07", version=9)
    reason = take_made(practice, diary_bytes(Diary(plans=(more,)))).reason
    assert isinstance(reason, Reason)
    assert reason.said is not None
    assert reason.said.code == "kept_changed"


def test_a_paper_is_drawn_of_every_knee_and_saved(practice: Practice, tmp_path: Path) -> None:
    diary = full_diary()
    place = str(tmp_path / "r.pdf")
    draw = lambda which, _d, found, _c: f"{which} {len(found)}".encode()  # noqa: E731
    assert save_paper("report", diary, practice.catalogue(), draw, place, DAY) == "r.pdf"
    assert Path(place).read_bytes() == b"report 2"
    with pytest.raises(Trouble):
        save_paper(
            "summary", diary, practice.catalogue(), draw, str(tmp_path / "no" / "r.pdf"), DAY
        )


def test_the_codes_opened_last_come_first_where_the_list_is_long(
    practice: Practice, tmp_path: Path
) -> None:
    codes = {f"K-{number}" for number in range(9)}
    assert opened_lately(practice, codes) == ()
    remember_opened(practice, "K-1")  # nothing is kept
    file = SettingsFile(tmp_path, "opened.json")
    kept = replace(practice, opened=file)
    for number in (1, 2, 1, 3, 4, 5, 6, 77):
        remember_opened(kept, f"K-{number}")
    assert opened_lately(kept, codes) == ("K-6", "K-5", "K-4", "K-3")
    assert opened_lately(kept, {"K-6"}) == ()  # all of it is in sight
    file.write({"codes": 7})
    assert opened_lately(kept, codes) == ()
