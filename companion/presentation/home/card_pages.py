"""Cards: what to do and whom to call, what is closed until when, and what became of a sign."""

from collections.abc import Collection, Iterable, Sequence
from datetime import datetime

from companion.care import clearing, stopping
from companion.care.catalogue import Catalogue, Sign
from companion.care.caution_rules import lives_alone
from companion.care.closures import UNTOLD
from companion.care.contacts import in_order
from companion.care.levels import PARTS, level_rank
from companion.care.policy import Closing, SignPolicy
from companion.care.records import Part, Plan
from companion.presentation.home.numbers import phone_lines
from companion.presentation.home.walk_view import Setting, view_of
from companion.presentation.language import codes
from companion.presentation.language.code_table import capital
from companion.presentation.language.phrases import phrase
from companion.presentation.language.words import joined, knee
from companion.presentation.view.page import (
    Block,
    Button,
    Callout,
    CardBlock,
    Choose,
    DefinitionList,
    Number,
    Option,
    PageView,
    PhoneLine,
    Phones,
    Text,
    Tick,
    Write,
)


def card_block(
    sign: Sign, plan: Plan, catalogue: Catalogue, now: datetime | None = None
) -> CardBlock:
    """The fixed card of a sign, with the numbers the clinic typed, whoever answers `now` first."""
    card = catalogue.card(sign.card)
    numbers = in_order(card.contacts, plan.contacts, now)
    lines = [phrase(action) for action in card.actions]
    if numbers and numbers[0].role != card.contacts[0]:
        # The first action names whom to call; at this hour that is somebody else.
        lines[0] = phrase("Call {who} now.", who=phrase(codes.ROLES[numbers[0].role].called))
    if card.by_when is not None:
        lines.append(phrase(card.by_when))
    if card.say is not None:
        lines.append(phrase("Say: “{words}”", words=phrase(card.say)))
    if card.say_also is not None:
        lines.append(phrase(card.say_also))
    phones = phone_lines(numbers) or tuple(
        PhoneLine(capital(codes.ROLES[role].home), "") for role in card.contacts[:1]
    )
    return CardBlock(
        sign.level, phrase(card.heading), tuple(lines), phones, no_answer=_no_answer(phones)
    )


def _no_answer(phones: Sequence[PhoneLine]) -> str:
    """What to do when nobody answers the first number."""
    if not phones:
        return ""
    return phrase("No answer? Then call:") if phones[1:] else phrase("No answer? Call again.")


# ---------------------------------------------------------------- what is closed until when

_SAID_TOGETHER: tuple[tuple[tuple[Part, ...], str], ...] = (
    (("hands",), ""),
    (("tape_on", "outing_tape"), "new tape"),
    (("tape_on",), ""),
    (("seated", "standing"), "your exercises"),
    (("seated",), ""),
    (("standing", "check_move"), "standing exercises with the check move"),
    (("standing",), ""),
    (("check_move",), ""),
    (("outing_tape",), ""),
)
"""Parts that have one word where all of them are meant, before each alone."""
_OFFERED: tuple[Part, ...] = ("hands", "tape_on", "seated", "standing")
"""What is said to be open: what a day of the routine is made of."""


def parts_words(parts: Iterable[Part]) -> str:
    """Parts of the routine in a row: `the hands-on part and tape`."""
    named = set(parts)
    if named >= set(PARTS):
        return phrase("the whole routine and new tape")
    words = []
    for together, word in _SAID_TOGETHER:
        if named.issuperset(together):
            named.difference_update(together)
            words.append(phrase(word) if word else codes.PARTS[together[0]].home)
    return joined(words)


def closed_rows(sign: SignPolicy, opened: Collection[Part] = ()) -> tuple[tuple[str, str], ...]:
    """What a sign closes until when, by its row of the policy, and what stays open.

    `opened` is open again meanwhile.
    """
    rows: list[tuple[str, str]] = []
    closed: set[Part] = set()
    for closing in sign.closes:
        parts = [part for part in closing.parts if part not in opened]
        closed.update(parts)
        if parts:
            rows.append((phrase("Closed"), parts_words(parts)))
            rows.append((phrase("Until"), _until(closing)))
    if not closed:
        return ((phrase("Closed"), phrase("nothing of your routine")),)
    still = [part for part in _OFFERED if part not in closed]
    if still:
        rows.append((phrase("Open"), parts_words(still)))
    return tuple(rows)


