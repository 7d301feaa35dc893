"""The front page in words: what is due and why, a few doors, what was written last."""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta
from typing import TYPE_CHECKING, Literal

from companion.care.contacts import in_order
from companion.care.days import diary_day
from companion.care.open_things import OpenCode, OpenThing, knees_of, tape_things
from companion.care.records import Record, Side, record
from companion.presentation.home.numbers import plan_here
from companion.presentation.home.open_lines import (
    Door,
    Moment,
    open_door,
    patch_words,
    tape_words,
)
from companion.presentation.language.code_table import inside
from companion.presentation.language.phrases import (
    clock_time,
    dated,
    long_day,
    parted,
    phrase,
    short_day,
    weekday,
)
from companion.presentation.language.words import contact_words, daily_look_today, knee, this_knee
from companion.services.front import Front, KneeToday
from companion.services.second_place import SecondPlaceToday

if TYPE_CHECKING:
    from companion.care.catalogue import Catalogue
    from companion.presentation.view.page import CardBlock

WEEK_IS_TOLD_ON = 6
"""A Sunday, as `date.weekday` counts."""
_NO_SECOND_PLACE = SecondPlaceToday()


@dataclass(frozen=True, slots=True)
class DiaryNotice:
    """Something about the diary itself, with the door to put it right where there is one: no copy
    could be made, it is damaged, something in it waits for a word."""

    sentences: tuple[str, ...]
    door: Literal["mend", "unsettled"] | None = None


RowState = Literal["next", "open", "done", "told"]
"""next: the one thing to do now. told: nothing of it is to be done by now."""


@dataclass(frozen=True, slots=True)
class TodayRow:
    """A line of what today holds, which is a door."""

    door: Door
    state: RowState


@record
class FrontView(Record):
    """The front page: a card when one is open; lines, the first of them strong; what today holds,
    one of it large; the doors; and on some days how the week went."""

    heading: str
    lines: tuple[str, ...]
    doors: tuple[Door, ...]
    written: str
    above: str
    mark: str
    card: "CardBlock | None" = None
    today: tuple[TodayRow, ...] = ()
    week: tuple[str, ...] = ()


def front_view(
    front: Front,
    catalogue: "Callable[[], Catalogue]",
    notice: DiaryNotice | None = None,
    second: SecondPlaceToday = _NO_SECOND_PLACE,
    *,
    helping: bool = False,
    week: tuple[str, ...] = (),
) -> FrontView:
    """What the front page shows; `helping`: a helper sits here, `week`: how the week went."""
    if front.plan is None:
        return FrontView(
            heading=phrase("Begin with your plan"),
            lines=(
                phrase("Your clinic gave you a plan as a file."),
                phrase("Open it here. It says which knee, what to do and until when."),
            ),
            doors=(
                Door(
                    "plan",
                    phrase("Open the plan file"),
                    phrase("From a memory stick, an e-mail or a disc"),
                ),
                Door(
                    "used_before",
                    phrase("I have used this before"),
                    phrase("On another computer"),
                ),
                Door("practice", phrase("Look round first"), phrase("With an invented person")),
                _settings_door(),
            ),
            written="",
            above="",
            mark="",
        )
    card = None
    shown = _card_shown(front)
    if shown is not None:
        # Few days begin with a card; what it needs is not loaded on the others.
        from companion.presentation.home.card_pages import card_block

        content, level = catalogue(), front.locked.level if front.locked else "call"
        here = plan_here(front.plan, front.journey, front.today)
        card = card_block(content.sign(shown, level), here, content, front.now)
    doors = _doors(front, helping=helping)
    doors[-1:-1] = _second_doors(second)
    above = knees_words(front)
    if helping:
        above = phrase("{knees} · a helper is here", knees=above)
    heading = long_day(front.today)
    if card is not None:
        # The page is called as the card is: its number and its first steps are seen at once.
        above, heading = phrase("{where} · {day}", where=above, day=heading), card.heading
        card = replace(card, heading="")
    return FrontView(
        heading=heading,
        lines=(
            *(notice.sentences if notice else ()),
            *_away_lines(front),
            *_patch_lines(front),
            *_spell_lines(front),
            *_call_lines(front),
            *_dose_lines(front),
            *_daily_look_lines(front),
            *_clock_lines(front),
            *_second_lines(second),
        ),
        doors=tuple(doors),
        written=" ".join((last_written(front), *_copied_lines(second))),
        above=above,
        mark=phrase("Practice plan: not for a real knee") if front.plan.practice else "",
        card=card,
        today=_today(front, notice),
        week=week,
    )


