"""The small pages of Home round the walks: which knee, which day, written down, not saved."""

from collections.abc import Collection, Mapping, Sequence
from dataclasses import replace
from datetime import date, datetime, timedelta
from typing import assert_never

from companion.care.clearing import ClearEnd, is_over
from companion.care.correcting import CorrectEnd
from companion.care.day_questions import DayEnd
from companion.care.evening import EveningEnd
from companion.care.history import current
from companion.care.outing_questions import OutingAfterEnd, OutingEnd, OutingMorningEnd
from companion.care.patch_questions import PatchEnd, PatchReadingEnd
from companion.care.records import AnyEntry, DayPage, Diary, Plan, PlanSide, Question, Side
from companion.care.routine import RoutineEnd
from companion.care.tape_applications import WearClock
from companion.care.tape_gate import PatchState
from companion.care.taping import SkinEnd, TapeCheckEnd, TapeOffEnd, TapeOnEnd
from companion.care.trial_days import trial_faulty
from companion.presentation.home.card_pages import still_open_blocks, unsigned
from companion.presentation.home.correcting_pages import put_right_blocks
from companion.presentation.home.day_pages import day_lines
from companion.presentation.home.front import written_down
from companion.presentation.home.handed_over import counted_kinds, private_notes, uncounted_words
from companion.presentation.home.looking_over import plain
from companion.presentation.home.open_lines import when_words
from companion.presentation.home.outing_pages import outing_lines, outing_next, outing_written
from companion.presentation.home.patch_pages import patch_lines, patch_next, patch_written
from companion.presentation.home.routine_pages import session_lines
from companion.presentation.home.walk_view import ViewContext
from companion.presentation.language.code_table import CodeTable
from companion.presentation.language.phrases import dated, joined, long_day, phrase
from companion.presentation.language.plan_changes import whose_knee
from companion.presentation.language.words import daily_look_today, knee, question_words, this_knee
from companion.presentation.view.page import (
    ActionList,
    Block,
    Bulleted,
    Button,
    Callout,
    Choose,
    DefinitionList,
    Heading,
    LookOverLine,
    Option,
    PageView,
    Text,
    Write,
    make_page,
    next_page,
)


def knee_choice_view(sides: Sequence[Side], lines: Mapping[Side, str]) -> PageView:
    """Which knee comes first; `lines` says how each stands."""
    return make_page(
        "knee",
        phrase("Which knee?"),
        Text(phrase("Take one knee at a time.")),
        ActionList("side", tuple(Option(side, knee(side), lines.get(side, "")) for side in sides)),
    )


def day_choice_view(
    days: Sequence[tuple[date, bool]],
    today: date,
    above: str,
    to_type: Collection[date] = (),
) -> PageView:
    """Which day's page: each day, newest first, with whether it is written already. `to_type` are
    days of a journey, whose pages may be on paper."""
    options = []
    for day, written in days:
        ago = (today - day).days
        word = long_day(day)
        if ago == 0:
            word = phrase("Today, {day}", day=word)
        elif ago == 1:
            word = phrase("Yesterday, {day}", day=word)
        line = ""
        if written:
            line = phrase("Written already. Answer again to change it")
        elif day in to_type:
            line = phrase("Your journey: type what you wrote on paper that day")
        elif ago > 1:
            line = phrase("It will be marked as written late")
        options.append(Option(day.isoformat(), word, line))
    return make_page(
        "which_day",
        phrase("Which day?"),
        Choose("day", phrase("The page is for:"), tuple(options)),
        main=Button(phrase("Next")),
        above=above,
    )


def _told(written: tuple[LookOverLine, ...], then: tuple[str, ...]) -> list[Block]:
    blocks: list[Block] = [plain(written)] if written else []
    return blocks + [Text(line) for line in then]


