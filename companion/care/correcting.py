"""Putting an entry right: every answer it holds is a door to its question, asked once more.

What may be answered follows from the types of the records, so a new kind of entry is corrected as
it stands. An entry that never happened is withdrawn; one of the other knee or of another day goes
there. Nothing is deleted: each is a correction that names what it corrects.

A correction that would open what is closed is read once more first (rule r08); one that says that
something is wrong after all is written at once, and its card shown.
"""

from collections.abc import Callable, Iterable, Iterator, Mapping
from contextlib import suppress
from dataclasses import dataclass, fields, replace
from datetime import date, datetime, time, timedelta
from itertools import count
from typing import Literal, TypeVar, get_args

from companion.care import records
from companion.care.catalogue import Catalogue
from companion.care.closures import NOT_WHOLE
from companion.care.day_answers import RowOffer, value_of
from companion.care.day_questions import (
    AboutAnswers,
    Reached,
    ask_about,
    cards_about,
    reached_of,
)
from companion.care.finding import side_of
from companion.care.flow import Given, Walk
from companion.care.hints import hint_in, optional, several
from companion.care.history import instant
from companion.care.ranges import Instant
from companion.care.records import (
    AnyEntry,
    DayAnswer,
    DayPage,
    GateAnswer,
    KnownSign,
    Outing,
    PatchTest,
    Record,
    Session,
    Side,
    TapeOff,
    TapeOn,
    WarningSign,
    Withdrawn,
)
from companion.care.stopping import (
    CardPage,
    Ended,
    SignTicked,
    card_walk,
    said_of,
    stop_list_walk,
)

R = TypeVar("R", bound=Record)
_STAMP = (
    *("id", "for_day", "written_at", "written_by", "plan_version", "replaces", "kind"),
    *("machine", "turn", "over", "beside"),
)
FIXED: Mapping[type[Record], frozenset[str]] = {
    records.Entry: frozenset(_STAMP),
    records.Withdrawable: frozenset({"withdrawn"}),
    DayPage: frozenset({"side", "form", "as_before", "note_private", "unclear", "not_asked"}),
    Session: frozenset(
        {
            *("side", "happened_at", "ended_at", "place", "full_list", "depth"),
            *("comparable", "ended", "reason", "knows_steps"),
        }
    ),
    TapeOn: frozenset({"side"}),
    TapeOff: frozenset({"side", "tape_on"}),
    records.OutingKnee: frozenset({"side", "tape_on"}),
    PatchTest: frozenset({"happened_at", "first_read_at", "second_read_at", "tolerated_in_clinic"}),
    WarningSign: frozenset(
        {
            *("sign", "card", "level", "happened_at", "cleared", "cleared_on", "cleared_by"),
            *("opened", "opened_on", "told", "told_by", "told_name", "told_on"),
        }
    ),
    records.Event: frozenset({"what", "side"}),
    records.Measurement: frozenset({"test"}),
    GateAnswer: frozenset({"happened_at", "full_list", "side"}),
    records.Journey: frozenset({"first_day", "last_day", "home_minutes"}),
    records.GateReply: frozenset({"question"}),
    records.KnownReply: frozenset({"sign"}),
    records.ActivityScore: frozenset({"label"}),
    records.Amount: frozenset({"label", "unit"}),
    records.MoveScore: frozenset({"role", "stage"}),
    records.StepDone: frozenset({"step", "seconds", "counted", "sheet"}),
}
"""What nobody is asked again: what the program wrote by itself, what names a row, what a walk or
the clinic decided, the times of a test piece, which are those of the looks, and what became of a
sign, which is told behind its card."""


KNEE_KINDS = (DayPage, Session, TapeOn, TapeOff, Outing)
"""Entries that may have been written for the wrong knee; an outing only where it is of one."""


@dataclass(frozen=True, slots=True)
class RowName:
    """What tells a row of a list from the others: the value of its first field where that is
    fixed, else its place, counted from 1, in the field that holds the list. `nth`: which of those
    with that value it is."""

    record: type[Record]
    name: str
    value: object
    counted: bool = False
    nth: int = 1


