"""Cards: what to do and whom to call, what is closed until when, and what became of a sign."""

from collections.abc import Collection, Iterable, Sequence
from dataclasses import replace
from datetime import datetime

from companion.care import clearing, stopping
from companion.care.catalogue import Catalogue, Sign
from companion.care.caution_rules import lives_alone
from companion.care.closures import UNTOLD
from companion.care.contacts import in_order
from companion.care.levels import PARTS, level_rank
from companion.care.policy import CautionPolicy, Closing, SignPolicy
from companion.care.records import ContactRole, Part, Plan
from companion.presentation.home.numbers import WHERE_YOU_ARE, phone_lines
from companion.presentation.home.walk_view import ViewContext, of_both, view_of
from companion.presentation.language import codes
from companion.presentation.language.code_table import capital
from companion.presentation.language.phrases import joined, phrase
from companion.presentation.language.unsigned_words import unsigned_words
from companion.presentation.language.words import knee
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
    make_page,
    next_page,
)


def card_block(
    sign: Sign, plan: Plan, catalogue: Catalogue, now: datetime | None = None
) -> CardBlock:
    """The fixed card of a sign, with the numbers the clinic typed, whoever answers `now` first, and
    that nobody signed it."""
    card = catalogue.card(sign.card)
    known = catalogue.known_by(plan, sign.id)
    goes_on = known is not None and bool(known.stays_open) and bool(card.actions_open)
    numbers = in_order(card.contacts, plan.contacts, now)
    first, *rest = card.actions_open if goes_on else card.actions
    if numbers:
        first = with_whom(first, card.contacts[0], numbers[0].role)
    lines = [phrase(action) for action in (first, *rest)]
    if card.by_when is not None:
        lines.insert(1, phrase(card.by_when))  # whom to call and by when are read in one go
    away = bool(numbers) and numbers[0].label == phrase(WHERE_YOU_ARE)
    if card.say is not None:
        # Nobody is to be looked for at home who is away.
        said = card.say_away if away and card.say_away is not None else card.say
        lines.append(phrase("Say: “{words}”", words=phrase(said)))
    if away:
        lines.append(phrase("You are away from home. Say first where you are."))
    if card.say_also is not None:
        lines.append(phrase(card.say_also))
    phones = phone_lines(numbers) or tuple(
        PhoneLine(capital(codes.ROLES[role].home), "") for role in card.contacts[:1]
    )
    heading = card.heading if not goes_on or card.heading_open is None else card.heading_open
    row = catalogue.policy.sign(sign.id)
    note = unsigned_words(catalogue, row)
    return CardBlock(
        sign.level, phrase(heading), tuple(lines), phones, no_answer=_no_answer(phones), note=note
    )


def with_whom(action: str, role: ContactRole, now: ContactRole) -> str:
    """An English action with whom to call at this hour, where it says to call `role`.

    The words are changed before they are translated, so that each is a whole sentence of a
    catalogue: no other language can keep the name of somebody who does not answer now.
    """
    called = codes.ROLES[role].text("called")
    return action.replace(called, codes.ROLES[now].text("called"))


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


def closed_by_card(
    sign: Sign, plan: Plan, catalogue: Catalogue, opened: Collection[Part] = ()
) -> tuple[tuple[str, str], ...]:
    """What a sign closes until when and what stays open; of a known one that is as before, by what
    the plan says, with its support."""
    row = catalogue.policy.sign(sign.id)
    known = catalogue.known_by(plan, sign.id)
    if known is None:
        return closed_rows(row, opened)
    left = {*opened, *known.stays_open}
    rows = closed_rows(row, left)
    if known.support is None or left.isdisjoint(row.parts):
        return rows
    return (*rows, (phrase("Standing"), codes.SUPPORTS[known.support].home))


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
            words = parts_words(parts)
            if closing.but_at_support:
                words = phrase("{parts}, but not what you do holding on", parts=words)
            rows.append((phrase("Closed"), words))
            rows.append((phrase("Until"), _until(closing)))
    if not closed:
        return ((phrase("Closed"), phrase("nothing of your routine")),)
    still = [part for part in _OFFERED if part not in closed]
    if still:
        rows.append((phrase("Open", context="not closed"), parts_words(still)))
    return tuple(rows)


