"""The pages of going out, of how it was, and of the morning after."""

from collections.abc import Iterator, Sequence

from companion.care import outing_questions as walk
from companion.care.days import diary_day
from companion.care.pacing import PacedWeek
from companion.care.records import Amount, Side
from companion.care.taping import OffWhenPage, SkinPage, TapeOffEnd
from companion.presentation.home.card_pages import about_card, card_block
from companion.presentation.home.looking_over import look_over, look_over_view
from companion.presentation.home.walk_view import ViewContext, pain_scale, view_of
from companion.presentation.language import codes
from companion.presentation.language.code_table import CodeTable, inside
from companion.presentation.language.figures_in_words import amount_of
from companion.presentation.language.pacing_words import aim_words, reason_words, with_unit
from companion.presentation.language.phrases import long_day, phrase
from companion.presentation.language.words import (
    knee,
    this_knee,
    worn_at_most,
    yes_or_no,
)
from companion.presentation.view.page import (
    Block,
    Button,
    Callout,
    Choose,
    DefinitionList,
    LookOverLine,
    Number,
    Option,
    PageView,
    Scale,
    Text,
    Write,
    make_page,
    next_page,
)

OWN_WORDS_ASKED = "Write a few words here, or choose from the list."


def how_much(amount: Amount | None) -> str | None:
    """An amount with its unit: `20 min`. None when there is none."""
    return None if amount is None else amount_of(amount.amount, amount.unit)


# ---------------------------------------------------------------- before


@view_of.register
def _(page: walk.CardFirstPage, setting: ViewContext) -> PageView:
    sign = setting.catalogue.sign(page.sign)
    return make_page(
        page.key,
        phrase("This card is still open"),
        card_block(sign, setting.plan, setting.catalogue, setting.now),
        *about_card(sign, setting),
        Text(phrase("You ticked: {sign}", sign=phrase(sign.words)), "quiet"),
        Text(phrase("There is no tape until this card is cleared.")),
        main=Button(phrase("I have read this")),
        stop=False,
        enter_answers=False,
    )


@view_of.register
def _(page: walk.TapeByTrialPage, setting: ViewContext) -> PageView:
    return next_page(
        page.key,
        phrase("Tape goes by your trial now"),
        Text(phrase("While the tape trial runs, no tape goes on just to go out.")),
        Text(phrase("You can go out all the same. Tape that is on may stay until it is due off.")),
        Text(phrase("Say on the next pages what you go out for."), "quiet"),
    )


@view_of.register
def _(page: walk.WhatForPage, setting: ViewContext) -> PageView:
    blocks: list[Block] = []
    if page.again:
        blocks.append(Text(phrase(OWN_WORDS_ASKED), "strong"))
    if page.labels:
        options = [Option(str(number), label) for number, label in enumerate(page.labels, 1)]
        blocks.append(
            Choose(
                "what",
                phrase("Choose what you go out for."),
                (*options, Option("own", phrase("Something else"))),
            )
        )
        question = phrase("If something else: what is it?")
    else:
        question = phrase("Say it in a few words.")
    blocks.append(Write("own", question, walk.MOST_CHARACTERS, "one"))
    return next_page(page.key, phrase("What is it for?"), *blocks)


@view_of.register
def _(page: walk.AmountMeantPage, setting: ViewContext) -> PageView:
    planned, aim = page.planned, page.aim
    told: list[Block] = []
    if aim is not None:
        told = [Text(aim_words(aim), "strong"), Text(" ".join(reason_words(aim)))]
    return next_page(
        page.key,
        phrase("How much do you mean to do?"),
        Text(planned.label, "strong"),
        *told,
        DefinitionList(
            (
                (phrase("Usual before your plan"), amount_of(planned.baseline, planned.unit)),
                (phrase("Goal in your plan"), amount_of(planned.goal, planned.unit)),
            )
        ),
        Number(
            "amount", phrase("How much? You may leave it out."), planned.unit, 0, 100000, decimals=1
        ),
    )