@dataclass(frozen=True, slots=True, kw_only=True)
class AnswerAt:
    """One answer an entry holds. `path` leads to it: `moves.1.score`."""

    path: str
    record: type[Record]
    name: str
    value: object
    rows: tuple[RowName, ...] = ()

    @property
    def hint(self) -> object:
        """The type of its field, with its range."""
        return hint_in(self.record, self.name)


def is_fixed(record: type[Record], name: str) -> bool:
    """Whether a field is never asked again."""
    return any(name in FIXED.get(cls, ()) for cls in record.__mro__)


def answers_of(entry: AnyEntry) -> tuple[AnswerAt, ...]:
    """Every answer of an entry that may be given again, in the order of its fields.

    What was not answered is not among them: an answer that was not given is not made up later.
    """
    return tuple(_answers(entry, (), ()))


def _answers(held: Record, path: tuple[str, ...], rows: tuple[RowName, ...]) -> Iterator[AnswerAt]:
    for field in fields(held):
        value = getattr(held, field.name)
        if value is None or is_fixed(type(held), field.name):
            continue
        if field.name == "gate" and getattr(held, "gate_replies", None):
            continue  # it follows from its questions
        here = (*path, field.name)
        if isinstance(value, Record):
            yield from _answers(value, here, rows)
        elif isinstance(value, tuple) and not several(hint_in(type(held), field.name)):
            for place, row in enumerate(value):
                alike = sum(_row_name(one) == _row_name(row) for one in value[: place + 1])
                row_name = _row_name(row) or RowName(type(held), field.name, place + 1, True)
                row_name = replace(row_name, nth=1 if row_name.counted else alike)
                yield from _answers(row, (*here, str(place)), (*rows, row_name))
        else:
            yield AnswerAt(
                path=".".join(here), record=type(held), name=field.name, value=value, rows=rows
            )


def _row_name(row: Record) -> RowName | None:
    first = fields(row)[0].name
    fixed = is_fixed(type(row), first)
    return RowName(type(row), first, getattr(row, first)) if fixed else None


def answer_at(entry: AnyEntry, path: str) -> AnswerAt | None:
    """The answer a path leads to; None where the entry holds none there."""
    return next((one for one in answers_of(entry) if one.path == path), None)


def with_answer(entry: AnyEntry, path: str, value: object) -> AnyEntry:
    """The entry with another answer, and with what follows from its answers."""
    return _followed(_put(entry, path.split("."), value))


def _put(held: R, path: list[str], value: object) -> R:
    name, *rest = path
    inside = getattr(held, name)
    if not rest:
        new = value
    elif isinstance(inside, tuple):
        place = int(rest[0])
        row = _put(inside[place], rest[1:], value)
        new = (*inside[:place], row, *inside[place + 1 :])
    else:
        new = _put(inside, rest, value)
    return replace(held, **{name: new})


def _followed(entry: AnyEntry) -> AnyEntry:
    """What a walk works out from its answers, worked out again."""
    # Where nobody went through the gate, what was said of a known sign makes no answer of it.
    if isinstance(entry, Session | GateAnswer) and (
        entry.gate_replies or (entry.known_replies and entry.gate is not None)
    ):
        entry = replace(entry, gate=said_of(entry.gate_replies, entry.known_replies))
    if isinstance(entry, Session):
        same = [move.same_depth for move in entry.moves if move.same_depth is not None]
        entry = replace(entry, comparable=all(same)) if same else entry
    return entry


def typed(answer: AnswerAt, submitted: Given, day: date) -> object:
    """What was given on the page of an answer, as the record holds it.

    `value`, or of a time `hour` and `minute` on the diary day `day`, whose small hours are those
    of the next morning.
    """
    if isinstance(answer.value, datetime):
        hour, minute = int(submitted["hour"]), int(submitted.get("minute") or 0)
        on = day + timedelta(days=1) if hour < _DAY_ENDS else day
        return datetime.combine(on, time(hour, minute), tzinfo=answer.value.tzinfo)
    value = submitted.get("value")
    if isinstance(answer.value, tuple):
        return tuple(value or ())
    if isinstance(answer.value, bool) and isinstance(value, str):
        return value == "yes"
    if isinstance(answer.value, float) and value is not None:
        return float(value)
    if isinstance(answer.value, int) and isinstance(value, str):
        return int(value)
    return value


