"""Settings and help: how it looks, who sits here, whom to call, what it is for, where it all is."""

from collections.abc import Sequence
from datetime import date

from companion import __version__
from companion.care.catalogue import Catalogue
from companion.care.records import Level, Plan
from companion.exchange.taking_in import Preview
from companion.presentation.home.home_pages import another_knee
from companion.presentation.home.language_pages import language_row, unread_lines
from companion.presentation.home.numbers import phone_lines
from companion.presentation.language import codes
from companion.presentation.language.code_table import CodeTable, WordAndLine, inside
from companion.presentation.language.fact_words import known_words
from companion.presentation.language.phrases import dated, phrase
from companion.presentation.view.page import (
    ActionList,
    Block,
    Bulleted,
    Button,
    Callout,
    Choose,
    DefinitionList,
    Heading,
    LevelList,
    Option,
    PageView,
    Phones,
    Text,
    Write,
    make_page,
    next_page,
)
from companion.services.settings import (
    TEXT_PERCENTS,
    Colours,
    DrawnPerson,
    Language,
    Motion,
    Pressing,
    Settings,
    SkinTone,
    Speaking,
)

_COLOURS: CodeTable[Colours, WordAndLine] = CodeTable(
    Colours,
    {
        "computer": WordAndLine("As my computer is set", "Light, dark or high contrast"),
        "light": WordAndLine("Light colours", "Dark words on warm white"),
        "dark": WordAndLine("Dark colours", "Light words on near black"),
        "high_contrast": WordAndLine("High contrast", "White and yellow on black"),
    },
)


_SKIN_TONES: CodeTable[SkinTone, str] = CodeTable(
    SkinTone,
    {
        "light": "Light skin",
        "medium": "Medium skin",
        "dark": "Dark skin",
        "lines": "Lines alone",
    },
)


_DRAWN_PEOPLE: CodeTable[DrawnPerson, str] = CodeTable(
    DrawnPerson, {"woman": "A woman", "man": "A man"}
)


_PRESSING: CodeTable[Pressing, WordAndLine] = CodeTable(
    Pressing,
    {
        "quick": WordAndLine("A short moment", "Half a second"),
        "steady": WordAndLine("A little longer", "One second"),
        "slow": WordAndLine("Long", "Two seconds"),
    },
)


_MOTIONS: CodeTable[Motion, WordAndLine] = CodeTable(
    Motion,
    {
        "computer": WordAndLine("As my computer is set", "Still where it asks for less motion"),
        "moves": WordAndLine("They may move", "While a step is counted, or when you press"),
        "still": WordAndLine("Always still", "Numbered pictures instead"),
    },
)


def settings_view(
    settings: Settings,
    *,
    has_plan: bool,
    may_go_back: bool = False,
    languages: Sequence[Language] = (),
) -> PageView:
    """The rooms behind Settings and help, each as a choice; `may_go_back`: to the plan before."""
    looks = [
        Option(
            "look",
            phrase("Text and colours"),
            phrase(
                "Text {percent} %, {colours}",
                percent=settings.text_percent,
                colours=inside(_COLOURS[settings.colours].word),
            ),
        ),
        Option("motion", phrase("Moving pictures"), _MOTIONS[settings.moving].word),
    ]
    if languages:
        looks.append(language_row(languages))
    at_it = [
        Option(
            "who",
            phrase("Who sits here"),
            phrase("My helper: steps from the helper’s side")
            if settings.helper_view
            else phrase("The person whose knee it is"),
        ),
        Option("press", phrase("How I press"), _PRESSING[settings.pressing].word),
        Option("way", phrase("How an evening goes"), _way(settings)),
        Option("aloud", phrase("Reading aloud"), _on_off(settings.reading_aloud)),
    ]
    call = [
        Option("numbers", phrase("Numbers to call"), phrase("As your clinic wrote them")),
        Option("signs", phrase("The stop list"), phrase("All warning signs, to read or print")),
    ]
    days = [
        Option("reminders", phrase("Reminders"), _on_off(settings.reminders)),
        Option("calendar", phrase("Calendar file"), phrase("What is due, for your calendar")),
        Option("journey", phrase("Going away"), phrase("The number there, and what to pack")),
    ]
    plan = [
        Option("papers", phrase("Papers and tape"), phrase("The booklet, and more to print")),
        Option("plan", phrase("Open a new plan"), phrase("When your clinic gave you one")),
    ]
    if may_go_back:
        line = phrase("Where the new one is too much")
        plan.append(Option("plan_before", phrase("The plan before, for today"), line))
    computer = [
        Option("practice", phrase("Look round"), phrase("With an invented person")),
        Option(
            "about",
            phrase("What this is for"),
            phrase("And what it is not; version {version}", version=__version__),
        ),
        Option("all_well", phrase("Is all well?"), phrase("The diary, its copies, this computer")),
        Option(
            "data", phrase("Your data"), phrase("Where they are kept, how to copy or remove them")
        ),
    ]
    groups = [
        *([(phrase("Whom to call"), call)] if has_plan else ()),
        (phrase("How it looks"), looks),
        (phrase("Who sits here, and how"), at_it),
        *([(phrase("Your days"), days), (phrase("Your plan"), plan)] if has_plan else ()),
        (phrase("This program and computer"), computer),
    ]
    blocks: list[Block] = []
    for heading, rooms in groups:
        blocks += [Heading(heading), ActionList("room", tuple(rooms))]
    return PageView(key="settings", heading=phrase("Settings and help"), blocks=tuple(blocks))