@view_of.register
def _(page: walk.TapeForOutingPage, setting: ViewContext) -> PageView:
    minutes = setting.catalogue.tape_steps.warm_up_minutes
    return make_page(
        page.key,
        phrase("Do you want tape for this?"),
        *look_over(_plan_lines(page.what_for, page.amount, setting)),
        Text(phrase("Your plan allows tape before you go out.")),
        Text(
            phrase(
                "Put it on {n} minute before you walk far or go in water.",
                "Put it on {n} minutes before you walk far or go in water.",
                n=minutes,
            ),
            "strong",
        ),
        Text(worn_at_most(setting.plan.tape), "quiet"),
        enter_answers=False,
        main=Button(phrase("Yes, put tape on"), (("tape", "yes"),)),
        others=(Button(phrase("No tape this time"), (("tape", "no"),)),),
    )


def _plan_lines(
    what_for: str, amount: Amount | None, setting: ViewContext
) -> tuple[LookOverLine, ...]:
    lines = [LookOverLine(phrase("For"), what_for, setting.door(walk.WhatForPage))]
    meant = how_much(amount)
    if meant is not None:
        door = setting.door(walk.AmountMeantPage)
        lines.append(LookOverLine(phrase("How much"), meant, door))
    return tuple(lines)


_TAPE: CodeTable[walk.OutingTape, str] = CodeTable(
    walk.OutingTape,
    {
        "put_on": "put on for this",
        "was_on": "on already",
        "none": "none",
    },
)


def _tape_lines(tapes: Sequence[walk.KneeTape], setting: ViewContext) -> Iterator[LookOverLine]:
    """How tape stands, a line a knee."""
    for one in tapes:
        key = f"{one.side}:tape_for_outing" if len(tapes) > 1 else ""
        door = setting.door(walk.TapeForOutingPage, key=key)
        name = _of_knee(phrase("Tape"), one.side, two_knees=len(tapes) > 1)
        yield LookOverLine(name, phrase(_TAPE[one.tape]), door)


def _of_knee(name: str, side: Side, *, two_knees: bool) -> str:
    """A line's name, with its knee where there are two."""
    if not two_knees:
        return name
    return phrase("{knee}: {what}", knee=knee(side), what=inside(name))


@view_of.register
def _(page: walk.OutingLookOverPage, setting: ViewContext) -> PageView:
    return look_over_view(
        page.key,
        (
            *_plan_lines(page.what_for, page.amount, setting),
            *_tape_lines(page.tape, setting),
        ),
        main=Button(phrase("I am going, write it down"), (("going", "yes"),)),
        others=(Button(phrase("I am not going"), (("going", "no"),)),),
    )


# ---------------------------------------------------------------- after


@view_of.register
def _(page: walk.WhyEndedPage, setting: ViewContext) -> PageView:
    return next_page(
        page.key,
        phrase("How was it?"),
        Text(page.what_for, "strong"),
        Choose(
            "because",
            setting.asked(phrase("Why did it end?"), phrase("Why did it end?")),
            (
                *(
                    Option(code, words.answer)
                    for code, words in codes.OUTING_ENDED.items()
                    if page.taped or code != "tape"
                ),
                Option("not_gone", phrase("I did not go")),
            ),
        ),
    )


@view_of.register
def _(page: walk.AmountDonePage, setting: ViewContext) -> PageView:
    blocks: list[Block] = [Text(page.label, "strong")]
    meant = how_much(page.meant)
    if meant is not None:
        blocks.append(Text(phrase("You meant to do {amount}.", amount=meant)))
    blocks.append(
        Number(
            "amount",
            setting.asked(
                phrase("How much was it? You may leave it out."),
                phrase("How much was it? You may leave it out."),
            ),
            page.unit,
            0,
            100000,
            decimals=1,
        )
    )
    return next_page(page.key, phrase("How much did you do?"), *blocks)


@view_of.register
def _(page: walk.OutingPainPage, setting: ViewContext) -> PageView:
    return next_page(
        page.key,
        phrase("The worst pain"),
        Text(page.what_for, "strong"),
        _pain_scale("score", setting.side, setting),
    )


@view_of.register
def _(page: walk.BothOutingPainPage, setting: ViewContext) -> PageView:
    return next_page(
        page.key,
        phrase("The worst pain"),
        Text(page.what_for, "strong"),
        *(_pain_scale(side, side, setting) for side in page.sides),
    )