_DAY_ENDS = 3


def may_be_left_out(answer: AnswerAt) -> bool:
    """Whether "I can't say" is an answer too."""
    return optional(answer.hint)


def on_other_knee(entry: AnyEntry) -> AnyEntry:
    """The same of the other knee. Tape names tape of its own knee, so it names none there."""
    side = side_of(entry)
    if not isinstance(entry, KNEE_KINDS) or side is None:
        return entry
    other: Side = "left" if side == "right" else "right"
    if isinstance(entry, Outing):
        (knee,) = entry.knees
        return replace(entry, knees=(replace(knee, side=other, tape_on=None),))
    moved = replace(entry, side=other)
    return replace(moved, tape_on=None) if isinstance(moved, TapeOff) else moved


def on_day(entry: AnyEntry, day: date) -> AnyEntry:
    """The same of another day, at the same time of the day."""
    by = day - entry.for_day
    moved = {
        name: at + by
        for name in ("happened_at", "ended_at")
        if (at := getattr(entry, name, None)) is not None
    }
    return replace(entry, for_day=day, **moved)


def withdrawn(entry: AnyEntry, why: Withdrawn | None) -> AnyEntry:
    """The entry withdrawn, or counting again. A sign is cleared and never withdrawn."""
    return entry if isinstance(entry, WarningSign) else replace(entry, withdrawn=why)


# ---------------------------------------------------------------- what a correction raises


@dataclass(frozen=True, slots=True)
class Raised:
    """What a correction says is wrong after all: broken skin, questions of the gate, known signs
    that got worse."""

    skin: bool
    questions: tuple[int, ...]
    worse: tuple[str, ...]


def raised(before: AnyEntry, after: AnyEntry) -> Raised:
    """What is wrong by the corrected entry and was not by the one before it."""
    if is_out(after):
        return Raised(False, (), ())
    was, now = _said(before), _said(after)
    opened = {number for number, said in now.questions.items() if said != "no"}
    new = {number for number in opened if was.questions.get(number) == "no"}
    worse = tuple(
        sign
        for sign, said in now.known.items()
        if said == "worse" and was.known.get(sign) != "worse"
    )
    skin = _skin(after) and (is_out(before) or not _skin(before))
    return Raised(skin, tuple(sorted(new)), worse)


def newly_something(before: AnyEntry, after: AnyEntry) -> tuple[str, ...]:
    """The known signs of which something new is said now, and was not."""
    was, now = _said(before).known, _said(after).known
    return tuple(s for s, said in now.items() if said == "something_new" != was.get(s))


def lowered(before: AnyEntry, after: AnyEntry) -> tuple[tuple[int, ...], tuple[str, ...]]:
    """Questions of the gate that are no now and were not, and known signs that are as before now
    and were not."""
    was, now = _said(before), _said(after)
    questions = (n for n, said in was.questions.items() if said != "no" == now.questions.get(n))
    known = (s for s, said in was.known.items() if said != "as_before" == now.known.get(s))
    return tuple(questions), tuple(known)


def is_out(entry: AnyEntry) -> bool:
    """Whether an entry is withdrawn."""
    return getattr(entry, "withdrawn", None) is not None


@dataclass(frozen=True, slots=True)
class _Said:
    questions: Mapping[int, str]
    known: Mapping[str, str]


def _said(entry: AnyEntry) -> _Said:
    if not isinstance(entry, Session | GateAnswer):
        return _Said({}, {})
    questions: dict[int, str] = {one.question: one.said for one in entry.gate_replies}
    if not questions and entry.gate is not None:
        # An older gate was one question for all.
        questions = dict.fromkeys((1, 2, 3, 4), "no" if entry.gate == "none" else "yes")
    return _Said(questions, {one.sign: one.said for one in entry.known_replies})