WrittenEnd = (
    RoutineEnd
    | EveningEnd
    | DayEnd
    | TapeOnEnd
    | TapeCheckEnd
    | TapeOffEnd
    | SkinEnd
    | OutingEnd
    | OutingAfterEnd
    | OutingMorningEnd
    | PatchEnd
    | PatchReadingEnd
    | ClearEnd
    | CorrectEnd
)
"""How a walk ended that says at its end what was written down."""


def _ended(  # noqa: PLR0912, PLR0915 - one branch a kind of ending
    end: WrittenEnd, heading: str, at: datetime, setting: ViewContext
) -> tuple[str, list[Block]]:
    """The heading and the words of one ending."""
    blocks: list[Block] = []
    match end:
        case RoutineEnd():
            if end.reason == "card":
                card = phrase("Do what the card says. The front page keeps it.")
                blocks.append(Text(card, "strong"))
            blocks.append(plain(session_lines(end, setting)))
            blocks += unsigned(setting.catalogue) if end.signs else ()
        case EveningEnd():
            card = phrase("Do what the card says. The front page keeps it.")
            blocks.append(Text(card, "strong"))
            for side, own in zip(end.sides, end.ends, strict=True):
                blocks.append(Heading(knee(side)))
                blocks.append(plain(session_lines(own, replace(setting, side=side))))
            blocks += unsigned(setting.catalogue) if any(one.signs for one in end.ends) else ()
        case DayEnd() if end.empty:
            heading = phrase("Nothing was written down")
        case DayEnd():
            blocks.append(plain(day_lines(end, setting)))
        case TapeOnEnd(put_on=True):
            blocks.append(Text(phrase("The tape is on."), "strong"))
        case TapeOnEnd():
            heading = phrase("No tape was put on")
        case TapeCheckEnd(off=False):
            heading = phrase("You ticked none of these")
            blocks.append(Text(phrase("Take it off at once if it itches, pinches or hurts.")))
        case TapeOffEnd(off="earlier" | "by_itself"):
            blocks.append(Text(phrase("The tape is off."), "strong"))
            blocks.append(Text(phrase("The front page says if the skin is to be looked at again.")))
        case TapeOffEnd() | TapeCheckEnd():
            blocks.append(Text(phrase("The tape is off."), "strong"))
            blocks.append(
                Text(
                    phrase(
                        "Look at the skin again in {n} minute.",
                        "Look at the skin again in {n} minutes.",
                        n=setting.catalogue.tape_steps.skin_again_minutes,
                    )
                )
            )
        case SkinEnd(skin="clear" | "pink"):
            blocks.append(Text(phrase("The skin counts as clear.")))
        case SkinEnd():
            blocks.append(Text(phrase("Call your clinic before you tape again.")))
        case OutingEnd() | OutingAfterEnd() | OutingMorningEnd():
            if not outing_written(end):
                heading = phrase("Nothing was written down")
            blocks += _told(outing_lines(end, setting), outing_next(end))
        case PatchEnd() | PatchReadingEnd():
            if not patch_written(end):
                heading = phrase("Nothing was written down")
            blocks += _told(patch_lines(end), patch_next(end, at, setting.catalogue))
        case ClearEnd():
            if is_over(end.sign, end.became):
                blocks.append(
                    Text(
                        phrase("The card is cleared. What it closed is open again.")
                        if end.sign.closes
                        else phrase("The card is cleared. Your clinic reads it at the visit.")
                    )
                )
            else:
                heading = phrase("The card stays open")
                blocks += still_open_blocks(end, setting)
        case CorrectEnd():
            heading = phrase("It is put right")
            blocks += put_right_blocks(end, setting)
        case _:
            assert_never(end)
    return heading, blocks


NEW_TAPE = timedelta(hours=3)
"""As long as tape counts as just put on: its off-day is still to be written on it."""