def _on_off(on: bool) -> str:
    return phrase("On", context="a setting") if on else phrase("Off", context="a setting")


def reminders_view(settings: Settings, *, may_remind_closed: bool) -> PageView:
    """Whether to be reminded, and also while no window is open, where the desktop has a way."""
    closed: tuple[Block, ...] = (
        Text(phrase("With no window open, only your calendar can ring: save its file."), "quiet"),
    )
    if may_remind_closed:
        closed = (
            Choose(
                "when_closed",
                phrase("Also when no window is open? Now: yes.")
                if settings.when_closed
                else phrase("Also when no window is open? Now: no."),
                (
                    Option("on", phrase("Yes"), phrase("Others at this screen can read it too")),
                    Option("off", phrase("No")),
                ),
            ),
        )
    return next_page(
        "reminders",
        phrase("Be reminded"),
        Text(
            phrase("Now: on, with a sound.")
            if settings.reminders and settings.ring
            else _now_on_off(settings.reminders),
            "quiet",
        ),
        Text(phrase("While this window is open, it can tell you when tape or skin is due.")),
        Text(phrase("From 19:00 it tells you what is still open today.")),
        Text(phrase("It comes again after 15 minutes, and at half past nine in the evening.")),
        Choose(
            "reminders",
            phrase("From now on:"),
            (
                Option("ring", phrase("On, with a sound")),
                *_on_off_options(),
            ),
        ),
        *closed,
        main=phrase("Use this"),
    )


def aloud_view(settings: Settings, *, has_voice: bool) -> PageView:
    """Whether each page has a button that reads it aloud; where there is no voice, why not."""
    if not has_voice:
        return make_page(
            "aloud",
            phrase("Reading aloud"),
            Text(phrase("This computer has no voice installed."), "strong"),
            Text(phrase("Ask somebody to install one. Then the pages can be read to you.")),
            main=Button(phrase("To the front page"), (("aloud", False),)),
        )
    return next_page(
        "aloud",
        phrase("Reading aloud"),
        Text(_now_on_off(settings.reading_aloud), "quiet"),
        Text(phrase("Speed: {pace}.", pace=inside(_paces()[settings.speaking])), "quiet"),
        Text(phrase("Each page gets a button that reads it to you.")),
        Text(phrase("A step that keeps both hands busy is read by itself.")),
        Choose("aloud", phrase("From now on:"), _on_off_options()),
        Choose(
            "speaking",
            phrase("How fast?"),
            tuple(Option(pace, word) for pace, word in _paces().items()),
            needed=False,
        ),
        main=phrase("Use this"),
    )


def _paces() -> dict[Speaking, str]:
    return {"slow": phrase("Slowly"), "usual": phrase("As usual"), "quick": phrase("Quickly")}


def _now_on_off(on: bool) -> str:
    return phrase("Now: on.") if on else phrase("Now: off.")


def _on_off_options() -> tuple[Option, ...]:
    return (
        Option("on", _on_off(True)),
        Option("off", _on_off(False)),
    )