def _skin(entry: AnyEntry) -> bool:
    """Whether an entry says that skin is not whole."""
    names = ("skin", "skin_before", "skin_at_once", "skin_after_30_min", "first_skin")
    return any(getattr(entry, name, None) in NOT_WHOLE for name in (*names, "second_skin"))


# ---------------------------------------------------------------- the pages

Whole = Literal["withdraw", "count_again", "other_day", "other_knee", "mistake", "not_over"]
"""What may be wrong with a whole entry."""
NotPossible = Literal["later", "too_early", "too_late"]
"""Why a time cannot be: after it was written down, or beyond what was written before and after."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Ticked(Record):
    """A sign that was ticked with the entry, and is open: its entry and the question behind which
    it stands, None where that cannot be told."""

    warning: str
    sign: str
    question: int | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class CorrectStart(Record):
    """The entry that counts, and what was written before it of the same thing, the oldest first.

    `days` and `other_knee` say where else it may belong. Times lie from `not_before` to
    `not_after`. `asked_signs`, `earlier`, `two_knees` and `known` are those of the stop list;
    `offers` are those of a day page on its day.
    """

    entry: AnyEntry
    earlier_versions: tuple[AnyEntry, ...] = ()
    today: date
    days: tuple[date, ...] = ()
    other_knee: bool = False
    not_before: Instant | None = None
    not_after: Instant | None = None
    ticked: tuple[Ticked, ...] = ()
    asked_signs: tuple[str, ...] = ()
    earlier: tuple[str, ...] = ()
    two_knees: bool = False
    known: tuple[KnownSign, ...] = ()
    offers: tuple[RowOffer, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class EntryPage:
    """The entry with every answer as a door, beside what it was. Given: `do`, the path of an answer
    | put_right | leave | one of `whole`, what may be wrong with all of it.

    `versions` are those written, the oldest first; `now` is the last one as it is put right.
    """

    key: str
    versions: tuple[AnyEntry, ...]
    now: AnyEntry
    whole: tuple[Whole, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class AnswerPage:
    """One question once more. Given: `value`, or of a time `hour` and `minute`."""

    key: str
    now: AnyEntry
    path: str


@dataclass(frozen=True, slots=True, kw_only=True)
class NotPossiblePage:
    """Why this time cannot be. Given nothing."""

    key: str
    why: NotPossible


@dataclass(frozen=True, slots=True, kw_only=True)
class WithdrawPage:
    """Why the entry should count no more. Given: `why`, one of `Withdrawn`, or keep."""

    key: str
    entry: AnyEntry


@dataclass(frozen=True, slots=True, kw_only=True)
class OtherDayPage:
    """To which day the entry belongs. Given: `day`, one of those shown."""

    key: str
    entry: AnyEntry
    days: tuple[date, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class ReadAgainPage:
    """What the correction would open, once more. `sign` None: skin under a test piece that was not
    clear. Given: `mistake` yes | no."""

    key: str
    sign: str | None
    day: date


@dataclass(frozen=True, slots=True, kw_only=True)
class CorrectEnd:
    """How it ended. `entry` None: it stays as it was. `reopened`: the sign whose card is open
    again."""

    was: AnyEntry
    entry: AnyEntry | None = None
    signs: tuple[SignTicked, ...] = ()
    reopened: str | None = None


@dataclass(slots=True, kw_only=True)
class Settled:
    """What was put right; it lives only inside one replay. `entry` None: not yet, or nothing.
    `mistaken` are the entries of signs that were ticked by mistake."""

    entry: AnyEntry | None = None
    mistaken: tuple[str, ...] = ()


Opens = Callable[[AnyEntry], tuple[str | None, ...]]
"""The signs behind what a corrected entry would open; None for skin under a test piece."""


def correct_walk(
    catalogue: Catalogue, start: CorrectStart, opens: Opens, settled: Settled
) -> Walk[CorrectEnd]:
    """Answers given again until the person says that it is right; then what that asks for."""
    now = yield from _answered(start)
    if now == start.entry:
        return CorrectEnd(was=start.entry)
    if isinstance(now, Session | GateAnswer) and now.for_day == start.today:
        # The gate in force today is not passed by putting it right: it is asked again.
        stands = getattr(start.entry, "gate", None) == "something"
        now = replace(now, gate="something") if stands else now
    mistaken = _mistaken(catalogue, start, now)
    signs = dict.fromkeys((*(one.sign for one in mistaken), *opens(now)))
    for number, sign in enumerate(signs, 1):
        page = ReadAgainPage(key=f"again:{number}", sign=sign, day=start.entry.for_day)
        if (yield page)["mistake"] != "yes":
            return CorrectEnd(was=start.entry)
    reached = _newly_reached(start, now)
    said = yield from ask_about(reached, "sign_of", catalogue)
    if isinstance(now, DayPage) and reached:
        asked = {offer.answer for offer, _ in reached}
        before = (one for one in now.as_before if one not in asked)
        now = replace(now, as_before=(*before, *said.as_before))
    settled.entry = now
    settled.mistaken = tuple(one.warning for one in mistaken)
    ticked = yield from _cards(catalogue, start, now)
    ticked += yield from _cards_of_answers(catalogue, reached, said)
    reopened = None
    if isinstance(start.entry, WarningSign) and isinstance(now, WarningSign):
        reopened = now.sign if start.entry.cleared and not now.cleared else None
    return CorrectEnd(was=start.entry, entry=now, signs=ticked, reopened=reopened)


def _cards_of_answers(
    catalogue: Catalogue, reached: Reached, said: AboutAnswers
) -> Walk[tuple[SignTicked, ...]]:
    """What was said of answers comes to its cards; who meant another sign is asked once more."""
    ticked: list[SignTicked] = []
    prefix = "sign_of"
    with suppress(Ended):  # nothing is under way that a card could end
        while any(one.another for one in (yield from cards_about(said, prefix, catalogue, ticked))):
            prefix += ":again"
            said = yield from ask_about(reached, prefix, catalogue)
    return tuple(ticked)


def _newly_reached(start: CorrectStart, now: AnyEntry) -> tuple[tuple[RowOffer, int], ...]:
    """The answers of a day page that may mean a sign as they are put right, and did not before."""
    was = start.entry
    if not isinstance(was, DayPage) or not isinstance(now, DayPage) or is_out(now):
        return ()
    asked = {offer.answer for offer, _ in reached_of(start.offers, _values(start.offers, was))}
    now_reached = reached_of(start.offers, _values(start.offers, now))
    return tuple(one for one in now_reached if one[0].answer not in asked)


def _values(offers: Iterable[RowOffer], page: DayPage) -> dict[DayAnswer, int | None]:
    return {offer.answer: value_of(page, offer.answer) for offer in offers}


def _answered(start: CorrectStart) -> Walk[AnyEntry]:
    now = start.entry
    for turn in count(1):
        shown = EntryPage(
            key=f"entry:{turn}",
            versions=(*start.earlier_versions, start.entry),
            now=now,
            whole=_whole(start),
        )
        do = (yield shown)["do"]
        match do:
            case "put_right":
                return now
            case "leave":
                break
            case "withdraw":
                why = (yield WithdrawPage(key=f"withdraw:{turn}", entry=now))["why"]
                if why in get_args(Withdrawn):
                    return withdrawn(start.entry, why)
            case "count_again":
                return withdrawn(start.entry, None)
            case "mistake" | "not_over" if isinstance(start.entry, WarningSign):
                return _sign(start.entry, do, start.today)
            case "other_knee":
                now = on_other_knee(now)
            case "other_day":
                page = OtherDayPage(key=f"day:{turn}", entry=now, days=start.days)
                submitted = yield page
                moved = on_day(now, date.fromisoformat(submitted["day"]))
                now = yield from _possible(start, now, moved, turn)
            case _:
                answer = answer_at(now, str(do))
                if answer is not None:
                    submitted = yield AnswerPage(key=f"answer:{turn}", now=now, path=answer.path)
                    value = typed(answer, submitted, now.for_day)
                    new = with_answer(now, answer.path, value)
                    now = yield from _possible(start, now, new, turn)
    return start.entry


def _whole(start: CorrectStart) -> tuple[Whole, ...]:
    """What may be wrong with all of an entry."""
    entry = start.entry
    if isinstance(entry, WarningSign):
        over = entry.cleared is not None or entry.told is not None or bool(entry.opened)
        mistaken = entry.cleared == "ticked_by_mistake"
        found: dict[Whole, bool] = {"mistake": not mistaken, "not_over": over}
    elif is_out(entry):
        found = {"count_again": True}
    else:
        found = {
            "withdraw": True,
            "other_day": bool(start.days),
            "other_knee": start.other_knee,
        }
    return tuple(what for what, may in found.items() if may)


def _possible(start: CorrectStart, now: AnyEntry, new: AnyEntry, turn: int) -> Walk[AnyEntry]:
    """The entry with a new time, where that can be."""
    why = not_possible(start, new)
    if why is None:
        return new
    yield NotPossiblePage(key=f"not_possible:{turn}", why=why)
    return now


def not_possible(start: CorrectStart, entry: AnyEntry) -> NotPossible | None:
    """Why the time of an entry cannot be, None where it can. Nobody writes down what is still to
    come; and tape that comes off before it went on would never come off."""
    at = getattr(entry, "happened_at", None)
    if at is None:
        return None
    first = (*start.earlier_versions, start.entry)[0]
    if instant(at) > instant(first.written_at):
        return "later"
    if start.not_before is not None and instant(at) < instant(start.not_before):
        return "too_early"
    if start.not_after is not None and instant(at) > instant(start.not_after):
        return "too_late"
    return None


def _sign(warning: WarningSign, do: str, today: date) -> WarningSign:
    """A sign that was ticked by mistake, or one that is not over after all."""
    if do == "mistake":
        return replace(warning, cleared="ticked_by_mistake", cleared_on=today, cleared_by=None)
    return replace(
        warning,
        cleared=None,
        cleared_on=None,
        cleared_by=None,
        opened=(),
        opened_on=None,
        told=None,
        told_by=None,
        told_name=None,
        told_on=None,
    )


def _mistaken(catalogue: Catalogue, start: CorrectStart, now: AnyEntry) -> tuple[Ticked, ...]:
    """The signs that stood behind a yes of the gate that is a no now."""
    questions, known = lowered(start.entry, now)
    of_known = {catalogue.sign(sign).worse_as or sign for sign in known}
    # A sign whose question cannot be told is behind any of them.
    return tuple(
        one
        for one in start.ticked
        if one.sign in of_known or (questions and one.question in (None, *questions))
    )


def _cards(
    catalogue: Catalogue, start: CorrectStart, now: AnyEntry
) -> Walk[tuple[SignTicked, ...]]:
    """The rows and cards of what is wrong after all."""
    found, ticked = raised(start.entry, now), list[SignTicked]()
    new = (catalogue.sign(sign).question for sign in newly_something(start.entry, now))
    questions = {*found.questions, *(number for number in new if number is not None)}
    worse = tuple(catalogue.sign(sign).worse_as or sign for sign in found.worse)
    if found.skin:
        ticked.append((yield from card_walk(CardPage(key="skin:card", sign="skin_broken"))))
    if questions or worse:
        with suppress(Ended):  # there is no session that a card could end
            yield from stop_list_walk(
                catalogue,
                start.asked_signs,
                tuple(sorted(questions)),
                "put_right",
                "list",
                ticked,
                two_knees=start.two_knees,
                earlier=start.earlier,
                worse=worse,
                known=start.known,
            )
    return tuple(ticked)
