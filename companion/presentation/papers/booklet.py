"""The booklet as data: the routine of one plan step by step, with pictures of this knee.

Only what may be played is in it: techniques and exercises that were shown back and that no
caution blocks. Both knees of a plan have their own pages.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import date
from functools import partial
from typing import Literal

from companion.care import taping
from companion.care.bad_days import bad_day_rule, rest_pain_limit
from companion.care.catalogue import Catalogue, Step, TapeStageSteps, TechniqueSheet
from companion.care.caution_rules import caution_judgement, tape_looked_at_daily
from companion.care.closures import closed_by_plan
from companion.care.dose import dose_rule, one_step_down
from companion.care.plan_faults import playable_exercises, playable_techniques
from companion.care.policy import Policy
from companion.care.records import (
    CheckMove,
    Exercise,
    Level,
    Part,
    Plan,
    Side,
    TapeTrial,
    Technique,
)
from companion.care.step_limits import ceiling_of
from companion.care.trial_days import trial_schedule
from companion.care.trial_schedule import planned
from companion.picture.drawing import Drawing, DrawnWords
from companion.picture.views import Viewpoint
from companion.presentation.home.card_pages import unsigned
from companion.presentation.home.cutting import lengths_to_cut, stretch_of_strips
from companion.presentation.home.numbers import phone_lines
from companion.presentation.home.routine_pages import (
    dose_parts,
    hands_ready,
    lotion_off,
    stop_words,
    stops_of,
)
from companion.presentation.home.settings_pages import (
    known_blocks,
    signs_in_words,
    signs_view,
)
from companion.presentation.language import codes
from companion.presentation.language.caution_words import SAID_ELSEWHERE, asked_for
from companion.presentation.language.code_table import inside
from companion.presentation.language.phrases import dated, joined, phrase
from companion.presentation.language.unsigned_words import unsigned_in_few_words
from companion.presentation.language.words import (
    by_plan,
    daily_look,
    depth_lines,
    knee,
    move_sentence,
    pain_scale_words,
    pull_sentences,
    rest_between,
    step_words,
    this_knee,
)
from companion.presentation.papers.still_open import StillOpen, head_blocks, head_line
from companion.presentation.view.figures import (
    build_of,
    exercise_pictures,
    finding_panels,
    move_picture,
    patch_cut_picture,
    patch_picture,
    posture_picture,
    shown_steps,
    tape_panels,
    technique_stills,
    wedges,
)
from companion.presentation.view.page import (
    Block,
    Bulleted,
    Callout,
    DefinitionList,
    Heading,
    Numbered,
    Phones,
    Text,
)


@dataclass(frozen=True, slots=True)
class Pictures:
    """Drawings side by side, each with a word under it."""

    drawings: tuple[Drawing, ...]
    captions: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class ToFill:
    """Words, and a line behind them to be written on."""

    words: str


@dataclass(frozen=True, slots=True)
class Together:
    """What is turned over in one, where it fits on one page."""

    blocks: tuple[Block | Pictures | ToFill, ...]


BookletBlock = Block | Pictures | ToFill | Together


@dataclass(frozen=True, slots=True)
class BookletPage:
    """Blocks that begin on a page of their own. `sheet`: with "own" on paper of its own, to be
    filled in, where both sides are printed; with "fronts", to be hung up, no back is used. `apart`:
    the same a knee each, where one side has no room for the pictures of both."""

    heading: str
    blocks: tuple[BookletBlock, ...]
    sheet: Literal["shared", "own", "fronts"] = "shared"
    apart: tuple[BookletPage, ...] = ()


@dataclass(frozen=True, slots=True)
class Booklet:
    """Everything in the booklet, in order. `warned` stands on every page: which warnings were open
    when it was printed."""

    title: str
    running_head: str
    foot: str
    pages: tuple[BookletPage, ...]
    warned: str = ""


def booklet(
    plan: Plan,
    catalogue: Catalogue,
    *,
    today: date,
    for_helper: bool = False,
) -> Booklet:
    """The booklet of a plan as it stands on a day, for the person or for the helper."""
    pages = [
        _opening(plan, catalogue, today, for_helper=for_helper),
        _begin(plan, catalogue, for_helper=for_helper),
    ]
    closed = closed_by_plan(catalogue.policy, plan)
    hands = {side: playable_techniques(plan, side, catalogue, (), today) for side in plan.sides}
    moves = {side: playable_exercises(plan, side, catalogue, (), today) for side in plan.sides}
    for technique in plan.techniques:
        own = tuple(side for side in plan.sides if technique in hands[side])
        pages += [
            _technique(plan, technique, sides, catalogue, for_helper=for_helper)
            for sides in _pressed_alike(plan, own, catalogue)
            if "hands" not in closed
        ]
    for exercise in plan.exercises:
        own = tuple(side for side in plan.sides if exercise in moves[side])
        if own and catalogue.policy.exercise_part(exercise.exercise) not in closed:
            pages.append(_exercise(plan, exercise, own, catalogue, for_helper=for_helper))
    for side in plan.sides:
        if _tape_allowed(plan, side, catalogue, today):
            pages += _tape(plan, side, catalogue, for_helper=for_helper)
    taped = [side for side in plan.sides if _tape_allowed(plan, side, catalogue, today)]
    if taped:
        pages.append(_while_on(plan, catalogue, for_helper=for_helper))
        pages += [_removal(plan, one, catalogue, for_helper=for_helper) for one in taped]
    signs = signs_view(plan, catalogue)
    pages.append(BookletPage(signs.heading, signs.blocks))
    if taped and plan.tape.patch_test == "at_home":
        pages.append(_patch_test(plan, taped[0], catalogue, for_helper=for_helper))
    pages += [_wears(plan, side) for side in taped]
    title = phrase("The home routine, for the helper") if for_helper else pages[0].heading
    return bound(plan, catalogue, title, pages)


def bound(plan: Plan, catalogue: Catalogue, title: str, pages: Sequence[BookletPage]) -> Booklet:
    """Pages of a plan, each saying whose they are, what must not be missed, and that nobody
    licensed signed the wording."""
    policy = catalogue.policy
    head = phrase("{code}, care plan {version}", code=plan.person, version=plan.version)
    note = unsigned_in_few_words(catalogue, *policy.signs, *policy.cautions)
    return Booklet(
        title=title,
        running_head=phrase("{head}. {note}", head=head, note=note) if note else head,
        foot=plan_mark(plan) or phrase("In an emergency, call the emergency number first."),
        pages=tuple(pages),
    )


def warned(sheet: Booklet, still_open: StillOpen, on: date, *, whole: bool = False) -> Booklet:
    """A paper that says on every page which warnings are open when it is printed; `whole`, with
    what each closes at its head, where somebody does the routine by it."""
    if not still_open:
        return sheet
    first, *others = sheet.pages
    if whole:
        head = (Together(blocks) for blocks in head_blocks(still_open, on))
        first = replace(first, blocks=(*head, *first.blocks))
    return replace(sheet, pages=(first, *others), warned=head_line(still_open, on))


def plan_mark(plan: Plan) -> str:
    """What a practice plan says on every page; "" for a signed one."""
    if not plan.practice:
        return ""
    return phrase("Practice plan: nobody signed it. Not for a real knee.")


# ---------------------------------------------------------------- the parts


def _opening(plan: Plan, catalogue: Catalogue, today: date, *, for_helper: bool) -> BookletPage:
    trial = _trial(plan, today)
    closed = closed_by_plan(catalogue.policy, plan)
    knees = joined(this_knee(side) for side in plan.sides)
    move = plan.check_move
    first = _first(plan, catalogue, "check_move", for_helper=for_helper)
    blocks: list[BookletBlock] = []
    if plan.practice:
        blocks.append(Text(plan_mark(plan), "strong"))
    if plan.goal:
        blocks.append(Callout(plan.goal, phrase("What you want to do again")))
    blocks += [
        DefinitionList(
            (
                (phrase("For"), phrase("your {sides}", sides=knees)),
                (phrase("Written on"), dated(plan.written_on)),
                (phrase("Looked at again"), dated(plan.review_on)),
                *_times_a_week(plan),
            )
        ),
        _section(phrase("How a routine goes"), Numbered(_course(plan, trial, closed))),
        *(() if trial is None else _trial_words(trial)),
        _section(phrase("When to stop a step"), Bulleted(tuple(_stops(plan)))),
        _check_move(move, plan.sides[0], closed=closed),
        *([Together(first)] if first else []),
        _section(phrase("A bad day"), *_bad_day(plan, catalogue.policy)),
        _section(phrase("More pain the next morning"), _sore_mornings(plan, catalogue)),
    ]
    return BookletPage(phrase("Your home routine"), tuple(blocks))


def _section(heading: str, *blocks: Block | Pictures) -> Together:
    """What stands under one heading, on one side."""
    return Together((Heading(heading), *blocks))


def _stops(plan: Plan) -> Iterator[str]:
    if plan.techniques:
        yield phrase("Hands: {pain}", pain=hands_stop(plan))
    if plan.exercises:
        yield phrase("Exercises: the pain goes above {n}.", n=ceiling_of("exercise", plan))
    yield phrase(
        "Does it hurt more than that at rest? Stop once it hurts {more} more than where it began.",
        more=plan.stop_amount,
    )
    yield phrase("You feel that something is not right.")


def hands_stop(plan: Plan) -> str:
    """Above which pain hands stop: on paper nobody works out the lower of the two."""
    return phrase(
        "the pain goes above {n}, or more than {more} above the pain at rest.",
        n=ceiling_of("hands", plan),
        more=plan.stop_amount,
    )


def _times_a_week(plan: Plan) -> Iterator[tuple[str, str]]:
    days = phrase("{n} day a week", "{n} days a week", n=plan.hands_days_a_week)
    if plan.techniques:
        yield phrase("Hands-on part"), days
    if plan.exercises:
        n = plan.exercise_days_a_week
        yield phrase("Exercises"), phrase("{n} day a week", "{n} days a week", n=n)


def _drawn(drawings: tuple[Drawing, ...]) -> Iterator[Pictures]:
    """Pictures that say all themselves."""
    yield from (Pictures((drawing,), ("",)) for drawing in drawings)


def _check_move(move: CheckMove, side: Side, *, closed: frozenset[Part]) -> Together:
    scale = Text(pain_scale_words())
    if "check_move" in closed:
        not_done = Text(phrase("Do not stand up, step or squat for a score."))
        return _section(phrase("No check move"), not_done, scale)
    drawn = move_picture(move.name, side)
    return _section(
        phrase("Your check move"),
        Text(move_sentence(move)),
        *_drawn(() if drawn is None else (drawn,)),
        Text(" ".join(depth_lines(move.depth))),
        scale,
    )


def _bad_day(plan: Plan, policy: Policy) -> tuple[Block, ...]:
    """From which numbers on a day is a bad one, and what is done on it."""
    limit = rest_pain_limit(plan)
    lines = [phrase("Pain at rest above {n}: no hands, nothing done standing.", n=limit)]
    from_what = bad_day_mark(plan, policy)
    if from_what:
        lines.append(
            phrase(
                "{mark} at the check move: do not do it again. One round of hands, no new "
                "tape, nothing done standing.",
                mark=from_what,
            )
        )
    rule = bad_day_rule(policy)
    lines.append(
        phrase("{n} bad routines running: call your clinic.", n=rule.running)
        if plan.flare_plan is None
        else phrase("{n} bad routines running: do as under “In a bad spell”.", n=rule.running)
    )
    days = plan.flare_days or rule.days
    lines.append(phrase("Not settled in {n} days, or worse each time: call your clinic.", n=days))
    words = () if plan.flare_plan is None else (Callout(plan.flare_plan, phrase("In a bad spell")),)
    return Bulleted(tuple(lines)), *words


def _sore_mornings(plan: Plan, catalogue: Catalogue) -> Bulleted:
    """What more pain on the morning after makes of the routine (rule r05)."""
    rule = dose_rule(catalogue.policy, plan)
    less = one_step_down(catalogue.policy, plan)
    lines = [phrase("Once: go on as before. It is common at first.")]
    often = phrase("After {n} of the last {last} routines:", n=rule.more_of, last=rule.last)
    if less.steps:
        lines.append(phrase("{often} do less.", often=often))
        parts = dose_parts(less, plan, catalogue)
        lines += [phrase("Then {part}.", part=part) for part in parts]
        lines.append(
            phrase("Still so after {n} routines like that: call your clinic.", n=rule.sessions)
        )
    else:
        lines.append(phrase("{often} call your clinic.", often=often))
    lines.append(
        phrase(
            "A day’s pain {more} or more above your usual, for {days} days: call your clinic.",
            more=rule.above_usual,
            days=rule.days,
        )
    )
    return Bulleted(tuple(lines))


def bad_day_mark(plan: Plan, policy: Policy) -> str:
    """The score from which on a day is bad; where the plan says none, as the program works it out.
    "" where no score makes one."""
    if plan.bad_day_mark_off:
        return ""
    if plan.bad_day_mark is not None:
        return phrase("{n} or more", n=plan.bad_day_mark)
    rule = bad_day_rule(policy)
    return phrase(
        "{above} or more above your usual score, and at least {least},",
        above=rule.above_usual,
        least=min(10, plan.pain_ceiling + rule.above_ceiling),
    )


def _trial(plan: Plan, today: date) -> TapeTrial | None:
    """The tape trial that runs or is to come; one that is not as it was fixed is not run."""
    trials = [trial_schedule(plan, side) for side in plan.sides]
    ahead = any(trial is not None and today <= trial.last_day for trial in trials)
    return plan.trial if ahead else None


def _trial_words(trial: TapeTrial) -> tuple[Block, ...]:
    """What the trial asks; never its order, which nobody knows beforehand."""
    return (
        Heading(phrase("Your tape trial")),
        Text(
            phrase(
                "From {first} to {last} some days are for tape, and some are not.",
                first=dated(trial.first_day),
                last=dated(planned(trial).last_day),
            )
        ),
        Bulleted(
            (
                phrase("Chance has set the order. Your computer tells you each day which it is."),
                phrase(
                    "The order was fixed when your plan was made. Its mark: {digest}.",
                    digest=trial.schedule_sha256[:16],
                ),
                phrase("On the days that count, the hands-on part rests."),
                phrase("On a day without the computer, leave the tape off."),
                phrase("Your skin comes first. It may end a day with tape at any time."),
            )
        ),
    )


def _course(plan: Plan, trial: TapeTrial | None, closed: frozenset[Part]) -> tuple[str, ...]:
    steps = [phrase("Read the sheet for the fridge. Is anything new? Then stop and call.")]
    hands = bool(plan.techniques) and "hands" not in closed
    if "check_move" in closed:
        steps.append(phrase("Sit still. Write down how much the knee hurts at rest."))
    else:
        steps.append(phrase("Do the check move and write the score down."))
    if hands:
        steps.append(phrase("Do the hands-on steps in this booklet once, one after the other."))
    if hands and "check_move" not in closed:
        steps += [
            phrase("Do the check move again and write the score down."),
            phrase(
                "Is less than {n} % of the pain gone? Then do one more round, {rounds} at most.",
                n=plan.ease_target_percent,
                rounds=plan.rounds,
            )
            if plan.rounds > 1
            else phrase("Then the hands-on part is over for today."),
        ]
    if plan.exercises and not {"seated", "standing"} <= closed:
        steps.append(phrase("Do your exercises."))
    if plan.tape.highest and "tape_on" not in closed and (trial is None or plan.side == "both"):
        steps.append(codes.WHEN_TAPE[plan.tape.when].step)
    if trial is not None:
        steps.append(
            phrase("{knee}: use tape only on the tape days of your trial.", knee=knee(trial.side))
        )
    return tuple(steps)


def whom_to_call(plan: Plan) -> Block:
    """The numbers of the plan, or that there are none."""
    lines = phone_lines(plan.contacts)
    if lines:
        return Phones(phrase("Whom to call"), lines)
    return Text(phrase("Your plan holds no numbers. Ask your clinic for them."), "strong")


def fridge_pages(plan: Plan, catalogue: Catalogue) -> list[BookletPage]:
    """Two sheets: whom to call with the signs of an emergency, and with those of today. On one
    page they would be too small to read there."""
    whom = whom_to_call(plan)
    mark = (Text(plan_mark(plan), "strong"),) if plan.practice else ()
    sides: tuple[Level, ...] = ("emergency", "today")
    return [
        BookletPage(
            codes.LEVELS[level].heading,
            (
                *mark,
                whom,
                Bulleted(signs_in_words(catalogue, level)),
                Text(phrase("Not sure? Then act as if it is true."), "strong"),
                *unsigned(catalogue),
            ),
            sheet="fronts",
        )
        for level in sides
    ]


def _begin(plan: Plan, catalogue: Catalogue, *, for_helper: bool) -> BookletPage:
    """Hands and skin made ready, and what is known of what the plan holds."""
    blocks: list[Block | Pictures] = []
    if plan.techniques:
        told = hands_ready(plan, catalogue, partial(_words, for_helper=for_helper))
        blocks += [
            Heading(phrase("Make your hands ready")),
            Numbered(tuple(sentence for _, sentence in told)),
        ]
    blocks += known_blocks(catalogue, plan)
    return BookletPage(phrase("Before you begin"), tuple(blocks))


def _words(step: Step, *, for_helper: bool) -> str:
    return step.helper if for_helper else step.person


def _told(step: Step, plan: Plan, *, for_helper: bool) -> str:
    return phrase(_words(step, for_helper=for_helper), **by_plan(plan))


def _viewpoint(*, for_helper: bool) -> Viewpoint:
    return "helper" if for_helper else "own"


def _pressed_alike(
    plan: Plan, sides: Sequence[Side], catalogue: Catalogue
) -> Iterable[tuple[Side, ...]]:
    """The knees on which hands press alike: what is done alike stands there once."""
    groups: dict[bool, tuple[Side, ...]] = {}
    for side in sides:
        lightest = _lightest(plan, side, catalogue)
        groups[lightest] = (*groups.get(lightest, ()), side)
    return groups.values()


def _lightest(plan: Plan, side: Side, catalogue: Catalogue) -> bool:
    judged = caution_judgement(plan, "hands", catalogue.policy, side=side)
    return "lightest_hands" in judged.asks


def _technique(
    plan: Plan,
    technique: Technique,
    sides: tuple[Side, ...],
    catalogue: Catalogue,
    *,
    for_helper: bool,
) -> BookletPage:
    sheet = catalogue.technique(technique.technique)
    seen = _viewpoint(for_helper=for_helper)
    lightest = _lightest(plan, sides[0], catalogue)
    pressure = catalogue.pressure(sheet.pressure, lightest=lightest)
    blocks: list[Block | Pictures] = [
        *_first(plan, catalogue, "hands", for_helper=for_helper),
        Text(phrase(sheet.position_helper if for_helper else sheet.position)),
        *_stills(
            sheet,
            [
                technique_stills(sheet, side, seen, wedges(pressure), build_of(plan, side))
                for side in sides
            ],
        ),
        DefinitionList(
            (
                (phrase("Hand"), phrase(sheet.contact_words)),
                (
                    phrase("Pressure"),
                    phrase(
                        "{word}: {meaning}",
                        word=phrase(pressure.word),
                        meaning=inside(phrase(pressure.explanation)),
                    ),
                ),
                (
                    phrase("How long"),
                    phrase(
                        "{seconds} seconds, once",
                        "{seconds} seconds, {n} times",
                        n=technique.repeats,
                        seconds=technique.seconds,
                    ),
                ),
            )
        ),
        Numbered(tuple(_told(step, plan, for_helper=for_helper) for step in sheet.steps)),
    ]
    blocks.append(
        Callout(
            stop_words(
                sheet.stop_for,
                phrase(
                    "{n}, or more than {more} above the pain at rest",
                    n=ceiling_of("hands", plan),
                    more=plan.stop_amount,
                ),
            ),
            phrase("Stop this step if"),
        )
    )
    apart = sides if len(sides) > 1 else ()
    return BookletPage(
        _headed_for(sides, phrase(sheet.title)),
        tuple(blocks),
        apart=tuple(
            _technique(plan, technique, (side,), catalogue, for_helper=for_helper) for side in apart
        ),
    )


def _first(plan: Plan, catalogue: Catalogue, *parts: Part, for_helper: bool) -> tuple[Block, ...]:
    """What the cautions of the plan ask for before these parts, and all the while."""
    judged = [caution_judgement(plan, part, catalogue.policy) for part in parts]
    asks = (ask for one in judged if not one.by_the_plan for ask in one.asks)
    told = [ask for ask in asks if ask not in SAID_ELSEWHERE]
    said = asked_for(told, helping=for_helper, tape="tape_on" in parts)
    return (Heading(phrase("First", context="to do first")), Bulleted(said)) if said else ()


def _stills(sheet: TechniqueSheet, of_knees: Sequence[tuple[Drawing, ...]]) -> list[Pictures]:
    """The steps on each knee, which stands in its pictures: a row a knee where they are many, or
    the words in them would lie over each other."""
    numbers = shown_steps(sheet)
    words = (phrase(sheet.steps[number - 1].verb) for number in numbers)
    captions = tuple(
        phrase("{number} {verb}", number=number, verb=verb)
        for number, verb in zip(numbers, words, strict=True)
    )
    all_knees = tuple(drawing for drawings in of_knees for drawing in drawings)
    tall = all(one.frame.height > 1.2 * one.frame.width for one in all_knees)
    if tall and len(all_knees) <= _MOST_IN_A_ROW:
        return [Pictures(all_knees, captions * len(of_knees))]
    return [Pictures(drawings, captions) for drawings in of_knees]


_MOST_IN_A_ROW = 4
"""Tall pictures that are still large beside each other; wide ones would be low."""


def _exercise(
    plan: Plan,
    exercise: Exercise,
    sides: tuple[Side, ...],
    catalogue: Catalogue,
    *,
    for_helper: bool,
) -> BookletPage:
    sheet = catalogue.exercise(exercise.exercise)
    part = catalogue.policy.exercise_part(exercise.exercise)
    often = phrase("{n} time", "{n} times", n=exercise.repeats)
    if exercise.sets > 1:
        often = phrase("{often}, {sets} rounds", often=often, sets=exercise.sets)
    rows = [(phrase("How often"), often)]
    both = len(sides) > 1
    if both and not sheet.both_legs:
        rows.append((phrase("Which leg"), phrase("first one, then as often with the other")))
    if exercise.hold_seconds:
        hold = phrase("{n} second", "{n} seconds", n=exercise.hold_seconds)
        rows.append((phrase("Hold"), hold))
    if exercise.sets > 1:
        rows.append((phrase("Between rounds"), rest_between(sheet)))
    if sheet.needs:
        rows.append((phrase("You need"), joined(phrase(need) for need in sheet.needs)))
    return BookletPage(
        _headed_for(sides, phrase(sheet.title)),
        (
            *_first(plan, catalogue, part, for_helper=for_helper),
            Text(phrase(sheet.position_helper if for_helper else sheet.position)),
            DefinitionList(tuple(rows)),
            *_drawn(exercise_pictures(sheet, sides[0], of_both=both)),
            Numbered(tuple(_told(step, plan, for_helper=for_helper) for step in sheet.steps)),
            Callout(
                stop_words(stops_of(sheet, for_helper=for_helper), ceiling_of("exercise", plan)),
                phrase("Stop this exercise if"),
            ),
        ),
    )


def _tape_allowed(plan: Plan, side: Side, catalogue: Catalogue, today: date) -> bool:
    judged = caution_judgement(plan, "tape_on", catalogue.policy, side=side, today=today)
    bare = plan.tape.stay_bare_from
    return plan.tape.highest > 0 and not judged.by_the_plan and (bare is None or today < bare)


def _tape(plan: Plan, side: Side, catalogue: Catalogue, *, for_helper: bool) -> list[BookletPage]:
    told = catalogue.tape_steps
    cut = tape_panels(plan, side, _viewpoint(for_helper=for_helper), 1, told.before)
    before = BookletPage(
        _headed(side, phrase("Before the tape")),
        (
            *_first(plan, catalogue, "tape_on", for_helper=for_helper),
            Pictures(cut, ("",) * len(cut)),
            *(
                Pictures(
                    (posture_picture(step.posture, side, plan.tape.knee_bend_degrees),),
                    (phrase("Sit like this."),),
                )
                for step in told.before
                if step.posture is not None
            ),
            Numbered(
                tuple(_before(step, plan, side, for_helper=for_helper) for step in told.before)
            ),
            *lotion_off(plan, catalogue, partial(_words, for_helper=for_helper)),
            Callout(" ".join(phrase(sentence) for sentence in told.never), phrase("Never")),
        ),
    )
    pages = [before]
    for stage in told.stages:
        if stage.stage <= plan.tape.highest:
            pages += _stage_pages(plan, side, stage, catalogue, for_helper=for_helper)
    return pages


def _stage_pages(
    plan: Plan, side: Side, stage: TapeStageSteps, catalogue: Catalogue, *, for_helper: bool
) -> Iterator[BookletPage]:
    """A page for the steps that are done together, as on the screen; few that follow join it."""
    told = partial(_words, for_helper=for_helper)
    pages: list[list[Step]] = []
    for together in taping.pages_of_steps(stage.steps):
        steps = [stage.steps[index] for index in together]
        if pages and len(steps) <= _FEW_STEPS:
            pages[-1] += steps
        else:
            pages.append(steps)
    for steps in pages:
        drawn = tape_panels(plan, side, _viewpoint(for_helper=for_helper), stage.stage, steps)
        blocks: list[BookletBlock] = [*_in_rows(tuple(map(_without_lengths, drawn)))]
        blocks.append(Numbered(tuple(step_words(step, plan, told) for step in steps)))
        if any(step.moment == "draw" for step in steps):
            blocks += [Text(said) for said in pull_sentences(plan.tape)]
        blocks += [Text(said) for said in stretch_of_strips(plan, side, steps)]
        if stage.stage == plan.tape.highest and steps is pages[-1]:
            blocks.append(Text(phrase(told(catalogue.tape_steps.write_off_day)), "strong"))
        heading = _headed(side, phrase(steps[0].opens or stage.title))
        yield BookletPage(heading, tuple(blocks))


def _in_rows(drawings: tuple[Drawing, ...]) -> list[Pictures]:
    """Panels of one page: two a row, or three where they are many."""
    wide = 2 if len(drawings) <= 4 else 3
    rows = [drawings[i : i + wide] for i in range(0, len(drawings), wide)]
    return [Pictures(row, ("",) * len(row)) for row in rows]


def _without_lengths(panel: Drawing) -> Drawing:
    """A panel as it stands small on paper, where a length would lie over the hand: the sheet to cut
    by says it."""
    items = (
        item
        for item in panel.items
        if not (isinstance(item, DrawnWords) and item.what.code == "drawn_mm_bare")
    )
    return replace(panel, items=tuple(items))


def _before(step: Step, plan: Plan, side: Side, *, for_helper: bool) -> str:
    """A step before the tape; that of the cutting with the lengths, as on the screen."""
    told = _told(step, plan, for_helper=for_helper)
    return " ".join((told, *(lengths_to_cut(plan, side, plan.tape.highest) if step.cuts else ())))


def _wear_rows(plan: Plan) -> tuple[tuple[str, str], ...]:
    """Which tape, for how long, and how long without."""
    tape = plan.tape
    hours = [
        (phrase("The first time"), tape.first_wear_hours),
        (phrase("The second time"), tape.second_wear_hours),
        (phrase("After that"), tape.wear_hours),
    ]
    return (
        *(((phrase("Tape"), tape.make),) if tape.make else ()),
        (phrase("Begin with"), codes.STAGES[min(tape.start, tape.highest)]),
        *(
            ((phrase("No more than"), codes.STAGES[tape.highest]),)
            if tape.highest > tape.start
            else ()
        ),
        *(
            (name, phrase("off after {n} hour", "off after {n} hours", n=min(n, tape.cap_hours)))
            for name, n in hours
        ),
        (phrase("Never longer than"), phrase("{n} hour", "{n} hours", n=tape.cap_hours)),
        *(
            ((phrase("Bare skin between"), phrase("{n} hours at least", n=tape.rest_hours)),)
            if tape.rest_hours
            else ()
        ),
    )


def _wears(plan: Plan, side: Side) -> BookletPage:
    """A sheet on which each tape's day is written down, and the day it must come off."""
    tape = plan.tape
    hours = [tape.first_wear_hours, tape.second_wear_hours, *[tape.wear_hours] * 4]
    blocks: list[BookletBlock] = [
        Text(phrase("Fill in a part each time tape goes on. Write the day on the tape too."))
    ]
    for number, most in enumerate(hours, 1):
        off = phrase("Off no later than {n} hours after, on", n=min(most, tape.cap_hours))
        blocks.append(
            Together(
                (
                    ToFill(phrase("{number}. Tape on, day and time", number=number)),
                    ToFill(off),
                    ToFill(phrase("Came off, day and time, and the skin")),
                )
            )
        )
    return BookletPage(_headed(side, phrase("When the tape comes off")), tuple(blocks), sheet="own")