def calendar_view() -> PageView:
    """What the calendar file holds, and how it is opened."""
    return next_page(
        "calendar",
        phrase("Calendar file"),
        Text(phrase("It holds your routine days, when tape is due off, and your next visit.")),
        Text(phrase("It rings at the hour, also when this program is closed.")),
        Text(
            phrase("Open the saved file with your calendar. It then asks whether to add the days.")
        ),
        Text(phrase("When your plan or your tape changes, save it again.")),
        Callout(phrase("Others who see your calendar can read these days too.")),
        main=phrase("Save the calendar file"),
    )


def look_view(settings: Settings) -> PageView:
    """Size of text and colours. What holds now is said in words; nothing is preselected."""
    return next_page(
        "look",
        phrase("Text and colours"),
        Text(
            phrase(
                "Now: text {percent} %, {colours}.",
                percent=settings.text_percent,
                colours=inside(_COLOURS[settings.colours].word),
            ),
            "quiet",
        ),
        Choose(
            "text_percent",
            phrase("How large is the text?"),
            tuple(Option(p, phrase("{percent} %", percent=p)) for p in TEXT_PERCENTS),
            needed=False,
        ),
        Choose(
            "colours",
            phrase("Which colours?"),
            tuple(Option(code, words.word, words.line) for code, words in _COLOURS.items()),
            needed=False,
        ),
        Choose(
            "skin_tone",
            phrase("Which skin in the pictures?"),
            tuple(Option(code, word) for code, word in _SKIN_TONES.items()),
            needed=False,
        ),
        Choose(
            "drawn_person",
            phrase("Who is in the pictures?"),
            tuple(Option(code, word) for code, word in _DRAWN_PEOPLE.items()),
            needed=False,
        ),
        Choose(
            "single_keys",
            phrase("May one key answer from anywhere on a page?"),
            (
                Option(True, phrase("Yes"), phrase("Figures choose, letters lead on")),
                Option(
                    False,
                    phrase("No, only where I am"),
                    phrase("For whoever dictates, or brushes keys"),
                ),
            ),
            needed=False,
        ),
        main=phrase("Use these"),
    )


def motion_view(settings: Settings) -> PageView:
    """Whether pictures move."""
    return next_page(
        "motion",
        phrase("Moving pictures"),
        Text(phrase("Now: {now}.", now=inside(_MOTIONS[settings.moving].word)), "quiet"),
        Choose(
            "motion",
            phrase("May pictures of a step move?"),
            tuple(Option(code, words.word, words.line) for code, words in _MOTIONS.items()),
        ),
        main=phrase("Use this"),
    )


def press_view(settings: Settings) -> PageView:
    """How long a page and a button rest before the next press counts."""
    return next_page(
        "press",
        phrase("How I press"),
        Text(phrase("Now: {now}.", now=inside(_PRESSING[settings.pressing].word)), "quiet"),
        Text(
            phrase(
                "A shaking hand may press twice, or hold a key down. A new page waits a moment "
                "before it takes a press. The same button waits as long."
            )
        ),
        Choose(
            "pressing",
            phrase("How long should it wait?"),
            tuple(Option(code, words.word, words.line) for code, words in _PRESSING.items()),
        ),
        Text(phrase("Stop never waits.")),
        main=phrase("Use this"),
    )


def _way(settings: Settings) -> str:
    return phrase("Page by page") if settings.long_way else phrase("Shorter, once you know it")


def way_view(settings: Settings) -> PageView:
    """Whether an evening gets shorter once its steps are known."""
    return next_page(
        "way",
        phrase("How an evening goes"),
        Text(phrase("Now: {now}.", now=inside(_way(settings))), "quiet"),
        Text(phrase("Steps you have done five times come together on one page.")),
        Text(phrase("The questions about warning signs stay as they are.")),
        Choose(
            "way",
            phrase("From now on:"),
            (
                Option("short", phrase("Shorter, once you know it")),
                Option("long", phrase("Page by page, every time")),
            ),
        ),
        main=phrase("Use this"),
    )


def who_view(settings: Settings) -> PageView:
    """From whose side the steps are told, and as whose entries they are written."""
    now = (
        phrase("Now: the helper sits here.")
        if settings.helper_view
        else phrase("Now: the person whose knee it is.")
    )
    return next_page(
        "who",
        phrase("Who sits here?"),
        Text(now, "quiet"),
        Text(phrase("Steps are told from that side. Entries say who wrote them.")),
        Choose(
            "who",
            phrase("From now on:"),
            (
                Option("person", phrase("I do, it is my knee")),
                Option("helper", phrase("My helper does")),
            ),
        ),
        main=phrase("Use this"),
    )


