"""The pages of the day page, from the walk's pages to what is shown."""

from dataclasses import replace

from companion.care import day_questions as walk
from companion.presentation.home.routine_pages import skin_options
from companion.presentation.home.walk_view import Setting, next_page, view_of
from companion.presentation.language import codes
from companion.presentation.language.code_table import capital, home_words
from companion.presentation.language.pacing_words import aim_words, reason_words
from companion.presentation.language.phrases import phrase
from companion.presentation.language.words import (
    answer_words,
    joined,
    pain_ends,
    this_knee,
    yes_or_no,
)
from companion.presentation.view.page import (
    Block,
    Choose,
    DefinitionList,
    Number,
    Option,
    PageView,
    Scale,
    Text,
    Write,
)

CANNOT_SAY = "I can’t say"


@view_of.register
def _(page: walk.PainPage, setting: Setting) -> PageView:
    low, high = pain_ends()
    when = phrase("On that day") if setting.past else phrase("Since this time yesterday")
    words = codes.MEASURES[page.key].filled(knee=this_knee(setting.side), when=when)
    return next_page(
        page.key,
        capital(words.home),
        Scale(
            "score",
            words.question,
            low,
            high,
            cannot_say=phrase(CANNOT_SAY),
        ),
    )


@view_of.register
def _(page: walk.WorstBelowAveragePage, setting: Setting) -> PageView:
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
        Text(phrase("The worst is not often lower than the average.")),
        Text(phrase("Press Back to change it. Or keep it as it is.")),
        main="Keep it",
    )


@view_of.register
def _(page: walk.DaySkinPage, setting: Setting) -> PageView:
    return next_page(
        page.key,
        phrase("Skin at the tape"),
        Choose(
            "skin",
            phrase("How was the skin where the tape was?")
            if setting.past
            else phrase("How is the skin where the tape is?"),
            (*skin_options(), Option("", phrase(CANNOT_SAY))),
        ),
    )


@view_of.register
def _(page: walk.MedicinePage, setting: Setting) -> PageView:
    return next_page(
        page.key,
        phrase("Pain medicine"),
        Choose(
            "medicine",
            phrase("Did you take extra medicine for the pain on that day?")
            if setting.past
            else phrase("Did you take extra medicine for the pain today?"),
            (
                Option("no", phrase("No")),
                Option("yes", phrase("Yes")),
                Option("", phrase(CANNOT_SAY)),
            ),
        ),
    )


@view_of.register
def _(page: walk.MorningPage, setting: Setting) -> PageView:
    return next_page(
        page.key,
        phrase("Night, morning and swelling"),
        Choose(
            "night_pain",
            phrase("Did the knee wake you the night before?")
            if setting.past
            else phrase("Did the knee wake you last night?"),
            (Option("no", phrase("No")), Option("yes", phrase("Yes"))),
            needed=False,
        ),
        Number(
            "stiffness_minutes",
            phrase("How long was the knee stiff that morning?")
            if setting.past
            else phrase("How long was the knee stiff this morning?"),
            phrase("minutes"),
            0,
            720,
        ),
        Choose(
            "swelling",
            phrase("Was the knee swollen?") if setting.past else phrase("Is the knee swollen?"),
            tuple(Option(code, words.answer) for code, words in codes.SWELLING.items()),
            needed=False,
        ),
    )


@view_of.register
def _(page: walk.SignOfAnswerPage, setting: Setting) -> PageView:
    row = codes.DAY_ANSWERS[page.answer].filled(value=answer_words(page.answer, page.value))
    wrote = row.wrote
    if page.usual is not None:
        usual = answer_words(page.answer, page.usual)
        wrote = phrase("{wrote} Usual for you: {usual}.", wrote=wrote, usual=usual)
    signs = (Option(sign, phrase(setting.catalogue.sign(sign).words)) for sign in page.signs)
    choice = Choose(
        "sign",
        phrase("Is one of these true now?"),
        (
            *signs,
            Option("not_sure", phrase("Something is new, or I am not sure")),
            Option("as_before", phrase("No. It is as I have had it before")),
            Option("", phrase("None of these")),
        ),
    )
    view = next_page(page.key, row.heading, Text(wrote, "strong"), choice)
    return replace(view, enter_answers=False)


