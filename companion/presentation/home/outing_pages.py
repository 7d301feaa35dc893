"""The pages of going out, of how it was, and of the morning after."""

from companion.care import outing_questions as walk
from companion.care.records import Amount
from companion.presentation.home.card_pages import about_card, card_block
from companion.presentation.home.walk_view import Setting, next_page, view_of
from companion.presentation.language import codes
from companion.presentation.language.code_table import CodeTable
from companion.presentation.language.pacing_words import aim_words, reason_words
from companion.presentation.language.phrases import phrase
from companion.presentation.language.words import pain_ends, this_knee, yes_or_no
from companion.presentation.view.page import (
    Block,
    Button,
    Callout,
    Choose,
    DefinitionList,
    Number,
    Option,
    PageView,
    Scale,
    Text,
    Write,
)

OWN_WORDS_ASKED = "Write a few words here, or choose from the list."


def how_much(amount: Amount | None) -> str | None:
    """An amount with its unit: `20 min`. None when there is none."""
    return None if amount is None else f"{amount.amount:g} {amount.unit}"


# ---------------------------------------------------------------- before


@view_of.register
def _(page: walk.CardFirstPage, setting: Setting) -> PageView:
    sign = setting.catalogue.sign(page.sign)
    return PageView(
        key=page.key,
        heading=phrase("This card is still open"),
        blocks=(
            card_block(sign, setting.plan, setting.catalogue, setting.now),
            *about_card(sign, setting),
            Text(phrase("You ticked: {sign}", sign=phrase(sign.words)), "quiet"),
            Text(phrase("There is no tape until this card is cleared.")),
        ),
        main=Button(phrase("I have read this")),
        stop=False,
        enter_answers=False,
    )


@view_of.register
def _(page: walk.TapeByTrialPage, setting: Setting) -> PageView:
    return next_page(
        page.key,
        phrase("Tape goes by your trial now"),
        Text(phrase("While the tape trial runs, no tape goes on just to go out.")),
        Text(phrase("You can go out all the same. Tape that is on may stay until it is due off.")),
        Text(phrase("Say on the next pages what you go out for."), "quiet"),
    )


@view_of.register
def _(page: walk.WhatForPage, setting: Setting) -> PageView:
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
def _(page: walk.AmountMeantPage, setting: Setting) -> PageView:
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
                (phrase("Usual before your plan"), f"{planned.baseline:g} {planned.unit}"),
                (phrase("Goal in your plan"), f"{planned.goal:g} {planned.unit}"),
            )
        ),
        Number(
            "amount", phrase("How much? You may leave it out."), planned.unit, 0, 100000, decimals=1
        ),
    )


@view_of.register
def _(page: walk.TapeForOutingPage, setting: Setting) -> PageView:
    minutes = setting.catalogue.tape_steps.warm_up_minutes
    return PageView(
        key=page.key,
        heading=phrase("Do you want tape for this?"),
        blocks=(
            DefinitionList(_plan_rows(page.what_for, page.amount)),
            Text(phrase("Your plan allows tape before you go out.")),
            Text(
                phrase(
                    "Put it on {n} minute before you walk far or go in water.",
                    "Put it on {n} minutes before you walk far or go in water.",
                    n=minutes,
                ),
                "strong",
            ),
            Text(phrase("Is something wrong? Press Back and change it."), "quiet"),
        ),
        main=Button(phrase("Yes, put tape on"), (("tape", "yes"),)),
        others=(Button(phrase("No tape this time"), (("tape", "no"),)),),
    )


def _plan_rows(what_for: str, amount: Amount | None) -> tuple[tuple[str, str], ...]:
    rows = [(phrase("For"), what_for)]
    meant = how_much(amount)
    if meant is not None:
        rows.append((phrase("How much"), meant))
    return tuple(rows)


_TAPE: CodeTable[walk.OutingTape, str] = CodeTable(
    walk.OutingTape,
    {
        "put_on": "put on for this",
        "was_on": "on already",
        "none": "none",
    },
)


@view_of.register
def _(page: walk.OutingLookOverPage, setting: Setting) -> PageView:
    rows = (*_plan_rows(page.what_for, page.amount), (phrase("Tape"), _TAPE[page.tape]))
    return PageView(
        key=page.key,
        heading=phrase("Look it over"),
        blocks=(
            DefinitionList(rows),
            Text(phrase("Is something wrong? Press Back and change it.")),
        ),
        main=Button(phrase("I am going, write it down"), (("going", "yes"),)),
        others=(Button(phrase("I am not going"), (("going", "no"),)),),
    )


# ---------------------------------------------------------------- after


