"""Taking diaries in: what each file is, what is never merged silently, undo, and the list made
anew from the folder. That nothing is mixed up between people is the rule of the trade here: common
practice, no source."""

from __future__ import annotations

import gc
from collections.abc import Iterator
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from hashlib import sha256
from pathlib import Path
from typing import NoReturn

import pytest

from companion.care.records import AnyEntry, DayPage, Diary, Plan, WarningSign
from companion.exchange.case_files import (
    CaseFolder,
    ChangedFile,
    import_stamp,
    look_at,
    taken_of,
)
from companion.exchange.files import diary_bytes, plan_bytes
from companion.exchange.taking_in import Refusal
from companion.journal.people import Case, KeptFile, PeopleStore
from companion.presentation.clinic.people import import_preview, look_words, reason_words
from companion.services.clinic_import import (
    FileLook,
    case_of,
    differs,
    last_import,
    looks,
    rebuild,
    takings,
    undoing,
)
from tests import builders
from tests.builders import small_plan
from tests.exchange.made import FIRST, an_id, at, full_diary

TODAY = date(2026, 11, 25)
STAMPS = ("20261125T090000Z", "20261125T100000Z")


def page(day: int, average: int, number: int) -> DayPage:
    own = {"id": an_id(1000 + number), "written_at": at(day, 20)}
    return builders.page(day, pain_average=average, **own)


def diary(*entries: AnyEntry, plan: Plan | None = None) -> Diary:
    return Diary(plans=(plan or small_plan(),), entries=entries)


class Desk:
    """A folder, its index and an inbox, worked without a window."""

    def __init__(self, place: Path) -> None:
        self.inbox = place / "inbox"
        self.inbox.mkdir()
        self.data = place / "data"
        self.folder = CaseFolder(self.data)
        self.people = PeopleStore.open(self.data)

    def bring(self, name: str, what: Diary | bytes) -> str:
        path = self.inbox / name
        path.write_bytes(diary_bytes(what) if isinstance(what, Diary) else what)
        return str(path)

    def look(self, *paths: str) -> list[FileLook]:
        return list(looks(paths, self.folder, self.people.files(), TODAY))

    def take(self, *paths: str, stamp: str = STAMPS[0]) -> list[str]:
        """Take in what is ready; the sentences of what was left."""
        ready = [look for look in self.look(*paths) if look.ready]
        left = []
        for taken in takings(ready, self.folder, self.people.files(), stamp):
            if taken.file is None:
                left.append(reason_words(taken.reason))
            else:
                self.people.put(taken.file, taken.case)
        return left

    def made_anew(self) -> tuple[list[Case], list[KeptFile]]:
        read = list(rebuild(self.folder, look_words))
        cases = {each.case.code: each.case for each in read if each.case is not None}
        return [cases[code] for code in sorted(cases)], [each.file for each in read]


@pytest.fixture
def desk(tmp_path: Path) -> Iterator[Desk]:
    made = Desk(tmp_path)
    yield made
    made.people.close()


def test_a_row_says_what_the_diary_holds() -> None:
    whole = full_diary()
    case = case_of(whole)
    assert (case.code, case.birth_year, case.side) == ("K-07", 1951, "both")
    assert case.plan_version == 2
    assert case.last_day == FIRST + timedelta(days=8)
    # The one card there was is cleared by a correction.
    assert "open_sign" not in dict(case.unsafe)
    still_open = [e for e in whole.entries if not (isinstance(e, WarningSign) and e.replaces)]
    again = case_of(replace(whole, entries=tuple(still_open)))
    assert (dict(again.unsafe)["open_sign"], again.card_before) == (1, True)