def _pain_scale(name: str, side: Side, setting: ViewContext) -> Scale:
    question = phrase(
        "How bad was the worst pain in your {knee} while you were out?", knee=this_knee(side)
    )
    return pain_scale(name, setting.asked(question, question), cannot_say=phrase("I can’t say"))


@view_of.register
def _(page: walk.TapeStillOnPage, setting: ViewContext) -> PageView:
    return next_page(
        page.key,
        phrase("Your tape"),
        Choose(
            "tape",
            phrase("Is the tape still on your {knee}?", knee=this_knee(setting.side)),
            (
                Option("on", phrase("Yes, it is on")),
                Option("off", phrase("No, I took it off")),
                Option("by_itself", phrase("No, it came off by itself")),
            ),
        ),
    )


@view_of.register
def _(page: walk.OutingAfterLookOverPage, setting: ViewContext) -> PageView:
    comes = outing_next(page.end)
    then = (Callout(" ".join(comes), phrase("Then", context="after this")),) if comes else ()
    lines = outing_lines(page.end, setting)
    return look_over_view(page.key, lines, *then, main=Button(phrase("Write it down")))


# ---------------------------------------------------------------- the morning after


@view_of.register
def _(page: walk.MorningAfterPage, setting: ViewContext) -> PageView:
    return next_page(
        page.key,
        phrase("The morning after"),
        Text(phrase("Yesterday: {what_for}", what_for=page.what_for)),
        _morning("next_morning", setting.side, setting),
    )


@view_of.register
def _(page: walk.BothMorningsPage, setting: ViewContext) -> PageView:
    return next_page(
        page.key,
        phrase("The morning after"),
        Text(phrase("Yesterday: {what_for}", what_for=page.what_for)),
        *(_morning(side, side, setting) for side in page.sides),
    )


def _morning(name: str, side: Side, setting: ViewContext) -> Choose:
    return Choose(
        name,
        _this_morning(side, setting),
        (
            *(Option(code, words.answer) for code, words in codes.MORNINGS.items()),
            Option("", phrase("I can’t say")),
        ),
    )


def _this_morning(side: Side, setting: ViewContext) -> str:
    whose = this_knee(side)
    if setting.now is None:
        return phrase("How was your {knee} this morning?", knee=whose)
    day = long_day(diary_day(setting.now))
    return phrase("How was your {knee} this morning, {day}?", knee=whose, day=day)


# ---------------------------------------------------------------- the end in words


OutingEnding = walk.OutingEnd | walk.OutingAfterEnd | walk.OutingMorningEnd


def outing_written(end: OutingEnding) -> bool:
    """Whether anything of the outing itself was written down."""
    match end:
        case walk.OutingEnd():
            return end.going
        case walk.OutingAfterEnd():
            return not end.empty or end.tape_off
        case _:
            return any(knee.said is not None for knee in end.knees)


def outing_lines(end: OutingEnding, setting: ViewContext) -> tuple[LookOverLine, ...]:
    """What is written down, line by line; empty when nothing is."""
    if not outing_written(end) or end.what_for is None:
        return ()
    lines = [LookOverLine(phrase("For"), end.what_for)]
    why = setting.door(walk.WhyEndedPage)
    match end:
        case walk.OutingEnd():
            meant = how_much(end.amount)
            if meant is not None:
                lines.append(LookOverLine(phrase("How much"), meant))
            lines += _tape_lines(end.tape, setting)
        case walk.OutingAfterEnd(gone=False):
            lines.append(LookOverLine(phrase("Did you go"), yes_or_no(False), why))
        case walk.OutingAfterEnd():
            done = how_much(end.amount)
            if done is not None:
                door = setting.door(walk.AmountDonePage)
                lines.append(LookOverLine(phrase("How much"), done, door))
            if end.because is not None:
                because = codes.OUTING_ENDED[end.because].answer
                lines.append(LookOverLine(phrase("Why it ended"), because, why))
            door = setting.door(walk.OutingPainPage) or setting.door(walk.BothOutingPainPage)
            lines += [
                LookOverLine(
                    _of_knee(phrase("Worst pain"), one.side, two_knees=len(end.knees) > 1),
                    str(one.pain_worst),
                    door,
                )
                for one in end.knees
                if one.pain_worst is not None
            ]
        case walk.OutingMorningEnd():
            lines += [
                LookOverLine(
                    _of_knee(phrase("The morning after"), one.side, two_knees=len(end.knees) > 1),
                    codes.MORNINGS[one.said].answer,
                )
                for one in end.knees
                if one.said is not None
            ]
    if isinstance(end, walk.OutingAfterEnd):
        for one in end.knees:
            lines += _off_lines(one, setting, two_knees=len(end.knees) > 1)
    return tuple(lines)


