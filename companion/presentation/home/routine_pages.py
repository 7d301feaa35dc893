"""The pages of the routine and of tape, from the walk's pages to what is shown."""

import re
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from functools import partial

from companion.care import ready, taping
from companion.care import routine as walk
from companion.care.adherence import RoutinePart
from companion.care.bad_days import SpellCall, rest_pain_limit
from companion.care.catalogue import Catalogue, ExerciseSheet, Step, TechniqueSheet
from companion.care.caution_rules import tape_looked_at_daily
from companion.care.counting import Beat, beats_of_all, exercise_beats, technique_beats
from companion.care.course import Decision, made_again
from companion.care.dose import Dose
from companion.care.policy import BEFOREHAND, Ask, Policy
from companion.care.records import Exercise, Plan, Side, StepDone, Technique, Zone
from companion.care.stopping import GatePage
from companion.care.tape_applications import clock_from_now
from companion.care.tape_gate import TapeReason
from companion.evidence.flares import RAISED_DAYS_RUNNING, RAISED_POINTS
from companion.picture.drawing import Drawing
from companion.picture.scenes import knee_of
from companion.presentation.home.card_pages import about_card, card_block, unsigned
from companion.presentation.home.cutting import lengths_to_cut, stretch_of_strips
from companion.presentation.home.looking_over import look_over_view
from companion.presentation.home.numbers import phones_of
from companion.presentation.home.walk_view import ViewContext, pain_scale, view_of
from companion.presentation.language import codes
from companion.presentation.language.caution_words import SAID_ELSEWHERE, asked_for
from companion.presentation.language.code_table import CodeTable, capital, inside
from companion.presentation.language.field_words import end_words
from companion.presentation.language.phrases import clock_time, joined, long_day, phrase
from companion.presentation.language.words import (
    by_plan,
    daily_look,
    depth_lines,
    dose_why,
    knee,
    move_name,
    move_sentence,
    pain_scale_words,
    pull_sentences,
    stage,
    step_words,
    this_knee,
    worn_at_most,
    yes_or_no,
)
from companion.presentation.view.count_words import count_words
from companion.presentation.view.figures import (
    build_of,
    exercise_pictures,
    exercise_small,
    finding_panels,
    in_motion,
    move_picture,
    posture_picture,
    tape_panels,
    technique_find,
    technique_motion,
    technique_panels,
    technique_small,
    technique_still,
    wedges,
)
from companion.presentation.view.page import (
    ActionList,
    Block,
    Bulleted,
    Button,
    Callout,
    Choose,
    Counting,
    DefinitionList,
    Folded,
    HandMoment,
    Heading,
    KneeTick,
    LookOverLine,
    Moments,
    Number,
    Numbered,
    Option,
    PageView,
    Panels,
    Phones,
    Picture,
    Text,
    Tick,
    TwoColumns,
    Write,
    make_page,
    next_page,
)

_BEFORE_NUMBER = re.compile(r" (?=\d)")


# ---------------------------------------------------------------- open signs, cards


@view_of.register
def _(page: walk.ClosedPage, setting: ViewContext) -> PageView:
    sign = setting.catalogue.sign(page.sign)
    return next_page(
        page.key,
        phrase("The routine is closed"),
        card_block(sign, setting.plan, setting.catalogue, setting.now),
        *about_card(sign, setting),
        main=phrase("To the front page"),
    )


# ---------------------------------------------------------------- the score


@view_of.register
def _(page: ready.ReadyPage, setting: ViewContext) -> PageView:
    words = codes.PARTS[page.parts[0]]
    return next_page(
        page.key,
        words.before,
        Bulleted(asked_for(page.asks, helping=setting.helping)),
        Choose(
            "ready",
            phrase("Is all of this ready?"),
            (Option("yes", phrase("Yes, all of it")), Option("no", words.left_out)),
        ),
        *unsigned(setting.catalogue, *setting.catalogue.policy.cautions),
    )


@view_of.register
def _(page: walk.TenPage, setting: ViewContext) -> PageView:
    return next_page(
        page.key,
        phrase("What 10 stands for"),
        Text(phrase("Your last five routines began at 10.")),
        Choose(
            "ten",
            phrase("Is a 10 the worst possible pain?"),
            tuple(Option(code, row.answer) for code, row in codes.TEN_SAID.items()),
        ),
        Text(phrase("Your clinic will see your answer. You are asked this once."), "quiet"),
    )


@view_of.register
def _(page: walk.RestPainPage, setting: ViewContext) -> PageView:
    return next_page(
        page.key,
        phrase("Pain now, at rest"),
        Text(phrase("Sit still for a moment.")),
        pain_scale(
            "score", phrase("How much does your {knee} hurt now?", knee=this_knee(setting.side))
        ),
        Text(phrase("Above {limit}: no hands-on part today.", limit=page.limit), "quiet"),
    )


_HANDS_OFF: CodeTable[walk.HandsOff, str] = CodeTable(
    walk.HandsOff,
    {
        "locked": "A warning sign is still open.",
        "done_today": "You have done it today. Your plan says once a day.",
        "tape_on": "Your tape is on. The hands-on part waits until it is off.",
        "tape_came_off": "Your tape has just come off.",
        "flare": "Your pain has been {points} or more above your usual for {days} days or more. "
        "Your plan says: no hands-on part then.",
        "helper_needed": "Your plan says your helper must be there for the hands-on part.",
        "trial": "Your tape trial is on. So the hands-on part rests today.",
        "resting": "Your knee had an injection. Your plan says: let it rest.",
        "not_in_plan": "Your plan has no hands-on part for this knee.",
        "skin": "The skin is not whole.",
        "rest_pain": "The pain at rest was above {limit}.",
        "caution": "Your clinician has not cleared the hands-on part for you.",
    },
)


def spell_call_words(call: SpellCall, plan: Plan, policy: Policy) -> str:
    """Why the clinic is called in a bad spell."""
    days = plan.flare_days or policy.state("flare_days_used_up").number("days")
    return codes.SPELL_CALLS[call].filled(days=days).home


def spell_blocks(spell: bool, call: SpellCall | None, setting: ViewContext) -> tuple[Block, ...]:
    """What is said of a bad spell in the routine: to call, and what the plan says for it."""
    plan = setting.plan
    blocks: list[Block] = []
    if spell and call is not None:
        blocks.append(Text(spell_call_words(call, plan, setting.catalogue.policy), "strong"))
        lines = phones_of(plan, ("clinic", "out_of_hours"))
        if lines:
            blocks.append(Phones(phrase("Whom to call"), lines))
    if spell and plan.flare_plan is not None:
        blocks.append(Callout(plan.flare_plan, phrase("Your plan for a bad spell")))
    return tuple(blocks)


def dose_words(dose: Dose, plan: Plan, catalogue: Catalogue) -> str:
    """How much of the plan is done today, each number beside that of the plan."""
    parts = dose_parts(dose, plan, catalogue)
    if not parts:
        return phrase("Today: all of your plan.")
    return phrase("Today: {parts}.", parts=joined(parts))


