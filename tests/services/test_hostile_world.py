"""Clocks that are wrong, files that do harm and copies that disagree: each fault that was found by
trying, and the test that failed before it was mended.

  one evening with a wrong clock, and the clinic refused the diary for a year:
    tests/services/test_hostile_world.py::test_an_evening_under_a_wrong_clock_is_taken_in_marked
    tests/services/test_hostile_world.py::test_it_is_told_by_its_own_order
    tests/services/test_hostile_world.py::test_the_clinic_marks_it_by_the_day_it_was_taken_in
    tests/services/test_hostile_world.py::test_it_is_put_right_by_one_day
    tests/services/test_hostile_world.py::test_one_rule_at_home_and_at_the_clinic_of_what_counts_in_a_figure
  nothing asked when the clock leapt ahead:
    tests/services/test_hostile_world.py::test_a_clock_that_leaps_is_asked_about
    tests/ui/home/test_unsettled.py::test_a_leap_is_asked_about_before_anything_opens
  one poison file ended the import of the good ones, and every start of the desk:
    tests/services/test_clinic_import.py::test_a_file_the_program_fails_on_stops_neither_the_others_nor_the_desk
  years from before the calendar, and numbers without measure, made the reader raise:
    tests/services/test_hostile_world.py::test_years_have_a_range
    tests/services/test_hostile_world.py::test_a_number_without_measure
    tests/e2e/test_commands.py::test_a_today_no_diary_can_have_is_a_wrong_command_line
  a key or a name wrote to the terminal, and without bound:
    tests/services/test_hostile_world.py::test_keys_and_names_are_shown_with_a_mark
    tests/services/test_hostile_world.py::test_a_key_is_told_in_a_bounded_line
  two corrections of one thing were decided in silence:
    tests/services/test_hostile_world.py::test_rivals_are_shown_and_one_is_chosen
    tests/services/test_hostile_world.py::test_rivals_of_two_days_say_their_days
    tests/services/test_hostile_world.py::test_what_was_seen_counts_whatever_the_clock_said
    tests/services/test_hostile_world.py::test_one_id_with_other_content_is_kept_beside
  and the clinic only counted them:
    tests/services/test_hostile_world.py::test_the_clinic_names_what_was_told_differently_with_every_value
  one conflicting entry refused the whole file:
    tests/exchange/test_hostile.py::test_what_does_not_fit_the_rest_costs_itself_alone
  files inside the limit took minutes, with no way to leave off:
    tests/services/test_hostile_world.py::test_the_same_entry_many_times_is_read_once
    tests/services/test_hostile_world.py::test_a_long_chain_is_read_in_a_time_that_grows_with_its_length
    tests/services/test_hostile_world.py::test_reading_can_be_left_off
    tests/services/test_practice.py::test_work_is_broken_off_inside_a_file
    tests/ui/clinic/test_desk.py::test_work_stops_at_its_next_beat_inside_a_step
  a plan of an older version with fields of a later one was taken as whole:
    tests/services/test_hostile_world.py::test_fields_of_a_later_version
  a diary was saved that could never be read again:
    tests/services/test_hostile_world.py::test_no_file_is_written_that_is_not_read
"""

from __future__ import annotations

import hashlib
from dataclasses import replace
from datetime import datetime, timedelta
from pathlib import Path

import pytest

from companion.app.commands import one_line
from companion.care.clocks import moved, out_of_order, that_count, uncounted, under_wrong_clock
from companion.care.coded import KnownFault
from companion.care.history import current, rivals
from companion.care.records import AnyEntry, DayPage, Diary, TapeOff, TapeOn
from companion.care.shown_text import shown
from companion.evidence.findings import findings
from companion.exchange import files
from companion.exchange.case_files import CaseFolder, import_stamp
from companion.exchange.files import diary_bytes, read_bytes, reader
from companion.exchange.table_cells import defused
from companion.exchange.taking_in import preview
from companion.presentation.clinic.answers import knee_of
from companion.presentation.clinic.answers import unsettled as unsettled_row
from companion.presentation.clinic.told_apart import rivals_table
from companion.presentation.home.handed_over import counted_kinds, handed_view, told_apart
from companion.presentation.home.home_pages import visit_view
from companion.presentation.home.record_tables import section_tables
from companion.presentation.home.unsettled_pages import rivals_view, wrong_clock_view
from companion.presentation.view.chart import DaySpan
from companion.presentation.view.page import Tellings
from companion.services.unsettled import (
    choose,
    clock_doubt,
    clock_is_right,
    on_day,
    one_episode,
    unsettled,
)
from companion.services.visit import ask_clinic
from tests.builders import at, new_id, page, small_plan, tape_off, tape_on, warning
from tests.care.walking import CATALOGUE
from tests.exchange.test_files import body_of, with_header
from tests.named_tests import not_there
from tests.said import sentence
from tests.services.conftest import Keep
from tests.services.context_for_tests import HandClock