def _off_lines(
    told: walk.KneeAfterEnd, setting: ViewContext, *, two_knees: bool
) -> Iterator[LookOverLine]:
    """That tape is off, and the skin under it."""
    if told.removed is None:
        return

    def door(kind: type[object], key: str) -> str:
        return setting.door(kind, key=f"{told.side}:{key}" if two_knees else "")

    when = door(OffWhenPage, OffWhenPage().key) or door(
        walk.TapeStillOnPage, walk.TapeStillOnPage().key
    )
    name = _of_knee(phrase("Tape"), told.side, two_knees=two_knees)
    yield LookOverLine(name, _off_words(told.removed), when)
    if told.removed.skin is not None:
        skin = codes.SKIN[told.removed.skin].answer
        name = _of_knee(phrase("Skin"), told.side, two_knees=two_knees)
        yield LookOverLine(name, skin, door(SkinPage, SkinPage(when="at_once").key))


def _off_words(removed: TapeOffEnd) -> str:
    """That the tape is off, and since when as far as it was said."""
    if removed.off_day not in ("today", "yesterday"):
        return phrase("off, nobody knows since when")
    day = phrase("today") if removed.off_day == "today" else phrase("yesterday")
    if removed.hour is None:
        return phrase("off, {day} at an hour nobody knows", day=day)
    return phrase("off, {day} about {hour} o’clock", day=day, hour=removed.hour)


_WITH_TAPE: CodeTable[walk.NextWithTape, str] = CodeTable(
    walk.NextWithTape,
    {
        "take_off": "Take the tape off now. Open Tape on the front page, it shows the steps.",
        "leave": "The tape may stay on until it is due. The front page says when.",
    },
)


def outing_next(end: OutingEnding) -> tuple[str, ...]:
    """What comes next, in whole sentences."""
    match end:
        case walk.OutingEnd(going=True):
            return (
                phrase("When you are back, open Going out once more."),
                phrase("It asks how it was."),
            )
        case walk.OutingEnd(card=True):
            return (phrase("Do what the card says. The front page keeps it."),)
        case walk.OutingAfterEnd():
            return tuple(_next_with_tape(end))
        case walk.OutingMorningEnd(signs=signs) if held := {
            sign.sign for sign in signs if not sign.mistake
        }:
            if walk.MORE_PAIN_TWO_DAYS in held:
                return (phrase("Do what the card says. The front page keeps it."),)
            less = phrase("Do a little less of it next time: {what}.", what=end.what_for)
            return (less, *_no_more_than(end.aim))
        case _:
            return ()


def _next_with_tape(end: walk.OutingAfterEnd) -> Iterator[str]:
    """What becomes of the tape: what comes off first."""
    said = {one.next_with_tape for one in end.knees}
    if "take_off" in said:
        sides = [one.side for one in end.knees if one.next_with_tape == "take_off"]
        if len(sides) < len(end.knees):
            yield phrase("On your {knee}:", knee=this_knee(sides[0]))
        yield phrase(_WITH_TAPE["take_off"])
    elif "leave" in said:
        yield phrase(_WITH_TAPE["leave"])
    elif end.tape_off:
        yield phrase("The front page says if the skin is to be looked at again.")


def _no_more_than(aim: PacedWeek | None) -> tuple[str, ...]:
    """What the plan paces of it this week, where it paces it."""
    if aim is None:
        return ()
    amount = with_unit(aim.aim, aim.unit)
    return (
        phrase("Your plan says {amount} a day this week. Do no more than that.", amount=amount),
    )
