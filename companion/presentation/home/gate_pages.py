"""The pages of the gate, of the stop list behind its questions, and of Stop.

Somebody with nothing new takes about 40 seconds over the gate (fact: gate_seconds), read at 150
words a minute (fact: reading_words_a_minute) with 1.5 seconds for each press (fact:
seconds_a_press); a test counts the words and the presses.
"""

from collections.abc import Iterable
from datetime import timedelta

from companion.care import stopping
from companion.care.days import diary_day
from companion.care.records import AfterLast, GateReplySaid, KnownSaid
from companion.presentation.home.card_pages import unsigned
from companion.presentation.home.walk_view import ViewContext, of_both, view_of
from companion.presentation.language import codes
from companion.presentation.language.code_table import CodeTable
from companion.presentation.language.known_words import known_sign
from companion.presentation.language.phrases import long_day, phrase, weekday
from companion.presentation.language.unsigned_words import unsigned_in_few_words
from companion.presentation.language.words import this_knee
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
    make_page,
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
        "put_right": "You put an answer right. Tick what was true then too.",
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
def _(page: stopping.GatePage, setting: ViewContext) -> PageView:
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
        asked = phrase(
            gate.after_last_question,
            your_knee=_your_knee(setting),
            last=_last_routine(page, setting),
        )
        blocks.append(Choose("after_last", asked, _options(codes.AFTER_LAST)))
    for side in page.after_last_of:
        asked = phrase(
            gate.after_last_question,
            your_knee=phrase("Your {knee}", knee=this_knee(side)),
            last=_last_routine(page, setting),
        )
        blocks.append(Choose(f"after_last:{side}", asked, _options(codes.AFTER_LAST)))
    if page.reason is not None:
        blocks += unsigned(setting.catalogue)
    elif few := unsigned_in_few_words(setting.catalogue):
        blocks.append(Text(few, "quiet"))
    every = Button(phrase("Show every sign"), (("show", "all"),), asks=False)
    return PageView(
        key=page.key,
        above=of_both(setting),
        heading=phrase(gate.heading),
        blocks=tuple(blocks),
        main=Button(phrase("Next")),
        others=() if page.reason is not None else (every,),
        main_last=page.reason is not None,
    )


def _your_knee(setting: ViewContext) -> str:
    """Named where there are two: nothing above the gate says which."""
    if len(setting.plan.sides) < 2:
        return phrase("Your knee")
    return phrase("Your {knee}", knee=this_knee(setting.side))


def _last_routine(page: stopping.GatePage, setting: ViewContext) -> str:
    """The routine that is asked about, by its day: within a week its weekday is enough."""
    day = page.last_day
    if day is None:
        return phrase("your last routine")
    if setting.now is not None and diary_day(setting.now) - day < timedelta(days=7):
        return phrase("{day}’s routine", day=weekday(day))
    return phrase("your routine on {day}", day=long_day(day))


def level_lists(signs: Iterable[str], setting: ViewContext) -> tuple[LevelList, ...]:
    """Signs to read, those that cannot wait first."""
    return tuple(
        LevelList(level, words.heading, tuple(phrase(sign.words) for sign in of_level))
        for level, words in codes.LEVELS.items()
        if (of_level := [s for s in map(setting.catalogue.sign, signs) if s.level == level])
    )


@view_of.register
def _(page: stopping.KnownPage, setting: ViewContext) -> PageView:
    return make_page(
        page.key,
        phrase("What you already have"),
        Text(phrase("Your clinician knows of this. How is it since last time?")),
        *(
            Choose(
                sign,
                known_sign(setting.plan, sign, setting.catalogue),
                _options(codes.KNOWN_SAID),
                beside=True,
            )
            for sign in page.signs
        ),
        *unsigned(setting.catalogue),
        above=of_both(setting),
        main=Button(phrase("Next")),
    )


@view_of.register
def _(page: stopping.TopicsPage, setting: ViewContext) -> PageView:
    question = setting.catalogue.short_gate.question(page.question)
    return make_page(
        page.key,
        phrase("What is it about?"),
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
        *unsigned(setting.catalogue),
        above=of_both(setting),
        main=Button(phrase("Next")),
        enter_answers=False,
    )


@view_of.register
def _(page: stopping.StopListPage, setting: ViewContext) -> PageView:
    signs = [setting.catalogue.sign(sign) for sign in page.signs]
    return make_page(
        page.key,
        phrase("Tick what is true now"),
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
        *unsigned(setting.catalogue),
        above=of_both(setting),
        main=Button(phrase("That is all")),
        stop=page.reason != "stop",
        kept="signs",
        enter_answers=False,
        main_last=True,
    )


@view_of.register
def _(page: stopping.SignQuestionsPage, setting: ViewContext) -> PageView:
    sign = setting.catalogue.sign(page.sign)
    return make_page(
        page.key,
        phrase("A few questions about this"),
        Text(phrase(sign.words), "strong"),
        *(
            Choose(question.id, phrase(question.words), _replies(), beside=True)
            for question in sign.questions
        ),
        *unsigned(setting.catalogue, setting.catalogue.policy.sign(sign.id)),
        above=of_both(setting),
        main=Button(phrase("Next")),
        enter_answers=False,
    )


@view_of.register
def _(page: stopping.NoneTickedPage, setting: ViewContext) -> PageView:
    if page.unsure:
        return make_page(
            page.key,
            phrase("None of these needs a call"),
            Text(phrase("You can still be ill.")),
            Text(phrase("Are you worried? Call your clinic or your doctor before you go on.")),
            *unsigned(setting.catalogue),
            above=of_both(setting),
            main=Button(phrase("Go on")),
        )
    first, *rest = setting.catalogue.short_gate.when_none
    return make_page(
        page.key,
        phrase(first),
        *(Text(phrase(sentence)) for sentence in rest),
        *unsigned(setting.catalogue),
        above=of_both(setting),
        main=Button(phrase("Go on")),
    )


@view_of.register
def _(page: stopping.StopPage, setting: ViewContext) -> PageView:
    gate = setting.catalogue.short_gate
    help_at_once = next(s for s in setting.catalogue.stop_list.signs if s.asked_when == "stop")
    card = setting.catalogue.card(help_at_once.card)
    return make_page(
        page.key,
        phrase("You pressed Stop"),
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
        *unsigned(setting.catalogue),
        stop=False,
        enter_answers=False,
    )


@view_of.register
def _(page: stopping.GoOnPage, setting: ViewContext) -> PageView:
    said = setting.catalogue.short_gate.when_none[1:] if page.none else ()
    return make_page(
        page.key,
        phrase("Go on, or end here?"),
        *(Text(phrase(sentence)) for sentence in said),
        Text(phrase("Either is fine. What you did so far is kept.")),
        *(unsigned(setting.catalogue) if said else ()),
        enter_answers=False,
        main=Button(phrase("Go on where I was"), (("go_on", "yes"),)),
        others=(
            Button(phrase("End here for today"), (("go_on", "no"),)),
            Button(phrase("Something else is wrong"), (("go_on", "more"),)),
        ),
        stop=False,
    )