@view_of.register
def _(page: walk.ActivityPage, setting: Setting) -> PageView:
    return next_page(
        page.key,
        phrase("Activity {index} of {count}", index=page.index, count=page.count),
        Text(page.label, "strong"),
        Scale(
            "score",
            phrase("How well could you do it? Here a higher number is better.")
            if setting.past
            else phrase("How well can you do it now? Here a higher number is better."),
            phrase("unable"),
            phrase("as before"),
            cannot_say=phrase(CANNOT_SAY),
        ),
    )


@view_of.register
def _(page: walk.AmountsPage, setting: Setting) -> PageView:
    aims = {(aim.label, aim.unit): aim for aim in page.aims}
    blocks: list[Block] = [Text(phrase("Leave out what you do not know."))]
    for index, amount in enumerate(page.amounts):
        blocks.append(Number(f"amount:{index}", amount.label, amount.unit, 0, 100000, decimals=1))
        aim = aims.get((amount.label, amount.unit))
        if aim is not None:
            blocks += [Text(aim_words(aim), "strong"), Text(" ".join(reason_words(aim)))]
    heading = phrase("How much on that day?") if setting.past else phrase("How much today?")
    return next_page(page.key, heading, *blocks)


@view_of.register
def _(page: walk.StairsPage, setting: Setting) -> PageView:
    return next_page(
        page.key,
        phrase("Stairs"),
        Choose(
            "stairs",
            phrase("How did you take stairs on that day?")
            if setting.past
            else phrase("How did you take stairs today?"),
            (
                *(Option(way, words.answer) for way, words in codes.STAIRS.items()),
                Option("", phrase("No stairs, or I can’t say")),
            ),
        ),
    )


@view_of.register
def _(page: walk.NotePage, setting: Setting) -> PageView:
    return next_page(
        page.key,
        phrase("Anything to add?"),
        Write("note", phrase("A note for this day. You may leave it empty.")),
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
def _(page: walk.DayLookOverPage, setting: Setting) -> PageView:
    rows = day_facts(page.end)
    if not rows:
        return next_page(
            page.key,
            phrase("Nothing was answered"),
            Text(phrase("So there is no page for this day. That is all right.")),
            main="To the front page",
        )
    return next_page(
        page.key,
        phrase("Look it over"),
        DefinitionList(rows),
        Text(phrase("Is something wrong? Press Back and change it.")),
        main="Write it down",
    )


def day_facts(end: walk.DayEnd) -> tuple[tuple[str, str], ...]:
    """A day page as names and values, only what was answered."""
    rows: list[tuple[str, str]] = []

    def add(name: str, value: object | None) -> None:
        if value is not None:
            rows.append((phrase(name), str(value)))

    def yes(value: bool | None) -> str | None:
        return None if value is None else yes_or_no(value)

    add("Average pain", end.pain_average)
    add("Worst pain", end.pain_worst)
    add("Pain now", end.pain_now)
    add("Skin", home_words(codes.SKIN, end.skin))
    add("Night pain", yes(end.night_pain))
    if end.stiffness_minutes is not None:
        add(
            "Stiff in the morning",
            phrase("{n} minute", "{n} minutes", n=end.stiffness_minutes),
        )
    add("Swelling", home_words(codes.SWELLING, end.swelling))
    if end.as_before:
        add("As before", joined(codes.DAY_ANSWERS[answer].home for answer in end.as_before))
    add("Extra pain medicine", yes(end.medicine))
    rows += [(a.label, phrase("{score} of 10", score=a.score)) for a in end.activities]
    rows += [(a.label, f"{a.amount:g} {a.unit}") for a in end.amounts]
    add("Stairs", home_words(codes.STAIRS, end.stairs))
    add("Note", end.note)
    if end.note is not None and end.note_private:
        add("Who may read it", phrase("only you"))
    return tuple(rows)
