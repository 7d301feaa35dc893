"""The pages of the gate, of the stop list behind its questions, and of Stop.

Somebody with nothing new takes about 40 seconds over the gate (fact: gate_seconds), read at 150
words a minute (fact: reading_words_a_minute) with 1.5 seconds for each press (fact:
seconds_a_press); a test counts the words and the presses.
"""

from collections.abc import Iterable

from companion.care import stopping
from companion.care.records import AfterLast, GateReplySaid, KnownSaid
from companion.presentation.home.card_pages import unsigned
from companion.presentation.home.walk_view import Setting, view_of
from companion.presentation.language import codes
from companion.presentation.language.code_table import CodeTable
from companion.presentation.language.phrases import phrase
from companion.presentation.view.page import (
    ActionList,
    Block,
    Button,
    Choose,
    Heading,
    LevelList,
    LevelTick,
    Option,
    PageView,
    Text,
    Tick,
)

_OPEN_REASONS: CodeTable[stopping.OpenReason, str] = CodeTable(
    stopping.OpenReason,
    {
        "first_use": "This is your first time here, so read every sign once.",
        "weekly": "Once a week, read every sign.",
        "away": "You were away for a while, so read every sign.",
        "card": "Last time there was a card, so read every sign.",
        "new_plan_version": "Your plan is new, so read every sign.",
        "wanted": "These are all the signs.",
    },
)
_LIST_REASONS: CodeTable[stopping.ListReason, str] = CodeTable(
    stopping.ListReason,
    {
        "gate": "You said there is something new, or you are not sure.",
        "new_place": "The back of the knee is a new place. So look through these.",
        "stop": "You pressed Stop. Is it one of these?",
    },
)


def _replies() -> tuple[Option, ...]:
    return _options(codes.GATE_REPLIES)


def _options(
    table: CodeTable[GateReplySaid, codes.Answered]
    | CodeTable[KnownSaid, codes.Answered]
    | CodeTable[AfterLast, codes.Answered],
) -> tuple[Option, ...]:
    return tuple(Option(code, row.answer) for code, row in table.items())


@view_of.register
def _(page: stopping.GatePage, setting: Setting) -> PageView:
    gate = setting.catalogue.short_gate
    blocks: list[Block] = []
    if page.reason is not None:
        blocks.append(Text(_OPEN_REASONS[page.reason]))
    for number in page.questions:
        question = gate.question(number)
        words = phrase(question.words)
        if page.reason is not None:
            blocks.append(Heading(words))
            rows = [s for s in page.signs if setting.catalogue.sign(s).question == number]
            blocks += level_lists(rows, setting)
            words = phrase("Is one of these true now, or new?")
        blocks.append(Choose(f"q{number}", words, _replies(), beside=True))
    if page.after_last:
        blocks.append(
            Choose("after_last", phrase(gate.after_last_question), _options(codes.AFTER_LAST))
        )
    every = Button(phrase("Show me every sign"), (("show", "all"),), asks=False)
    return PageView(
        key=page.key,
        heading=phrase(gate.heading),
        blocks=tuple(blocks),
        main=Button(phrase("Next")),
        others=() if page.reason is not None else (every,),
        main_last=page.reason is not None,
    )


def level_lists(signs: Iterable[str], setting: Setting) -> tuple[LevelList, ...]:
    """Signs to read, those that cannot wait first."""
    return tuple(
        LevelList(level, words.heading, tuple(phrase(sign.words) for sign in of_level))
        for level, words in codes.LEVELS.items()
        if (of_level := [s for s in map(setting.catalogue.sign, signs) if s.level == level])
    )


@view_of.register
def _(page: stopping.KnownPage, setting: Setting) -> PageView:
    signs = map(setting.catalogue.sign, page.signs)
    return PageView(
        key=page.key,
        heading=phrase("What you already have"),
        blocks=(
            Text(phrase("Your clinician knows of this. How is it since last time?")),
            *(
                Choose(
                    sign.id,
                    phrase(sign.known_words or sign.words),
                    _options(codes.KNOWN_SAID),
                    beside=True,
                )
                for sign in signs
            ),
        ),
        main=Button(phrase("Next")),
    )