HOME, OTHER = "a" * 32, "b" * 32
YEAR = timedelta(days=365)


def evening(
    day: int, turn: int, machine: str = HOME, ahead: timedelta = timedelta(), **more: object
) -> DayPage:
    """A day page as a machine wrote it, its clock ahead by so much."""
    made = page(day, machine=machine, turn=turn, **more)
    return replace(made, for_day=made.for_day + ahead, written_at=made.written_at + ahead)


def diary(*entries: AnyEntry) -> Diary:
    return Diary(plans=(small_plan(),), entries=entries)


WRONG = diary(evening(0, 1), evening(1, 2), evening(2, 3, ahead=YEAR), evening(3, 4))
TODAY = at(3).date()


# ---------------------------------------------------------------- 4: clocks


def test_an_evening_under_a_wrong_clock_is_taken_in_marked() -> None:
    old = diary(*(replace(e, machine=None, turn=None) for e in WRONG.entries))
    read = read_bytes(diary_bytes(old), today=TODAY)
    assert read.diary is not None
    assert len(read.diary.entries) == 4
    assert [e.for_day.year for e in uncounted(read.diary)] == [2027]
    assert len(that_count(read.diary)) == 3


def test_it_is_told_by_its_own_order() -> None:
    assert out_of_order(WRONG.entries) == {WRONG.entries[2].id}
    assert out_of_order(WRONG.entries[:3]) == frozenset(), "a leap alone may be time away"
    behind = diary(*WRONG.entries[:2], evening(2, 3, ahead=-YEAR), evening(3, 4))
    assert out_of_order(behind.entries) == {behind.entries[2].id}
    # Two machines do not tell of each other, and a day is no leap.
    other = evening(5, 1, OTHER)
    late = replace(page(1), written_at=at(2, 3), machine=HOME, turn=9)
    assert out_of_order([*WRONG.entries[:2], other, late]) == frozenset()


def test_one_rule_at_home_and_at_the_clinic_of_what_counts_in_a_figure(keep: Keep) -> None:
    """At home the record and what is handed over counted it all the same."""
    pages = [
        evening(n, n + 1, ahead=YEAR if n == 2 else timedelta(), swelling="some") for n in range(4)
    ]
    kept = keep(*pages, plan=small_plan(), clock=HandClock(at(3)))
    made = kept.context.journal.diary()
    assert that_count(made) == (pages[0], pages[1], pages[3])
    assert counted_kinds(made)["day_page"] == "3 day pages"
    handed = str(handed_view(made))
    assert "1 entry under a wrong clock, not counted" in handed
    assert "1 entry under a wrong clock, not counted" in str(visit_view(made))
    days = DaySpan(at(0).date(), at(2).date() + YEAR)
    for wrong, rows in ((under_wrong_clock(made), 3), ((), 4)):
        tables = section_tables(
            "activities", made.entries, made.plans, "right", days, wrong_clock=wrong
        )
        (answers,) = (one for one in tables if "Swelling" in one.table.headers)
        assert len(answers.table.rows) == rows


def test_an_open_sign_stays_open_whatever_the_clock_said() -> None:
    sign = warning(2, machine=HOME, turn=3)
    sign = replace(sign, for_day=sign.for_day + YEAR, written_at=sign.written_at + YEAR)
    counted = that_count(diary(evening(0, 1), evening(1, 2), sign, evening(3, 4)))
    (kept,) = [e for e in counted if e.kind == "warning"]
    assert kept.for_day == at(3).date()


def test_the_clinic_marks_it_by_the_day_it_was_taken_in(tmp_path: Path) -> None:
    """Also once that day is long over: what the file says and its name are enough."""
    folder = CaseFolder(tmp_path)
    old = diary(*(replace(e, machine=None, turn=None) for e in WRONG.entries))
    data = diary_bytes(old)
    stamp = import_stamp(datetime.combine(TODAY, at(3).timetz()), ())
    name = folder.put(data, "K-07", stamp)
    held = folder.held([(name, hashlib.sha256(data).hexdigest())])
    assert [e.for_day.year for e in uncounted(held.whole())] == [2027]