def _until(closing: Closing) -> str:
    """Until when it closes: what somebody must have said, or what the person may say, and from
    which day on."""
    told = phrase(codes.UNTIL[closing.until].home)
    if closing.person_says is None:
        return told
    gone = phrase(codes.UNTIL[closing.person_says].home)
    if closing.after_days:
        gone = phrase(
            "{gone}, after {n} day",
            "{gone}, after {n} days",
            n=closing.after_days,
            gone=gone,
        )
    if gone != told and closing.until == "told":
        return phrase("{told}, or {gone}", told=told, gone=gone)
    if "checked_by_professional" in closing.opens:
        return phrase("{gone}, or a doctor or the clinic says go on", gone=gone)
    return gone


def _alone(sign: Sign, setting: ViewContext) -> tuple[Block, ...]:
    """What whoever lives alone does besides, where help must come, they must be seen today, or the
    head was knocked (rule r13)."""
    pressing = level_rank(sign.level) >= level_rank("today")
    pressing = pressing or sign.id in setting.catalogue.policy.watch.heads
    if not pressing or setting.helping or not lives_alone(setting.plan):
        return ()
    return (
        Callout(
            phrase("Call now. Unlock your door. Then sit down. Ask who can come tonight."),
            phrase("You live alone"),
        ),
    )


def about_card(
    sign: Sign, setting: ViewContext, opened: Collection[Part] = ()
) -> tuple[Block, ...]:
    """What stands under a card: what is closed until when, what was ticked, who signed it."""
    return (
        *_alone(sign, setting),
        DefinitionList(closed_by_card(sign, setting.plan, setting.catalogue, opened)),
        Text(_why(sign), "quiet"),
    )


def _why(sign: Sign) -> str:
    if sign.asked_when in ("state", "unknown"):
        return phrase("Why: {sign}", sign=phrase(sign.words))
    return phrase("You ticked: {sign}", sign=phrase(sign.words))


def unsigned(catalogue: Catalogue, *rows: SignPolicy | CautionPolicy) -> tuple[Block, ...]:
    """That no licensed clinician signed the wording, see `unsigned_words`."""
    words = unsigned_words(catalogue, *rows)
    return (Text(words, "quiet"),) if words else ()


@view_of.register
def _(page: stopping.CardPage, setting: ViewContext) -> PageView:
    sign = setting.catalogue.sign(page.sign)
    card = card_block(sign, setting.plan, setting.catalogue, setting.now)
    of_knee = page.knee_of(page.sign)
    return PageView(
        key=page.key,
        above=of_both(setting) if of_knee is None else knee(of_knee),
        # The page is called as the card is, so that its number is seen at once in the largest text.
        heading=phrase(card.heading),
        blocks=(replace(card, heading=""), *about_card(sign, setting)),
        main=Button(phrase("I have read this"), (("card", "read"),)),
        others=(Button(phrase("I ticked this by mistake"), (("card", "mistake"),)),),
        back=False,
        stop=False,
        enter_answers=False,
    )


@view_of.register
def _(page: clearing.MistakePage, setting: ViewContext) -> PageView:
    sign = setting.catalogue.sign(page.sign)
    another = (Option("another", phrase("No, I meant another one")),) if page.another else ()
    return make_page(
        page.key,
        phrase("Read it once more"),
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
        *unsigned(setting.catalogue, setting.catalogue.policy.sign(sign.id)),
        above=of_both(setting),
        main=Button(phrase("Next")),
        stop=False,
        enter_answers=False,
    )


@view_of.register
def _(page: stopping.WhichKneePage, setting: ViewContext) -> PageView:
    sign = setting.catalogue.sign(page.sign)
    options = tuple(Option(side, knee(side)) for side in setting.plan.sides)
    return make_page(
        page.key,
        phrase("Which knee?"),
        Text(phrase(sign.words), "strong"),
        Choose("knee", phrase("It is:"), (*options, Option("both", phrase("Both knees")))),
        *unsigned(setting.catalogue, setting.catalogue.policy.sign(sign.id)),
        above=of_both(setting),
        main=Button(phrase("Next")),
        back=False,
        stop=False,
        enter_answers=False,
    )


# ---------------------------------------------------------------- what became of a sign