@view_of.register
def _(page: stopping.TopicsPage, setting: Setting) -> PageView:
    question = setting.catalogue.short_gate.question(page.question)
    return PageView(
        key=page.key,
        heading=phrase("What is it about?"),
        blocks=(
            Text(phrase("Not sure? Tick none of these. Then you see every sign.")),
            Tick(
                "topics",
                phrase(setting.catalogue.short_gate.topics_question),
                tuple(
                    Option(topic.id, phrase(topic.words))
                    for topic in question.topics
                    if topic.id in page.topics
                ),
            ),
        ),
        main=Button(phrase("Next")),
        enter_answers=False,
    )


@view_of.register
def _(page: stopping.StopListPage, setting: Setting) -> PageView:
    signs = [setting.catalogue.sign(sign) for sign in page.signs]
    return PageView(
        key=page.key,
        heading=phrase("Tick what is true now"),
        blocks=(
            Text(_LIST_REASONS[page.reason]),
            Text(phrase("Not sure of one? Tick it."), "quiet"),
            *(
                LevelTick(
                    "signs",
                    level,
                    words.heading,
                    tuple(Option(sign.id, phrase(sign.words)) for sign in of_level),
                )
                for level, words in codes.LEVELS.items()
                if (of_level := [sign for sign in signs if sign.level == level])
            ),
            Choose(
                "rest",
                phrase("If you ticked none of these:"),
                (
                    Option("none", phrase("None of these is true, and nothing is new")),
                    Option("not_sure", phrase("Something is new, or I am not sure")),
                ),
                unless="signs",
            ),
        ),
        main=Button(phrase("That is all")),
        stop=page.reason != "stop",
        kept="signs",
        enter_answers=False,
        main_last=True,
    )


@view_of.register
def _(page: stopping.SignQuestionsPage, setting: Setting) -> PageView:
    sign = setting.catalogue.sign(page.sign)
    return PageView(
        key=page.key,
        heading=phrase("A few questions about this"),
        blocks=(
            Text(phrase(sign.words), "strong"),
            *(
                Choose(question.id, phrase(question.words), _replies(), beside=True)
                for question in sign.questions
            ),
        ),
        main=Button(phrase("Next")),
        enter_answers=False,
    )


@view_of.register
def _(page: stopping.NoneTickedPage, setting: Setting) -> PageView:
    if page.unsure:
        return PageView(
            key=page.key,
            heading=phrase("No card goes with these answers"),
            blocks=(
                Text(phrase("That does not mean that nothing is wrong.")),
                Text(phrase("Are you worried? Call your clinic or your doctor before you go on.")),
            ),
            main=Button(phrase("Go on")),
        )
    first, *rest = setting.catalogue.short_gate.when_none
    return PageView(
        key=page.key,
        heading=phrase(first),
        blocks=tuple(Text(phrase(sentence)) for sentence in rest),
        main=Button(phrase("Go on")),
    )


@view_of.register
def _(page: stopping.StopPage, setting: Setting) -> PageView:
    gate = setting.catalogue.short_gate
    help_at_once = next(s for s in setting.catalogue.stop_list.signs if s.asked_when == "stop")
    card = setting.catalogue.card(help_at_once.card)
    return PageView(
        key=page.key,
        heading=phrase("You pressed Stop"),
        blocks=(
            ActionList(
                "about",
                (Option("help", phrase(card.heading), phrase(help_at_once.words)),),
                urgent=True,
            ),
            Heading(phrase("Or what is it about?")),
            ActionList(
                "about",
                (
                    *(
                        Option(str(number), phrase(gate.question(number).words))
                        for number in page.questions
                    ),
                    Option("not_sure", phrase("I am not sure")),
                    Option("none", phrase("None of these")),
                ),
            ),
            *unsigned(setting.catalogue, *setting.catalogue.policy.signs),
        ),
        stop=False,
        enter_answers=False,
    )


@view_of.register
def _(page: stopping.GoOnPage, setting: Setting) -> PageView:
    said = setting.catalogue.short_gate.when_none[1:] if page.none else ()
    return PageView(
        key=page.key,
        heading=phrase("Go on, or end here?"),
        blocks=(
            *(Text(phrase(sentence)) for sentence in said),
            Text(phrase("Either is fine. What you did so far is kept.")),
        ),
        main=Button(phrase("Go on where I was"), (("go_on", "yes"),)),
        others=(
            Button(phrase("End here for today"), (("go_on", "no"),)),
            Button(phrase("Something else is wrong"), (("go_on", "more"),)),
        ),
        stop=False,
    )