def test_a_new_person_then_more_then_nothing_new(desk: Desk) -> None:
    first = desk.bring("one", diary(page(0, 5, 0)))
    [look] = desk.look(first)
    assert (look.outcome, look.person, look.new) == ("new_person", "K-07", 1)
    assert desk.people.files() == ()  # looking takes nothing in
    assert desk.take(first) == []
    [again] = desk.look(first)
    assert again.outcome == "known"
    [more] = desk.look(desk.bring("two", diary(page(0, 5, 0), page(1, 4, 1))))
    assert (more.outcome, more.new) == ("more", 1)
    desk.take(str(desk.inbox / "two"), stamp=STAMPS[1])
    [case] = desk.people.cases()
    assert case.entries == 2
    kept = [(file.name, file.content) for file in desk.people.files("K-07")]
    assert len(kept) == 2
    assert {e.id for e in desk.folder.diary(kept).entries} == {an_id(1000), an_id(1001)}


def test_kept_files_are_whole_copies(desk: Desk) -> None:
    path = desk.bring("brought", full_diary())
    desk.take(path)
    [file] = desk.people.files()
    assert (desk.data / "files" / file.name).read_bytes() == Path(path).read_bytes()
    assert taken_of(file.name) == STAMPS[0]


def test_two_files_of_one_person_in_one_folder_are_both_used(desk: Desk) -> None:
    paths = [
        desk.bring("a", diary(page(0, 5, 0))),
        desk.bring("b", diary(page(0, 5, 0), page(1, 4, 1))),
        desk.bring("c", diary(page(0, 5, 0))),
    ]
    assert [look.outcome for look in desk.look(*paths)] == ["new_person", "more", "known"]


def test_files_that_are_no_whole_diary_are_told_and_left(desk: Desk) -> None:
    whole = diary_bytes(full_diary())
    body = whole.split(b"\n", 1)[1]
    seal = sha256(b"homeknee diary 9\n" + body).hexdigest().encode()
    newer = b"homeknee diary 9 " + seal + b"\n" + body
    for name, data, said in (
        ("damaged", whole[:-9], "damaged"),
        ("sealed", b"age-encryption.org/v1\n" + whole, "sealed"),
        ("letter", b"Dear clinic", "not a plan or diary file"),
        ("plan", plan_bytes(small_plan()), "plan, not a diary"),
        ("newer", newer, "newer version"),
    ):
        [look] = desk.look(desk.bring(name, data))
        assert look.outcome == "refused"
        assert said in look_words(look)
        assert not look.ready
    [look] = desk.look(str(desk.inbox / "nowhere"))
    assert "no file nowhere" in look_words(look)


def test_another_birth_year_is_another_person(desk: Desk) -> None:
    desk.take(desk.bring("one", diary(plan=replace(small_plan(), birth_year=1951))))
    other = diary(page(0, 5, 0), plan=replace(small_plan(), birth_year=1960, version=2))
    other = Diary(plans=(other.plan,), entries=(replace(other.entries[0], plan_version=2),))
    [look] = desk.look(desk.bring("two", other))
    assert look.outcome == "refused"
    assert look.reason == Refusal(
        "another_birth_year", {"person": "K-07", "theirs": 1960, "ours": 1951}
    )
    # The clinic is not sent to the clinic.
    assert "Ask the clinic" not in look_words(look)
    assert "one of the two needs another code" in look_words(look)


def test_nothing_in_common_waits_for_a_yes(desk: Desk) -> None:
    desk.take(desk.bring("one", diary(page(0, 5, 0))))
    later = replace(small_plan(), version=4, written_on=FIRST + timedelta(days=60))
    later = replace(later, review_on=FIRST + timedelta(days=120))
    entry = replace(page(70, 3, 7), plan_version=4)
    [look] = desk.look(desk.bring("two", Diary(plans=(later,), entries=(entry,))))
    assert look.outcome == "doubt"
    assert "no plan and no entry in common" in look_words(look)
    [taken] = takings([look], desk.folder, desk.people.files(), STAMPS[1])
    assert taken.case is not None
    assert taken.case.entries == 2


def test_plans_that_run_backwards_wait_for_a_yes(desk: Desk) -> None:
    desk.take(desk.bring("one", diary(page(0, 5, 0))))
    early = replace(small_plan(), version=2, written_on=FIRST - timedelta(days=30))
    both = Diary(plans=(small_plan(), early), entries=(page(0, 5, 0),))
    [look] = desk.look(desk.bring("two", both))
    assert look.outcome == "doubt"
    assert "before plan 1" in look_words(look)