@view_of.register
def _(page: walk.WhyEndedPage, setting: Setting) -> PageView:
    return next_page(
        page.key,
        phrase("How was it?"),
        Text(page.what_for, "strong"),
        Choose(
            "because",
            phrase("Why did it end?"),
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
def _(page: walk.AmountDonePage, setting: Setting) -> PageView:
    blocks: list[Block] = [Text(page.label, "strong")]
    meant = how_much(page.meant)
    if meant is not None:
        blocks.append(Text(phrase("You meant to do {amount}.", amount=meant)))
    blocks.append(
        Number(
            "amount",
            phrase("How much was it? You may leave it out."),
            page.unit,
            0,
            100000,
            decimals=1,
        )
    )
    return next_page(page.key, phrase("How much did you do?"), *blocks)


@view_of.register
def _(page: walk.OutingPainPage, setting: Setting) -> PageView:
    low, high = pain_ends()
    return next_page(
        page.key,
        phrase("The worst pain"),
        Text(page.what_for, "strong"),
        Scale(
            "score",
            phrase(
                "How bad was the worst pain in your {knee} while you were out?",
                knee=this_knee(setting.side),
            ),
            low,
            high,
            cannot_say=phrase("I can’t say"),
        ),
    )


@view_of.register
def _(page: walk.TapeStillOnPage, setting: Setting) -> PageView:
    return next_page(
        page.key,
        phrase("Your tape"),
        Choose(
            "tape",
            phrase("Is the tape still on your {knee}?", knee=this_knee(setting.side)),
            (Option("on", phrase("Yes, it is on")), Option("off", phrase("No, it is off"))),
        ),
    )


@view_of.register
def _(page: walk.OutingAfterLookOverPage, setting: Setting) -> PageView:
    blocks: list[Block] = [DefinitionList(outing_facts(page.end))]
    next_lines = outing_next(page.end)
    if next_lines:
        blocks.append(Callout(" ".join(next_lines), phrase("Then")))
    blocks.append(Text(phrase("Is something wrong? Press Back and change it.")))
    return next_page(page.key, phrase("Look it over"), *blocks, main="Write it down")


# ---------------------------------------------------------------- the morning after


@view_of.register
def _(page: walk.MorningAfterPage, setting: Setting) -> PageView:
    return next_page(
        page.key,
        phrase("The morning after"),
        Text(phrase("Yesterday: {what_for}", what_for=page.what_for)),
        Choose(
            "next_morning",
            phrase("How was your {knee} this morning?", knee=this_knee(setting.side)),
            (
                *(Option(code, words.answer) for code, words in codes.MORNINGS.items()),
                Option("", phrase("I can’t say")),
            ),
        ),
    )


# ---------------------------------------------------------------- the end in words


OutingEnding = walk.OutingEnd | walk.OutingAfterEnd | walk.OutingMorningEnd


def outing_written(end: OutingEnding) -> bool:
    """Whether anything of the outing itself was written down."""
    match end:
        case walk.OutingEnd():
            return end.going
        case walk.OutingAfterEnd():
            return not end.empty
        case _:
            return end.next_morning is not None


def outing_facts(end: OutingEnding) -> tuple[tuple[str, str], ...]:
    """What was written down, as names and values; empty when nothing was."""
    if not outing_written(end) or end.what_for is None:
        return ()
    rows = [(phrase("For"), end.what_for)]
    match end:
        case walk.OutingEnd():
            meant = how_much(end.amount)
            if meant is not None:
                rows.append((phrase("How much"), meant))
            rows.append((phrase("Tape"), phrase(_TAPE[end.tape])))
        case walk.OutingAfterEnd(gone=False):
            rows.append((phrase("Did you go"), yes_or_no(False)))
        case walk.OutingAfterEnd():
            done = how_much(end.amount)
            if done is not None:
                rows.append((phrase("How much"), done))
            if end.because is not None:
                rows.append((phrase("Why it ended"), codes.OUTING_ENDED[end.because].answer))
            if end.pain_worst is not None:
                rows.append((phrase("Worst pain"), str(end.pain_worst)))
        case walk.OutingMorningEnd(next_morning=morning) if morning is not None:
            rows.append((phrase("The morning after"), codes.MORNINGS[morning].answer))
        case _:
            pass
    return tuple(rows)


_WITH_TAPE: CodeTable[walk.NextWithTape, str] = CodeTable(
    walk.NextWithTape,
    {
        "take_off": "Take the tape off now. Open Tape on the front page, it shows the steps.",
        "write_off": "Open Tape on the front page. Write down there when it came off.",
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
        case walk.OutingAfterEnd(next_with_tape=tape) if tape is not None:
            return (_WITH_TAPE[tape],)
        case walk.OutingMorningEnd() if any(not sign.mistake for sign in end.signs):
            return (phrase("Do what the card says. The front page keeps it."),)
        case _:
            return ()