# ---------------------------------------------------------------- what today holds

_ASK_NOW: tuple[OpenCode, ...] = (
    *("tape_over_cap", "tape_due", "skin_look", "patch_first", "patch_second", "patch_missed"),
    *("trial_tape", "outing_after", "outing_morning", "begun", "plan_waits", "journey_pages"),
)
"""What of the things that are open may be the one to do next; a card leads by itself."""
_SOON = ("That is today. See what to bring", "That is tomorrow. See what to bring")
VISIT_SAID_DAYS = 7
"""From so many days before it on the visit is among what today holds (C)."""


def _today(front: Front, notice: DiaryNotice | None) -> tuple[TodayRow, ...]:
    """What today holds, what presses first; one of it is `next`, unless a card leads."""
    moment = moment_of(front)
    asked = [one for one in front.open if not one.to_come]
    rows = [
        *_notice_rows(notice),
        *(TodayRow(open_door(one, moment), "open" if _is_to_do(one) else "told") for one in asked),
        *_routine_row(front),
        *_day_row(front),
        *(TodayRow(open_door(one, moment), "told") for one in front.open if one.to_come),
        *_visit_row(front),
    ]
    if _card_shown(front) is None:
        first = next((n for n, row in enumerate(rows) if row.state == "open"), None)
        if first is not None:
            rows[first] = TodayRow(rows[first].door, "next")
    return tuple(rows)


def _is_to_do(thing: OpenThing) -> bool:
    return thing.code in (*_ASK_NOW, "card")


def _notice_rows(notice: DiaryNotice | None) -> Iterator[TodayRow]:
    if notice is not None and notice.door == "mend":
        door = Door("mend", phrase("Mend the diary"), phrase("See what is good, and keep it"))
        yield TodayRow(door, "open")
    elif notice is not None and notice.door == "unsettled":
        door = Door("unsettled", phrase("Put it right"), phrase("Say how it was; all is kept"))
        yield TodayRow(door, "told")


def _one_knee(front: Front) -> Side | None:
    """The knee of a plan for one."""
    return front.plan.sides[0] if front.plan and len(front.plan.sides) == 1 else None


def _is_begun(front: Front, room: str, day: date | None = None) -> bool:
    """Whether the line of a walk that is half answered stands for the whole of its room."""
    return _one_knee(front) is not None and any(
        one.code == "begun" and one.door == room and day in (None, one.day) for one in front.open
    )


_ROUTINE_STATES: dict[str, RowState] = {
    "underway": "open",
    "due": "open",
    "done": "done",
    "week_done": "done",
}


def _routine_row(front: Front) -> Iterator[TodayRow]:
    if _is_begun(front, "routine"):
        return
    state = _ROUTINE_STATES.get(_routine_state(front, _most_to_do(front)), "told")
    hands = state == "done" or any(k.hands == "due" for k in front.knees)
    word = phrase("Your knee routine") if hands else phrase("Your exercises")
    yield TodayRow(Door("routine", word, _routine_line(front), _one_knee(front)), state)


def _day_row(front: Front) -> Iterator[TodayRow]:
    if _is_begun(front, "day", front.today):
        return
    to_write = [k.side for k in front.knees if front.today in k.days]
    word = phrase("Day page")
    if len(to_write) == 1 < len(front.knees):
        word = phrase("Day page for your {knee}", knee=this_knee(to_write[0]))
    side = _one_knee(front)
    yield TodayRow(Door("day", word, _day_line(front), side), "open" if to_write else "done")


def _visit_row(front: Front) -> Iterator[TodayRow]:
    if front.plan is None:
        return
    on = front.plan.review_on
    days = (on - front.today).days
    # Beside a card its door alone names the day, until it is over.
    if days > VISIT_SAID_DAYS or (days >= 0 and _card_shown(front) is not None):
        return
    word = phrase("Your visit is planned by {day}.", day=long_day(on))
    line = phrase("See what to bring")
    if days < 0:
        word = phrase("Your plan was due for review on {day}.", day=dated(on))
        line = phrase("Ask your clinic for a visit")
    elif days < len(_SOON):
        line = phrase(_SOON[days])
    yield TodayRow(Door("visit", word, line), "told")


