"""The pages of the patch test: the piece on, and the two looks at the skin."""

from collections.abc import Iterator
from datetime import datetime, timedelta

from companion.care import patch_questions as walk
from companion.care.catalogue import Catalogue, Step
from companion.care.patch_looks import PATCH_CALL, Look
from companion.picture.drawing import Drawing
from companion.presentation.home.card_pages import card_block
from companion.presentation.home.looking_over import look_over, look_over_view
from companion.presentation.home.outing_pages import OWN_WORDS_ASKED
from companion.presentation.home.walk_view import ViewContext, view_of
from companion.presentation.language import codes
from companion.presentation.language.code_table import CodeTable
from companion.presentation.language.phrases import clock_time, long_day, phrase
from companion.presentation.language.words import yes_or_no
from companion.presentation.view.figures import finding_panels, patch_cut_picture, patch_picture
from companion.presentation.view.page import (
    Block,
    Bulleted,
    Button,
    Callout,
    Choose,
    DefinitionList,
    LookOverLine,
    Option,
    PageView,
    Panels,
    Picture,
    Text,
    Write,
    make_page,
    next_page,
)


def day_and_time(at: datetime) -> str:
    """`Friday 6 March, 18:00`."""
    return phrase("{day}, {time}", day=long_day(at.date()), time=clock_time(at))


# ---------------------------------------------------------------- the piece on


@view_of.register
def _(page: walk.MakePage, setting: ViewContext) -> PageView:
    blocks: list[Block] = []
    if page.again:
        blocks.append(Text(phrase(OWN_WORDS_ASKED), "strong"))
    blocks.append(Text(phrase("Each make of tape needs its own test. The name is on the box.")))
    if page.makes:
        options = [Option(str(number), make) for number, make in enumerate(page.makes, 1)]
        blocks.append(
            Choose(
                "make",
                phrase("Which tape is it?"),
                (*options, Option("own", phrase("Another tape"))),
            )
        )
        question = phrase("If another tape: which?")
        planned = setting.plan.tape.make
        if planned is not None:
            blocks.append(
                Text(
                    phrase(
                        "Your plan names {make}. Another tape goes on the knee only once your "
                        "clinic has put it in your plan.",
                        make=planned,
                    )
                )
            )
    else:
        question = phrase("Write the name of the tape.")
    blocks.append(Write("own", question, 60, "one"))
    return next_page(page.key, phrase("Which tape?"), *blocks)


@view_of.register
def _(page: walk.PatchClearPage, setting: ViewContext) -> PageView:
    if page.late:
        test = setting.catalogue.tape_steps.patch_test
        return make_page(
            page.key,
            phrase("Look where the test piece was"),
            DefinitionList(((phrase("Tape"), page.make),)),
            Text(phrase(test.week)),
            Text(phrase("Both looks are written down as clear.")),
            enter_answers=False,
            main=Button(phrase("The skin is clear there"), (("look", "no"),)),
            others=(Button(phrase("The skin is not clear now"), (("look", "reaction"),)),),
        )
    return next_page(
        page.key,
        phrase("This tape needs no new test"),
        DefinitionList(((phrase("Tape"), page.make),)),
        Text(phrase("Its test is written down as clear.")),
        Text(phrase("Look at the skin each time all the same.")),
        main=phrase("Go on"),
    )


@view_of.register
def _(page: walk.PatchNotClearPage, setting: ViewContext) -> PageView:
    sign = setting.catalogue.sign(PATCH_CALL)
    blocks: list[Block] = [
        card_block(sign, setting.plan, setting.catalogue, setting.now),
        Text(phrase("No tape of this make: {make}.", make=page.make), "strong"),
    ]
    mistake = Button(phrase("I chose this by mistake"), (("skin", "mistake"),))
    return PageView(
        key=page.key,
        heading=phrase("The skin was not clear"),
        blocks=tuple(blocks),
        main=Button(phrase("I have read this"), (("skin", "kept"),)),
        others=(mistake,) if page.just_given else (),
        back=not page.just_given,
        enter_answers=False,
    )