def _patch_test(plan: Plan, side: Side, catalogue: Catalogue, *, for_helper: bool) -> BookletPage:
    """The small piece that is tried on the skin first, with lines for what was seen."""
    test, seen = catalogue.tape_steps.patch_test, _viewpoint(for_helper=for_helper)
    steps = enumerate(test.place, 1)
    cut = [patch_cut_picture(number, step) for number, step in steps if step.flat is not None]
    return BookletPage(
        phrase("Try the tape on your skin first"),
        (
            Text(phrase("Each make of tape needs its own test. The name is on the box.")),
            Pictures((*cut, patch_picture(plan, side, seen)), ("",) * (len(cut) + 1)),
            Numbered(tuple(phrase(_words(step, for_helper=for_helper)) for step in test.place)),
            ToFill(phrase("Tape, and when it went on")),
            *(
                block
                for reading in test.readings
                for block in (Text(phrase(reading.words), "strong"), ToFill(phrase("The skin")))
            ),
            Text(phrase(test.week), "strong"),
            ToFill(phrase("The skin")),
            Text(phrase(test.week_not_clear)),
            Bulleted(tuple(phrase(sentence) for sentence in test.stop_for)),
        ),
        sheet="own",
    )


_FEW_STEPS = 2


def _while_on(plan: Plan, catalogue: Catalogue, *, for_helper: bool) -> BookletPage:
    told, look = catalogue.tape_steps, tape_looked_at_daily(plan, catalogue.policy)
    return BookletPage(
        phrase("While the tape is on"),
        (
            DefinitionList(_wear_rows(plan)),
            Bulleted(tuple(phrase(s) for s in (*told.after_on, *told.while_worn))),
            Callout(
                " ".join(phrase(sentence) for sentence in told.take_off_for),
                phrase("Take it off now if"),
            ),
            *([Callout(daily_look(helping=for_helper), phrase("Every day"))] if look else []),
        ),
    )


def _removal(plan: Plan, side: Side, catalogue: Catalogue, *, for_helper: bool) -> BookletPage:
    told, seen = catalogue.tape_steps, _viewpoint(for_helper=for_helper)
    return BookletPage(
        _headed(side, phrase("Taking the tape off")),
        (
            Together(
                (
                    *_in_rows(tape_panels(plan, side, seen, 1, told.removal)),
                    Numbered(
                        tuple(_told(step, plan, for_helper=for_helper) for step in told.removal)
                    ),
                )
            ),
            *_in_rows(finding_panels(plan, side, seen, tuple(codes.SKIN))),
            Text(phrase("Look at the skin again after {n} minutes.", n=told.skin_again_minutes)),
        ),
    )


def _headed_for(sides: tuple[Side, ...], words: str) -> str:
    return _headed(sides[0], words) if len(sides) == 1 else words


def _headed(side: Side, words: str) -> str:
    return phrase("{knee}: {words}", knee=knee(side), words=words)
