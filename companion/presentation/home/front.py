"""The front page in words: what is due and why, a few doors, what was written last."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import TYPE_CHECKING, Literal

from companion.care.contacts import in_order
from companion.care.days import diary_day
from companion.care.records import Side
from companion.care.wear import WearClock
from companion.presentation.language.phrases import clock_time, dated, long_day, phrase, weekday
from companion.presentation.language.words import contact_words, daily_look_today, knee, this_knee
from companion.services.front import Front, KneeToday

if TYPE_CHECKING:
    from companion.care.catalogue import Catalogue
    from companion.care.trial_today import TrialToday
    from companion.presentation.view.page import CardBlock

DoorName = Literal[
    "routine",
    "tape",
    "outing",
    "day",
    "record",
    "visit",
    "settings",
    "card",
    "add",
    "plan",
    "merge",
    "practice",
    "mend",
    "spell",
]


@dataclass(frozen=True, slots=True)
class Door:
    """A way off the front page: a word and one line. `side` None asks which knee first."""

    name: DoorName
    word: str
    line: str
    side: Side | None = None
    day: date | None = None


@dataclass(frozen=True, slots=True)
class Notice:
    """Something about the diary itself: no copy could be made, or it is damaged (`mend`)."""

    sentence: str
    mend: bool


@dataclass(frozen=True, slots=True)
class FrontView:
    """The front page: a card when one is open, lines, the first of them strong, and doors."""

    heading: str
    lines: tuple[str, ...]
    doors: tuple[Door, ...]
    written: str
    above: str
    mark: str
    card: "CardBlock | None" = None


def front_view(
    front: Front, catalogue: "Callable[[], Catalogue]", notice: Notice | None = None
) -> FrontView:
    """What the front page shows."""
    if front.plan is None:
        return FrontView(
            heading=phrase("Begin with your plan"),
            lines=(
                phrase("Your clinic gave you a plan as a file."),
                phrase("Open it here. It says which knee, what to do and until when."),
            ),
            doors=(
                Door(
                    "plan", phrase("Open the plan file"), phrase("From a stick, a mail or a disc")
                ),
                Door("merge", phrase("Go on from another computer"), phrase("With its diary file")),
                Door("practice", phrase("Look round first"), phrase("With an invented person")),
                _settings_door(),
            ),
            written="",
            above="",
            mark="",
        )
    card = None
    doors: list[Door] = []
    if front.locked is not None:
        # Few days begin with a card; what it needs is not loaded on the others.
        from companion.presentation.home.card_pages import card_block

        content = catalogue()
        card = card_block(content.sign(front.locked.sign), front.plan, content, front.now)
        doors.append(
            Door("card", phrase("This card"), phrase("Say what became of it, or take it back"))
        )
    if notice is not None and notice.mend:
        doors.append(
            Door("mend", phrase("Mend the diary"), phrase("See what is good, and keep it"))
        )
    doors += _doors(front)
    return FrontView(
        heading=long_day(front.today),
        lines=(
            *([notice.sentence] if notice else []),
            *_spell_lines(front),
            *due_lines(front),
            *_dose_lines(front),
            *_daily_look_lines(front),
            *_clock_lines(front),
        ),
        doors=tuple(doors),
        written=last_written(front),
        above=knees_words(front),
        mark=phrase("Practice plan: not for a real knee") if front.plan.practice else "",
        card=card,
    )


def knees_words(front: Front) -> str:
    """Which knee the plan is for."""
    if front.plan is None:
        return ""
    if front.plan.side == "both":
        return phrase("Both knees")
    return knee(front.plan.side)


def _doors(front: Front) -> list[Door]:
    doors: list[Door] = []
    knees = front.knees
    one = front.plan.sides[0] if front.plan and len(front.plan.sides) == 1 else None
    doors.append(Door("routine", phrase("Today’s routine"), _routine_line(front), one))
    if any(_has_tape(front, knee_today) for knee_today in knees):
        taped = [k for k in knees if _has_tape(front, k)]
        doors.append(
            Door(
                "tape",
                phrase("Tape"),
                _tape_line(front, taped[0]),
                taped[0].side if len(taped) == 1 else None,
            )
        )
    if any(_has_tape(front, k) for k in knees) or (front.plan and front.plan.amounts):
        doors.append(Door("outing", phrase("Going out"), _outing_line(front), one))
    doors.append(Door("day", phrase("Day page"), _day_line(front), one))
    doors.append(_spell_door(front))
    doors.append(
        Door("add", phrase("Something to add"), phrase("A fall, or a sign you did not say"))
    )
    doors.append(Door("record", phrase("My record"), phrase("Charts and tables of your days"), one))
    doors.append(Door("visit", phrase("Visit"), phrase("What goes to your clinic"), None))
    doors.append(_settings_door())
    return doors


def _spell_door(front: Front) -> Door:
    if front.spell is None:
        return Door("spell", phrase("A bad spell"), phrase("Much more pain than usual"))
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
    return (phrase("Call your clinic about your bad spell."), day) if front.spell.call else (day,)


def _dose_lines(front: Front) -> tuple[str, ...]:
    """That less than the plan is done today, or that the clinic is to be called about it."""
    doses = [knee_today.dose for knee_today in front.knees if knee_today.dose is not None]
    lines = []
    if any(dose.call for dose in doses):
        lines.append(phrase("Call your clinic: your knee stays sore after the routine."))
    if any(dose.steps for dose in doses):
        lines.append(phrase("The routine is a step less than your plan today. It says why."))
    return tuple(lines)


def _settings_door() -> Door:
    return Door("settings", phrase("Settings and help"), phrase("Text size, numbers to call"))


def _has_tape(front: Front, knee_today: KneeToday) -> bool:
    plan = front.plan
    return plan is not None and (
        plan.tape.highest > 0 or knee_today.wear is not None or knee_today.skin_look_at is not None
    )


def _routine_line(front: Front) -> str:
    """How the routine stands, over all knees: the one with most to do speaks."""
    order = ("underway", "due", "locked", "taped", "week_done", "done")
    knees = sorted(front.knees, key=lambda k: _rank(order, _routine_state(k)))
    return _state_line(knees[0], max(k.minutes for k in front.knees))


def _routine_state(knee_today: KneeToday) -> str:
    if knee_today.underway:
        return "underway"
    if knee_today.hands == "trial":
        return knee_today.exercise
    if "due" in (knee_today.hands, knee_today.exercise):
        return "due"
    return knee_today.hands if knee_today.hands != "not_in_plan" else knee_today.exercise


def _rank(order: Sequence[str], state: str) -> int:
    return order.index(state) if state in order else len(order)


def _state_line(knee_today: KneeToday, minutes: int) -> str:
    match _routine_state(knee_today):
        case "underway":
            return phrase("You began it. Go on where you left it")
        case "due":
            return phrase("About {n} minute", "About {n} minutes", n=minutes)
        case "locked":
            return phrase("Closed until the card is cleared")
        case "done":
            return phrase("Done today")
        case "week_done":
            return phrase("Done for this week. You may still do it")
        case _:
            return phrase("Nothing is due today")


def room_line(front: Front, knee_today: KneeToday, room: str) -> str:
    """How one knee stands, where a door asks which knee."""
    match room:
        case "routine":
            return _state_line(knee_today, knee_today.minutes)
        case "tape":
            return _tape_line(front, knee_today)
        case "day":
            if front.today in knee_today.days:
                return phrase("Open for today")
            return phrase("Written for today")
        case "outing" if _in_trial(knee_today):
            return phrase(_OUT_IN_TRIAL)
        case _:
            return ""


def _tape_line(front: Front, knee_today: KneeToday) -> str:
    if knee_today.wear is not None:
        return off_words(front, knee_today.wear)
    look = knee_today.skin_look_at
    if look is not None and look > front.now:
        return phrase("Look at the skin again at {time}", time=clock_time(look))
    if look is not None:
        return phrase("Look at the skin again")
    trial = knee_today.trial
    if trial is not None and trial.day is not None:
        if trial.standing == "tape_due":
            return phrase("Tape day {n} of {of}. Put it on", n=trial.day.number, of=trial.day.of)
        return phrase("No tape now") if trial.day.what == "tape" else phrase("No tape today")
    return phrase("No tape is on")


def off_words(front: Front, wear: WearClock) -> str:
    """When tape is due off, in words."""
    match wear.state:
        case "over_cap":
            return phrase("On too long. Take it off now")
        case "due":
            return phrase("It is due off now")
        case _:
            return phrase("Off {when}", when=when_words(wear.due_at, front.now))


def when_words(at: datetime, now: datetime) -> str:
    """A coming instant in words: `this evening at 21:00`, `tomorrow at 19:00`, `Friday at 9:30`."""
    days = (at.date() - now.date()).days
    time = clock_time(at)
    if days <= 0:
        if at.hour >= 18:
            return phrase("this evening at {time}", time=time)
        return phrase("today at {time}", time=time)
    if days == 1:
        return phrase("tomorrow at {time}", time=time)
    if days >= 7:
        return phrase("{day} at {time}", day=long_day(at.date()), time=time)
    return phrase("{day} at {time}", day=weekday(at.date()), time=time)


def _outing_line(front: Front) -> str:
    match front.outing:
        case "after":
            return phrase("Say how it was")
        case "morning":
            return phrase("Say how the morning after is")
        case _ if all(_in_trial(knee_today) for knee_today in front.knees):
            return phrase(_OUT_IN_TRIAL)
        case _:
            return phrase("Before something that matters")


_OUT_IN_TRIAL = "As you are: tape goes by the trial"


def _in_trial(knee_today: KneeToday) -> bool:
    return knee_today.trial is not None and knee_today.trial.day is not None


def _day_line(front: Front) -> str:
    missing = {day for k in front.knees for day in k.days}
    if front.today in missing:
        return phrase("Two minutes: pain and your day")
    if front.today - timedelta(days=1) in missing:
        return phrase("Today is written. Yesterday is open")
    return phrase("Written for today")


_MOST_LINES = 3


def _review_line(front: Front) -> str:
    if front.plan is None:
        return ""
    return phrase(
        "Your plan was to be looked at on {day}. Ask your clinic for a visit.",
        day=dated(front.plan.review_on),
    )


def due_lines(front: Front) -> tuple[str, ...]:
    """What is due today and why, the most pressing first; at most three lines and the review."""
    lines: list[str] = []
    both = len(front.knees) > 1
    # A trial that is over asks for nothing: it stands below what is due.
    for due in sorted(front.due, key=lambda due: _is_over(front, due.what, due.side)):
        line = _due_line(front, due.what, due.side, both)
        if line and line not in lines:
            lines.append(line)
    page = phrase(_PLAIN_DUE["day_page"], knee="")
    if len(lines) > 2 and page in lines:
        lines.remove(page)  # its door says so itself
    if not lines:
        lines.append(phrase("Nothing is due today."))
    shown = lines[:_MOST_LINES]
    # A review that is overdue is never crowded out: nobody else says it.
    shown += [line for line in lines[_MOST_LINES:] if line == _review_line(front)]
    return tuple(shown)


def _daily_look_lines(front: Front) -> tuple[str, ...]:
    """That a helper looks at the skin today, while tape stays on and the plan asks for it."""
    on = [k for k in front.knees if k.wear is not None and k.wear.state == "on"]
    if front.plan is None or not on:
        return ()
    # Most days begin without tape; what a caution does is not loaded on them.
    from companion.care.caution_rules import front_page_daily_look

    return (daily_look_today(),) if front_page_daily_look(front.plan) else ()


def _is_over(front: Front, what: str, side: Side | None) -> bool:
    trials = (k.trial for k in front.knees if what == "trial" and k.side == side)
    return any(trial is not None and trial.standing == "over" for trial in trials)


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


_PLAIN_DUE = {
    "locked": "The routine is closed. Follow the card.",
    "call_clinic": "Call your clinic before the next routine.",
    "patch_test_reading": "Look at the skin under the test piece today.",
    "day_page": "Your day page{knee} is open for today.",
}


def _due_line(front: Front, what: str, side: Side | None, both: bool) -> str:
    knee_today = next((k for k in front.knees if k.side == side), front.knees[0])
    where = phrase(" on your {knee}", knee=this_knee(knee_today.side)) if both and side else ""
    if what in _PLAIN_DUE:
        # It is the person who writes a page: nothing of it is on a knee.
        knee = phrase(" for your {knee}", knee=this_knee(knee_today.side)) if where else ""
        return phrase(_PLAIN_DUE[what], knee=knee)
    match what:
        case "tape_over_cap":
            return phrase("Your tape{where} has been on too long. Take it off now.", where=where)
        case "tape_off":
            wear = knee_today.wear
            if wear is not None and wear.state == "on":
                return phrase(
                    "Your tape{where} comes off {when}.",
                    where=where,
                    when=when_words(wear.due_at, front.now),
                )
            return phrase("Your tape{where} is due off now.", where=where)
        case "skin_look":
            look = knee_today.skin_look_at
            if look is not None and look > front.now:
                return phrase(
                    "Look at the skin{where} again at {time}.", where=where, time=clock_time(look)
                )
            return phrase("Look at the skin{where} again.", where=where)
        case "hands":
            # The same for each knee is said once: the doors are to stay in sight.
            if both and len({(k.hands, k.minutes) for k in front.knees}) == 1:
                return phrase(
                    "Today: your knee routine, about {n} minute for each knee.",
                    "Today: your knee routine, about {n} minutes for each knee.",
                    n=knee_today.minutes,
                )
            return phrase(
                "Today: your knee routine{where}, about {n} minute.",
                "Today: your knee routine{where}, about {n} minutes.",
                n=knee_today.minutes,
                where=where,
            )
        case "exercise":
            return phrase("Today: your exercises{where}.", where=where)
        case "tape_on" | "trial" if knee_today.trial is not None:
            return _trial_line(knee_today, knee_today.trial, where)
        case "review" | "call_another":
            return _review_line(front) if what == "review" else _another_line(front)
        case _:
            return ""


def _another_line(front: Front) -> str:
    """Whom else to call where nobody has said a word on the routine for days."""
    contacts = front.plan.contacts if front.plan else ()
    others = in_order(("doctor", "out_of_hours", "clinic"), contacts, front.now)
    if not others:
        return phrase("Nobody has told you yet whether to go on. Ask your clinic for a number.")
    return phrase(
        "Nobody has told you yet whether to go on. Call {who}: {number}.",
        who=contact_words(others[0]),
        number=others[0].number,
    )


_TRIAL_LINES = {
    "faulty": "The tape trial in your plan is not right. Ask your clinic.",
    "over": "Your tape trial{where} is over. Tape goes as your plan says again.",
    "bare_day": "Today is a bare day in your tape trial{where}: no tape. "
    "Look here again in the morning.",
    "no_tape_day": "Today is no-tape day {n} of {of}{where}.",
    "no_hands": "Today is no-tape day {n} of {of}{where}. The hands-on part rests too.",
    "tape_due": "Today is tape day {n} of {of}{where}. Open Tape to put it on.",
    "tape_on": "Today is tape day {n} of {of}{where}. The tape stays on.",
    "last_tape_on": "Today is tape day {n} of {of}{where}. The tape stays on until this evening.",
    "tape_ended": "Tape day {n} of {of}{where} is over. No new tape tonight.",
    "tape_not_now": "Today is tape day {n} of {of}{where}, but no tape for now.",
    "clock_behind": "No tape for your trial{where} until the clock is right.",
}


def _trial_line(knee_today: KneeToday, trial: "TrialToday", where: str) -> str:
    """What the tape trial says of today, and of no later day."""
    told: str = trial.standing
    if told == "no_tape_day" and knee_today.hands == "trial":
        told = "no_hands"
    elif told == "tape_on" and trial.day is not None and trial.day.last_scored:
        told = "last_tape_on"
    number, of = (0, 0) if trial.day is None else (trial.day.number, trial.day.of)
    return phrase(_TRIAL_LINES[told], n=number, of=of, where=where)


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