def dose_parts(dose: Dose, plan: Plan, catalogue: Catalogue) -> tuple[str, ...]:
    """What of a dose is less than the plan, each number beside that of the plan."""
    parts: list[str] = []
    if plan.techniques and dose.rounds < plan.rounds:
        parts.append(
            phrase(
                "{n} round of hands at most (your plan: {planned})",
                "{n} rounds of hands at most (your plan: {planned})",
                n=dose.rounds,
                planned=plan.rounds,
            )
        )
    parts += [
        phrase(
            "{exercise} {n} time (your plan: {planned})",
            "{exercise} {n} times (your plan: {planned})",
            exercise=inside(phrase(catalogue.exercise(one.exercise).title)),
            n=today,
            planned=one.repeats,
        )
        for today, one in zip(dose.repeats, plan.exercises, strict=True)
        if today < one.repeats
    ]
    return tuple(parts)


@view_of.register
def _(page: walk.DosePage, setting: ViewContext) -> PageView:
    why = dose_why(page.dose.why, setting.plan, setting.catalogue.policy).home
    if page.dose.told:
        why = phrase("Your knee stays sore. You said that you have called about it.")
    blocks: list[Block] = [Text(why)]
    if page.dose.call:
        blocks = [Text(why, "strong")]
        lines = phones_of(setting.plan, ("clinic", "out_of_hours"))
        if lines:
            blocks.append(Phones(phrase("Whom to call"), lines))
    if page.dose.why != "more_next_morning_1":
        blocks.append(Text(dose_words(page.dose, setting.plan, setting.catalogue)))
    if page.dose.steps:
        blocks.append(
            Text(phrase("Once three routines running sit well, a step comes back."), "quiet")
        )
    return next_page(page.key, phrase("How much today"), *blocks)


@view_of.register
def _(page: walk.SpellPage, setting: ViewContext) -> PageView:
    said = phrase("You said that a bad spell had begun. Now it is {score}.", score=page.score)
    if page.mark is not None:
        said = phrase(
            "You said that a bad spell had begun. Now it is {score}, below {mark}.",
            score=page.score,
            mark=page.mark,
        )
    return next_page(
        page.key,
        phrase("Is the bad spell over?"),
        Text(said),
        Choose(
            "over",
            phrase("Is your knee as usual again?"),
            (Option("yes", phrase("Yes, as usual")), Option("no", phrase("No, not yet"))),
        ),
    )


@view_of.register
def _(page: walk.BadDayPage, setting: ViewContext) -> PageView:
    match page.why:
        case "mark":
            said = phrase(
                "{score} today. {mark} or more is a bad day.", score=page.score, mark=page.mark
            )
        case "other_knee" if page.mark is None:
            said = phrase("{score} today. It is a bad day for your other knee.", score=page.score)
        case "other_knee":
            said = phrase(
                "{score} today. Your other knee is at {mark} or more: a bad day for both.",
                score=page.score,
                mark=page.mark,
            )
        case "spell" if page.mark is None:
            said = phrase("{score} today. Your bad spell goes on.", score=page.score)
        case "spell":
            said = phrase(
                "{score} today. Your bad spell goes on; {mark} or more is a bad day by itself.",
                score=page.score,
                mark=page.mark,
            )
    left: list[str] = [phrase("The check move is not done again.")]
    if page.hands:
        left.append(phrase("One calm round of the hands-on part."))
    if page.exercises:
        left.append(phrase("Then your exercises for a bad day."))
    by_score = page.mark is not None and page.score >= page.mark
    left.append(
        phrase("No new tape today.") if by_score else phrase("No new tape for the routine.")
    )
    return next_page(
        page.key,
        phrase("A bad day: a shorter routine"),
        Text(said),
        *spell_blocks(page.spell, page.call, setting),
        Bulleted(tuple(left)),
        Text(phrase("Bad days come and go. Do what is left of the routine gently."))
        if not page.spell
        else Text(phrase("Does something new come with it? Press Stop.")),
    )


@view_of.register
def _(page: walk.NoHandsPage, setting: ViewContext) -> PageView:
    limit = rest_pain_limit(setting.plan)
    said = _HANDS_OFF.said(page.reason, limit=limit, points=RAISED_POINTS, days=RAISED_DAYS_RUNNING)
    if page.reason == "rest_pain" and page.rest_pain is not None:
        said = phrase(
            "Your pain at rest is {pain}. Above {limit} your knee is left in peace: no hands, "
            "nothing done standing.",
            pain=page.rest_pain,
            limit=limit,
        )
    blocks: list[Block] = [Text(said), *spell_blocks(page.spell, page.call, setting)]
    if page.exercises:
        blocks.append(Text(phrase("Your exercises come next.")))
    else:
        blocks.append(Text(phrase("There is nothing more to do in the routine today.")))
    if page.reason == "rest_pain" and not page.spell:
        blocks.append(
            Text(phrase("If it stays like this, call your clinic before the next routine."))
        )
    return next_page(page.key, phrase("No hands-on part today"), *blocks)


@view_of.register
def _(page: walk.NoMovePage, setting: ViewContext) -> PageView:
    if page.hands:
        left = phrase("One calm round of the hands-on part comes next.")
    elif page.exercises:
        left = phrase("Your exercises come next.")
    else:
        left = phrase("There is nothing more to do in the routine today.")
    return next_page(
        page.key,
        phrase("No check move today"),
        Text(phrase("Today you do not stand up or step for a score.")),
        Text(left),
        Text(phrase("Your day counts as done."), "quiet"),
    )


@view_of.register
def _(page: walk.DepthPage, setting: ViewContext) -> PageView:
    move = setting.plan.check_move
    lines = depth_lines(move.depth)
    blocks: list[Block] = [
        Text(phrase("Your check move: {move}.", move=move_name(move))),
        Text(phrase("Set it up the same way every time. Only then can the scores be compared.")),
    ]
    if lines:
        blocks.append(Bulleted(lines))
    blocks += [
        Choose(
            "depth",
            phrase("Is it set up like this?"),
            (
                Option("as_plan", phrase("Yes, exactly like this")),
                Option("other", phrase("No, differently today")),
            ),
        ),
        Write("how", phrase("If it is different today: what is different?"), 60, "one"),
    ]
    return next_page(page.key, phrase("Make ready"), *blocks)


@view_of.register
def _(page: walk.MovePage, setting: ViewContext) -> PageView:
    blocks: list[Block] = []
    if page.again:
        blocks.append(Text(phrase("Once more, set up as in your plan.")))
    blocks.append(Text(move_sentence(setting.plan.check_move), "strong"))
    if page.depth and (lines := depth_lines(setting.plan.check_move.depth)):
        blocks.append(Bulleted(lines))
    drawn = None if page.again else move_picture(setting.plan.check_move.name, setting.side)
    if drawn is not None:
        blocks.append(Picture(drawn))
    blocks += [
        pain_scale("score", phrase("How much did it hurt? {scale}", scale=pain_scale_words())),
    ]
    if page.depth:
        blocks.append(
            Choose(
                "depth",
                phrase("Was it set up like that?"),
                (
                    Option("as_plan", phrase("Yes, like that")),
                    Option("other", phrase("No, in another way")),
                ),
            )
        )
    if page.role != "before":
        blocks.append(
            Choose(
                "same_depth",
                phrase("Was it the same as before: as low, with the same support?"),
                (Option(True, phrase("Yes, the same")), Option(False, phrase("No, different"))),
            )
        )
    if page.mark is not None:
        blocks.append(
            Text(phrase("{mark} or more: a bad day, a shorter routine.", mark=page.mark), "quiet")
        )
    if page.enough is not None:
        blocks.append(Text(phrase("{n} or less is enough.", n=page.enough), "quiet"))
    words = phrase(
        "Check move {number}. Your plan allows {allowed}.", number=page.number, allowed=page.allowed
    )
    last = blocks[-1]
    if page.depth and isinstance(last, Text) and last.weight == "quiet":
        # Where the page asks for the depth too there is no line to spare.
        blocks[-1] = Text(f"{last.text} {words}", "quiet")
    else:
        blocks.append(Text(words, "quiet"))
    return next_page(page.key, codes.MOVE_ROLES[page.role].heading, *blocks)