def test_it_is_put_right_by_one_day(keep: Keep) -> None:
    on = tape_on(at(2), machine=HOME, turn=3)
    off = tape_off(at(2, 20), machine=HOME, turn=4, tape_on=on.id)
    entries: list[AnyEntry] = [evening(2, 5), on, off]
    ahead = [replace(moved(e, YEAR), written_at=e.written_at + YEAR) for e in entries]
    kept = keep(evening(0, 1), *ahead, plan=small_plan(), clock=HandClock(at(3)))
    found = unsettled(kept.context)
    assert {e.id for e in found.wrong_clock} == {e.id for e in ahead}
    episode = one_episode(found.wrong_clock)
    assert "These 3 entries" in str(wrong_clock_view(episode, at(3).date()))
    with pytest.raises(ValueError, match="day to come"):
        on_day(kept.context, episode, at(4).date())
    on_day(kept.context, episode, at(2).date())
    assert unsettled(kept.context).wrong_clock == ()
    now = {e.kind: e for e in kept.context.entries if e.for_day == at(2).date()}
    assert set(now) == {"day_page", "tape_on", "tape_off"}
    right = now["tape_off"]
    assert isinstance(right, TapeOff)
    assert right.tape_on == now["tape_on"].id
    assert isinstance(now["tape_on"], TapeOn)
    assert now["tape_on"].happened_at == on.happened_at
    assert read_bytes(diary_bytes(kept.context.journal.diary())).faults == ()


def test_what_was_told_of_an_earlier_day_stays_there(keep: Keep) -> None:
    """A sign of a right day that was cleared under a wrong clock: its own day is no wrong one."""
    sign = warning(0, machine=HOME, turn=1)
    over = replace(
        sign,
        id=new_id(),
        replaces=sign.id,
        turn=2,
        written_at=at(2) + YEAR,
        cleared="asked_again",
        cleared_on=at(2).date() + YEAR,
    )
    kept = keep(sign, over, evening(2, 3, ahead=YEAR), plan=small_plan(), clock=HandClock(at(3)))
    episode = one_episode(unsettled(kept.context).wrong_clock)
    assert at(2).date().isoformat() in str(wrong_clock_view(episode, at(3).date()))
    on_day(kept.context, episode, at(2).date())
    assert unsettled(kept.context).wrong_clock == ()
    days = {e.kind: (e.for_day, getattr(e, "cleared_on", None)) for e in kept.context.entries}
    assert days == {
        "warning": (sign.for_day, at(2).date()),
        "day_page": (at(2).date(), None),
    }


@pytest.mark.parametrize("turns", [(2, 3), (3, 2)], ids=["page after", "page before"])
def test_a_day_put_right_onto_a_day_with_a_page_is_its_rival(
    keep: Keep, turns: tuple[int, int]
) -> None:
    wrong, page_turn = turns
    there = evening(2, page_turn, pain_average=4)
    ahead = evening(2, wrong, ahead=YEAR, pain_average=6)
    kept = keep(evening(0, 1), there, ahead, plan=small_plan(), clock=HandClock(at(3)))
    on_day(kept.context, unsettled(kept.context).wrong_clock, there.for_day)
    waits = unsettled(kept.context)
    assert waits.wrong_clock == ()
    (group,) = waits.rivals
    assert {e.pain_average for e in group if isinstance(e, DayPage)} == {4, 6}
    chosen = choose(kept.context, group, there.id)
    assert unsettled(kept.context).rivals == ()
    assert chosen in kept.context.entries


def test_a_clock_that_leaps_is_asked_about(keep: Keep) -> None:
    clock = HandClock(at(1))
    kept = keep(evening(0, 1), plan=small_plan(), clock=clock)
    assert clock_doubt(kept.context) is None
    clock.set(at(1) + YEAR)
    doubt = clock_doubt(kept.context)
    assert doubt is not None
    assert doubt.what == "ahead"
    clock_is_right(kept.context)
    assert clock_doubt(kept.context) is None
    ask_clinic(kept.context, "Is this right?")
    clock.set(at(2))
    doubt = clock_doubt(kept.context)
    assert doubt is not None
    assert doubt.what == "behind"


# ---------------------------------------------------------------- 6, 7: what a file may hold


@pytest.mark.parametrize("wrong", ["0001-01-01T05:00:00+14:00", "9999-12-31T23:00:00-12:00"])
def test_years_have_a_range(wrong: str) -> None:
    data = body_of(diary_bytes(diary(page(0)))).replace(
        page(0).written_at.isoformat().encode(), wrong.encode()
    )
    reading = read_bytes(with_header(data))
    assert reading.state == "faulty"
    assert "is not between 1900 and 2200" in sentence(reading)