AWAY_DAYS = 7
"""After so many days with nothing written that is said, once and without a reproach (C)."""


def _away_lines(front: Front) -> tuple[str, ...]:
    if front.last_written_at is None or front.spell is not None:
        return ()
    days = (front.today - diary_day(front.last_written_at)).days
    if days < AWAY_DAYS:
        return ()
    return (phrase("Nothing was written for {n} days. Start again as usual: all is kept.", n=days),)


def _who_door(*, helping: bool) -> Door:
    """Who sits here, with one press to change it."""
    if helping:
        return Door("who", phrase("Who is here: a helper"), phrase("Alone? Press here"))
    return Door("who", phrase("Who is here: you"), phrase("A helper? Press here"))


def moment_of(front: Front) -> Moment:
    """What the words of what is open rest on besides."""
    plan, away = front.plan, front.journey
    sides = {one.side for one in front.open if one.side is not None}
    return Moment(
        front.now,
        front.today,
        two_knees=len(sides.union(() if plan is None else plan.sides)) > 1,
        hands_rest=frozenset(one.side for one in front.knees if one.hands == "trial"),
        journey=None if away is None or away.first_day > front.today else away,
    )


def _second_lines(second: SecondPlaceToday) -> tuple[str, ...]:
    """That the copies in the second place are old, or could not be written."""
    if second.other:
        return (phrase("Another stick is plugged in, not the one for your copies."),)
    if not second.kept or not (second.failed or second.old):
        return ()
    if second.failed:
        return (phrase("The copy in your second place could not be written."),)
    if second.days is None:
        return (phrase("There is no copy in your second place yet. Plug in the stick."),)
    return (phrase("The last copy elsewhere is {n} days old. Plug in the stick.", n=second.days),)


def _copied_lines(second: SecondPlaceToday) -> tuple[str, ...]:
    """How old the copy in the second place is, where all is well."""
    if not second.kept or second.old or second.failed or second.other or second.days is None:
        return ()
    if second.days == 0:
        return (phrase("Last copy elsewhere: today."),)
    return (
        phrase(
            "Last copy elsewhere: {n} day ago.", "Last copy elsewhere: {n} days ago.", n=second.days
        ),
    )


def _second_doors(second: SecondPlaceToday) -> list[Door]:
    doors = []
    if second.asks:
        doors.append(
            Door("second", phrase("A copy on a stick"), phrase("In case this computer breaks"))
        )
    elif second.kept and (second.old or second.failed or second.other):
        doors.append(Door("second", phrase("The copy on your stick"), phrase("See what is wrong")))
    return doors


def _card_shown(front: Front) -> str | None:
    """The sign whose card stands on the page."""
    return next((thing.sign for thing in front.open if thing.code == "card"), None)


def knees_words(front: Front) -> str:
    """Which knee the plan is for."""
    if front.plan is None:
        return ""
    if front.plan.side == "both":
        return phrase("Both knees")
    return knee(front.plan.side)


def _doors(front: Front, *, helping: bool) -> list[Door]:
    doors: list[Door] = []
    taped = tape_sides(front)
    if taped:
        # The knee of what presses most speaks.
        first = next((thing.side for thing in front.open if thing.side in taped), taped[0])
        side = taped[0] if len(taped) == 1 else None
        said = tape_line(front, side or first)
        doors.append(Door("tape", phrase("Tape"), said, side))
    if taped or (front.plan and front.plan.amounts):
        doors.append(Door("outing", phrase("Going out"), _outing_line(front)))
    doors.append(_spell_door(front))
    doors.append(Door("add", phrase("Something to add"), phrase("A fall, a warning sign")))
    record = front.recorded[0] if len(front.recorded) == 1 else None
    doors.append(Door("record", phrase("My record"), phrase("How it went, day by day"), record))
    doors.append(Door("visit", phrase("Visit"), _visit_line(front), None))
    doors.append(_who_door(helping=helping))
    doors.append(_settings_door())
    return doors


def _visit_line(front: Front) -> str:
    if front.plan is None or front.plan.review_on < front.today:
        return phrase("What goes to your clinic")
    on = front.plan.review_on
    return phrase("By {day}, {year}", day=short_day(on), year=on.year)


def tape_sides(front: Front) -> tuple[Side, ...]:
    """The knees behind the door to tape: those with tape or skin that is open, then the others the
    plan tapes."""
    plan = front.plan
    if plan is None:
        return ()
    opened = [side for side in knees_of(plan) if tape_things(front.open, side)]
    planned = plan.sides if plan.tape.highest > 0 else ()
    return tuple(dict.fromkeys((*opened, *planned)))