@view_of.register
def _(page: walk.HowSetUpPage, setting: ViewContext) -> PageView:
    return next_page(
        page.key,
        phrase("How was it set up?"),
        Text(phrase("Scores compare only where it was set up the same way.")),
        Write("how", phrase("In a few words. You may leave it empty."), 60, "one"),
    )


def zone_words(zones: tuple[Zone, ...], catalogue: Catalogue) -> str:
    """The sore zones in Home words, joined."""
    return joined(inside(phrase(catalogue.zone(zone).home_words)) for zone in zones)


@view_of.register
def _(page: walk.ZonesPage, setting: ViewContext) -> PageView:
    return next_page(
        page.key,
        phrase("Where did it hurt?"),
        Text(phrase("Tick each place. If you cannot tell, tick none.")),
        KneeTick(
            "zones",
            phrase("Sore places of the {knee}", knee=this_knee(setting.side)),
            setting.side,
            setting.seen_by,
            tuple(
                Option(zone.id, phrase(zone.home_words)) for zone in setting.catalogue.zones.zones
            ),
            knee_of(setting.plan, setting.side),
        ),
    )


# ---------------------------------------------------------------- steps


def stop_words(sentences: Iterable[str], most_pain: int | str) -> str:
    """What stops a step, with the limit above which its pain does: a number, or two in words."""
    return " ".join(phrase(sentence, limit=most_pain) for sentence in sentences)


def stops_of(sheet: TechniqueSheet | ExerciseSheet, *, for_helper: bool) -> tuple[str, ...]:
    """What stops a step, to whoever reads it."""
    felt = sheet.felt if isinstance(sheet, ExerciseSheet) else ()
    return (*sheet.stop_for, *(one.helper if for_helper else one.person for one in felt))


def _other_ways() -> tuple[Button, ...]:
    """The ways on from a step whose clock did not run to its end."""
    return (
        _it_hurts(),
        Button(phrase("Already done"), (("outcome", "done"),), asks=False),
        Button(phrase("Leave it out"), (("outcome", "skipped"),), asks=False),
    )


def _it_hurts() -> Button:
    """The way to stop a step that stands beside Stop."""
    return Button(phrase("It hurts"), (("outcome", "stopped"),), asks=False, hurts=True)


@view_of.register
def _(page: walk.StepHurtPage, setting: ViewContext) -> PageView:
    catalogue = setting.catalogue
    sheet = catalogue.technique if page.part == "hands" else catalogue.exercise
    return next_page(
        page.key,
        phrase("How much did it hurt?"),
        Text(phrase("{step}: it stops here.", step=phrase(sheet(page.name).title))),
        pain_scale(
            "pain",
            phrase("What was the worst pain during this step? {scale}", scale=pain_scale_words()),
            cannot_say=phrase("I can’t say"),
        ),
        Text(phrase("Your plan says: stop above {limit}.", limit=page.most_pain), "quiet"),
    )


def _steps(steps: Iterable[Step], setting: ViewContext) -> tuple[Block, ...]:
    """Steps in order; for a helper each with its number and verb before it."""
    values = by_plan(setting.plan)
    told = [(step.verb, phrase(setting.told(step), **values)) for step in steps]
    if not setting.helping:
        return (Numbered(tuple(sentence for _, sentence in told)),)
    return tuple(
        Text(phrase("{number} {verb}: {told}", number=number, verb=phrase(verb), told=sentence))
        for number, (verb, sentence) in enumerate(told, 1)
    )


def _listed(told: Sequence[tuple[str, str]], setting: ViewContext) -> tuple[Block, ...]:
    """Verbs and sentences in order; for a helper under each other, to be read from two metres."""
    if not setting.helping:
        return (Numbered(tuple(sentence for _, sentence in told)),)
    blocks: list[Block] = []
    for number, (verb, sentence) in enumerate(told, 1):
        blocks.append(Heading(phrase("{number} {verb}", number=number, verb=phrase(verb))))
        blocks.append(Text(sentence))
    return tuple(blocks)


def _say_stop(most_pain: int) -> Text:
    """What a helper says aloud before anything is pressed, and the number they listen for."""
    said = phrase("Say aloud: “Say stop if it hurts.” Stop above {limit}.", limit=most_pain)
    return Text(said, "strong")


def hands_ready(
    plan: Plan, catalogue: Catalogue, told: Callable[[Step], str]
) -> tuple[tuple[str, str], ...]:
    """How hands and skin are made ready by a plan, as verb and sentence."""
    steps = catalogue.hands_ready.for_plan(plan)
    return tuple((step.verb, phrase(told(step), lotion=plan.lotion)) for step in steps)


@view_of.register
def _(page: walk.HandsReadyPage, setting: ViewContext) -> PageView:
    return PageView(
        key=page.key,
        heading=phrase("Make your hands ready"),
        blocks=_listed(hands_ready(setting.plan, setting.catalogue, setting.told), setting),
        main=Button(phrase("My hands are ready")),
        far=setting.helping,
    )


@view_of.register
def _(page: walk.StepPage, setting: ViewContext) -> PageView:
    sheet = setting.catalogue.technique(page.technique.technique)
    pressure = setting.catalogue.pressure(sheet.pressure, lightest="lightest_hands" in page.asks)
    shown = (sheet, setting.side, setting.seen_by)
    build = build_of(setting.plan, setting.side)
    found = technique_find(*shown, build)
    motion = (
        partial(technique_motion, *shown),
        partial(technique_panels, *shown, wedges(pressure), build),
    )
    picture = Picture(
        technique_still(*shown, wedges(pressure), build),
        *(motion if in_motion(sheet, setting.seen_by) else ()),
    )
    # How hard to press is never folded away: too hard is what hands can do wrong.
    how_hard = Text(
        phrase(
            "{word} pressure: {meaning}",
            word=phrase(pressure.word),
            meaning=inside(phrase(pressure.explanation)),
        ),
        "strong",
    )
    counting = Counting(technique_beats(page.technique), phrase("Start"))
    minded = (
        *_mind(page.asks, setting),
        Callout(stop_words(sheet.stop_for, page.most_pain), phrase("Stop this step if")),
    )
    more = (
        *(() if found is None else (Text(phrase("Step 1:")), Picture(found))),
        DefinitionList(((phrase("Hand"), phrase(sheet.contact_words)),)),
        Text(phrase(sheet.position_helper if setting.helping else sheet.position)),
    )
    steps, heading = _steps(sheet.steps, setting), phrase(sheet.title)
    ways = _other_ways()
    if setting.helping:
        # Two metres away a sentence is not read: all of them, and the rarer ways on, are one
        # press off.
        blocks: tuple[Block, ...] = (
            TwoColumns(picture, (_say_stop(page.most_pain), how_hard)),
            counting,
            Folded(
                phrase("Read how, or leave it out"),
                (*steps, *minded, *more, ActionList("outcome", _quieter(ways))),
            ),
        )
        ways = tuple(way for way in ways if way.hurts)
        heading = phrase("{knee}: {step}", knee=knee(setting.side), step=inside(heading))
    else:
        blocks = (
            TwoColumns(picture, steps),
            *(how_hard, counting, *minded, Folded(phrase("More on it"), more)),
        )
    return PageView(
        key=page.key,
        heading=heading,
        above=phrase(
            "{knee} · round {round_number} · step {index} of {count}",
            knee=knee(setting.side),
            round_number=page.round_number,
            index=page.index,
            count=page.count,
        ),
        blocks=blocks,
        main=Button(phrase("Step done"), (("outcome", "done"),)),
        timed=True,
        others=ways,
        far=setting.helping,
    )