def _until(closing: Closing) -> str:
    until = phrase(codes.UNTIL[closing.until].home)
    if closing.asked is not None and "checked_by_professional" in closing.opens:
        until = phrase("{until}, or a doctor or the clinic says go on", until=until)
    return until


def _alone(sign: Sign, setting: Setting) -> tuple[Block, ...]:
    """What whoever lives alone does besides, where help must come or they must be seen today."""
    pressing = level_rank(sign.level) >= level_rank("today")
    if not pressing or setting.helping or not lives_alone(setting.plan):
        return ()
    return (
        Callout(
            phrase("Call now. Unlock your door. Then sit down. Ask who can come tonight."),
            phrase("You live alone"),
        ),
    )


def about_card(sign: Sign, setting: Setting, opened: Collection[Part] = ()) -> tuple[Block, ...]:
    """What stands under a card: what is closed until when, what was ticked, who signed it."""
    return (
        *_alone(sign, setting),
        DefinitionList(closed_rows(setting.catalogue.policy.sign(sign.id), opened)),
        Text(phrase("You ticked: {sign}", sign=phrase(sign.words)), "quiet"),
        *unsigned(setting.catalogue, setting.catalogue.policy.sign(sign.id)),
    )


def unsigned(catalogue: Catalogue, *rows: SignPolicy) -> tuple[Block, ...]:
    """That no licensed clinician signed the wording, while the rule of one of these rows is not
    confirmed by anybody."""
    if all(catalogue.policy.rule(row.rule).confirmed_by for row in rows):
        return ()
    return (Text(phrase("Practice wording: no licensed clinician has signed it yet."), "quiet"),)


@view_of.register
def _(page: stopping.CardPage, setting: Setting) -> PageView:
    sign = setting.catalogue.sign(page.sign)
    return PageView(
        key=page.key,
        heading=phrase("What to do now"),
        blocks=(
            card_block(sign, setting.plan, setting.catalogue, setting.now),
            *about_card(sign, setting),
        ),
        main=Button(phrase("I have read this"), (("card", "read"),)),
        others=(Button(phrase("I ticked this by mistake"), (("card", "mistake"),)),),
        back=False,
        stop=False,
        enter_answers=False,
    )


@view_of.register
def _(page: clearing.MistakePage, setting: Setting) -> PageView:
    sign = setting.catalogue.sign(page.sign)
    another = (Option("another", phrase("No, I meant another one")),) if page.another else ()
    return PageView(
        key=page.key,
        heading=phrase("Read it once more"),
        blocks=(
            Text(phrase(sign.words), "strong"),
            Choose(
                "mistake",
                phrase("Is that true of you now?"),
                (
                    Option("no", phrase("Yes, it is true, or I am not sure")),
                    Option("yes", phrase("No, I ticked it by mistake")),
                    *another,
                ),
            ),
        ),
        main=Button(phrase("Next")),
        stop=False,
        enter_answers=False,
    )


@view_of.register
def _(page: stopping.WhichKneePage, setting: Setting) -> PageView:
    sign = setting.catalogue.sign(page.sign)
    options = tuple(Option(side, knee(side)) for side in setting.plan.sides)
    return PageView(
        key=page.key,
        heading=phrase("Which knee?"),
        blocks=(
            Text(phrase(sign.words), "strong"),
            Choose("knee", phrase("It is:"), (*options, Option("both", phrase("Both knees")))),
        ),
        main=Button(phrase("Next")),
        back=False,
        stop=False,
        enter_answers=False,
    )


# ---------------------------------------------------------------- what became of a sign


@view_of.register
def _(page: clearing.OpenSignPage, setting: Setting) -> PageView:
    asked = setting.catalogue.opening_questions(page.sign, page.asks)
    answers: tuple[Option, ...] = (
        Option("yes", codes.GATE_REPLIES["yes"].answer),
        Option("not_sure", phrase("No, or not sure")),
    )
    if len(asked) > 1:
        answers = tuple(Option(said, row.answer) for said, row in codes.GATE_REPLIES.items())
    return PageView(
        key=page.key,
        heading=phrase("You ticked this before"),
        blocks=(
            _ticked(page.sign, setting),
            *(Choose(question.id, phrase(question.words), answers) for question in asked),
        ),
        main=Button(phrase("Next")),
    )


