"""Sore zones are counted once a session, before and after, and windows never share a day."""

from collections import Counter
from datetime import UTC, date, datetime, timedelta

from companion.care.history import current
from companion.care.records import MoveScore, Session
from companion.exchange.files import read
from companion.presentation.clinic.zones import When, ZoneCount, zone_counts, zone_maps, zone_table
from companion.presentation.language.said import said_words
from companion.system.resources import demo_profiles


def test_each_session_counts_once_for_each_place_it_named() -> None:
    diary = read(demo_profiles() / "tobin" / "diary.homeknee").diary
    assert diary is not None
    entries = current(diary.entries)
    first, last = date(2026, 9, 1), date(2026, 11, 30)
    moves = [entry.moves for entry in entries if isinstance(entry, Session)]
    befores = [each[0] for each in moves if each and each[0].role == "before"]
    afters = [each[-1] for each in moves if each and each[-1].role != "before"]
    assert len(befores) > len(afters) // 2 > 0
    both: tuple[tuple[When, list[MoveScore]], ...] = (("before", befores), ("after", afters))
    for when, scores in both:
        found = zone_counts(entries, "right", first, last, when)
        assert found.sessions == len(scores)
        assert found.zones == {z: sum(z in s.zones for s in scores) for z in found.zones}
        assert {zone for score in scores for zone in score.zones} == set(found.zones)
        assert zone_counts(entries, "left", first, last, when) == ZoneCount(0, Counter())


def test_of_several_scores_after_the_last_one_counts() -> None:
    """As the contract counts the score after (ease: the last given)."""
    day = date(2026, 11, 2)
    session = Session(
        id="s1", side="right", for_day=day, written_at=datetime(2026, 11, 2, 18, tzinfo=UTC),
        written_by="person", plan_version=1, ended="finished",
        moves=(
            MoveScore(role="before", score=6, zones=("inner_edge", "above")),
            MoveScore(role="after_hands", score=4, zones=("inner_edge", "below")),
            MoveScore(role="after_hands", score=3, zones=("below",)),
        ),
    )  # fmt: skip
    before = zone_counts([session], "right", day, day, "before")
    assert before == ZoneCount(1, Counter({"inner_edge": 1, "above": 1}))
    after = zone_counts([session], "right", day, day, "after")
    assert after == ZoneCount(1, Counter({"below": 1}))


def test_table_and_maps_show_the_same_counts() -> None:
    diary = read(demo_profiles() / "edda" / "diary.homeknee").diary
    assert diary is not None
    entries, first = current(diary.entries), date(2026, 9, 14)
    maps = zone_maps(entries, diary.plans, "right", first, first + timedelta(days=60))
    table = zone_table(maps)
    assert table.headers[0] == "Place"
    assert [h.rpartition(", ")[2] for h in table.headers[1:]] == ["before", "after"] * 2
    counted = [count for one in maps for count in (one.before, one.after)]
    assert table.rows[0] == ("Sessions with a score", *(str(c.sessions) for c in counted))
    pictures = [p for one in maps for p in (one.before_picture, one.after_picture)]
    for words, *cells in table.rows[1:]:
        for cell, picture in zip(cells, pictures, strict=True):
            assert (f"{words}: {cell}" in said_words(picture.description)) == (cell != "0")
    for count, picture, when in zip(
        counted, pictures, ("Before", "After", "Before", "After"), strict=True
    ):
        texts = {said_words(word.what) for word in picture.words}
        assert f"{when}, {count.sessions} sessions" in texts
        heavy = {s.name for s in picture.shapes if s.role == "zone" and s.weight == "heavy"}
        assert heavy == {f"zone-{zone}" for zone in count.zones if zone != "elsewhere"}


def test_first_and_last_weeks_stand_side_by_side_or_not_at_all() -> None:
    diary = read(demo_profiles() / "edda" / "diary.homeknee").diary
    assert diary is not None
    entries = current(diary.entries)
    first = date(2026, 9, 14)
    two = zone_maps(entries, diary.plans, "right", first, first + timedelta(days=27))
    assert [one.title for one in two] == ["14 Sep to 27 Sep", "28 Sep to 11 Oct"]
    assert all("Right knee" in said_words(one.before_picture.description) for one in two)
    (one,) = zone_maps(entries, diary.plans, "right", first, first + timedelta(days=26))
    assert one.title == "14 Sep to 10 Oct"
    empty = zone_maps((), diary.plans, "right", first, first)[0]
    assert empty.before == empty.after == ZoneCount(0, Counter())
    assert zone_table([empty]).rows == (("Sessions with a score", "0", "0"),)
