"""The pages of the day page, from the walk's pages to what is shown."""

from dataclasses import fields, replace

from companion.care import day_questions as walk
from companion.care.records import Measure
from companion.presentation.home.card_pages import unsigned
from companion.presentation.home.looking_over import look_over_view
from companion.presentation.home.routine_pages import skin_options
from companion.presentation.home.walk_view import ViewContext, pain_scale, view_of
from companion.presentation.language import codes
from companion.presentation.language.code_table import capital, home_words, inside
from companion.presentation.language.figures_in_words import amount_of
from companion.presentation.language.pacing_words import aim_words, reason_words
from companion.presentation.language.phrases import joined, phrase
from companion.presentation.language.words import (
    answer_words,
    knee,
    this_knee,
    yes_or_no,
)
from companion.presentation.view.page import (
    Block,
    Button,
    Choose,
    Folded,
    LookOverLine,
    Number,
    Option,
    PageView,
    Scale,
    Text,
    Write,
    next_page,
)

CANNOT_SAY = "I can’t say"


@view_of.register
def _(page: walk.PainPage, setting: ViewContext) -> PageView:
    words = codes.MEASURES[page.key]
    return next_page(page.key, capital(words.home), _pain(page.key, "score", setting))


def _pain(measure: Measure, name: str, setting: ViewContext) -> Scale:
    """The question of one pain score."""
    when = phrase("Since this time yesterday") if setting.day is None else setting.when()
    words = codes.MEASURES[measure].filled(knee=this_knee(setting.side), when=when)
    return pain_scale(name, words.question, cannot_say=phrase(CANNOT_SAY))


@view_of.register
def _(page: walk.DayPainsPage, setting: ViewContext) -> PageView:
    blocks: list[Block] = [_pain(measure, measure, setting) for measure in page.measures]
    if page.skin:
        blocks.append(_skin(setting))
    heading = phrase("Pain in your {knee}", knee=this_knee(setting.side))
    return next_page(page.key, heading, *blocks)


@view_of.register
def _(page: walk.DayRestPage, setting: ViewContext) -> PageView:
    blocks: list[Block] = []
    if page.person:
        blocks.append(_medicine(setting))
    if page.amounts:
        blocks += _amounts(page, setting)
    if page.stairs:
        blocks.append(_stairs(setting))
    add = Folded(phrase("Add a note"), _note(setting))
    return next_page(page.key, setting.asked(phrase("Your day"), phrase("That day")), *blocks, add)


@view_of.register
def _(page: walk.DayActivitiesPage, setting: ViewContext) -> PageView:
    return next_page(
        page.key,
        phrase("What you can do"),
        Text(
            setting.asked(
                phrase("How well can you do it now? Here a higher number is better."),
                phrase("How well could you do it? Here a higher number is better."),
            ),
            "strong",
        ),
        *(_activity(f"activity:{n}", label) for n, label in enumerate(page.labels)),
    )


def _activity(name: str, question: str) -> Scale:
    low, high = phrase("unable"), phrase("as before")
    return Scale(name, question, low, high, cannot_say=phrase(CANNOT_SAY))


@view_of.register
def _(page: walk.WorstBelowAveragePage, setting: ViewContext) -> PageView:
    return next_page(
        page.key,
        phrase("Is that right?"),
        Text(
            phrase(
                "You gave {average} on average and {worst} at worst.",
                average=page.average,
                worst=page.worst,
            ),
            "strong",
        ),
        Text(phrase("The worst is lower than the average. Is that right?")),
        Text(phrase("Press Back to change it. Or keep it as it is.")),
        main=phrase("Keep it"),
    )


@view_of.register
def _(page: walk.LastFortnightPage, setting: ViewContext) -> PageView:
    return next_page(
        page.key,
        phrase("The two weeks before"),
        Text(phrase("This is asked once.")),
        Choose(
            "last_fortnight",
            phrase(
                "In the two weeks before you began here: was your {knee} worse than usual?",
                knee=this_knee(setting.side),
            ),
            tuple(Option(said, words.answer) for said, words in codes.LAST_FORTNIGHT.items()),
            needed=False,
        ),
    )


@view_of.register
def _(page: walk.DaySkinPage, setting: ViewContext) -> PageView:
    return next_page(page.key, phrase("Skin at the tape"), _skin(setting))


def _skin(setting: ViewContext) -> Choose:
    return Choose(
        "skin",
        setting.asked(
            phrase("How is the skin where the tape is?"),
            phrase("How was the skin where the tape was?"),
        ),
        (*skin_options(), Option("", phrase(CANNOT_SAY))),
    )


@view_of.register
def _(page: walk.MedicinePage, setting: ViewContext) -> PageView:
    return next_page(page.key, phrase("Pain medicine"), _medicine(setting))