@view_of.register
def _(page: clearing.TalkedPage, setting: Setting) -> PageView:
    answers = tuple(Option(told, row.answer) for told, row in codes.TOLD.items())
    return PageView(
        key=page.key,
        heading=phrase("You ticked this before"),
        blocks=(
            _ticked(page.sign, setting),
            Choose(
                "told",
                phrase("What did they say of your routine?"),
                (*answers, Option("not_called", phrase("I have not called yet"))),
            ),
        ),
        main=Button(phrase("Next")),
        enter_answers=False,
    )


@view_of.register
def _(page: clearing.ToldPartsPage, setting: Setting) -> PageView:
    return PageView(
        key=page.key,
        heading=phrase("What may you do again?"),
        blocks=(
            Text(phrase("Tick what they allowed. The rest stays closed.")),
            Tick(
                "parts",
                phrase("They allowed:"),
                tuple(Option(part, capital(codes.PARTS[part].home)) for part in page.parts),
            ),
        ),
        main=Button(phrase("Next")),
        enter_answers=False,
    )


_FEW_DAYS = 6


@view_of.register
def _(page: clearing.CheckedPage, setting: Setting) -> PageView:
    words = (phrase("Today"), phrase("Yesterday"))
    when: Block = Choose(
        "days_ago",
        phrase("When?"),
        tuple(
            Option(str(ago), words[ago] if ago < 2 else phrase("{n} days ago", n=ago))
            for ago in range(page.most_days_ago + 1)
        ),
    )
    if page.most_days_ago > _FEW_DAYS:
        when = Number(
            "days_ago",
            phrase("How many days ago? Today is 0."),
            phrase("days ago"),
            0,
            page.most_days_ago,
            needed=True,
        )
    whom = tuple(Option(by, capital(row.home)) for by, row in codes.TOLD_BY.items())
    return PageView(
        key=page.key,
        heading=phrase("Who said so?"),
        blocks=(
            Choose("by", phrase("It was:"), whom),
            when,
            Write("who", phrase("A name, if you know it. It may stay empty."), 60, "one"),
        ),
        main=Button(phrase("Write it down")),
    )


@view_of.register
def _(page: clearing.OpenCardPage, setting: Setting) -> PageView:
    sign = setting.catalogue.sign(page.sign.sign)
    said = Button(phrase("Say what became of it"), (("how", "asked"),))
    mistake = Button(phrase("I ticked this by mistake"), (("how", "mistake"),))
    may_open = page.sign.talk or page.sign.asks is not None
    opened = set(setting.catalogue.policy.sign(sign.id).parts) - set(page.sign.closes)
    return PageView(
        key=page.key,
        heading=phrase("This card is open"),
        blocks=(
            card_block(sign, setting.plan, setting.catalogue, setting.now),
            *about_card(sign, setting, opened),
        ),
        main=said if may_open else None,
        others=(
            mistake,
            Button(phrase("Nothing yet"), (("how", "not_yet"),), asks=False),
        ),
        stop=False,
        enter_answers=False,
    )


def still_open_blocks(end: clearing.ClearEnd, setting: Setting) -> tuple[Block, ...]:
    """What stands after a card that was asked about and stays open."""
    sign = setting.catalogue.sign(end.sign.sign)
    closed = clearing.closed_after(end.sign, end.became)
    still = [part for part in _OFFERED if part not in closed]
    rows = [(phrase("Closed"), parts_words(closed))]
    rows += [(phrase("Open"), parts_words(still))] if still else []
    lines = []
    if end.became.told in UNTOLD:
        lines.append(phrase("You are asked about it each day."))
    elif end.became.told is None:
        lines.append(phrase("Do what the card says."))
    blocks: list[Block] = [*(Text(line) for line in lines), DefinitionList(tuple(rows))]
    if end.became.told == "not_reached":
        card = setting.catalogue.card(sign.card)
        numbers = in_order(card.contacts, setting.plan.contacts, setting.now)
        blocks.append(Phones(phrase("Call again"), phone_lines(numbers)))
    return tuple(blocks)


def _ticked(sign: str, setting: Setting) -> Block:
    return Text(phrase(setting.catalogue.sign(sign).words), "strong")