def numbers_view(plan: Plan) -> PageView:
    """Whom to call."""
    blocks: list[Block] = []
    blocks += phones(plan)
    if not plan.contacts:
        blocks.append(Text(phrase("Your plan holds no numbers. Ask your clinic for them.")))
    blocks.append(Text(phrase("In an emergency, call the emergency number first.")))
    return _read("numbers", phrase("Numbers to call"), blocks)


def help_view(plan: Plan) -> PageView:
    """Help, over whatever page is open: whom to call, and how the pages work."""
    return make_page(
        "help",
        phrase("Help"),
        *phones(plan),
        Text(phrase("In an emergency, call the emergency number first.")),
        Heading(phrase("How the pages work")),
        Bulleted(
            (
                phrase("Each page asks one thing. Nothing goes on by itself."),
                phrase("Back shows the page before, with your answer. Stop is at the right."),
                phrase("Leave for now keeps all you answered. Go on from the front page."),
                phrase("Keys: Tab moves, Space chooses, Enter goes on, T is ten."),
            )
        ),
        main=Button(phrase("Back to the page")),
        stop=False,
    )


def phones(plan: Plan) -> tuple[Block, ...]:
    """The numbers of the plan, where it has any."""
    lines = phone_lines(plan.contacts)
    return (Phones(phrase("Whom to call"), lines),) if lines else ()


def signs_in_words(catalogue: Catalogue, level: Level) -> tuple[str, ...]:
    """Every sign of a level that can be ticked, told where no question can be asked."""
    return tuple(
        phrase(sign.told or sign.words)
        for sign in catalogue.stop_list.signs
        if sign.level == level and sign.asked_when not in ("stop", "state")
    )


def signs_view(plan: Plan, catalogue: Catalogue) -> PageView:
    """The whole stop list by level, for reading and printing."""
    blocks: list[Block] = [*phones(plan)]
    blocks.append(
        Text(phrase("Not sure? Then it counts. Under “call now” and “be seen today”, act on it."))
    )
    for level, words in codes.LEVELS.items():
        signs = signs_in_words(catalogue, level)
        if signs:
            blocks.append(LevelList(level, words.heading, signs))
    blocks.append(Text(phrase(catalogue.stop_list.status_note), "quiet"))
    return next_page("signs", phrase("The stop list"), *blocks, main=phrase("Save it to print"))


def about_view(catalogue: Catalogue, plan: Plan | None) -> PageView:
    """What the program is for, and what it is not; what is known about the parts of a plan."""
    blocks: list[Block] = list(unread_lines())
    for section in catalogue.intended_use.sections:
        blocks.append(Heading(phrase(section.heading)))
        blocks += [Text(phrase(sentence)) for sentence in section.sentences]
    if plan is not None:
        blocks += known_blocks(catalogue, plan)
    blocks.append(Text(_version()))
    return _read("about", phrase("What this is for"), blocks)


def _version() -> str:
    return phrase("This is version {version} of the program.", version=__version__)


def known_blocks(catalogue: Catalogue, plan: Plan) -> list[Block]:
    """What is known about what a plan holds. What comes first in any care comes first."""
    known = catalogue.known
    told = [(phrase("What comes first for a knee"), known.core)]
    if plan.techniques:
        told.append((phrase("What is known about hands"), known.hands))
    if plan.tape.highest:
        told.append((phrase("What is known about tape"), known.tape))
    blocks: list[Block] = []
    for heading, about in told:
        blocks += [Heading(heading), *(Text(phrase(sentence)) for sentence in about.home)]
    return blocks


def clinic_about_view(catalogue: Catalogue) -> PageView:
    """What the program is for, in the clinic's terms, and what is known about hands and tape."""
    known = catalogue.known
    blocks: list[Block] = [
        *unread_lines(),
        *(Text(phrase(sentence)) for sentence in catalogue.intended_use.for_the_clinic),
        Text(_version()),
    ]
    blocks.append(
        ActionList(
            "do",
            (
                Option(
                    "wording",
                    phrase("Save the wording to sign"),
                    phrase("One page for a licensed clinician, and all of it as its annex"),
                ),
            ),
        )
    )
    for heading, about in (
        (phrase("The core of care"), known.core),
        (phrase("What is known about hands"), known.hands),
        (phrase("What is known about tape"), known.tape),
    ):
        blocks += [Heading(heading), Bulleted(known_words(about, catalogue.facts))]
    return PageView(
        key="clinic_about",
        heading=phrase("What this is for"),
        blocks=tuple(blocks),
        main=Button(phrase("To the list of people")),
        stop=False,
    )