def _quieter(ways: tuple[Button, ...]) -> tuple[Option, ...]:
    """The ways on that stand on the page itself only where it is read from near."""
    return tuple(Option(dict(way.submitted)["outcome"], way.text) for way in ways if not way.hurts)


@view_of.register
def _(page: walk.ExercisePage, setting: ViewContext) -> PageView:
    sheet = setting.catalogue.exercise(page.exercise.exercise)
    prescribed = page.exercise
    beats = exercise_beats(prescribed, sheet.rest_seconds.default)
    easier = page.easier and sheet.easier is not None
    drawings = () if easier else exercise_pictures(sheet, setting.side)
    blocks: list[Block] = [
        *((Panels(drawings),) if drawings else ()),
        Text(phrase(sheet.position_helper if setting.helping else sheet.position)),
    ]
    if page.planned is not None:
        often = phrase("{n} time", "{n} times", n=prescribed.repeats)
        often = phrase("{often} (your plan: {planned})", often=often, planned=page.planned)
        blocks.append(DefinitionList(((phrase("How often"), often),)))
    if page.easier and sheet.easier is not None:
        blocks.append(Callout(phrase(setting.told(sheet.easier)), phrase("Today in an easier way")))
    else:
        values = by_plan(setting.plan)
        steps = tuple(phrase(setting.told(step), **values) for step in sheet.steps)
        blocks.append(Numbered(steps))
    blocks += [
        Counting(beats, phrase("Start")),
        *_mind(page.asks, setting),
        Callout(
            stop_words(stops_of(sheet, for_helper=setting.helping), page.most_pain),
            phrase("Stop this exercise if"),
        ),
    ]
    if sheet.needs:
        needs = joined(phrase(need) for need in sheet.needs)
        told = DefinitionList(((phrase("You need"), needs),))
        blocks.append(Folded(phrase("What you need"), (told,)))
    return PageView(
        key=page.key,
        heading=phrase(sheet.title),
        above=phrase(
            "{knee} · exercise {index} of {count}",
            knee=knee(setting.side),
            index=page.index,
            count=page.count,
        ),
        blocks=tuple(blocks),
        main=Button(phrase("Exercise done"), (("outcome", "done"),)),
        timed=True,
        others=_other_ways(),
    )


@view_of.register
def _(page: walk.KnownStepsPage, setting: ViewContext) -> PageView:
    return known_steps_view(page, tuple((step, None) for step in page.steps), page.key, setting)


def known_steps_view(
    page: walk.KnownStepsPage,
    steps: tuple[tuple[Technique | Exercise, Side | None], ...],
    key: str,
    setting: ViewContext,
) -> PageView:
    """Several steps with one clock; on an evening of two knees each with its leg."""
    hands = page.part == "hands"
    shown = [
        _shown_small(number, step, leg, page.asks, setting)
        for number, (step, leg) in enumerate(steps, 1)
    ]
    names = tuple(one.name for one in shown)
    drawings = tuple(one.drawing for one in shown if one.drawing is not None)
    blocks: list[Block] = [Panels(drawings)]
    if page.hands_ready:
        ready_words = hands_ready(setting.plan, setting.catalogue, setting.told)
        said = Text(" ".join(said for _, said in ready_words))
        blocks.append(Folded(phrase("Hands first"), (said,)))
    stops = dict.fromkeys(
        stop
        for step in page.steps
        for stop in stops_of(
            (setting.catalogue.technique if hands else setting.catalogue.exercise)(step.name),
            for_helper=setting.helping,
        )
    )
    blocks += [
        DefinitionList(tuple((one.name, one.words) for one in shown)),
        Counting(beats_of_all(one.beats for one in shown), phrase("Start"), names),
        *_mind(page.asks, setting),
        Callout(stop_words(stops, page.most_pain), phrase("Stop if")),
    ]
    return PageView(
        key=key,
        heading=_steps_heading(page, setting),
        above=phrase("{knee} · round {n}", knee=knee(setting.side), n=page.round_number)
        if hands
        else "",
        blocks=tuple(blocks),
        main=Button(phrase("All of it done"), (("outcome", "done"),)),
        timed=True,
        others=(
            Button(phrase("Too much pain"), (("outcome", "some"),), asks=False),
            Button(phrase("Already done"), (("outcome", "done"),), asks=False),
            Button(phrase("Not all, or show me"), (("outcome", "some"),), asks=False),
        ),
    )


def _steps_heading(page: walk.KnownStepsPage, setting: ViewContext) -> str:
    if page.part == "exercise":
        return phrase("Your exercises")
    if len(setting.plan.sides) == 1:
        return phrase("Your hands-on steps")
    return phrase("Hands-on steps, {knee}", knee=this_knee(setting.side))


@dataclass(frozen=True, slots=True)
class _Small:
    """One of several steps on a page: its picture, what it is called, its words in short."""

    name: str
    words: str
    drawing: Drawing | None
    beats: tuple[Beat, ...]


def _shown_small(
    number: int,
    step: Technique | Exercise,
    leg: Side | None,
    asks: tuple[Ask, ...],
    setting: ViewContext,
) -> _Small:
    if isinstance(step, Technique):
        sheet = setting.catalogue.technique(step.technique)
        pressure = setting.catalogue.pressure(sheet.pressure, lightest="lightest_hands" in asks)
        beats = technique_beats(step)
        words = phrase(
            "{count}, {word}", count=count_words(beats), word=inside(phrase(pressure.word))
        )
        still = technique_small(
            sheet,
            setting.side,
            setting.seen_by,
            wedges(pressure),
            number,
            build_of(setting.plan, setting.side),
        )
        return _Small(_numbered(number, sheet.title), words, still, beats)
    exercise = setting.catalogue.exercise(step.exercise)
    beats = exercise_beats(step, exercise.rest_seconds.default)
    drawing = exercise_small(exercise, leg or setting.side, number)
    name = _numbered(number, exercise.title)
    if leg is not None:
        name = phrase("{step}, {knee}", step=name, knee=this_knee(leg))
    return _Small(name, count_words(beats), drawing, beats)


def _numbered(number: int, title: str) -> str:
    return phrase("{n}: {step}", n=number, step=phrase(title))


_EACH: CodeTable[walk.EachSaid, str] = CodeTable(
    walk.EachSaid,
    {
        "done": "Done",
        "partly": "A part",
        "stopped": "Too much pain",
        "not_yet": "Not yet",
    },
)


