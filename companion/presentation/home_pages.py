"""The small pages of Home round the walks: which knee, which day, written down, not saved."""

from collections.abc import Sequence
from datetime import date, datetime
from typing import Any

from companion.care.clearing import ClearEnd
from companion.care.day_questions import DayEnd
from companion.care.records import Plan, Side
from companion.care.routine import RoutineEnd
from companion.care.taping import SkinEnd, TapeOffEnd, TapeOnEnd
from companion.care.wear import WearClock
from companion.presentation.day_pages import day_facts
from companion.presentation.front import when_words, written_down
from companion.presentation.page_view import (
    Block,
    Button,
    Choose,
    Facts,
    Framed,
    Numbered,
    Option,
    PageView,
    Text,
)
from companion.presentation.phrases import dated, long_day, phrase
from companion.presentation.routine_pages import Setting, session_facts
from companion.presentation.words import knee


def knee_choice_view(sides: Sequence[Side], lines: dict[Side, str]) -> PageView:
    """Which knee comes first."""
    return PageView(
        key="knee",
        heading=phrase("Which knee?"),
        blocks=(
            Choose(
                "side",
                phrase("Take one knee at a time."),
                tuple(Option(side, knee(side), lines.get(side, "")) for side in sides),
            ),
        ),
        main=Button(phrase("Next")),
    )


def day_choice_view(days: Sequence[tuple[date, bool]], today: date, above: str) -> PageView:
    """Which day's page: each day with whether it is written already."""
    words = {0: phrase("Today"), 1: phrase("Yesterday")}
    options = []
    for day, written in days:
        ago = (today - day).days
        word = phrase("{name}, {day}", name=words[ago], day=long_day(day))
        line = phrase("Written already. Answer again to change it") if written else ""
        options.append(Option(day.isoformat(), word, line))
    return PageView(
        key="which_day",
        heading=phrase("Which day?"),
        blocks=(Choose("day", phrase("The page is for:"), tuple(options)),),
        main=Button(phrase("Next")),
        above=above,
    )


def finished_view(
    end: Any, at: datetime, setting: Setting, *, wear: WearClock | None, now: datetime
) -> PageView:
    """What was written down at the end of a walk, and what comes next."""
    blocks: list[Block] = []
    heading = written_down(at)
    match end:
        case RoutineEnd():
            blocks.append(Facts(session_facts(end, setting)))
            if end.reason == "card":
                blocks.append(Text(phrase("Do what the card says. The front page keeps it.")))
        case DayEnd() if end.empty:
            heading = phrase("Nothing was written down")
        case DayEnd():
            blocks.append(Facts(day_facts(end)))
        case TapeOnEnd(put_on=True):
            blocks.append(Text(phrase("The tape is on."), "strong"))
        case TapeOnEnd():
            heading = phrase("No tape was put on")
        case TapeOffEnd():
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
        case ClearEnd(how=None):
            heading = phrase("The card stays open")
            blocks.append(Text(phrase("Do what the card says.")))
        case ClearEnd():
            blocks.append(Text(phrase("The card is cleared.")))
    if wear is not None and not isinstance(end, TapeOffEnd):
        blocks.append(
            Framed(
                phrase(
                    "It comes off {when}. Write that day on the tape.",
                    when=when_words(wear.due_at, now),
                ),
                phrase("Tape"),
            )
        )
    return PageView(
        key="finished",
        heading=heading,
        blocks=tuple(blocks),
        main=Button(phrase("To the front page")),
        back=False,
    )


def not_saved_view(sentence: str) -> PageView:
    """The machine failed while saving; nothing that was written before is lost."""
    return PageView(
        key="not_saved",
        heading=phrase("This was not saved"),
        blocks=(
            Text(sentence, "strong"),
            Text(phrase("What was written down before is still there.")),
        ),
        main=Button(phrase("Try again")),
        others=(Button(phrase("To the front page"), (("leave", True),), asks=False),),
        back=False,
        stop=False,
    )


def told_view(heading: str, sentence: str) -> PageView:
    """One thing to know."""
    return PageView(
        key="told",
        heading=heading,
        blocks=(Text(sentence),),
        main=Button(phrase("To the front page")),
        back=False,
        stop=False,
    )


def plan_preview_view(plan: Plan, *, replaces: Plan | None) -> PageView:
    """What is in a plan file before it is taken in."""
    both = {
        "left": phrase("left knee"),
        "right": phrase("right knee"),
        "both": phrase("both knees"),
    }
    who = plan.sign_off.name if plan.sign_off is not None else phrase("nobody signed it")
    blocks: list[Block] = [
        Facts(
            (
                (phrase("For"), both[plan.side]),
                (phrase("Code"), plan.person),
                (phrase("Signed by"), who),
                (phrase("Version"), str(plan.version)),
                (phrase("Next visit by"), dated(plan.review_on)),
            )
        )
    ]
    if plan.practice:
        blocks.append(Framed(phrase("A practice plan, to look round. Not for a real knee.")))
    if replaces is not None and replaces.side != plan.side:
        blocks.append(
            Framed(
                phrase(
                    "Your plan so far was for the {old}. This one is for the {new}.",
                    old=both[replaces.side],
                    new=both[plan.side],
                ),
                phrase("Another knee"),
            )
        )
    blocks.append(Text(phrase("Is that your plan, and the right knee?"), "strong"))
    return PageView(
        key="plan_preview",
        heading=phrase("This is the plan"),
        blocks=tuple(blocks),
        main=Button(phrase("Yes, use this plan"), (("take", True),)),
        others=(Button(phrase("No, leave it"), (("take", False),), asks=False),),
        stop=False,
    )


def visit_view(
    plan: Plan, *, entries: int, questions: Sequence[str], private_notes: int
) -> PageView:
    """What is handed over at the visit, before it is saved."""
    held_back = (
        phrase("{n} private note stays here", "{n} private notes stay here", n=private_notes)
        if private_notes
        else phrase("nothing is held back")
    )
    blocks: list[Block] = [
        Text(phrase("Two files go to your clinic: your diary, and two printed pages.")),
        Facts(
            (
                (phrase("Under the code"), plan.person),
                (phrase("Entries"), str(entries)),
                (phrase("Held back"), held_back),
            )
        ),
    ]
    if questions:
        blocks.append(Framed(" ".join(questions), phrase("Your questions")))
    blocks.append(
        Numbered(
            (
                phrase("Press the button and choose a folder, such as a memory stick."),
                phrase("Print the summary, or take the stick with you."),
                phrase("Bring the tape you use, and this knee’s plan."),
            )
        )
    )
    return PageView(
        key="visit",
        heading=phrase("Your visit"),
        blocks=tuple(blocks),
        main=Button(phrase("Save both files")),
        above=phrase("Planned by {day}", day=dated(plan.review_on)),
    )


def tape_room_view(above: str, off: str, *, adding: bool) -> PageView:
    """Tape is on: take it off, or put the short pieces on as well."""
    others = (Button(phrase("Put the short pieces on as well"), (("do", "add"),)),)
    return PageView(
        key="tape_room",
        heading=phrase("Your tape is on"),
        blocks=(Text(phrase("{off}.", off=off)),),
        main=Button(phrase("Take the tape off"), (("do", "off"),)),
        others=others if adding else (),
        above=above,
    )
