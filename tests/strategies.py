"""Records made at random, for properties: every field anything its type allows, and together a
plan and a diary that belong to one person."""

import dataclasses
import functools
import types
import typing
from collections.abc import Sequence
from datetime import date, datetime, timedelta, timezone
from typing import Any, TypeVar

from hypothesis import strategies as st

from companion.care import records
from companion.care.days import diary_day
from companion.care.ranges import Aware, Length, Range, Token, Words
from companion.care.records import AnyEntry, Diary, Plan, Side
from companion.wire.sign_off import signed

R = TypeVar("R")
Strategy = st.SearchStrategy[Any]

letters = st.sampled_from('a Zé\u2028\U0001f9b5"\\\n\t') | st.characters(
    exclude_categories=("Cc", "Cs")
)
days = st.dates(date(2015, 1, 1), date(2035, 12, 31))
offsets = st.integers(-12 * 4, 14 * 4).map(
    lambda quarters: timezone(timedelta(minutes=15 * quarters))
)
instants = st.builds(
    datetime.fromtimestamp,
    st.integers(1_420_200_000_000_000, 2_080_000_000_000_000).map(lambda us: us / 1_000_000),
    offsets,
)
ids = st.binary(min_size=16, max_size=16).map(bytes.hex)


def record(cls: type[R], **fixed: Strategy) -> st.SearchStrategy[R]:
    """Records of one class; `fixed` says what some fields hold."""
    hints = typing.get_type_hints(cls, include_extras=True)
    fields = {f.name: _of(hints[f.name]) for f in dataclasses.fields(cls)}  # type: ignore[arg-type]
    return st.builds(cls, **(fields | fixed))


def plans(**fixed: Strategy) -> st.SearchStrategy[Plan]:
    """Plans whose fields agree; some signed."""
    made = _loose_plans() if not fixed else st.builds(dataclasses.replace, _loose_plans(), **fixed)
    return made.flatmap(_agreeing)


@functools.cache
def _loose_plans() -> st.SearchStrategy[Plan]:
    return record(Plan, knees=_knees, sign_off=st.none())


def entries(plan: Plan, kind: str | None = None) -> st.SearchStrategy[AnyEntry]:
    """Entries under `plan`, of one kind or of any, that replace nothing."""
    kinds = list(records.ENTRY_KINDS) if kind is None else [kind]
    return st.sampled_from(kinds).flatmap(lambda kind: _entry(plan, kind))


@st.composite
def diaries(draw: st.DrawFn, most_entries: int = 8) -> Diary:
    """Diaries that hold together: versions, sides, days, corrections of corrections too."""
    first = draw(plans(version=st.just(1)))
    versions = [first]
    for version in range(2, 1 + draw(st.integers(1, 3))):
        person, year = st.just(first.person), st.just(first.birth_year)
        versions.append(draw(plans(version=st.just(version), person=person, birth_year=year)))
    made: list[AnyEntry] = []
    for _ in range(draw(st.integers(0, most_entries))):
        entry: AnyEntry = draw(st.sampled_from(versions).flatmap(entries))
        if any(old.id == entry.id for old in made):
            continue
        rivals = [old for old in made if old.kind == entry.kind]
        corrects: bool = draw(st.booleans())
        if rivals and corrects:
            replaced: AnyEntry = draw(st.sampled_from(rivals))
            entry = dataclasses.replace(entry, replaces=replaced.id)
            entry = draw(_now_and_then_withdrawn(entry))
        made.append(entry)
    return Diary(plans=tuple(versions), entries=tuple(draw(st.permutations(made))))


@st.composite
def close_together(
    draw: st.DrawFn,
    plans: Sequence[Plan],
    today: date,
    kinds: Sequence[str] | None = None,
    most_entries: int = 30,
) -> tuple[AnyEntry, ...]:
    """Entries of some weeks up to `today`, of both knees, that have to do with each other: tape
    taken off, corrections, pages for one day, things told late and clocks that were wrong. Of
    `kinds`, else of a few kinds each time."""
    made: list[AnyEntry] = []
    kinds = kinds or draw(st.sampled_from(_TOGETHER))
    for _ in range(draw(st.integers(0, most_entries))):
        kind = draw(st.sampled_from(kinds))
        day = today - timedelta(days=draw(_days_back))
        hour = draw(st.integers(0, 23))
        at = datetime(day.year, day.month, day.day, hour, tzinfo=draw(_zones))
        entry = draw(_loose(kind))
        if any(old.id == entry.id for old in made):
            continue
        names = {field.name for field in dataclasses.fields(entry)}
        alike = [old.id for old in made if old.kind == kind]
        changed: dict[str, Any] = {
            "for_day": day,
            "written_at": at + timedelta(days=draw(st.sampled_from([0, 0, 0, 0, 1, 12]))),
            "plan_version": draw(st.sampled_from(plans)).version,
            # Several may correct one and the same.
            "replaces": draw(st.sampled_from([*alike[:1], *alike, None]))
            if draw(_seldom)
            else None,
        }
        if "side" in names:
            changed["side"] = draw(st.sampled_from(_SIDES_OF.get(kind, _SIDES)))
        if getattr(entry, "happened_at", None) is not None:
            changed["happened_at"] = at + timedelta(hours=draw(st.sampled_from(_HOURS_OFF)))
        if "tape_on" in names:
            changed["tape_on"] = draw(
                st.sampled_from([None, *(old.id for old in made if old.kind == "tape_on")])
            )
        if "make" in names:
            changed["make"] = draw(st.sampled_from(["Slate 50", "slate 50 ", "Other 25"]))
        if "moves" in names and draw(st.booleans()):
            before, after = draw(st.sampled_from([(10, 9), (7, 2)]))
            changed["moves"] = (
                records.MoveScore(role="before", score=before),
                records.MoveScore(role="after_tape", score=after, stage=draw(_stages)),
            )
        entry = dataclasses.replace(entry, **changed)
        made.append(draw(_now_and_then_withdrawn(entry)) if entry.replaces else entry)
    return tuple(made)