def test_days_told_differently_wait_for_a_yes(desk: Desk) -> None:
    desk.take(desk.bring("one", diary(*(page(day, 5, day) for day in range(4)))))
    same_days = diary(*(page(day, 7, 50 + day) for day in range(2)))
    assert desk.look(desk.bring("two", same_days))[0].outcome == "more"  # two may be mistakes
    same_days = diary(*(page(day, 7, 50 + day) for day in range(4)))
    [look] = desk.look(desk.bring("three", same_days))
    assert look.outcome == "doubt"
    assert look_words(look).startswith("three: 4 days have other pain scores")


def test_a_code_much_like_another_waits_for_a_yes(desk: Desk) -> None:
    desk.take(desk.bring("one", diary(page(0, 5, 0))))
    [look] = desk.look(desk.bring("two", diary(plan=replace(small_plan(), person="k07"))))
    assert look.outcome == "doubt"
    assert "much like K-07" in look_words(look)


def test_rival_content_costs_itself_alone(desk: Desk) -> None:
    desk.take(desk.bring("one", diary(page(0, 5, 0))))
    other = replace(page(0, 5, 0), pain_average=9)
    [look] = desk.look(desk.bring("two", diary(other, page(1, 4, 1))))
    assert (look.outcome, look.new, look.differ) == ("more", 2, 1)
    assert any("both are kept: two" in line for line in import_preview([look]).lead)


def test_a_file_that_changed_since_it_was_looked_at_is_left(desk: Desk) -> None:
    path = desk.bring("one", diary(page(0, 5, 0)))
    [look] = desk.look(path)
    desk.bring("one", diary(page(0, 6, 3)))
    [taken] = takings([look], desk.folder, (), STAMPS[0])
    assert taken.file is None
    assert "changed while it was read" in reason_words(taken.reason)
    assert desk.folder.listed() == {}


def test_an_import_is_undone_and_the_files_are_kept_aside(desk: Desk) -> None:
    desk.take(desk.bring("one", diary(page(0, 5, 0))))
    before = desk.people.cases()
    more = desk.bring("two", diary(page(0, 5, 0), page(1, 4, 1)))
    other = desk.bring("three", diary(plan=replace(small_plan(), person="K-31")))
    desk.take(more, other, stamp=STAMPS[1])
    assert len(desk.people.cases()) == 2
    assert {f.taken for f in last_import(desk.people.files())} == {STAMPS[1]}
    undone = undoing(desk.people.files(), desk.folder)
    assert (len(undone.names), undone.gone) == (2, ("K-31",))
    aside = desk.folder.set_aside(undone.names)
    desk.people.drop(undone.names, undone.gone, undone.changed)
    assert desk.people.cases() == before
    assert sorted(path.name for path in Path(aside).iterdir()) == list(undone.names)
    assert desk.look(more)[0].outcome == "more"  # it may be taken in again


def test_the_list_made_anew_is_the_same_list(desk: Desk) -> None:
    desk.take(desk.bring("one", full_diary()))
    paths = [desk.bring(str(n), diary(plan=replace(small_plan(), person=n))) for n in "ABC"]
    desk.take(*paths, stamp=STAMPS[1])
    cases, files = desk.made_anew()
    assert cases == list(desk.people.cases())
    assert sorted(files, key=lambda f: f.name) == list(desk.people.files())
    assert not differs(desk.folder, desk.people.files())


def test_what_others_put_into_or_did_to_the_folder_is_seen(desk: Desk) -> None:
    desk.take(desk.bring("one", full_diary()))
    [file] = desk.people.files()
    place = desk.data / "files"
    (place / "brought-by-hand.homeknee").write_bytes(
        diary_bytes(diary(plan=replace(small_plan(), person="K-31")))
    )
    (place / "torn.homeknee").write_bytes(b"homeknee diary 1 ")
    assert differs(desk.folder, desk.people.files())
    cases, files = desk.made_anew()
    assert [case.code for case in cases] == ["K-07", "K-31"]
    [torn] = [each for each in files if each.person is None]
    assert "damaged" in torn.sentence
    data = (place / file.name).read_bytes()
    (place / file.name).write_bytes(data.replace(b"quay", b"QUAY"))
    with pytest.raises(ChangedFile, match=r"^kept_changed"):
        desk.folder.diary([(file.name, file.content)])