def finished_view(
    end: WrittenEnd,
    at: datetime,
    setting: ViewContext,
    *,
    wears: Mapping[Side, WearClock],
    now: datetime,
) -> PageView:
    """What was written down at the end of a walk, and what comes next; `wears`: the tape that is on
    the knees it was about."""
    heading, told = _ended(end, written_down(at), at, setting)
    blocks = list(told)
    shown = isinstance(end, RoutineEnd | TapeOnEnd | TapeCheckEnd)
    if isinstance(end, OutingEnd):
        shown = end.going
    for side, wear in wears.items() if shown else ():
        when = when_words(wear.due_at, now)
        new = now - wear.wear.on_at < NEW_TAPE
        off = {
            "on": phrase("It comes off {when}. Write that day on the tape.", when=when)
            if new
            else phrase("It comes off {when}.", when=when),
            "due": phrase("It is due off now. Take it off."),
            "over_cap": phrase(
                "It has been on too long, over {n} hours. Take it off now.", n=wear.cap_hours
            ),
        }
        whose = phrase("Tape on your {knee}", knee=this_knee(side))
        blocks.append(Callout(off[wear.state], whose if len(wears) > 1 else phrase("Tape")))
    # What comes next stands first: what was written down was looked over a page ago.
    blocks.sort(key=lambda block: isinstance(block, DefinitionList))
    return PageView(
        key="finished",
        heading=heading,
        blocks=tuple(blocks),
        main=Button(phrase("To the front page")),
        others=_again(end),
        back=False,
    )


def _again(end: WrittenEnd) -> tuple[Button, ...]:
    """The way back to change what was just written."""
    if isinstance(end, DayEnd) and not end.empty:
        return (Button(phrase("Change something"), (("again", True),)),)
    if isinstance(end, CorrectEnd):
        return (Button(phrase("Back to my record"), (("again", True),)),)
    return ()


def not_saved_view(sentence: str) -> PageView:
    """The machine failed while saving; nothing that was written before is lost."""
    return make_page(
        "not_saved",
        phrase("This was not saved"),
        Text(sentence, "strong"),
        Text(phrase("What was written down before is still there.")),
        main=Button(phrase("Try again")),
        others=(Button(phrase("To the front page"), (("leave", True),), asks=False),),
        back=False,
        stop=False,
    )


def notice_view(heading: str, sentence: str, *, ends: bool = False) -> PageView:
    """One thing to know; `ends`: the program ends when it was read."""
    return make_page(
        "told",
        heading,
        Text(sentence),
        main=Button(phrase("Close the program") if ends else phrase("To the front page")),
        back=False,
        stop=False,
    )


def _trial_row(plan: Plan) -> tuple[tuple[str, str], ...]:
    """From when a tape trial runs, and on which knee; nothing of its order. One that is not as it
    was fixed is not run."""
    if plan.trial is None:
        return ()
    if trial_faulty(plan, plan.trial.side):
        return ((phrase("Tape trial"), phrase("not right, ask your clinic")),)
    words = phrase(
        "from {day} on, {knee}",
        day=dated(plan.trial.first_day),
        knee=this_knee(plan.trial.side),
    )
    return ((phrase("Tape trial"), words),)