def _spell_door(front: Front) -> Door:
    if front.spell is None:
        return Door("spell", phrase("A bad spell"), phrase("Much more pain"))
    return Door(
        "spell",
        phrase("Your bad spell"),
        phrase("Day {n}. What your plan says for it", n=front.spell.day(front.today)),
    )


def _spell_lines(front: Front) -> tuple[str, ...]:
    """That a bad spell is under way, and whether the clinic is to be called."""
    if front.spell is None:
        return ()
    day = phrase("Bad spell, day {n}: a shorter routine, gently.", n=front.spell.day(front.today))
    if "spell_call" not in front.calls or _card_shown(front) == "spell_call":
        return (day,)
    return (phrase("Call your clinic about your bad spell."), day)


def _patch_lines(front: Front) -> tuple[str, ...]:
    """That the clinic is to be called about a test piece, where another card stands on the page."""
    if "patch_call" not in front.calls or _card_shown(front) == "patch_call":
        return ()
    return (phrase("Call your clinic: a test piece was not clear. No tape until then."),)


def _dose_lines(front: Front) -> tuple[str, ...]:
    """That less than the plan is done today, or that the clinic is to be called about it."""
    doses = [knee_today.dose for knee_today in front.knees if knee_today.dose is not None]
    lines = []
    if "dose_call" in front.calls and _card_shown(front) != "dose_call":
        lines.append(phrase("Call your clinic: your knee stays sore after the routine."))
    if any(dose.steps for dose in doses):
        lines.append(phrase("The routine is a step less than your plan today. It says why."))
    return tuple(lines)


def _settings_door() -> Door:
    return Door("settings", phrase("Settings and help"), phrase("Text size, numbers to call"))


_MOST_TO_DO = ("underway", "due", "locked", "taped", "week_done", "done")


def _most_to_do(front: Front) -> KneeToday:
    """The knee with most to do, which speaks for all."""
    return min(front.knees, key=lambda k: _rank(_MOST_TO_DO, _routine_state(front, k)))


def _routine_line(front: Front) -> str:
    """How the routine stands: of each knee where they differ."""
    lines = [(k.side, _state_line(front, k, k.minutes)) for k in front.knees]
    (_, said), *others = lines
    if any(line != said for _, line in others):
        each = (phrase("{knee}: {how}", knee=knee(side), how=inside(line)) for side, line in lines)
        return parted(each)
    if others and _routine_state(front, front.knees[0]) == "due":
        return phrase("{how} for each knee", how=said)
    return said


def _routine_state(front: Front, knee_today: KneeToday) -> str:
    begun = (one for one in front.open if one.code == "begun" and one.door == "routine")
    if any(one.side == knee_today.side for one in begun):
        return "underway"
    if knee_today.hands == "trial":
        return knee_today.exercise
    if "due" in (knee_today.hands, knee_today.exercise):
        return "due"
    return knee_today.hands if knee_today.hands != "not_in_plan" else knee_today.exercise


def _rank(order: Sequence[str], state: str) -> int:
    return order.index(state) if state in order else len(order)


def _state_line(front: Front, knee_today: KneeToday, minutes: int) -> str:
    match _routine_state(front, knee_today):
        case "underway":
            return phrase("You began it. Go on where you left it")
        case "due":
            left = phrase(_WITHOUT) if knee_today.shortened else ""
            return phrase("About {n} minute{left}", "About {n} minutes{left}", n=minutes, left=left)
        case "locked":
            return phrase("Not now: first follow the card")
        case "done":
            return phrase("Done today")
        case "week_done":
            return phrase("Done for this week. You may still do it")
        case _:
            return phrase("Nothing is due today")


def room_line(front: Front, side: Side, room: str) -> str:
    """How one knee stands, where a door asks which knee."""
    knee_today = next((one for one in front.knees if one.side == side), None)
    match room:
        case "tape":
            return tape_line(front, side)
        case _ if knee_today is None:
            return phrase("Not in your plan now")
        case "routine":
            return _state_line(front, knee_today, knee_today.minutes)
        case "day":
            if front.today in knee_today.days:
                return phrase("Still empty for today")
            return phrase("Written for today")
        case _:
            return ""


