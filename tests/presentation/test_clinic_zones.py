"""Sore zones are counted once a session, by the score before, and windows never share a day."""

from datetime import date, timedelta

from companion.care.history import current
from companion.care.records import Session
from companion.exchange.files import read
from companion.presentation.clinic_zones import zone_counts, zone_maps
from companion.system.resources import demo_profiles


def test_each_session_counts_once_for_each_place_it_named() -> None:
    diary = read(demo_profiles() / "tobin" / "diary.homeknee").diary
    assert diary is not None
    entries = current(diary.entries)
    first, last = date(2026, 9, 1), date(2026, 11, 30)
    sessions, counts = zone_counts(entries, "right", first, last)
    befores = [
        {zone for move in entry.moves if move.role == "before" for zone in move.zones}
        for entry in entries
        if isinstance(entry, Session) and any(move.role == "before" for move in entry.moves)
    ]
    assert sessions == len(befores)
    assert counts == {zone: sum(zone in named for named in befores) for zone in counts}
    assert zone_counts(entries, "left", first, last) == (0, {})


def test_first_and_last_weeks_stand_side_by_side_or_not_at_all() -> None:
    diary = read(demo_profiles() / "edda" / "diary.homeknee").diary
    assert diary is not None
    entries = current(diary.entries)
    first = date(2026, 9, 14)
    two = zone_maps(entries, diary.plans, "right", first, first + timedelta(days=27))
    assert [one.title for one in two] == ["14 Sep to 27 Sep", "28 Sep to 11 Oct"]
    assert all("Right knee" in one.drawing.description for one in two)
    (one,) = zone_maps(entries, diary.plans, "right", first, first + timedelta(days=26))
    assert one.title == "14 Sep to 10 Oct"
    empty = zone_maps((), diary.plans, "right", first, first)[0]
    assert empty.counted == "Of 0 sessions with a score before: no place named."