def _now_and_then_withdrawn(correction: AnyEntry) -> st.SearchStrategy[AnyEntry]:
    """A correction, or one that leaves nothing in the place of what it corrects."""
    if isinstance(correction, records.WarningSign):
        return st.just(correction)
    why: list[Any] = [None, None, *typing.get_args(records.Withdrawn)]
    return st.sampled_from([dataclasses.replace(correction, withdrawn=one) for one in why])


_TOGETHER = [
    [*records.ENTRY_KINDS],
    ["tape_on", "tape_on", "tape_off", "day_page"],
    ["session", "session", "day_page", "gate"],
    ["warning", "tape_off", "day_page", "outing"],
    ["event", "session", "patch_test", "measure"],
]
_SIDES: list[Any] = ["left", "right", "right"]
_SIDES_OF: dict[str, list[Any]] = {"event": [None, *_SIDES]}
_HOURS_OFF = [0, 0, 0, -3, 3, -60, -1000]
_days_back = st.integers(0, 6) | st.integers(0, 60)
_zones = st.sampled_from([timezone(timedelta(hours=hours)) for hours in (0, 0, 5.5, -10)])
_stages = st.sampled_from([1, 2])
_seldom = st.sampled_from([False, False, True])


_knees = st.lists(
    st.deferred(lambda: record(records.KneeMeasures)), max_size=2, unique_by=lambda knee: knee.side
).map(tuple)


def _agreeing(plan: Plan) -> st.SearchStrategy[Plan]:
    side = plan.main_side if plan.side == "both" else plan.side
    review_on = max(plan.written_on, plan.review_on)
    sound = dataclasses.replace(plan, main_side=side, review_on=review_on)
    return st.just(sound) | instants.map(lambda at: signed(sound, "R. Quay", "PH 0412", at))


def _entry(plan: Plan, kind: str) -> st.SearchStrategy[AnyEntry]:
    sides = st.sampled_from(plan.sides)
    return st.builds(
        _belonging, _loose(kind), st.just(plan), sides, st.integers(0, 60), st.integers(0, 86_400)
    )


_MACHINES = ("a" * 32, "b" * 32)


_out = st.lists(
    st.deferred(lambda: record(records.OutingKnee, tape_on=st.none())), min_size=1, max_size=2
).map(tuple)


@functools.cache
def _loose(kind: str) -> st.SearchStrategy[AnyEntry]:
    """Entries of a kind that belong to no plan yet. Made once: building it is what costs."""
    cls: type[Any] = records.ENTRY_KINDS[kind]
    fixed: dict[str, Strategy] = {"id": ids, "replaces": st.none(), "beside": st.none()}
    # Few machines and turns, so that one entry has seen another.
    fixed |= {"machine": st.none() | st.sampled_from(_MACHINES), "over": st.just(())}
    fixed["turn"] = st.integers(1, 9)
    names = {f.name for f in dataclasses.fields(cls)}
    fixed |= {name: st.none() for name in ("tape_on", "withdrawn") if name in names}
    if "knees" in names:
        fixed["knees"] = _out
    return record(cls, **fixed)


def _belonging(
    entry: AnyEntry, plan: Plan, side: Side, days_before: int, minutes_before: int
) -> AnyEntry:
    """The entry under a plan, for one of its knees, and of a moment not after it was written."""
    changed: dict[str, Any] = {
        "plan_version": plan.version,
        "for_day": diary_day(entry.written_at) - timedelta(days=days_before),
    }
    if isinstance(entry, records.Outing):
        both = dict.fromkeys((side, *plan.sides))
        knees = zip(entry.knees, both, strict=False)
        changed["knees"] = tuple(dataclasses.replace(one, side=of) for one, of in knees)
    elif entry.kind in ("day_page", "session", "tape_on", "tape_off"):
        changed["side"] = side
    if getattr(entry, "happened_at", None) is not None:
        changed["happened_at"] = entry.written_at - timedelta(minutes=minutes_before)
    return dataclasses.replace(entry, **changed)


@functools.cache
def _of(hint: Any) -> Strategy:
    origin = typing.get_origin(hint)
    if origin is typing.Annotated:
        inner, *markers = typing.get_args(hint)
        return _limited(inner, markers)
    if origin in (typing.Union, types.UnionType):
        return st.one_of(*map(_of, typing.get_args(hint)))
    if origin is typing.Literal:
        return st.sampled_from(typing.get_args(hint))
    if dataclasses.is_dataclass(hint):
        return record(typing.cast(type[Any], hint))
    return _SCALARS[hint]


def _limited(inner: Any, markers: list[Any]) -> Strategy:
    marker = markers[-1]
    match marker:
        case Range() if inner is int:
            return st.integers(int(marker.least), int(marker.most))
        case Range():
            return st.floats(marker.least, marker.most, allow_nan=False)
        case Words():
            return st.text(
                letters, min_size=marker.least, max_size=min(marker.most, max(marker.least, 12))
            )
        case Token():
            return st.from_regex(marker.pattern, fullmatch=True)
        case Aware():
            return instants
        case Length():
            item = typing.get_args(inner)[0]
            return st.lists(_of(item), max_size=min(marker.most, 2)).map(tuple)
    raise AssertionError(marker)


_SCALARS: dict[Any, Strategy] = {
    type(None): st.none(),
    bool: st.booleans(),
    date: days,
    datetime: instants,
    str: st.text(letters, max_size=40),
}