@view_of.register
def _(page: walk.EachStepPage, setting: ViewContext) -> PageView:
    catalogue = setting.catalogue
    sheet = catalogue.technique if page.part == "hands" else catalogue.exercise
    options = tuple(Option(code, said) for code, said in _EACH.items())
    said = (
        phrase("That was quick for all of it.")
        if page.quick
        else phrase("Too much pain? Stop that one, and rest until it settles.")
    )
    return next_page(
        page.key,
        phrase("How did each one go?"),
        Text(said),
        *(Choose(name, phrase(sheet(name).title), options, beside=True) for name in page.names),
        Text(phrase("What is not done yet comes next, each shown on its own page."), "quiet"),
    )


def _mind(asks: Iterable[Ask], setting: ViewContext, *, tape: bool = False) -> tuple[Block, ...]:
    """What is minded all the while; what is made ready beforehand was asked."""
    left = [ask for ask in asks if ask not in (*BEFOREHAND, *SAID_ELSEWHERE)]
    said = asked_for(left, helping=setting.helping, tape=tape)
    if not said:
        return ()
    return (Bulleted(said) if len(said) > 1 else Callout(said[0]),)


_STEP_STOPS: CodeTable[walk.Stopped, str] = CodeTable(
    walk.Stopped,
    {
        "said": "Too much pain. So this step stops here. Your plan says: stop above {limit}.",
        "above_ceiling": "The pain was {pain}. Your plan says: stop above {limit}.",
        "above_rest": "The pain was {pain}. That is too far above the pain at rest: "
        "stop above {limit} today.",
    },
)


_QUICK: CodeTable[walk.QuickSaid, str] = CodeTable(
    walk.QuickSaid,
    {"done": "Yes, all of it", "partly": "Only a part", "skipped": "No, leave it out"},
)


@view_of.register
def _(page: walk.QuickStepPage, setting: ViewContext) -> PageView:
    catalogue = setting.catalogue
    hands = page.part == "hands"
    title = (catalogue.technique if hands else catalogue.exercise)(page.name).title
    return make_page(
        page.key,
        phrase("That was quick"),
        DefinitionList(
            (
                (phrase("Step") if hands else phrase("Exercise"), phrase(title)),
                (
                    phrase("It takes about"),
                    phrase("{n} second", "{n} seconds", n=page.seconds),
                ),
            )
        ),
        Text(phrase("Did you do all of it?"), "strong"),
        ActionList("outcome", tuple(Option(code, said) for code, said in _QUICK.items())),
    )


@view_of.register
def _(page: walk.StepStoppedPage, setting: ViewContext) -> PageView:
    return next_page(
        page.key,
        phrase("Stop this step"),
        Text(_STEP_STOPS.said(page.stop, pain=page.pain, limit=page.most_pain)),
        Text(phrase("Rest until it settles. Then go on with the next page.")),
        Text(phrase("If it does not settle, press Stop.")),
        main=phrase("It has settled, go on"),
    )


# ---------------------------------------------------------------- decisions


_REASONS: dict[str, Callable[[int, int], str]] = {
    "worse": lambda before, now: phrase(
        "Before {before}, now {now}. It hurts more than before.", before=before, now=now
    ),
    "nothing_to_ease": lambda before, now: phrase(
        "Before {before}, now {now}. It did not hurt at the start, so no easing is needed today.",
        before=before,
        now=now,
    ),
    "not_comparable": lambda before, now: phrase(
        "Before {before}, now {now}. The move was not done the same way, so they do not compare.",
        before=before,
        now=now,
    ),
}


def score_sentence(before: int, now: int, target_percent: int) -> str:
    """The two numbers and what is between them, in plain words."""
    if before > 0 and now < before and 2 * now < before:
        return phrase("Before {before}, now {now}. More than half is gone.", before=before, now=now)
    if before > 0 and 2 * now == before:
        return phrase("Before {before}, now {now}. Half is gone.", before=before, now=now)
    return phrase("Before {before}, now {now}.", before=before, now=now)


def decision_sentence(decision: Decision, plan: Plan) -> str:
    """What the plan says comes next, with its reason where the numbers alone do not show it."""
    match (decision.action, decision.reason):
        case ("hands_round", _):
            return phrase("Your plan says: one more round.")
        case ("tape_stage", "plan_tapes_always"):
            return phrase("Your plan says: tape, {stage}.", stage=stage(decision.stage or 1))
        case ("tape_stage", _):
            return phrase(
                "It eased less than your plan asks for. Your plan says: tape, {stage}.",
                stage=stage(decision.stage or 1),
            )
        case ("tape_off_end", _):
            return phrase("Your plan says: take the tape off and stop for today.")
        case ("end", _):
            return phrase("Your plan says: stop for today.")
        case (_, "target_met"):
            return phrase("Your plan says: that is enough for today.")
        case (_, "tape_not_allowed_today"):
            return phrase("Tape comes next in your plan, but not today. This part is done.")
        case (_, "tape_did_not_add"):
            return phrase(
                "The tape did not lower the pain. Your plan says: no more tape. "
                "The tape you have on may stay. Does it itch, pinch or hurt? Then take it off."
            )
        case (_, "moves_used_up"):
            return phrase("You have done the check move as often as your plan allows today.")
        case (_, "low_score"):
            return phrase("That is a low score. Your plan says: that is enough for today.")
        case (_, "nothing_to_ease" | "not_comparable"):
            return phrase("Your plan says: that is enough for today.")
        case _:
            return phrase(
                "It eased less than your plan asks for. Your plan says: that is enough for today."
            )


def decision_heading(page: walk.DecisionPage, plan: Plan) -> str:
    """The two numbers, with what there is to say of them."""
    named = _REASONS.get(page.decision.reason)
    if named is not None:
        return named(page.before, page.latest)
    return score_sentence(page.before, page.latest, plan.ease_target_percent)


def decision_blocks(page: walk.DecisionPage, setting: ViewContext) -> tuple[Block, ...]:
    """What the plan says comes next."""
    decision = page.decision
    blocks: list[Block] = [Text(decision_sentence(decision, setting.plan))]
    if page.tape_off:
        blocks.append(Bulleted(tuple(no_tape_reason(why, setting.plan) for why in page.tape_off)))
    if page.start_zones:
        blocks.append(
            Text(
                phrase(
                    "Start where it still hurts: {zones}.",
                    zones=zone_words(page.start_zones, setting.catalogue),
                )
            )
        )
    if page.exercises_next and decision.action == "tape_stage":
        blocks.append(Text(phrase("Your exercises come first, then the tape.")))
    elif page.exercises_next:
        # Else "enough for today" and what follows would speak against each other.
        blocks.append(Text(phrase("That ends the hands-on part. Your exercises come next.")))
    if decision.action in ("end", "tape_off_end"):
        blocks.append(
            Text(
                phrase(
                    "If it does not settle in two hours, or is worse tomorrow, call your clinic."
                )
            )
        )
    if page.enough is not None:
        blocks.append(Text(phrase("Your plan’s mark: {n} or less.", n=page.enough), "quiet"))
    return tuple(blocks)


@view_of.register
def _(page: walk.DecisionPage, setting: ViewContext) -> PageView:
    return next_page(
        page.key,
        decision_heading(page, setting.plan),
        *decision_blocks(page, setting),
        main=phrase("Go on"),
    )