def plan_preview_view(
    plan: Plan,
    *,
    side_changes: tuple[PlanSide, PlanSide] | None = None,
    comes_with: Sequence[AnyEntry] = (),
    of_signs: Sequence[str] = (),
    news: Sequence[str] | None = None,
    becomes: Sequence[str] = (),
) -> PageView:
    """What is in a plan file before it is taken in. `comes_with` are the entries it brings,
    `of_signs` what it says of warning signs that were open, see `home_answers`. `news` is what it
    changes, None for the first plan, and `becomes` what becomes of what is open: that is agreed to
    by itself."""
    who = plan.sign_off.name if plan.sign_off is not None else phrase("nobody signed it")
    blocks: list[Block] = [
        DefinitionList(
            (
                (phrase("For"), whose_knee(plan.side)),
                (phrase("Code"), plan.person),
                (phrase("Signed by"), who),
                (phrase("Version"), str(plan.version)),
                (phrase("Next visit by"), dated(plan.review_on)),
                *_trial_row(plan),
                *_comes_with(comes_with),
            )
        )
    ]
    if plan.practice:
        blocks.append(Callout(phrase("A practice plan, to look round. Not for a real knee.")))
    elif of_signs:
        blocks.append(Heading(phrase("Your warning signs")))
        blocks.append(Bulleted(tuple(of_signs)))
    if news is not None:
        blocks.append(Heading(phrase("What is new")))
        none = phrase("Nothing of what you do is another.")
        blocks.append(Bulleted(tuple(news)) if news else Text(none))
    if becomes:
        blocks.append(Callout(" ".join(becomes), phrase("What you have begun")))
        blocks.append(
            Choose(
                "becomes",
                phrase("Is that all right?"),
                (
                    Option("yes", phrase("Yes, I have read it")),
                    Option("no", phrase("No, or not sure")),
                ),
            )
        )
    if side_changes is None:
        blocks.append(Text(phrase("Is that your plan, and your knee?"), "strong"))
    else:
        said, asked = another_knee(*side_changes)
        blocks = [said, *blocks, asked]
    return PageView(
        key="plan_preview",
        heading=phrase("This is the plan"),
        blocks=tuple(blocks),
        main=Button(phrase("Yes, use this plan"), (("take", True),)),
        others=(Button(phrase("No, leave it"), (("take", False),), asks=False),),
        stop=False,
    )


def plan_before_view(before: Plan, *, going: bool) -> PageView:
    """Back to the plan before for today; `going`: so it is, and may be taken back. Given: `go`."""
    if going:
        return make_page(
            "plan_before",
            phrase("Today goes by the plan before"),
            Text(phrase("Of both plans the stricter holds. Tomorrow the new one does again.")),
            main=Button(phrase("Go on by the new plan"), (("go", True),)),
            others=(Button(phrase("Leave it for today"), (("go", False),), asks=False),),
        )
    return make_page(
        "plan_before",
        phrase("The plan before, for today"),
        Text(
            phrase(
                "Your plan before is version {n}, of {day}.",
                n=before.version,
                day=dated(before.written_on),
            ),
            "strong",
        ),
        Text(phrase("For today only what both plans hold is done, and of each the less.")),
        Text(phrase("What either of them closes stays closed.")),
        Callout(phrase("It is written down, and your clinic reads it. Call them too.")),
        main=Button(phrase("Yes, for today"), (("go", True),)),
        others=(Button(phrase("No, the new plan"), (("go", False),), asks=False),),
    )


def draft_view(why: str) -> PageView:
    """A plan nobody signed, beside a signed one: `why` it is not taken in. Given: `look`."""
    return make_page(
        "draft",
        phrase("This plan is a draft"),
        Text(why, "strong"),
        Text(phrase("You may look round with it, in a window of its own.")),
        Text(phrase("What you write there goes nowhere. Your diary stays as it is.")),
        main=Button(phrase("Look round with it"), (("look", True),)),
        others=(Button(phrase("To the front page"), (("look", False),), asks=False),),
        stop=False,
    )


def another_knee(before: PlanSide, after: PlanSide) -> tuple[Block, Block]:
    """What to say and to ask where a plan is for another knee than the one so far.

    Given: `another_knee` yes | no. Nothing is chosen beforehand, so Enter alone takes nothing in.
    """
    return (
        Callout(
            phrase(
                "Your plan so far was for the {old}. The new one is for the {new}.",
                old=whose_knee(before),
                new=whose_knee(after),
            ),
            phrase("Another knee"),
        ),
        Choose(
            "another_knee",
            phrase("Did your clinic tell you so?"),
            (
                Option("yes", phrase("Yes, from now on the {new}", new=whose_knee(after))),
                Option("no", phrase("No, or not sure")),
            ),
        ),
    )