@view_of.register
def _(page: walk.PatchUnderWayPage, setting: ViewContext) -> PageView:
    blocks: list[Block] = [DefinitionList(((phrase("Tape"), page.make),))]
    if page.look_from is not None:
        blocks.append(
            Text(phrase("The next look is from {when}.", when=day_and_time(page.look_from)))
        )
    blocks.append(Text(phrase("Has the piece come off? Then start again with a new one.")))
    return PageView(
        key=page.key,
        heading=phrase("This tape is being tested"),
        blocks=tuple(blocks),
        enter_answers=False,
        main=Button(phrase("The piece is on, leave it"), (("again", "no"),)),
        others=(Button(phrase("It came off, start again"), (("again", "yes"),)),),
    )


@view_of.register
def _(page: walk.PatchSkinPage, setting: ViewContext) -> PageView:
    return next_page(
        page.key,
        phrase("Before the test piece"),
        Choose(
            "skin",
            phrase("Look at the inner side of your thigh. How is the skin?"),
            (
                Option("clear", phrase("Whole, dry and its usual colour")),
                Option("not_clear", phrase("Sore, red, darker, itchy or broken; or not sure")),
            ),
        ),
        Choose(
            "clean",
            phrase("Is it clean and dry, with no cream, oil or pain gel?"),
            (Option("yes", phrase("Yes")), Option("no", phrase("No"))),
        ),
    )


@view_of.register
def _(page: walk.PatchStepPage, setting: ViewContext) -> PageView:
    step = setting.catalogue.tape_steps.patch_test.place[page.index]
    return make_page(
        page.key,
        phrase(step.verb),
        *(Picture(one) for one in _pictures(step, page.index + 1, setting)),
        Text(phrase(setting.told(step)), "strong"),
        above=phrase(
            "Test piece · step {number} of {count}", number=page.index + 1, count=page.count
        ),
        main=Button(phrase("Done, next step")),
    )


def _pictures(step: Step, number: int, setting: ViewContext) -> Iterator[Drawing]:
    if step.flat is not None:
        yield patch_cut_picture(number, step)
    if "thigh_inner" in step.anchors:
        yield patch_picture(setting.plan, setting.side, setting.seen_by)


@view_of.register
def _(page: walk.PatchOnPage, setting: ViewContext) -> PageView:
    test = setting.catalogue.tape_steps.patch_test
    return make_page(
        page.key,
        phrase("Is the test piece on?"),
        *look_over(
            (
                LookOverLine(phrase("Tape"), page.make, setting.door(walk.MakePage)),
                LookOverLine(
                    phrase("Skin before"),
                    codes.SKIN["clear"].answer,
                    setting.door(walk.PatchSkinPage),
                ),
            )
        ),
        Bulleted((*(phrase(window.words) for window in test.readings), phrase(test.week))),
        _stop_for(setting.catalogue),
        enter_answers=False,
        main=Button(phrase("The piece is on"), (("piece", "on"),)),
        others=(Button(phrase("It is not on"), (("piece", "not_on"),)),),
    )


def _stop_for(catalogue: Catalogue) -> Callout:
    sentences = catalogue.tape_steps.patch_test.stop_for
    return Callout(" ".join(phrase(sentence) for sentence in sentences), phrase("At any time"))


# ---------------------------------------------------------------- the two looks


@view_of.register
def _(page: walk.PatchNotNowPage, setting: ViewContext) -> PageView:
    blocks: list[Block] = [DefinitionList(((phrase("Tape"), page.make),))]
    if page.when == "too_early":
        heading = phrase("It is too early to look")
        blocks += [Text(line) for line in _next_look_lines(page.look_from, page.look_until)]
    else:
        heading = phrase("It is too late for this look")
        blocks += [Text(line) for line in _new_piece_lines()]
    blocks.append(_stop_for(setting.catalogue))
    return PageView(
        key=page.key,
        heading=heading,
        blocks=tuple(blocks),
        main=Button(phrase("To the front page"), (("look", "no"),)),
        others=(Button(phrase("The skin is not clear now"), (("look", "reaction"),)),),
    )


def _next_look_lines(begins: datetime, ends: datetime) -> tuple[str, ...]:
    return (
        phrase("Look from {when}.", when=day_and_time(begins)),
        phrase("After {when} it is too late.", when=day_and_time(ends)),
    )