# ---------------------------------------------------------------- tape


@view_of.register
def _(page: taping.TapeReadyPage, setting: ViewContext) -> PageView:
    steps = setting.catalogue.tape_steps
    reach = [
        Option("alone", phrase("Yes, I can reach")),
        Option("helper", phrase("Someone is here to help")),
        Option("no", phrase("No, and nobody is here")),
    ]
    return next_page(
        page.key,
        phrase("Before the tape"),
        Choose(
            "skin",
            phrase("Look at the skin round the knee. How is it?"),
            (
                Option("clear", phrase("Whole, dry and its usual colour")),
                Option("not_clear", phrase("Sore, red, darker, itchy or broken; or not sure")),
            ),
        ),
        *lotion_off(setting.plan, setting.catalogue, setting.told),
        Choose(
            "clean",
            phrase("Is it clean and dry, with no cream, oil or pain gel?"),
            (Option("yes", phrase("Yes")), Option("no", phrase("No"))),
        ),
        Choose("reach", phrase(steps.reach_question), tuple(reach)),
        *_mind(page.asks, setting, tape=True),
    )


def lotion_off(plan: Plan, catalogue: Catalogue, told: Callable[[Step], str]) -> tuple[Text, ...]:
    """That the plan's lotion comes off before tape; nothing in a plan without one."""
    if plan.lotion is None:
        return ()
    return (Text(phrase(told(catalogue.hands_ready.lotion_off)), "strong"),)


NO_TAPE_REASONS: CodeTable[TapeReason, str] = CodeTable(
    TapeReason,
    {
        "locked": "A warning sign is still open.",
        "caution": "Your clinician has not cleared tape for you.",
        "not_in_plan": "Your plan has no tape for this knee.",
        "patch_test_missing": "The patch test of this tape has not been read twice yet.",
        "patch_test_not_clear": "The patch test of this tape was not clear.",
        "patch_red": "The skin under a test piece was not clear. Talk to your clinic first.",
        "bad_day": "Today is a bad day for this knee. No new tape until tomorrow.",
        "skin": "The skin is not clear.",
        "not_clean": "The skin must be clean and dry first, with no cream or gel.",
        "tape_on": "There is tape on this knee already.",
        "reach": "You need someone to help you reach.",
        "helper_needed": "Your plan says someone must help you with tape.",
        "stay_bare": "Your surgical team wants the skin bare from now on.",
        "trial_bare": "Your tape trial says: a bare day. The skin rests.",
        "trial_no_tape": "Your tape trial says: a day without tape.",
        "trial_evening": "The last tape day of this part is over this evening.",
        "trial_clock": "The clock of this computer may be wrong. Set it first.",
        "rest": "The skin still needs rest from the last tape.",
    },
)


def no_tape_reason(reason: TapeReason, plan: Plan) -> str:
    """Why no tape goes on; of the rest also how long the plan lets the skin have it."""
    if reason != "rest":
        return NO_TAPE_REASONS[reason]
    return phrase(
        "The skin still needs rest: {n} hour from the last tape.",
        "The skin still needs rest: {n} hours from the last tape.",
        n=plan.tape.rest_hours,
    )


_BY_TRIAL = ("trial_bare", "trial_no_tape", "trial_evening", "trial_clock")
_MAY_PASS = ("skin", "not_clean", "reach", "helper_needed", "trial_clock")
"""What may be over later the same day. Nothing of it is kept: the front page offers the tape of a
tape day again, and the gate asks for the skin anew each time."""
_FINAL_REASONS = ("not_in_plan", "stay_bare", "caution", "locked", "patch_red", *_BY_TRIAL)


def _telling(reasons: tuple[TapeReason, ...]) -> tuple[TapeReason, ...]:
    """Where the plan itself rules tape out, the reasons of the day would only confuse."""
    final = tuple(reason for reason in reasons if reason in _FINAL_REASONS)
    return final[:1] or reasons


@view_of.register
def _(page: taping.NoTapePage, setting: ViewContext) -> PageView:
    told = _telling(page.reasons)
    reasons = tuple(no_tape_reason(reason, setting.plan) for reason in told)
    blocks: list[Block] = [Bulleted(reasons) if len(reasons) > 1 else Text(reasons[0])]
    if told[0] in _BY_TRIAL:
        blocks.append(Text(phrase("The front page says each day what kind of day it is.")))
    else:
        blocks.append(
            Text(phrase("Not sure about your skin? Call your clinic before you tape again."))
        )
    may_pass = all(reason in _MAY_PASS for reason in told)
    if page.tape_day and may_pass:
        blocks.append(
            Text(
                phrase("Tape only once the skin is clear again.")
                if "skin" in told
                else phrase("You can open Tape again later today.")
            )
        )
    if page.tape_day:
        blocks.append(
            Text(
                phrase(
                    "If it cannot go on, this day goes without tape. Write your day page as always."
                )
            )
        )
    later = told[0] == "trial_clock" or (page.tape_day and may_pass)
    return next_page(
        page.key,
        phrase("No tape now") if later else phrase("No tape today"),
        *blocks,
        main=phrase("Go on"),
    )


@view_of.register
def _(page: taping.TapeStepPage, setting: ViewContext) -> PageView:
    tape = setting.catalogue.tape_steps
    told = (
        tape.before
        if page.part == "before"
        else next(one for one in tape.stages if one.stage == page.stage).steps
    )
    steps = [told[index] for index in page.steps]
    heading = phrase(steps[0].opens or steps[0].verb)
    written = () if page.write is None else (_write_off_day(page.write, setting),)
    moments = _tape_moments(steps, page.stage, written, setting) if setting.helping else None
    blocks: list[Block] = []
    if moments is not None:
        aloud = phrase("Say aloud: “Say stop if it hurts.” Pain of 1 or more from the tape: stop.")
        heading = moments.each[0].heading
        blocks += [*([Text(aloud, "strong")] if page.part == "stage" else []), moments]
    else:
        words = [(step.verb, step_words(step, setting.plan, setting.told)) for step in steps]
        blocks += [*_tape_pictures(steps, page.stage, setting), *_listed(words, setting)]
        limits = [limit for step in steps for limit in _limits_of(step, page.stage, setting)]
        cuts = any(step.cuts for step in steps)
        blocks += [Bulleted(tuple(limits))] if cuts else [Text(limit) for limit in limits]
        blocks += [Callout(day, said) if day else Text(said, "strong") for said, day in written]
    return PageView(
        key=page.key,
        heading=heading,
        above=phrase(
            "{knee} · tape page {number} of {count}",
            knee=knee(setting.side),
            number=page.number,
            count=page.count,
        ),
        blocks=tuple(blocks),
        main=Button(phrase("Done, go on")),
        others=(_it_hurts(),) if page.part == "stage" else (),
        far=setting.helping,
    )


def _limits_of(step: Step, stage: int, setting: ViewContext) -> Iterator[str]:
    """What a step of putting tape on has as numbers: how long it is cut, how far it is drawn."""
    if step.cuts:
        yield from lengths_to_cut(setting.plan, setting.side, stage)
    if step.moment == "draw":
        yield from pull_sentences(setting.plan.tape)
    yield from stretch_of_strips(setting.plan, setting.side, (step,))