def test_a_number_without_measure() -> None:
    body = body_of(diary_bytes(diary(page(0)))).replace(
        b'"anchor_mm":50.0', b'"anchor_mm":1' + b"0" * 400
    )
    assert read_bytes(with_header(body)).state == "faulty"


# ---------------------------------------------------------------- 8: what is shown


@pytest.mark.parametrize("hidden", ["\x1b[2J", "\x1b]0;evil\x07", "\u202e", "\u2066", "\x9b2J"])
def test_keys_and_names_are_shown_with_a_mark(hidden: str) -> None:
    for made in (one_line(f"a{hidden}b"), files.shown_name(f"a{hidden}b"), defused(f"a{hidden}b")):
        assert not set(made) & set("\x1b\x07\u202e\u2066\x9b")
        assert made.isprintable()
    assert len(shown(hidden)) == len(hidden)
    assert shown("two\nlines\tÉvie \U0001f9b5") == "two\nlines\tÉvie \U0001f9b5"


def test_a_key_is_told_in_a_bounded_line() -> None:
    long = b'{"' + b"x" * 900_000 + b'":1,"id"'
    reading = read_bytes(with_header(body_of(diary_bytes(diary(page(0)))).replace(b'{"id"', long)))
    assert reading.state == "faulty"
    assert len(sentence(reading)) < 600


# ---------------------------------------------------------------- 10: rivals


def test_rivals_are_shown_and_one_is_chosen(keep: Keep) -> None:
    first = evening(0, 1, pain_average=4)
    here = replace(first, id=new_id(), replaces=first.id, turn=2, pain_average=5, written_at=at(1))
    there = replace(
        first,
        id=new_id(),
        replaces=first.id,
        machine=OTHER,
        turn=2,
        pain_average=6,
        written_at=at(1, 20) + YEAR,
    )
    assert current([first, here, there]) == (there,), "until one is chosen, the later"
    assert rivals([first, here, there]) == ((here, there),)
    kept = keep(first, here, there, plan=small_plan(), clock=HandClock(at(1) + YEAR))
    (group,) = unsettled(kept.context).rivals
    view = rivals_view(group, CATALOGUE, 0)
    (told,) = (block for block in view.blocks if isinstance(block, Tellings))
    assert told.rows == (("Average pain", ("5", "6")),)
    assert [head[:2] for head in told.heads] == ["1.", "2."]
    words = str(view)
    assert "Number 1 is right" in words
    assert "Number 2 is right" in words
    chosen = choose(kept.context, group, here.id)
    assert isinstance(chosen, DayPage)
    assert (chosen.pain_average, chosen.over) == (5, (there.id,))
    assert unsettled(kept.context).rivals == ()
    assert [*kept.context.entries] == [chosen]


def test_rivals_of_two_days_say_their_days(keep: Keep) -> None:
    """They differed in nothing that was shown."""
    first = evening(-3, 1)
    here = replace(first, id=new_id(), replaces=first.id, turn=2, written_at=at(1))
    there = replace(here, id=new_id(), machine=OTHER, for_day=first.for_day - timedelta(days=1))
    kept = keep(first, here, there, plan=small_plan(), clock=HandClock(at(1)))
    (group,) = unsettled(kept.context).rivals
    assert [name for name, _ in told_apart(group, CATALOGUE)] == ["Day"]


def test_the_clinic_names_what_was_told_differently_with_every_value() -> None:
    """It only counted them."""
    first = evening(0, 1, pain_average=4, pain_worst=6)
    here = replace(first, id=new_id(), replaces=first.id, turn=2, pain_average=5, pain_worst=7)
    there = replace(
        here, id=new_id(), machine=OTHER, pain_average=6, pain_worst=8, written_by="helper"
    )
    there = replace(there, written_at=at(0, 22))
    made = diary(first, here, there)
    knee = knee_of(findings(made, "right", policy=CATALOGUE.policy), that_count(made), made.entries)
    row = unsettled_row(knee, CATALOGUE)
    assert row is not None
    assert "average pain 6, or 5, and 1 more" in row.cells[0].words
    table = rivals_table(made.entries, CATALOGUE)
    assert [(r[3], str(r[4])[:2], str(r[5])[:2]) for r in table.rows] == [
        ("Average pain", "6 ", "5 "),
        ("Worst pain", "8 ", "7 "),
    ]
    assert "helper" in str(table.rows[0][4])