def _medicine(setting: ViewContext) -> Choose:
    return Choose(
        "medicine",
        setting.asked(
            phrase("Did you take extra medicine for the pain today?"),
            phrase("Did you take extra medicine for the pain?"),
        ),
        (
            Option("no", phrase("No")),
            Option("yes", phrase("Yes")),
            Option("", phrase(CANNOT_SAY)),
        ),
    )


@view_of.register
def _(page: walk.MorningPage, setting: ViewContext) -> PageView:
    return next_page(
        page.key,
        phrase("Night, morning and swelling"),
        Choose(
            "night_pain",
            setting.asked(
                phrase("Did the knee wake you last night?"),
                phrase("Did the knee wake you the night before?"),
            ),
            (Option("no", phrase("No")), Option("yes", phrase("Yes"))),
            needed=False,
        ),
        Number(
            "stiffness_minutes",
            setting.asked(
                phrase("How long was the knee stiff this morning?"),
                phrase("How long was the knee stiff that morning?"),
            ),
            phrase("minutes"),
            0,
            720,
        ),
        Choose(
            "swelling",
            setting.asked(phrase("Is the knee swollen today?"), phrase("Was the knee swollen?")),
            tuple(Option(code, words.answer) for code, words in codes.SWELLING.items()),
            needed=False,
        ),
    )


@view_of.register
def _(page: walk.SignOfAnswerPage, setting: ViewContext) -> PageView:
    row = codes.DAY_ANSWERS[page.answer].filled(value=answer_words(page.answer, page.value))
    wrote = row.wrote
    if page.usual is not None:
        usual = answer_words(page.answer, page.usual)
        wrote = phrase("{wrote} Usual for you: {usual}.", wrote=wrote, usual=usual)
    signs = (Option(sign, phrase(setting.catalogue.sign(sign).words)) for sign in page.signs)
    choice = Choose(
        "sign",
        setting.asked(phrase("Is one of these true now?"), phrase("Was one of these true?")),
        (
            *signs,
            Option("not_sure", phrase("Something is new, or I am not sure")),
            Option("as_before", phrase("No. It is as I have had it before")),
            Option("", phrase("None of these")),
        ),
    )
    rows = (setting.catalogue.policy.sign(sign) for sign in page.signs)
    note = unsigned(setting.catalogue, *rows)
    view = next_page(page.key, row.heading, Text(wrote, "strong"), choice, *note)
    return replace(view, enter_answers=False)


@view_of.register
def _(page: walk.ActivityPage, setting: ViewContext) -> PageView:
    return next_page(
        page.key,
        phrase("Activity {index} of {count}", index=page.index, count=page.count),
        Text(page.label, "strong"),
        _activity(
            "score",
            setting.asked(
                phrase("How well can you do it now? Here a higher number is better."),
                phrase("How well could you do it? Here a higher number is better."),
            ),
        ),
    )


@view_of.register
def _(page: walk.AmountsPage, setting: ViewContext) -> PageView:
    heading = setting.asked(phrase("How much today?"), phrase("How much was it?"))
    return next_page(page.key, heading, *_amounts(page, setting))


def _amounts(page: walk.AmountsPage | walk.DayRestPage, setting: ViewContext) -> list[Block]:
    aims = {(aim.label, aim.unit): aim for aim in page.aims}
    blocks: list[Block] = [Text(phrase("Leave out what you do not know."))]
    for index, amount in enumerate(page.amounts):
        blocks.append(Number(f"amount:{index}", amount.label, amount.unit, 0, 100000, decimals=1))
        aim = aims.get((amount.label, amount.unit))
        if aim is not None:
            why = Text(" ".join(reason_words(aim)))
            folded = Folded(phrase("Why this much"), (why,))
            alone = isinstance(page, walk.AmountsPage)
            blocks += [Text(aim_words(aim), "strong"), why if alone else folded]
    return blocks


@view_of.register
def _(page: walk.StairsPage, setting: ViewContext) -> PageView:
    return next_page(page.key, phrase("Stairs"), _stairs(setting))


def _stairs(setting: ViewContext) -> Choose:
    return Choose(
        "stairs",
        setting.asked(phrase("How did you take stairs today?"), phrase("How did you take stairs?")),
        (
            *(Option(way, words.answer) for way, words in codes.STAIRS.items()),
            Option("", phrase("No stairs, or I can’t say")),
        ),
    )


@view_of.register
def _(page: walk.NotePage, setting: ViewContext) -> PageView:
    return next_page(page.key, phrase("Anything to add?"), *_note(setting))


