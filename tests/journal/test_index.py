"""The index of a store finds what a look at every entry finds, and reads no more than it must."""

from collections.abc import Iterable
from datetime import timedelta
from pathlib import Path

from hypothesis import given, settings
from hypothesis import strategies as st

from companion.care import finding
from companion.care.finding import By, find, newest_first, off_of, oldest_first, with_id
from companion.care.history import current
from companion.care.records import ENTRY_KINDS, AnyEntry, DayPage, Side, TapeOn
from tests.journal.made import DAY, PLAN, filled, in_memory, opened, page
from tests.strategies import close_together
from tests.versions import versions_of

TODAY = DAY + timedelta(days=60)
SIDES: tuple[Side | None, ...] = (None, "left", "right")
ORDERS: tuple[By, ...] = ("day", "time", "writing")
one_kind = st.sampled_from([*ENTRY_KINDS])
tape = ("tape_on", "tape_off")


def close(kinds: Iterable[str]) -> st.SearchStrategy[tuple[AnyEntry, ...]]:
    return close_together([PLAN], TODAY, kinds=tuple(kinds), most_entries=40)


@settings(max_examples=30)
@given(one_kind.flatmap(lambda kind: close([kind])), st.integers(0, 30))
def test_what_is_found_is_what_a_look_at_every_entry_finds(
    made: tuple[AnyEntry, ...], length: int
) -> None:
    counting = current(made)
    first = TODAY - timedelta(days=length)
    with in_memory(*made) as journal:
        index = journal.index
        assert (tuple(index), len(index)) == (counting, len(counting))
        assert finding.last_day(index) == finding.last_day(counting)
        assert finding.last_written(index) == finding.last_written(counting)
        for kind in {type(entry) for entry in made}:
            for side in SIDES:
                for by in ORDERS:
                    expected = [*newest_first(counting, kind, by=by, side=side)]
                    assert [*newest_first(index, kind, by=by, side=side)] == expected
                expected = [*oldest_first(counting, kind, side=side)]
                assert [*oldest_first(index, kind, side=side)] == expected
                for days in ((None, None), (first, None), (None, first), (first, TODAY)):
                    some = find(index, kind, side=side, first_day=days[0], last_day=days[1])
                    expected = [
                        *find(counting, kind, side=side, first_day=days[0], last_day=days[1])
                    ]
                    assert ([*some], [*reversed(some)]) == (expected, expected[::-1])
        for entry in made:
            version = next(iter(current(versions_of(made, entry.id))), None)
            assert index.counting(entry.id) == (version if version in counting else None)
            assert with_id(index, entry.id) == with_id(counting, entry.id)
            assert (entry in index) == (entry in counting)
        assert index.counting("f" * 32) is None


@settings(max_examples=30)
@given(close(tape))
def test_what_came_off_is_found_by_the_tape_it_names(made: tuple[AnyEntry, ...]) -> None:
    counting = current(made)
    with in_memory(*made) as journal:
        for on in made:
            if isinstance(on, TapeOn):
                expected = [*off_of(counting, on.id)]
                assert [*off_of(journal.index, on.id)] == expected


@settings(max_examples=20)
@given(close(["day_page"]))
def test_a_word_leaves_out_none_that_holds_it(made: tuple[AnyEntry, ...]) -> None:
    with in_memory(*made) as journal:
        index = journal.index
        skin = [one for one in find(index, DayPage, words=["skin"]) if one.skin is not None]
        assert skin == [one for one in find(index, DayPage) if one.skin is not None]
        full = [one for one in newest_first(index, DayPage, words=["full"]) if one.form == "full"]
        assert full == [one for one in newest_first(index, DayPage) if one.form == "full"]


def test_what_is_added_is_found(tmp_path: Path) -> None:
    first, second = page(0), page(1)
    filled(tmp_path, first)
    with opened(tmp_path) as journal:
        assert [*find(journal.index, DayPage)] == [first]
        assert journal.index.counting(first.id) == first
        journal.append(second)
        assert [*find(journal.index, DayPage)] == [first, second]
        correction = page(0, replaces=first.id)
        journal.append(correction)
        assert [*find(journal.index, DayPage)] == [correction, second]
        assert journal.index.counting(first.id) == correction
        assert with_id(journal.index, first.id) is None


def test_all_of_it_is_the_same_until_an_entry_is_added(tmp_path: Path) -> None:
    """What was found out about a whole diary is kept by it: each door found it out again."""
    filled(tmp_path, page(0))
    with opened(tmp_path) as journal:
        before = journal.entries()
        assert journal.entries() is before
        journal.append(after := page(1))
        assert journal.entries() == (*before, after)


def test_nothing_is_read_that_nobody_looks_at(tmp_path: Path) -> None:
    filled(tmp_path, *(page(number) for number in range(500)))
    with opened(tmp_path) as journal:
        index = journal.index
        assert len(find(index, DayPage)) == 500
        assert len(index._entries) == 0
        newest = newest_first(index, DayPage)
        assert [next(newest).for_day, next(newest).for_day] == [
            page(499).for_day,
            page(498).for_day,
        ]
        assert find(index, DayPage)[0].for_day == page(0).for_day
        assert len(index._entries) == 3
        assert index.read_ahead(100)
        assert len(index._entries) == 101  # the two newest were read before
        while index.read_ahead(100):
            pass
        assert len(index._entries) == 500
        assert not index.read_ahead(100)