def _tape_moments(
    steps: Sequence[Step], stage: int, written: Sequence[tuple[str, str]], setting: ViewContext
) -> Moments | None:
    """These steps as they are read from two metres: strip, side and verb, and one picture. What has
    none of its own is done where the step before it was; None where nothing is drawn. What is
    `written` on the tape at last stands with the last of them."""
    panels = iter(tape_panels(setting.plan, setting.side, setting.seen_by, stage, steps))
    pieces = {step.piece for step in steps if step.piece is not None}
    drawing, made = None, []
    for step in steps:
        if step.flat is not None or step.moment is not None:
            drawing = next(panels)
        elif step.posture is not None:
            bend = setting.plan.tape.knee_bend_degrees
            drawing = posture_picture(step.posture, setting.side, bend)
        if drawing is None:
            return None
        where, verb = knee(setting.side), inside(phrase(step.verb))
        if step.moment is None and step.piece is None:
            heading = phrase("Cut the pieces") if step.cuts else phrase(step.verb)
        elif step.piece is None:
            heading = phrase("{knee}: {step}", knee=where, step=verb)
        elif len(pieces) == 1:
            strip = inside(phrase(steps[0].opens or steps[0].verb))
            # Its number stands in the line of what it numbers.
            strip = _BEFORE_NUMBER.sub("\u00a0", strip)
            heading = phrase("{knee}, {strip}: {step}", knee=where, strip=strip, step=verb)
        else:
            heading = phrase("{knee}, piece {n}: {step}", knee=where, n=step.piece, step=verb)
        told = step_words(step, setting.plan, setting.told)
        last = [" ".join(both).strip() for both in written] if step is steps[-1] else []
        limits = *_limits_of(step, stage, setting), *last
        made.append(HandMoment(heading, drawing, told, limits))
    return Moments(tuple(made), phrase("Next"), phrase("Read how"))


def _tape_pictures(steps: Sequence[Step], stage: int, setting: ViewContext) -> Iterator[Block]:
    """A panel for each moment of these steps, or how one sits for them."""
    drawings = tape_panels(setting.plan, setting.side, setting.seen_by, stage, steps)
    if drawings:
        yield Panels(drawings)
    for step in steps:
        if step.posture is not None:
            bend = setting.plan.tape.knee_bend_degrees
            yield Picture(posture_picture(step.posture, setting.side, bend))


def _write_off_day(wear: int, setting: ViewContext) -> tuple[str, str]:
    """That the day it must come off is to be written on the tape, and which it is, as far as that
    can be told."""
    words = phrase(setting.told(setting.catalogue.tape_steps.write_off_day))
    now = setting.now
    if now is None or now.tzinfo is None:
        return words, ""
    clock = clock_from_now(setting.plan, setting.side, wear, now, now.tzinfo)
    day = phrase("{day}, {time}", day=long_day(clock.due_at.date()), time=clock_time(clock.due_at))
    return words, day


@view_of.register
def _(page: taping.TapeOnPage, setting: ViewContext) -> PageView:
    tape = setting.catalogue.tape_steps
    return make_page(
        page.key,
        phrase("Is the tape on?"),
        Bulleted(
            (*(phrase(s) for s in tape.after_on), worn_at_most(setting.plan.tape)),
        ),
        Callout(
            " ".join(phrase(s) for s in tape.take_off_for),
            phrase("Take the tape off at once if"),
        ),
        *_daily_look(setting),
        Choose(
            "by",
            phrase("Who put it on?"),
            (
                Option("person", phrase("I did it myself")),
                Option("helper", phrase("My helper did it")),
            ),
        ),
        enter_answers=False,
        main=Button(phrase("The tape is on"), (("tape", "on"),)),
        others=(Button(phrase("It is not on"), (("tape", "not_on"),), asks=False),),
    )


def _daily_look(setting: ViewContext) -> tuple[Block, ...]:
    if not tape_looked_at_daily(setting.plan, setting.catalogue.policy):
        return ()
    return (Callout(daily_look(helping=setting.helping), phrase("Every day")),)


@view_of.register
def _(page: taping.TapeCheckPage, setting: ViewContext) -> PageView:
    return make_page(
        page.key,
        phrase("Check the tape"),
        Text(phrase("Look at the tape and the skin round it.")),
        *_daily_look(setting),
        Tick(
            "feelings",
            phrase("What do you feel from the tape? If nothing, tick none."),
            tuple(Option(feeling, words.answer) for feeling, words in codes.FEELINGS.items()),
        ),
        main=Button(phrase("Next")),
        enter_answers=False,
    )


@view_of.register
def _(page: taping.SkinTooEarlyPage, setting: ViewContext) -> PageView:
    return next_page(
        page.key,
        phrase("A little later"),
        Text(phrase("Look at the skin again at {time}.", time=clock_time(page.at))),
        Text(phrase("Is it getting worse? Press Stop.")),
        main=phrase("To the front page"),
    )


@view_of.register
def _(page: taping.TapeTakenOffPage, setting: ViewContext) -> PageView:
    tape = setting.catalogue.tape_steps
    return make_page(
        page.key,
        phrase("Take the tape off now" if page.felt else "Take the new tape off"),
        *_tape_pictures(tape.removal, 1, setting),
        Numbered(tuple(phrase(setting.told(step)) for step in tape.removal)),
        main=Button(phrase("The tape is off"), (("tape", "off"),), at_once=True),
    )


@view_of.register
def _(page: taping.TapeStoppedPage, setting: ViewContext) -> PageView:
    tape = setting.catalogue.tape_steps
    stays = phrase("Does it still hurt? Then take all of the tape off: press Tape at the front.")
    return PageView(
        key=page.key,
        heading=phrase("Take the new tape off"),
        blocks=(
            *_tape_pictures(tape.removal, 1, setting),
            Numbered(tuple(phrase(setting.told(step)) for step in tape.removal)),
            *((Text(stays, "strong"),) if page.over else ()),
        ),
        main=Button(phrase("The tape is off"), at_once=True),
    )


@view_of.register
def _(page: taping.RemovalPage, setting: ViewContext) -> PageView:
    tape = setting.catalogue.tape_steps
    return make_page(
        page.key,
        phrase("Take the tape off"),
        *_tape_pictures(tape.removal, 1, setting),
        *_steps(tape.removal, setting),
        main=Button(phrase("The tape is off now"), (("off", "now"),), at_once=True),
        others=(
            Button(phrase("I took it off earlier"), (("off", "earlier"),)),
            Button(phrase("It came off by itself"), (("off", "by_itself"),)),
        ),
    )


@view_of.register
def _(page: taping.OffWhenPage, setting: ViewContext) -> PageView:
    return next_page(
        page.key,
        phrase("When did it come off?"),
        Choose(
            "day",
            phrase("Which day?"),
            (
                Option("today", phrase("Today")),
                Option("yesterday", phrase("Yesterday")),
                Option("unknown", phrase("I don’t know when")),
            ),
        ),
        Number(
            "hour",
            phrase("At about what hour? Leave it empty if you do not know."),
            phrase("o’clock"),
            0,
            23,
        ),
    )