def test_what_was_seen_counts_whatever_the_clock_said() -> None:
    """Of one machine the later in its own order counts; what one names counts before that."""
    first = evening(0, 1)
    ahead = replace(first, id=new_id(), replaces=first.id, turn=2, written_at=at(1) + YEAR)
    later = replace(first, id=new_id(), replaces=first.id, turn=3, written_at=at(1))
    assert current([first, ahead, later]) == (later,)
    assert rivals([first, ahead, later]) == ()


@pytest.mark.parametrize("later", [1, 2])
def test_a_page_withdrawn_on_one_computer_alone_is_told(later: int) -> None:
    first = evening(0, 1)
    changed = replace(first, id=new_id(), replaces=first.id, turn=2, pain_average=9)
    out = replace(
        first, id=new_id(), replaces=first.id, turn=2, machine=OTHER, withdrawn="never_happened"
    )
    out, changed = replace(out, written_at=at(later)), replace(changed, written_at=at(3 - later))
    assert {e.id for (group,) in [rivals([first, changed, out])] for e in group} == {
        out.id,
        changed.id,
    }


def test_rivals_that_say_the_same_are_none() -> None:
    first = evening(0, 1)
    one, two = (
        replace(first, id=new_id(), machine=m, turn=2, written_at=at(1)) for m in (HOME, OTHER)
    )
    assert rivals([replace(one, replaces=first.id), replace(two, replaces=first.id), first]) == ()


def test_one_id_with_other_content_is_kept_beside(keep: Keep) -> None:
    mine = evening(0, 1, pain_average=4)
    theirs = replace(mine, pain_average=9, written_at=mine.written_at + timedelta(hours=1))
    fresh = evening(1, 2)
    kept = keep(mine, plan=small_plan(), clock=HandClock(at(2)))
    found = preview(kept.context.diary(), diary(theirs, fresh))
    assert found.refused is None
    assert found.conflicts == (mine.id,)
    kept.context.journal.append(*found.new)
    (group,) = unsettled(kept.context).rivals
    assert [e.pain_average for e in group if isinstance(e, DayPage)] == [4, 9]
    assert len(kept.context.entries) == 2


# ---------------------------------------------------------------- 11: time


def test_the_same_entry_many_times_is_read_once() -> None:
    body = body_of(diary_bytes(diary(page(0)))).decode()
    head, line, end = body.partition('"entries":[\n')[0], body.split("\n")[-3], "]}\n"
    many = ",\n".join([line] * 60_000)
    reading = read_bytes(with_header(f'{head}"entries":[\n{many}\n{end}'.encode()))
    assert reading.diary is not None
    assert len(reading.diary.entries) == 1


def test_a_long_chain_is_read_in_a_time_that_grows_with_its_length() -> None:
    """Counted, not timed: each entry is looked at a few times, wherever it stands in its chain."""
    first = page(0)
    chain = [first]
    for _ in range(2_000):
        last = chain[-1]
        chain.append(replace(last, id=new_id(), replaces=last.id))
    reading = read_bytes(diary_bytes(diary(*chain)))
    assert reading.diary is not None
    assert len(current(reading.diary.entries)) == 1


def test_reading_can_be_left_off(tmp_path: Path) -> None:
    path = tmp_path / "diary.homeknee"
    path.write_bytes(diary_bytes(diary(*(page(0, id=new_id()) for _ in range(500)))))
    steps = reader(path)
    percents = [next(steps), next(steps), next(steps)]
    assert percents == sorted(percents)
    assert percents[-1] > 0
    steps.close()


# ---------------------------------------------------------------- 13, 15


def test_fields_of_a_later_version() -> None:
    """A first line that names version 1 over what version 2 brought is not taken as whole."""
    newer = replace(small_plan(), sex="female")
    body = body_of(files.plan_bytes(newer))
    assert read_bytes(with_header(body, b"homeknee plan 5")).state == "whole"
    reading = read_bytes(with_header(body, b"homeknee plan 1"))
    assert reading.state == "faulty"
    assert "sex is not a part of version 1" in sentence(reading)


def test_no_file_is_written_that_is_not_read(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(files.MOST_BYTES, "diary", 3_000)
    assert read_bytes(diary_bytes(diary(page(0)))).state == "whole"
    with pytest.raises(KnownFault) as refused:
        diary_bytes(diary(*(page(0, id=new_id()) for _ in range(20))))
    assert "Nothing is lost" in sentence(refused.value)


def test_each_test_that_is_named_here_is_there() -> None:
    assert __doc__ is not None
    assert not_there(__doc__, least=24) == []