def _comes_with(entries: Sequence[AnyEntry]) -> tuple[tuple[str, str], ...]:
    if not entries:
        return ()
    if all(entry.written_by == "clinic" for entry in entries):
        words = phrase("what your clinic wrote down with you in the room")
    else:
        words = phrase("{n} entry of your diary", "{n} entries of your diary", n=len(entries))
    return ((phrase("It brings"), words),)


def visit_view(diary: Diary, *, not_asked: int = 0) -> PageView:
    """What is handed over at the visit, before it is saved. `not_asked`: how many cautions came to
    the clinic's list after the plan was written."""
    plan = diary.plan
    private = private_notes(diary)
    held_back = (
        phrase("{n} private note stays here", "{n} private notes stay here", n=private)
        if private
        else phrase("no note of yours")
    )
    counted = [*counted_kinds(diary).values(), uncounted_words(diary)]
    questions = [
        entry
        for entry in current(diary.entries)
        if isinstance(entry, Question) and entry.for_day >= plan.written_on and not entry.answered
    ]
    blocks: list[Block] = [
        Text(phrase("Two files go to your clinic: your diary, and two pages to print.")),
        DefinitionList(
            (
                (phrase("Under the code"), plan.person),
                (phrase("Handed over"), joined(filter(None, counted)) or phrase("nothing yet")),
                (phrase("Held back"), held_back),
                (phrase("Your goal"), plan.goal or phrase("none in your plan")),
            )
        ),
    ]
    if len(plan.sides) > 1:
        days = {e.for_day for e in current(diary.entries) if isinstance(e, DayPage)}
        line = phrase(
            "Of {n} day, a page for each knee.", "Of {n} days, a page for each knee.", n=len(days)
        )
        blocks.append(Text(line, "quiet"))
    if not_asked:
        blocks.append(
            Callout(
                phrase(
                    "Your clinic has {n} new question about your health. Ask for it at your visit.",
                    "Your clinic has {n} new questions about your health. Ask for them at your "
                    "visit.",
                    n=not_asked,
                ),
                phrase("Ask at your visit"),
            )
        )
    if questions:
        line = phrase("Change it, or say that it was answered")
        rows = tuple(Option(one.id, question_words(one), line) for one in questions)
        blocks += [Heading(phrase("Your questions")), ActionList("question", rows)]
    blocks += [
        Heading(phrase("What to bring")),
        Bulleted(
            (
                phrase("The two files on a memory stick, or the pages in print"),
                *((phrase("The tape you use"),) if plan.tape.highest else ()),
                phrase("A list of your medicines"),
                phrase("Shorts, so that the knee can be seen"),
            )
        ),
    ]
    return PageView(
        key="visit",
        heading=phrase("Your visit"),
        blocks=tuple(blocks),
        main=Button(phrase("Save both files"), (("do", "save"),)),
        others=(
            Button(phrase("See what is handed over"), (("do", "see"),)),
            Button(phrase("Write a question for the clinic"), (("do", "question"),)),
        ),
        above=phrase("Planned by {day}", day=dated(plan.review_on)),
    )


def question_view() -> PageView:
    """A question for the clinic."""
    return next_page(
        "question",
        phrase("A question for the clinic"),
        Write("text", phrase("What do you want to ask at your visit?")),
        main=phrase("Write it down"),
    )


def asked_view(question: Question) -> PageView:
    """One question that was written down. Given: `text`, and `do` change | answered | back."""
    return make_page(
        "asked",
        phrase("Your question"),
        Write("text", phrase("Change the words here.")),
        Text(phrase("Written on {day}.", day=long_day(question.for_day)), "quiet"),
        main=Button(phrase("Write it down like this"), (("do", "change"),)),
        others=(
            Button(phrase("It was answered"), (("do", "answered"),), asks=False),
            Button(phrase("I do not ask it any more"), (("do", "back"),), asks=False),
        ),
    )


