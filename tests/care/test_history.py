"""Corrections, rivals and merging."""

import time
from dataclasses import replace
from datetime import timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from companion.care.history import ConflictingEntry, current, merge
from companion.care.records import AnyEntry, Question
from tests.builders import at, event, new_id, page, session, warning
from tests.versions import versions_of

IDS = [f"{number:032x}" for number in range(1, 7)]


@st.composite
def histories(draw: st.DrawFn) -> list[AnyEntry]:
    """Up to six entries whose corrections may be chains, rivals, orphans and rings."""
    entries: list[AnyEntry] = []
    for entry_id in draw(st.lists(st.sampled_from(IDS), unique=True)):
        fields = {
            "id": entry_id,
            "written_at": at(draw(st.integers(0, 3)), offset_hours=draw(st.sampled_from([0, 5.5]))),
            "replaces": draw(st.none() | st.sampled_from(IDS)),
        }
        make = draw(st.sampled_from([page, session, event]))
        entries.append(make(draw(st.integers(0, 2)), **fields))  # type: ignore[operator]
    return entries


@given(histories(), st.integers(0, 6), st.randoms())
def test_merge_is_order_free_and_idempotent(
    entries: list[AnyEntry], cut: int, random: object
) -> None:
    mine, theirs = entries[:cut], entries[cut // 2 :]
    union = merge(mine, theirs)
    shuffled = list(theirs)
    random.shuffle(shuffled)  # type: ignore[attr-defined]
    assert union == merge(shuffled, mine)
    assert union == merge(union, union) == merge(union)
    assert merge(merge(mine, theirs), entries) == merge(mine, merge(theirs, entries))
    assert {entry.id for entry in union} == {entry.id for entry in [*mine, *theirs]}


@given(histories(), st.randoms())
def test_what_counts_does_not_depend_on_order(entries: list[AnyEntry], random: object) -> None:
    shuffled = list(entries)
    random.shuffle(shuffled)  # type: ignore[attr-defined]
    assert current(entries) == current(shuffled)
    counting = current(entries)
    assert {entry.id for entry in counting} <= {entry.id for entry in entries}
    assert bool(counting) == bool(entries)


@given(histories())
def test_a_correction_never_loses_the_original(entries: list[AnyEntry]) -> None:
    union = merge(entries)
    for entry in entries:
        versions = versions_of(union, entry.id)
        assert entry in versions
        if entry.replaces is not None:
            original = [one for one in entries if one.id == entry.replaces]
            if original and original[0].kind == entry.kind:
                assert original[0] in versions


def test_a_correction_takes_the_place_of_the_original() -> None:
    first = session(0, 7, 5)
    second = replace(first, id=new_id(), replaces=first.id, written_at=at(1))
    assert current([second, first]) == (second,)
    assert versions_of([second, first], second.id) == (first, second)
    assert versions_of([first, second], first.id) == (first, second)
    assert versions_of([first], "f" * 32) == ()


def test_of_rival_corrections_the_later_instant_counts() -> None:
    """Contract, "Files": the later `written_at` counts, then the larger id."""
    first = session(0, 7)
    # 12:00+05:30 is 06:30 UTC, so it was written before 08:00 UTC.
    early = replace(first, id="b" * 32, replaces=first.id, written_at=at(1, 12, offset_hours=5.5))
    late = replace(first, id="a" * 32, replaces=first.id, written_at=at(1, 8))
    assert current([first, early, late]) == (late,)
    same = replace(late, id="c" * 32)
    assert current([late, first, same, early]) == (same,)


def test_two_pages_for_one_day_and_knee() -> None:
    one = page(0, pain_average=4, written_at=at(0, 19))
    two = page(0, pain_average=5, written_at=at(0, 20))
    left = page(0, pain_average=6, side="left")
    assert set(current([two, one, left])) == {two, left}
    assert set(merge([one], [two, left])) == {one, two, left}
    same_time = replace(two, id="f" * 32, pain_average=7)
    assert current([same_time, two]) == current([two, same_time]) == (same_time,)


def test_a_corrected_page_still_loses_to_a_later_page() -> None:
    one = page(0, written_at=at(0, 19))
    corrected = replace(one, id=new_id(), replaces=one.id, written_at=at(0, 20), pain_now=3)
    other = page(0, written_at=at(0, 21))
    assert current([one, corrected, other]) == (other,)


def test_orphans_and_rings_are_rivals_not_errors() -> None:
    orphan = session(0, 7, replaces="d" * 32, written_at=at(0))
    rival = session(0, 6, replaces="d" * 32, written_at=at(1))
    assert current([orphan, rival]) == (rival,)
    one = session(0, 5, id="1" * 32, replaces="2" * 32, written_at=at(0))
    two = session(0, 4, id="2" * 32, replaces="1" * 32, written_at=at(1))
    assert current([one, two]) == (two,)
    alone = session(0, 5, id="3" * 32, replaces="3" * 32)
    assert current([alone]) == (alone,)


def test_another_kind_replaces_nothing() -> None:
    """A question must not be able to make a warning disappear."""
    sign = warning(0)
    question = Question(
        id=new_id(),
        for_day=sign.for_day,
        written_at=at(1),
        written_by="person",
        plan_version=1,
        replaces=sign.id,
        text="Is this right?",
    )
    assert set(current([sign, question])) == {sign, question}
    # Nor while the warning is still absent, as in a part of a diary.
    other = replace(sign, id=new_id(), replaces=sign.id)
    assert set(current([other, question])) == {other, question}


def test_one_id_with_two_contents_is_refused() -> None:
    one = page(0, pain_now=4)
    with pytest.raises(ConflictingEntry) as caught:
        merge([one], [replace(one, pain_now=5)])
    assert caught.value.entry_id == one.id
    # The same instant with another offset is other content: it decides what counts as late.
    moved = replace(one, written_at=at(0, 20, offset_hours=2))
    assert moved == one
    with pytest.raises(ConflictingEntry):
        merge([moved], [one])


def test_long_chains_take_linear_time() -> None:
    first = session(0, 7)
    chain = [first]
    for number in range(20_000):
        last = chain[-1]
        chain.append(
            replace(
                last, id=new_id(), replaces=last.id, written_at=at(0) + timedelta(seconds=number)
            )
        )
    started = time.process_time()
    assert current(chain) == (chain[-1],)
    assert current(reversed(chain)) == (chain[-1],)
    assert time.process_time() - started < 5