def tape_line(front: Front, side: Side) -> str:
    """How the tape of one knee stands, in a few words."""
    said = tape_words(front.open, side, front.now)
    trial = next((one.trial for one in front.open if one.side == side and one.trial), None)
    if said:
        return said
    if trial is not None and trial.day is not None:
        if trial.standing == "tape_due":
            return phrase("Tape day {n} of {of}. Put it on", n=trial.day.number, of=trial.day.of)
        return phrase("No tape now") if trial.day.what == "tape" else phrase("No tape today")
    return patch_words(front.open, front.now) or phrase("No tape is on")


def _outing_line(front: Front) -> str:
    codes = [one.code for one in front.open]
    if "outing_after" in codes:
        return phrase("Say how it was")
    if "outing_morning" in codes:
        return phrase("Say how the morning after is")
    if all(_in_trial(front, one.side) for one in front.knees):
        return phrase("As you are: tape goes by the trial")
    return phrase("Before what matters")


def _in_trial(front: Front, side: Side) -> bool:
    trials = (one.trial for one in front.open if one.side == side)
    return any(trial is not None and trial.day is not None for trial in trials)


def _day_line(front: Front) -> str:
    missing = {day for k in front.knees for day in k.days}
    if front.today in missing:
        return phrase("Two minutes: pain and your day")
    if front.today - timedelta(days=1) in missing:
        return phrase("Today’s page is done. Yesterday’s is empty")
    return phrase("Written for today")


def visit_is_near(front: Front) -> bool:
    """On the day before the day by which the plan is looked at, and on that day."""
    plan = front.plan
    return plan is not None and 0 <= (plan.review_on - front.today).days <= 1


def visit_line(front: Front) -> str:
    """That the visit is near."""
    if front.plan is None:
        return ""
    return phrase(
        "Your visit is planned by {day}. Visit says what to bring.",
        day=long_day(front.plan.review_on),
    )


def _daily_look_lines(front: Front) -> tuple[str, ...]:
    """That a helper looks at the skin today, while tape stays on and the plan asks for it."""
    if front.plan is None or all(one.code != "tape_on" for one in front.open):
        return ()
    # Most days begin without tape; what a caution does is not loaded on them.
    from companion.care.caution_rules import front_page_daily_look

    return (daily_look_today(),) if front_page_daily_look(front.plan) else ()


def _clock_lines(front: Front) -> tuple[str, ...]:
    """What to say of a clock that is behind the newest entry."""
    if not front.clock_is_behind or front.last_written_at is None:
        return ()
    return (
        phrase(
            "The clock of this computer may be wrong. It is behind your last entry, {day} {time}.",
            day=long_day(front.last_written_at.date()),
            time=clock_time(front.last_written_at),
        ),
        phrase("Set the clock, or ask somebody to. All you wrote is still here."),
    )


def _call_lines(front: Front) -> Iterator[str]:
    """Whom to call besides what a card says."""
    due = {one.what for one in front.due}
    if "call_clinic" in due and (front.locked is None or front.locked.level != "call"):
        # A card about a call says so itself, and by when.
        yield phrase("Call your clinic too, about the other card.")
    if "call_another" in due:
        yield _another_line(front)


_WITHOUT = ", without what is closed"
"""Said of what is left where a card, or a look at the skin, closes a part of the routine."""


def _another_line(front: Front) -> str:
    """Whom else to call where nobody has said a word on the routine for days."""
    contacts = () if front.plan is None else front.plan.contacts
    others = in_order(("doctor", "out_of_hours", "clinic"), contacts, front.now)
    if not others:
        return phrase("Nobody has told you yet whether to go on. Ask your clinic for a number.")
    return phrase(
        "Nobody has told you yet whether to go on. Call {who}: {number}.",
        who=contact_words(others[0]),
        number=others[0].number,
    )


def last_written(front: Front) -> str:
    """When the newest entry was written."""
    at = front.last_written_at
    if at is None:
        return phrase("Nothing is written down yet.")
    if diary_day(at) == front.today:
        return phrase("Last written down: today, {time}.", time=clock_time(at))
    # A clock time stands with the day of the calendar: after midnight the diary is a day behind.
    return phrase("Last written down: {day}, {time}.", day=long_day(at.date()), time=clock_time(at))


def written_down(at: datetime) -> str:
    """`Written down, Tuesday 19:42.`"""
    return phrase("Written down, {day} {time}.", day=weekday(at.date()), time=clock_time(at))