def _note(setting: ViewContext) -> tuple[Write, Choose]:
    return (
        Write(
            "note",
            setting.asked(
                phrase("A note for today. You may leave it empty."),
                phrase("Is there anything to note? You may leave it empty."),
            ),
        ),
        Choose(
            "private",
            phrase("May your clinic read the note?"),
            (
                Option("no", phrase("Yes, hand it over")),
                Option("yes", phrase("No, keep it here")),
            ),
            needed=False,
        ),
    )


@view_of.register
def _(page: walk.DayLookOverPage, setting: ViewContext) -> PageView:
    lines = day_lines(page.end, setting)
    if not lines:
        return next_page(
            page.key,
            phrase("Nothing was answered"),
            Text(phrase("No page was kept for this day. That is fine.")),
            main=phrase("To the front page"),
        )
    return look_over_view(page.key, lines, main=Button(phrase("Write it down")))


def day_lines(end: walk.DayEnd, setting: ViewContext) -> tuple[LookOverLine, ...]:
    """A day page line by line, only what was answered; of both knees those of each."""
    if not isinstance(end, walk.DayEnds):
        return _lines(end, setting, "")
    other = next(side for side in setting.plan.sides if side != setting.side)
    named: list[LookOverLine] = []
    for side, held in ((setting.side, _of_knee(end)), (other, end.other)):
        for line in _lines(held, setting, f"{side}:"):
            name = phrase("{knee}: {what}", knee=knee(side), what=inside(line.name))
            named.append(replace(line, name=name))
    return (*named, *_lines(_of_person(end), setting, ""))


def _of_knee(end: walk.DayEnd) -> walk.DayEnd:
    """What a page says of its knee alone."""
    kept = walk.DayEnd()
    return walk.DayEnd(**{name: getattr(kept if name in _PERSON else end, name) for name in _NAMES})


def _of_person(end: walk.DayEnd) -> walk.DayEnd:
    """What a page says of the person."""
    kept = walk.DayEnd()
    return walk.DayEnd(**{name: getattr(end if name in _PERSON else kept, name) for name in _NAMES})


_NAMES = tuple(field.name for field in fields(walk.DayEnd))
_PERSON = ("medicine", "activities", "amounts", "stairs", "note", "note_private")
"""What is the person's and not a knee's."""


def _lines(end: walk.DayEnd, setting: ViewContext, knee_key: str) -> tuple[LookOverLine, ...]:
    """The lines of one knee or of what is the person's; `knee_key` begins the keys of its pages."""
    lines: list[LookOverLine] = []

    def door(*pages: str) -> str:
        found = (setting.door(object, key=f"{knee_key}{page}") for page in pages)
        return next(filter(None, found), "")

    def add(name: str, value: object | None, *pages: str) -> None:
        if value is not None:
            lines.append(LookOverLine(phrase(name), str(value), door(*pages)))

    def yes(value: bool | None) -> str | None:
        return None if value is None else yes_or_no(value)

    add("Average pain", end.pain_average, "average", "pains")
    add("Worst pain", end.pain_worst, "worst", "pains")
    add("Pain now", end.pain_now, "now", "pains")
    before = home_words(codes.LAST_FORTNIGHT, end.last_fortnight)
    add("The two weeks before", before, "last_fortnight")
    add("Skin", home_words(codes.SKIN, end.skin), "skin", "pains")
    add("Night pain", yes(end.night_pain), "morning")
    if end.stiffness_minutes is not None:
        minutes = phrase("{n} minute", "{n} minutes", n=end.stiffness_minutes)
        add("Stiff in the morning", minutes, "morning")
    add("Swelling", home_words(codes.SWELLING, end.swelling), "morning")
    if end.as_before:
        said = joined(codes.DAY_ANSWERS[answer].home for answer in end.as_before)
        asked = [p.key for p in setting.passed if isinstance(p, walk.SignOfAnswerPage)]
        own = [key.removeprefix(knee_key) for key in asked if key.startswith(knee_key)]
        add("As before", said, *reversed(own))
    add("Extra pain medicine", yes(end.medicine), "medicine", "rest")
    for activity in end.activities:
        pages = (one for one in setting.passed if isinstance(one, walk.ActivityPage))
        key = next((one.key for one in pages if one.label == activity.label), "activities")
        score = phrase("{score} of 10", score=activity.score)
        lines.append(LookOverLine(activity.label, score, door(key)))
    for amount in end.amounts:
        value = amount_of(amount.amount, amount.unit)
        lines.append(LookOverLine(amount.label, value, door("amounts", "rest")))
    add("Stairs", home_words(codes.STAIRS, end.stairs), "stairs", "rest")
    add("Note", end.note, "note", "rest")
    if end.note is not None and end.note_private:
        add("Who may read it", phrase("only you"), "note", "rest")
    return tuple(lines)