@view_of.register
def _(page: taping.SkinPage, setting: ViewContext) -> PageView:
    tape = setting.catalogue.tape_steps
    later = page.when == "after_30_min"
    # Red is what the second look alone can tell.
    answers = (
        skin_options()
        if later
        else tuple(
            Option(skin, words.answer) for skin, words in codes.SKIN.items() if skin != "red"
        )
    )
    # What was pink and is gone looks clear at the second look, and what is pink then is red.
    unseen = "pink" if later else "red"
    panels = finding_panels(
        setting.plan,
        setting.side,
        setting.seen_by,
        [skin for skin in codes.SKIN if skin != unseen],
    )
    blocks: list[Block] = [
        Panels(panels),
        Choose(
            "skin",
            phrase(tape.skin_again_question if later else tape.skin_question),
            answers,
        ),
    ]
    if not later:
        blocks.append(
            Text(
                phrase(
                    "Look at it again in {n} minute.",
                    "Look at it again in {n} minutes.",
                    n=tape.skin_again_minutes,
                ),
                "quiet",
            )
        )
    return next_page(page.key, phrase("How is the skin?"), *blocks)


# ---------------------------------------------------------------- look over


@view_of.register
def _(page: walk.LookOverPage, setting: ViewContext) -> PageView:
    lines = session_lines(page.end, setting)
    result: tuple[Block, ...] = ()
    if page.result is not None:
        heading = Text(decision_heading(page.result, setting.plan), "strong")
        result = (heading, *decision_blocks(page.result, setting))
    knows = Button(phrase("Write it down: I know these steps now"), (("knows", True),))
    view = look_over_view(
        page.key,
        lines,
        *(unsigned(setting.catalogue) if page.end.signs else ()),
        main=Button(phrase("Write it down")),
        others=(knows,) if page.may_know else (),
    )
    return replace(view, blocks=(*result, *view.blocks), enter_answers=True)


def session_lines(end: walk.RoutineEnd, setting: ViewContext) -> tuple[LookOverLine, ...]:
    """A session line by line, only what was recorded."""
    lines: list[LookOverLine] = []
    if end.after_last is not None:
        answer = codes.AFTER_LAST[end.after_last].answer
        gate = setting.door(GatePage, 0)
        lines.append(LookOverLine(phrase("After the last routine"), answer, gate))
    if end.rest_pain is not None:
        door = setting.door(walk.RestPainPage)
        lines.append(LookOverLine(phrase("Pain at rest"), str(end.rest_pain), door))
    lines += _move_lines(end, setting)
    lines += _step_lines(end, setting)
    if end.stage is not None:
        lines.append(LookOverLine(phrase("Tape"), stage(end.stage)))
    if not end.comparable:
        lines.append(LookOverLine(phrase("Done the same way"), yes_or_no(False)))
    for ticked in end.signs:
        sign = phrase(setting.catalogue.sign(ticked.sign).words)
        name = phrase("Ticked by mistake") if ticked.mistake else phrase("Ticked")
        lines.append(LookOverLine(name, sign))
    lines.append(LookOverLine(phrase("How it ended"), end_words(end.reason)))
    return tuple(lines)


def _move_lines(end: walk.RoutineEnd, setting: ViewContext) -> list[LookOverLine]:
    """The scores, each with the places that hurt."""
    lines: list[LookOverLine] = []
    moves = tuple(zip(end.moves, made_again(end.moves), strict=True))
    rounds = sum(move.role == "after_hands" and not again for move, again in moves)
    number = 0
    for place, (move, again) in enumerate(moves):
        name = capital(codes.MOVE_ROLES[move.role].home)
        if move.role == "after_hands":
            number += not again
            if rounds > 1:
                name = phrase("After round {number}", number=number)
        if again:
            name = phrase("{name}, again", name=name)
        door = setting.door(walk.MovePage, place)
        where = zone_words(move.zones, setting.catalogue) if move.zones else ""
        if not where or not door:
            value = str(move.score)
            if where:
                value = phrase("{score}, {zones}", score=value, zones=where)
            lines.append(LookOverLine(name, value, door))
            continue
        zones = setting.door(walk.ZonesPage, key=f"zones:{door}")
        lines.append(LookOverLine(name, str(move.score), door))
        lines.append(LookOverLine(phrase("{name}: where it hurt", name=name), where, zones))
    return lines


def _step_lines(end: walk.RoutineEnd, setting: ViewContext) -> list[LookOverLine]:
    """The hands-on part and the exercises, each a line that sums its steps up."""
    lines: list[LookOverLine] = []
    steps = [(n, step) for n, one in enumerate(end.rounds, 1) for step in one.steps]
    if steps:
        sheets = setting.catalogue.technique
        several = len(end.rounds) > 1
        each = [
            _step_line(
                step,
                phrase("{n}: {step}", n=n, step=title) if several else title,
                _step_door("hands", step.step, n, setting),
            )
            for n, step in steps
            for title in (phrase(sheets(step.step).title),)
        ]
        said = phrase(
            "{n} round, {done} of {count} steps done",
            "{n} rounds, {done} of {count} steps done",
            n=len(end.rounds),
            done=sum(step.outcome == "done" for _, step in steps),
            count=len(steps),
        )
        lines.append(_summed(phrase("Hands-on part"), said, each))
    if end.exercises:
        exercises = setting.catalogue.exercise
        each = [
            _step_line(
                step,
                phrase(exercises(step.step).title),
                _step_door("exercise", step.step, 1, setting),
            )
            for step in end.exercises
        ]
        said = phrase(
            "{done} of {count} done",
            done=sum(step.outcome == "done" for step in end.exercises),
            count=len(end.exercises),
        )
        lines.append(_summed(phrase("Exercises"), said, each))
    return lines


def _step_door(part: RoutinePart, name: str, round_number: int, setting: ViewContext) -> str:
    """Where it was said of a step how it went: on its page or on that of several, or where that was
    asked once more."""
    door = ""
    for page in setting.passed:
        match page:
            case walk.StepPage() if page.round_number == round_number and part == "hands":
                own = page.technique.technique == name
            case walk.ExercisePage() if part == "exercise":
                own = page.exercise.exercise == name
            case walk.KnownStepsPage() if page.round_number == round_number and part == page.part:
                own = name in page.about
            case _:
                continue
        door = page.key if own else door
    return (
        setting.door(walk.QuickStepPage, key=f"{door}:quick")
        or setting.door(walk.EachStepPage, key=f"{door}:each")
        or setting.door(object, key=door or "none")
    )


def _step_line(step: StepDone, title: str, door: str) -> LookOverLine:
    value = codes.STEP_OUTCOMES[step.outcome]
    if step.pain is not None:
        value = phrase("{outcome}, pain {pain}", outcome=value, pain=step.pain)
    if step.counted is not None:
        value = phrase("{outcome}, {n} counted", outcome=value, n=step.counted)
    return LookOverLine(title, value, door)


def _summed(name: str, value: str, lines: Sequence[LookOverLine]) -> LookOverLine:
    """A line over others, where one of these leads back."""
    return LookOverLine(name, value, lines=tuple(lines) if any(x.door for x in lines) else ())


def skin_options() -> tuple[Option, ...]:
    """Answers to "how is the skin?" when it has had its 30 minutes."""
    return tuple(Option(skin, words.later) for skin, words in codes.SKIN.items())


__all__ = [
    "NO_TAPE_REASONS",
    "Number",
    "decision_sentence",
    "hands_ready",
    "lotion_off",
    "no_tape_reason",
    "score_sentence",
    "session_lines",
    "skin_options",
    "zone_words",
]