def data_view(folder: str, *, entries: int, has_plan: bool) -> PageView:
    """Where the data are, and what can be done with them."""
    return make_page(
        "data",
        phrase("Your data"),
        DefinitionList(
            (
                (phrase("Where"), folder),
                (phrase("Written down"), phrase("{n} entry", "{n} entries", n=entries)),
            )
        ),
        Text(phrase("Nothing is sent anywhere. Only files you save leave this computer.")),
        ActionList(
            "do",
            (
                Option("copy", phrase("Save a copy"), phrase("The whole diary as one file")),
                *(
                    (
                        Option(
                            "second",
                            phrase("A copy in a second place"),
                            phrase("On a stick, each week by itself"),
                        ),
                        Option(
                            "move",
                            phrase("Move to another computer"),
                            phrase("Everything onto a stick"),
                        ),
                    )
                    if has_plan
                    else ()
                ),
                Option("merge", phrase("Take in a diary"), phrase("From another computer")),
                Option("delete", phrase("Take everything away"), phrase("Off this computer")),
            ),
        ),
    )


def delete_view(person: str, entries: int, last_day: date | None) -> PageView:
    """A named confirmation before everything is taken away, with what that is."""
    held = phrase("{n} thing written down", "{n} things written down", n=entries)
    if last_day is not None:
        held = phrase("{held}, the last for {day}", held=held, day=dated(last_day))
    return make_page(
        "delete",
        phrase("Take everything away?"),
        Text(phrase("The plan, the diary and its copies leave this computer for good."), "strong"),
        DefinitionList(((phrase("Diary of"), person), (phrase("It holds"), held))),
        Text(phrase("Save a copy first if you or your clinic may want it.")),
        Text(phrase("What other programs keep in the same folder stays.")),
        Write(
            "code",
            phrase("To go on, write the code of the diary: {code}", code=person),
            40,
            "one",
        ),
        main=Button(phrase("Keep everything"), (("do", "keep"),)),
        others=(Button(phrase("Take everything away"), (("do", "delete"),)),),
        stop=False,
        enter_answers=False,
    )


def taken_away_view(stayed: Sequence[str]) -> PageView:
    """After everything was taken away: what is left in the folder, by name."""
    blocks: tuple[Block, ...] = (
        Text(phrase("The plan, the diary and its copies are off this computer."), "strong"),
    )
    if stayed:
        blocks += (
            Text(phrase("This is still in the folder. It is not part of the diary, or is in use:")),
            Bulleted(tuple(stayed)),
        )
    return PageView(
        key="taken_away",
        heading=phrase("Everything is taken away"),
        blocks=blocks,
        main=Button(phrase("Close")),
        back=False,
        stop=False,
    )


def merge_view(found: Preview, *, left_out: int = 0) -> PageView:
    """What another computer's diary would add; `left_out` entries of it do not fit the rest."""
    told = [
        (phrase("New entries"), len(found.new)),
        (phrase("Of them, later changes"), found.corrections),
        (phrase("Here already"), found.known),
        (phrase("New versions of your plan"), len(found.new_plans)),
    ]
    if found.conflicts:
        told.append((phrase("Told differently here: you will be asked"), len(found.conflicts)))
    if left_out:
        told.append((phrase("Left out, they do not fit the rest"), left_out))
    return make_page(
        "merge",
        phrase("Take this diary in?"),
        Text(phrase("This is what the file would add to this computer.")),
        DefinitionList(tuple((name, str(n)) for name, n in told)),
        Callout(phrase("Nothing that is here now is lost.")),
        *(another_knee(*found.side_changes) if found.side_changes else ()),
        main=Button(phrase("Take it in"), (("take", True),)),
        others=(Button(phrase("Leave it"), (("take", False),), asks=False),),
        stop=False,
    )


def _read(key: str, heading: str, blocks: list[Block]) -> PageView:
    return next_page(key, heading, *blocks, main=phrase("To the front page"))