def _new_piece_lines() -> tuple[str, ...]:
    return (
        phrase("The time for it is over, so this test does not count as clear."),
        phrase("Put a new piece on and start again."),
    )


_LOOKS: CodeTable[Look, str] = CodeTable(Look, {"first": "First look", "second": "Second look"})


@view_of.register
def _(page: walk.PatchLookPage, setting: ViewContext) -> PageView:
    test = setting.catalogue.tape_steps.patch_test
    window = test.readings[0] if page.look == "first" else test.readings[-1]
    blocks: list[Block] = [Text(phrase(window.words))] if page.counts else []
    # Any redness under the piece counts, gone or not, so red is no answer of its own here.
    options = [
        Option(skin, words.under_patch) for skin, words in codes.SKIN.items() if skin != "red"
    ]
    if page.counts:
        options.append(Option("gone", phrase("The piece has come off, and the skin is clear")))
    answers = [skin for skin in codes.SKIN if skin != "red"]
    panels = finding_panels(setting.plan, setting.side, setting.seen_by, answers, patch=True)
    blocks += [
        Panels(panels),
        Choose("skin", phrase(test.reading_question), tuple(options)),
        DefinitionList(((phrase("Tape"), page.make),)),
    ]
    return next_page(
        page.key,
        _LOOKS[page.look] if page.counts else phrase("How is the skin?"),
        *blocks,
    )


@view_of.register
def _(page: walk.PatchLookOverPage, setting: ViewContext) -> PageView:
    clear = codes.SKIN["clear"].under_patch
    return look_over_view(
        page.key,
        (
            LookOverLine(phrase("Tape"), page.make),
            LookOverLine(_LOOKS[page.look], clear, setting.door(walk.PatchLookPage)),
        ),
        main=Button(phrase("Write it down")),
    )


@view_of.register
def _(page: walk.PatchGonePage, setting: ViewContext) -> PageView:
    return next_page(
        page.key,
        phrase("A new piece is needed"),
        DefinitionList(((phrase("Tape"), page.make),)),
        Text(phrase("A look without the piece does not count.")),
        Text(phrase("Put a new piece on and start again.")),
        main=phrase("Go on"),
    )


# ---------------------------------------------------------------- the end in words


PatchEnding = walk.PatchEnd | walk.PatchReadingEnd


def patch_written(end: PatchEnding) -> bool:
    """Whether anything of the test was written down."""
    return end.placed if isinstance(end, walk.PatchEnd) else end.skin is not None


def patch_lines(end: PatchEnding) -> tuple[LookOverLine, ...]:
    """What was written down, line by line; empty when nothing was."""
    if not patch_written(end) or end.make is None:
        return ()
    lines = [LookOverLine(phrase("Tape"), end.make)]
    if isinstance(end, walk.PatchEnd):
        lines.append(LookOverLine(phrase("Test piece on"), yes_or_no(True)))
    elif end.skin is not None:
        lines.append(LookOverLine(_LOOKS[end.look], codes.SKIN[end.skin].under_patch))
    return tuple(lines)


def patch_next(end: PatchEnding, at: datetime, catalogue: Catalogue) -> tuple[str, ...]:
    """What comes next, in whole sentences; `at` is when the walk ended."""
    if isinstance(end, walk.PatchEnd):
        if not end.placed:
            return ()
        first = catalogue.tape_steps.patch_test.readings[0]
        begins = at + timedelta(hours=first.earliest_hours)
        return (
            phrase("Look for the first time from {when}.", when=day_and_time(begins)),
            phrase("Use no tape on the knee before the second look."),
        )
    if end.skin is not None and end.skin != "clear":
        return (
            phrase("No tape of this make. Call your clinic."),
            phrase("The front page keeps the card until you have talked to them."),
        )
    if end.why in ("too_late", "gone"):
        return (phrase("Put a new piece on and start again."),)
    if end.look_from is not None and end.look_until is not None:
        return _next_look_lines(end.look_from, end.look_until)
    if end.skin == "clear":
        test = catalogue.tape_steps.patch_test
        return (
            phrase("Both looks were clear."),
            phrase(test.week),
            phrase(test.week_not_clear),
            phrase("Look at the skin each time you tape all the same."),
        )
    return ()