@view_of.register
def _(page: clearing.OpenSignPage, setting: ViewContext) -> PageView:
    asked = setting.catalogue.opening_questions(page.sign, page.asks)
    answers: tuple[Option, ...] = (
        Option("yes", codes.GATE_REPLIES["yes"].answer),
        Option("not_sure", phrase("No, or not sure")),
    )
    if len(asked) > 1:
        answers = tuple(Option(said, row.answer) for said, row in codes.GATE_REPLIES.items())
    return next_page(
        page.key,
        phrase("You ticked this before"),
        _ticked(page.sign, setting),
        *(Choose(question.id, phrase(question.words), answers) for question in asked),
        *unsigned(setting.catalogue, setting.catalogue.policy.sign(page.sign)),
    )


@view_of.register
def _(page: clearing.TalkedPage, setting: ViewContext) -> PageView:
    answers = tuple(Option(told, row.answer) for told, row in codes.TOLD.items())
    if not page.closes:
        go_on = Option("all", phrase("Go on as it is now"))
        answers = (go_on, *(one for one in answers if one.value not in ("all", "only_these")))
    state = setting.catalogue.sign(page.sign).asked_when == "state"
    return make_page(
        page.key,
        phrase("You were told to call") if state else phrase("You ticked this before"),
        _ticked(page.sign, setting),
        Choose(
            "told",
            phrase("What did they say of your routine?"),
            (*answers, Option("not_called", phrase("I have not called yet"))),
        ),
        *unsigned(setting.catalogue, setting.catalogue.policy.sign(page.sign)),
        main=Button(phrase("Next")),
        enter_answers=False,
    )


@view_of.register
def _(page: clearing.ToldPartsPage, setting: ViewContext) -> PageView:
    return make_page(
        page.key,
        phrase("What may you do again?"),
        Text(phrase("Tick what they allowed. The rest stays closed.")),
        Tick(
            "parts",
            phrase("They allowed:"),
            tuple(Option(part, capital(codes.PARTS[part].home)) for part in page.parts),
        ),
        main=Button(phrase("Next")),
        enter_answers=False,
    )


_FEW_DAYS = 6


@view_of.register
def _(page: clearing.CheckedPage, setting: ViewContext) -> PageView:
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
    return next_page(
        page.key,
        phrase("Who said so?"),
        Choose("by", phrase("It was:"), whom),
        when,
        Write("who", phrase("A name, if you know it. It may stay empty."), 60, "one"),
        main=phrase("Write it down"),
    )


@view_of.register
def _(page: clearing.OpenCardPage, setting: ViewContext) -> PageView:
    sign = setting.catalogue.sign(page.sign.sign, page.sign.level)
    state = sign.asked_when == "state"
    words = phrase("I have called about it") if state else phrase("Tell what happened")
    said = Button(words, (("how", "asked"),))
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
            # What nobody ticked, or nobody can read once more, was no mistake of theirs.
            *(() if sign.asked_when in ("state", "unknown") else (mistake,)),
            Button(phrase("Nothing yet"), (("how", "not_yet"),), asks=False),
        ),
        stop=False,
        enter_answers=False,
    )


def still_open_blocks(end: clearing.ClearEnd, setting: ViewContext) -> tuple[Block, ...]:
    """What stands after a card that was asked about and stays open."""
    sign = setting.catalogue.sign(end.sign.sign, end.sign.level)
    closed = clearing.closed_after(end.sign, end.became)
    still = [part for part in _OFFERED if part not in closed]
    shut = parts_words(closed) if closed else phrase("nothing of your routine")
    rows = [(phrase("Closed"), shut)]
    rows += [(phrase("Open", context="not closed"), parts_words(still))] if still and closed else []
    lines = []
    if sign.asked_when == "state" and end.became.told == "not_reached":
        lines.append(phrase("The front page keeps the card."))
    elif end.became.told in UNTOLD:
        lines.append(phrase("You are asked about it each day."))
    elif end.became.told is None:
        lines.append(phrase("Do what the card says."))
    elif end.became.told == "not_yet":
        lines.append(phrase("Do as they said."))
    blocks: list[Block] = [*(Text(line) for line in lines), DefinitionList(tuple(rows))]
    if end.became.told == "not_reached":
        card = setting.catalogue.card(sign.card)
        numbers = in_order(card.contacts, setting.plan.contacts, setting.now)
        blocks.append(Phones(phrase("Call again"), phone_lines(numbers)))
    return tuple(blocks)


def _ticked(sign: str, setting: ViewContext) -> Block:
    return Text(phrase(setting.catalogue.sign(sign).words), "strong")