def half_page_view(begun: date, today: date, above: str) -> PageView:
    """A day page of an earlier day is half written: which one now. Given: `day`."""
    return make_page(
        "half_page",
        phrase("Which page?"),
        Text(phrase("The page of {day} is half written.", day=long_day(begun)), "strong"),
        ActionList(
            "day",
            (
                Option(begun.isoformat(), phrase("Finish {day}", day=long_day(begun))),
                Option(
                    today.isoformat(),
                    phrase("Begin today, {day}", day=long_day(today)),
                    phrase("What you wrote of the other page is kept"),
                ),
            ),
        ),
        above=above,
    )


def tape_room_view(above: str, off: str, *, looked_at_daily: bool = False) -> PageView:
    """Tape is on: take it off, or check it."""
    look = (Text(daily_look_today()),) if looked_at_daily else ()
    return make_page(
        "tape_room",
        phrase("Your tape is on"),
        Text(phrase("{off}.", off=off)),
        *look,
        main=Button(phrase("Take the tape off"), (("do", "off"),), at_once=True),
        others=(Button(phrase("Check how it feels"), (("do", "check"),)),),
        above=above,
    )


def tape_late_view(above: str, make: str) -> PageView:
    """No tape is on, and the test of this make was clear not long ago: a rash may come late."""
    return make_page(
        "tape_choice",
        phrase("Tape"),
        Text(phrase("This tape was tested not long ago: {make}.", make=make)),
        ActionList(
            "do",
            (
                Option("on", phrase("Put tape on")),
                Option(
                    "read",
                    phrase("Look where the test piece was"),
                    phrase("Some rashes come after a week"),
                ),
            ),
        ),
        above=above,
    )


_TESTS: CodeTable[PatchState, str] = CodeTable(
    PatchState,
    {
        "clear": "The test of this tape was clear: {make}.",
        "missing": "This tape was not tested yet: {make}.",
        "waiting": "This tape is being tested: {make}.",
        "first_reading_due": "This tape is being tested: {make}.",
        "second_reading_due": "This tape is being tested: {make}.",
        "not_clear": "The skin was not clear on {day}: {make}. No tape of this make.",
        "read_too_late": "The test piece was not looked at in time: {make}.",
    },
)
"""How the test of a make stands, behind the door to tape."""


def tape_choice_view(
    above: str,
    make: str,
    state: PatchState,
    *,
    read_on: date | None = None,
    to_call: bool = False,
) -> PageView:
    """No tape is on, and the test of this make has not been read clear twice. `read_on`: the day
    on which the skin was not clear; `to_call`: of some make it was not, and the clinic was not
    talked to since."""
    if to_call:
        test = Option("card", phrase("I have called about it"), phrase("No tape until then"))
    elif state in ("waiting", "first_reading_due", "second_reading_due"):
        words = phrase("Look under the test piece")
        test = Option("read", words, phrase("Write down how the skin is"))
    elif state == "not_clear":
        test = Option("place", phrase("Test another tape"), phrase("Once your clinic agreed to it"))
    else:
        test = Option("place", phrase("Put a test piece on"), phrase("It is looked at twice"))
    day = "" if read_on is None else long_day(read_on)
    return make_page(
        "tape_choice",
        phrase("Tape"),
        Text(_TESTS.said(state, make=make, day=day)),
        ActionList(
            "do", (test, Option("on", phrase("Why no tape?"), phrase("See what is missing")))
        ),
        above=above,
    )


def patch_missed_view(make: str) -> PageView:
    """A test piece that was not looked at in time."""
    return make_page(
        "patch_missed",
        phrase("The test is to begin again"),
        Text(phrase("The piece was not looked at in time: {make}.", make=make)),
        Text(phrase("Take it off now, if it is still on."), "strong"),
        ActionList(
            "do",
            (
                Option("place", phrase("Put a new piece on"), phrase("It is looked at twice")),
                Option("read", phrase("The skin is not clear"), phrase("Write down how it is")),
            ),
        ),
    )
