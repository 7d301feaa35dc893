"""The pages that both knees share on one evening; each other page is that of its knee."""

from collections.abc import Iterator
from dataclasses import replace

from companion.care import evening as walk
from companion.care.flow import knee_of
from companion.presentation.home.card_pages import unsigned
from companion.presentation.home.looking_over import look_over_view
from companion.presentation.home.routine_pages import (
    decision_blocks,
    decision_heading,
    known_steps_view,
    session_lines,
)
from companion.presentation.home.walk_view import ViewContext, pain_scale, view_of
from companion.presentation.language import codes
from companion.presentation.language.code_table import capital, inside
from companion.presentation.language.phrases import phrase
from companion.presentation.language.words import knee, this_knee
from companion.presentation.view.figures import exercise_pictures, move_picture
from companion.presentation.view.page import (
    Block,
    Button,
    Heading,
    LookOverLine,
    PageView,
    Panels,
    Picture,
    Scale,
    Text,
    next_page,
)


@view_of.register
def _(page: walk.BothRestPage, setting: ViewContext) -> PageView:
    return next_page(
        page.key,
        phrase("Pain now, at rest"),
        Text(phrase("Sit still for a moment.")),
        *(
            pain_scale(side, phrase("How much does your {knee} hurt now?", knee=this_knee(side)))
            for side in page.sides
        ),
        Text(phrase("Above {limit}: no hands-on part today.", limit=page.limit), "quiet"),
    )


@view_of.register
def _(page: walk.BothMovePage, setting: ViewContext) -> PageView:
    one = view_of(page.moves[0], setting)
    blocks: list[Block] = []
    for block in one.blocks:
        if isinstance(block, Scale):
            blocks += [
                pain_scale(side, phrase("How much did your {knee} hurt?", knee=this_knee(side)))
                for side in page.sides
            ]
        elif isinstance(block, Picture):
            # Both knees are scored: what is drawn of one is named after neither.
            drawn = move_picture(setting.plan.check_move.name, setting.side, of_both=True)
            blocks += [] if drawn is None else [Picture(drawn)]
        elif not (isinstance(block, Text) and block.weight == "quiet"):
            blocks.append(block)
    enough = [
        phrase("{knee}: {n} or less is enough.", knee=knee(side), n=move.enough)
        for side, move in zip(page.sides, page.moves, strict=True)
        if move.enough is not None
    ]
    if enough:
        blocks.append(Text(" ".join(enough), "quiet"))
    return replace(one, key=page.key, blocks=tuple(blocks))


@view_of.register
def _(page: walk.BothExercisePage, setting: ViewContext) -> PageView:
    one = view_of(page.page, setting)
    sheet = setting.catalogue.exercise(page.page.exercise.exercise)
    drawn = Panels(exercise_pictures(sheet, setting.side, of_both=True))
    blocks = tuple(drawn if isinstance(block, Panels) else block for block in one.blocks)
    return replace(one, key=page.key, above=phrase("Both knees"), blocks=blocks)


@view_of.register
def _(page: walk.BothExercisesPage, setting: ViewContext) -> PageView:
    by_name = dict(zip(page.page.about, page.page.steps, strict=True))
    steps = tuple((by_name[name], leg) for name, leg in page.legs)
    return known_steps_view(page.page, steps, page.key, setting)


def _doors(setting: ViewContext) -> Iterator[tuple[str, str]]:
    """The pages both knees were asked on, by the name of their line."""
    for page in setting.passed:
        if page.key in setting.fixed:
            continue
        match page:
            case walk.BothRestPage():
                yield phrase("Pain at rest"), page.key
            case walk.BothMovePage(moves=(move, *_)):
                yield capital(codes.MOVE_ROLES[move.role].home), page.key


@view_of.register
def _(page: walk.BothLookOverPage, setting: ViewContext) -> PageView:
    results: list[Block] = []
    lines: list[LookOverLine] = []
    shared = dict(_doors(setting))
    for side, own in zip(page.sides, page.pages, strict=True):
        own_pages = tuple(one for one in setting.passed if knee_of(one) == side)
        of_knee = replace(setting, side=side, passed=own_pages)
        if own.result is not None:
            heading = decision_heading(own.result, setting.plan)
            results += [
                Heading(knee(side)),
                Text(heading, "strong"),
                *decision_blocks(own.result, of_knee),
            ]
        lines += [
            replace(
                line,
                name=phrase("{knee}: {what}", knee=knee(side), what=inside(line.name)),
                door=line.door or shared.get(line.name, ""),
            )
            for line in session_lines(own.end, of_knee)
        ]
    note = unsigned(setting.catalogue) if any(own.end.signs for own in page.pages) else ()
    view = look_over_view(page.key, lines, *note, main=Button(phrase("Write it down")))
    return replace(view, blocks=(*results, *view.blocks))