def test_stamps_of_imports_never_repeat_or_run_backwards() -> None:
    now = datetime(2026, 11, 25, 9, 0, 0, tzinfo=UTC)
    assert import_stamp(now, []) == "20261125T090000Z"
    assert import_stamp(now, ["20261125T090000Z"]) == "20261125T090001Z"
    assert import_stamp(now, ["20261231T235959Z"]) == "20270101T000000Z"
    assert taken_of("whatever.homeknee") == ""


def test_the_quick_reading_gives_what_the_strict_one_gave(desk: Desk) -> None:
    path = desk.bring("one", full_diary())
    strict = look_at(path, TODAY).reading.diary
    assert strict is not None
    desk.take(path)
    [file] = desk.people.files()
    quick = desk.folder.diary([(file.name, file.content)])
    assert set(quick.entries) == set(strict.entries)
    assert set(quick.plans) == set(strict.plans)


def test_the_last_weeks_are_a_part_of_the_whole(desk: Desk) -> None:
    pages = [page(day, 5, day) for day in (0, 10, 150, 240, 250)]
    asked = next(e for e in full_diary().entries if e.kind == "question")
    path = desk.bring("long", diary(*pages, replace(asked, plan_version=1)))
    desk.take(path)
    kept = [(file.name, file.content) for file in desk.people.files()]
    held = desk.folder.held(kept)
    # The last 112 days end on day 250 and begin on day 139; the first day and questions stay.
    lately = held.lately(112)
    assert {(e.for_day - FIRST).days for e in lately.entries if e.kind == "day_page"} == {
        0,
        150,
        240,
        250,
    }
    assert any(e.kind == "question" for e in lately.entries)
    assert len(held.whole().entries) == 6
    assert lately.plans == held.whole().plans


def test_a_run_over_many_files_holds_on_to_no_diary(tmp_path: Path) -> None:
    paths = []
    for number in range(20):
        made = replace(small_plan(), person=f"P-{number:02}")
        path = tmp_path / f"{number:02}.homeknee"
        path.write_bytes(diary_bytes(Diary(plans=(made,))))
        paths.append(str(path))
    before = diaries_alive()
    for look in looks(paths, CaseFolder(tmp_path / "data"), (), TODAY):
        assert look.ready
        assert diaries_alive() <= before + 2  # the one at hand


def diaries_alive() -> int:
    """How many diaries the memory holds."""
    return sum(type(each) is Diary for each in gc.get_objects())


def test_a_file_the_program_fails_on_stops_neither_the_others_nor_the_desk(
    desk: Desk, monkeypatch: pytest.MonkeyPatch
) -> None:
    """One poison file ended the import of the good ones, and then every start of the desk."""
    paths = [desk.bring(n, diary(plan=replace(small_plan(), person=n))) for n in ("A", "B", "C")]
    desk.take(*paths[:2])
    good = case_of

    def fails_on_b(of: Diary) -> Case:
        if of.plan.person == "B":
            raise OverflowError("date value out of range")
        return good(of)

    monkeypatch.setattr("companion.services.clinic_import.case_of", fails_on_b)
    assert desk.take(paths[2]) == []
    cases, files = desk.made_anew()
    assert [case.code for case in cases] == ["A", "C"]
    [left] = [file for file in files if file.person is None]
    assert "The program itself is at fault with" in left.sentence

    def fails(_self: object, path: str, *_: object) -> NoReturn:
        raise OverflowError(path)

    monkeypatch.setattr("companion.services.clinic_import._Here.judge", fails)
    assert [look.outcome for look in desk.look(*paths)] == ["refused"] * 3
    assert all("left out" in look_words(look) for look in desk.look(*paths))
