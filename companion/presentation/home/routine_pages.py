"""The pages of the routine and of tape, from the walk's pages to what is shown."""

from collections.abc import Callable, Iterable, Sequence
from functools import partial
from typing import Literal

from companion.care import ready, taping
from companion.care import routine as walk
from companion.care.bad_days import SpellCall, rest_pain_limit
from companion.care.catalogue import Catalogue, Step, TechniqueSheet
from companion.care.caution_rules import tape_looked_at_daily
from companion.care.course import Decision, made_again
from companion.care.dose import Dose
from companion.care.policy import BEFOREHAND, Ask, Policy
from companion.care.records import Plan, Zone
from companion.care.tape_gate import TapeReason
from companion.picture.drawing import Drawing
from companion.picture.motions import loop_times
from companion.picture.profile import posture_picture
from companion.picture.scenes import knee_of, tape_picture, technique_picture
from companion.presentation.home.card_pages import about_card, card_block
from companion.presentation.home.cutting import lengths_to_cut
from companion.presentation.home.numbers import phones_of
from companion.presentation.home.walk_view import Setting, view_of
from companion.presentation.language import codes
from companion.presentation.language.caution_words import SAID_ELSEWHERE, asked_for
from companion.presentation.language.code_table import CodeTable, capital, inside
from companion.presentation.language.field_words import end_words
from companion.presentation.language.phrases import clock_time, phrase
from companion.presentation.language.words import (
    daily_look,
    depth_lines,
    joined,
    knee,
    move_name,
    move_sentence,
    pain_ends,
    pain_scale_words,
    pull_sentences,
    rest_between,
    stage,
    this_knee,
    yes_or_no,
)
from companion.presentation.view.page import (
    Block,
    Bulleted,
    Button,
    Callout,
    Choose,
    DefinitionList,
    Heading,
    KneeTick,
    Number,
    Numbered,
    Option,
    PageView,
    Phones,
    Picture,
    Scale,
    Text,
    Tick,
    Timer,
    TwoColumns,
    Write,
)

LOOP_FRAMES = 40
"""Pictures in one calm round of a movement."""


_NEXT = "Next"


def _next() -> Button:
    return Button(phrase(_NEXT))


# ---------------------------------------------------------------- open signs, cards


@view_of.register
def _(page: walk.ClosedPage, setting: Setting) -> PageView:
    sign = setting.catalogue.sign(page.sign)
    return PageView(
        key=page.key,
        heading=phrase("The routine is closed"),
        blocks=(
            card_block(sign, setting.plan, setting.catalogue, setting.now),
            *about_card(sign, setting),
        ),
        main=Button(phrase("To the front page")),
    )


# ---------------------------------------------------------------- the score


@view_of.register
def _(page: ready.ReadyPage, setting: Setting) -> PageView:
    words = codes.PARTS[page.parts[0]]
    return PageView(
        key=page.key,
        heading=words.before,
        blocks=(
            Bulleted(asked_for(page.asks, helping=setting.helping)),
            Choose(
                "ready",
                phrase("Is all of this ready?"),
                (Option("yes", phrase("Yes, all of it")), Option("no", words.left_out)),
            ),
        ),
        main=_next(),
    )


@view_of.register
def _(page: walk.TenPage, setting: Setting) -> PageView:
    return PageView(
        key=page.key,
        heading=phrase("What 10 stands for"),
        blocks=(
            Text(phrase("Your last five routines began at 10.")),
            Choose(
                "ten",
                phrase("Is a 10 the worst possible pain?"),
                tuple(Option(code, row.answer) for code, row in codes.TEN_SAID.items()),
            ),
            Text(phrase("Your clinic will see your answer. You are asked this once."), "quiet"),
        ),
        main=_next(),
    )


@view_of.register
def _(page: walk.RestPainPage, setting: Setting) -> PageView:
    low, high = pain_ends()
    return PageView(
        key=page.key,
        heading=phrase("Pain now, at rest"),
        blocks=(
            Text(phrase("Sit still for a moment.")),
            Scale(
                "score",
                phrase("How much does your {knee} hurt now?", knee=this_knee(setting.side)),
                low,
                high,
            ),
            Text(phrase("Above {limit}: no hands-on part today.", limit=page.limit), "quiet"),
        ),
        main=_next(),
    )


_HANDS_OFF: CodeTable[walk.HandsOff, str] = CodeTable(
    walk.HandsOff,
    {
        "locked": "A warning sign is still open.",
        "done_today": "You have done it today. Your plan says once a day.",
        "tape_on": "Your tape is on. The hands-on part waits until it is off.",
        "tape_came_off": "Your tape has just come off.",
        "flare": "Your pain has been up for some days. Your plan says: no hands-on part then.",
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


def spell_blocks(spell: bool, call: SpellCall | None, setting: Setting) -> tuple[Block, ...]:
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


def dose_words(dose: Dose, plan: Plan) -> str:
    """How much of the plan is done today."""
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
    if any(today < one.repeats for today, one in zip(dose.repeats, plan.exercises, strict=True)):
        parts.append(phrase("fewer times for each exercise"))
    if not parts:
        return phrase("Today: all of your plan.")
    return phrase("Today: {parts}.", parts=joined(parts))


@view_of.register
def _(page: walk.DosePage, setting: Setting) -> PageView:
    blocks: list[Block] = [Text(codes.DOSES[page.dose.why].home)]
    if page.dose.call:
        blocks = [Text(codes.DOSES[page.dose.why].home, "strong")]
        lines = phones_of(setting.plan, ("clinic", "out_of_hours"))
        if lines:
            blocks.append(Phones(phrase("Whom to call"), lines))
    if page.dose.why != "more_next_morning_1":
        blocks.append(Text(dose_words(page.dose, setting.plan)))
    if page.dose.steps:
        blocks.append(
            Text(phrase("Once three routines running sit well, a step comes back."), "quiet")
        )
    return PageView(
        key=page.key, heading=phrase("How much today"), blocks=tuple(blocks), main=_next()
    )


@view_of.register
def _(page: walk.SpellPage, setting: Setting) -> PageView:
    said = phrase("You said that a bad spell had begun. Now it is {score}.", score=page.score)
    if page.mark is not None:
        said = phrase(
            "You said that a bad spell had begun. Now it is {score}, below {mark}.",
            score=page.score,
            mark=page.mark,
        )
    return PageView(
        key=page.key,
        heading=phrase("Is the bad spell over?"),
        blocks=(
            Text(said),
            Choose(
                "over",
                phrase("Is your knee as usual again?"),
                (Option("yes", phrase("Yes, as usual")), Option("no", phrase("No, not yet"))),
            ),
        ),
        main=_next(),
    )


@view_of.register
def _(page: walk.BadDayPage, setting: Setting) -> PageView:
    match page.why:
        case "mark":
            said = phrase(
                "{score} today. {mark} or more is a bad day.", score=page.score, mark=page.mark
            )
        case "other_knee":
            said = phrase("{score} today. It is a bad day for your other knee.", score=page.score)
        case "spell":
            said = phrase("{score} today. Your bad spell goes on.", score=page.score)
    left: list[str] = [phrase("The check move is not done again.")]
    if page.hands:
        left.append(phrase("One calm round of the hands-on part."))
    if page.exercises:
        left.append(phrase("Then your exercises for a bad day."))
    left.append(phrase("No new tape for the routine."))
    return PageView(
        key=page.key,
        heading=phrase("A bad day: a shorter routine"),
        blocks=(
            Text(said),
            *spell_blocks(page.spell, page.call, setting),
            Bulleted(tuple(left)),
            Text(phrase("Bad days come and go. Do what is left of the routine gently."))
            if not page.spell
            else Text(phrase("Does something new come with it? Press Stop.")),
        ),
        main=_next(),
    )


@view_of.register
def _(page: walk.NoHandsPage, setting: Setting) -> PageView:
    limit = rest_pain_limit(setting.plan)
    said = _HANDS_OFF.said(page.reason, limit=limit)
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
    return PageView(
        key=page.key,
        heading=phrase("No hands-on part today"),
        blocks=tuple(blocks),
        main=_next(),
    )


@view_of.register
def _(page: walk.NoMovePage, setting: Setting) -> PageView:
    if page.hands:
        left = phrase("One calm round of the hands-on part comes next.")
    elif page.exercises:
        left = phrase("Your exercises come next.")
    else:
        left = phrase("There is nothing more to do in the routine today.")
    return PageView(
        key=page.key,
        heading=phrase("No check move today"),
        blocks=(
            Text(phrase("Today you do not stand up or step for a score.")),
            Text(left),
            Text(phrase("Your day counts as done."), "quiet"),
        ),
        main=_next(),
    )


@view_of.register
def _(page: walk.DepthPage, setting: Setting) -> PageView:
    move = setting.plan.check_move
    lines = depth_lines(move.depth)
    blocks: list[Block] = [
        Text(phrase("Your check move: {move}.", move=move_name(move))),
        Text(phrase("Set it up the same way every time. Scores compare only then.")),
    ]
    if lines:
        blocks.append(Bulleted(lines))
    blocks += [
        Choose(
            "depth",
            phrase("Is it set up like this?"),
            (
                Option("as_plan", phrase("Yes, like this")),
                Option("other", phrase("No, in another way today")),
            ),
        ),
        Write("how", phrase("If in another way: how?"), 60, "one"),
    ]
    return PageView(key=page.key, heading=phrase("Make ready"), blocks=tuple(blocks), main=_next())


@view_of.register
def _(page: walk.MovePage, setting: Setting) -> PageView:
    low, high = pain_ends()
    blocks: list[Block] = []
    if page.again:
        blocks.append(Text(phrase("Once more, set up as in your plan.")))
    blocks += [
        Text(move_sentence(setting.plan.check_move), "strong"),
        Scale(
            "score",
            phrase("How much did it hurt? {scale}", scale=pain_scale_words()),
            low,
            high,
        ),
    ]
    if page.role != "before":
        blocks.append(
            Choose(
                "same_depth",
                phrase("Was it as low, with the same help, as before?"),
                (Option(True, phrase("Yes, the same")), Option(False, phrase("No, different"))),
            )
        )
    if page.mark is not None:
        blocks.append(
            Text(phrase("{mark} or more: a bad day, a shorter routine.", mark=page.mark), "quiet")
        )
    if page.enough is not None:
        blocks.append(Text(phrase("{n} or less is enough.", n=page.enough), "quiet"))
    blocks.append(
        Text(
            phrase(
                "Check move {number} of {allowed} at most.",
                number=page.number,
                allowed=page.allowed,
            ),
            "quiet",
        )
    )
    return PageView(
        key=page.key,
        heading=codes.MOVE_ROLES[page.role].heading,
        blocks=tuple(blocks),
        main=_next(),
    )


def zone_words(zones: tuple[Zone, ...], catalogue: Catalogue) -> str:
    """The sore zones in Home words, joined."""
    return joined(inside(phrase(catalogue.zone(zone).home_words)) for zone in zones)


@view_of.register
def _(page: walk.ZonesPage, setting: Setting) -> PageView:
    return PageView(
        key=page.key,
        heading=phrase("Where did it hurt?"),
        blocks=(
            Text(phrase("Tick each place. If you cannot tell, tick none.")),
            KneeTick(
                "zones",
                phrase("Sore places of the {knee}", knee=this_knee(setting.side)),
                setting.side,
                setting.seen_by,
                tuple(
                    Option(zone.id, phrase(zone.home_words))
                    for zone in setting.catalogue.zones.zones
                ),
                knee_of(setting.plan, setting.side),
            ),
        ),
        main=_next(),
    )


# ---------------------------------------------------------------- steps


def stop_words(sentences: Iterable[str], most_pain: int) -> str:
    """What stops a step, with the number above which its pain does."""
    return " ".join(phrase(sentence, limit=most_pain) for sentence in sentences)


def _how_it_went(exercise: bool) -> tuple[Block, ...]:
    low, high = pain_ends()
    return (
        Scale(
            "pain",
            phrase("The most pain during it. You may leave this out."),
            low,
            high,
            needed=False,
        ),
    )


def _steps(steps: Iterable[Step], setting: Setting) -> tuple[Block, ...]:
    """Steps in order; for a helper each with its number and verb, to be read from two metres."""
    return _listed([(step.verb, phrase(setting.told(step))) for step in steps], setting)


def _listed(told: Sequence[tuple[str, str]], setting: Setting) -> tuple[Block, ...]:
    """Verbs and sentences in order: see `_steps`."""
    if not setting.helping:
        return (Numbered(tuple(sentence for _, sentence in told)),)
    blocks: list[Block] = []
    for number, (verb, sentence) in enumerate(told, 1):
        blocks.append(Heading(phrase("{number} {verb}", number=number, verb=phrase(verb))))
        blocks.append(Text(sentence))
    return tuple(blocks)


def hands_ready(
    plan: Plan, catalogue: Catalogue, told: Callable[[Step], str]
) -> tuple[tuple[str, str], ...]:
    """How hands and skin are made ready by a plan, as verb and sentence."""
    steps = catalogue.hands_ready.for_plan(plan)
    return tuple((step.verb, phrase(told(step), lotion=plan.lotion)) for step in steps)


def _in_motion(sheet: TechniqueSheet, setting: Setting) -> tuple[Drawing, ...]:
    return tuple(
        technique_picture(sheet, setting.plan, setting.side, setting.seen_by, time)
        for time in loop_times(LOOP_FRAMES)
    )


@view_of.register
def _(page: walk.HandsReadyPage, setting: Setting) -> PageView:
    return PageView(
        key=page.key,
        heading=phrase("Make your hands ready"),
        blocks=_listed(hands_ready(setting.plan, setting.catalogue, setting.told), setting),
        main=Button(phrase("My hands are ready")),
        far=setting.helping,
    )


@view_of.register
def _(page: walk.StepPage, setting: Setting) -> PageView:
    sheet = setting.catalogue.technique(page.technique.technique)
    pressure = setting.catalogue.pressure(sheet.pressure, lightest="lightest_hands" in page.asks)
    return PageView(
        key=page.key,
        heading=phrase(sheet.title),
        above=phrase(
            "{knee} · round {round_number} · step {index} of {count}",
            knee=knee(setting.side),
            round_number=page.round_number,
            index=page.index,
            count=page.count,
        ),
        blocks=(
            Text(phrase(sheet.position_helper if setting.helping else sheet.position)),
            TwoColumns(
                Picture(
                    technique_picture(sheet, setting.plan, setting.side, setting.seen_by),
                    partial(_in_motion, sheet, setting),
                ),
                (
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
                                    n=page.technique.repeats,
                                    seconds=page.technique.seconds,
                                ),
                            ),
                        )
                    ),
                    *_steps(sheet.steps, setting),
                ),
            ),
            *_mind(page.asks, setting),
            Timer("seconds", page.technique.seconds),
            Callout(stop_words(sheet.stop_for, page.most_pain), phrase("Stop this step if")),
            *_how_it_went(False),
        ),
        main=Button(phrase("Step done"), (("outcome", "done"),)),
        others=(
            Button(phrase("Leave this step out"), (("outcome", "skipped"),), asks=False),
            Button(phrase("It hurt too much"), (("outcome", "stopped"),), asks=False),
        ),
        far=setting.helping,
    )


@view_of.register
def _(page: walk.ExercisePage, setting: Setting) -> PageView:
    sheet = setting.catalogue.exercise(page.exercise.exercise)
    prescribed = page.exercise
    often = phrase("{n} time", "{n} times", n=prescribed.repeats)
    if page.planned is not None:
        often = phrase("{often} (your plan: {planned})", often=often, planned=page.planned)
    if prescribed.sets > 1:
        often = phrase("{often}, {sets} rounds", often=often, sets=prescribed.sets)
    facts = [(phrase("How often"), often)]
    if prescribed.hold_seconds:
        facts.append(
            (phrase("Hold"), phrase("{n} second", "{n} seconds", n=prescribed.hold_seconds))
        )
    if prescribed.sets > 1:
        facts.append((phrase("Between rounds"), rest_between(sheet)))
    if sheet.needs:
        facts.append((phrase("You need"), joined(phrase(need) for need in sheet.needs)))
    blocks: list[Block] = [
        Text(phrase(sheet.position_helper if setting.helping else sheet.position)),
        DefinitionList(tuple(facts)),
    ]
    if page.easier and sheet.easier is not None:
        blocks.append(Callout(phrase(setting.told(sheet.easier)), phrase("Today in an easier way")))
    else:
        blocks.append(Numbered(tuple(phrase(setting.told(step)) for step in sheet.steps)))
    if prescribed.hold_seconds:
        blocks.append(Timer("seconds", prescribed.hold_seconds))
    blocks += [
        *_mind(page.asks, setting),
        Callout(stop_words(sheet.stop_for, page.most_pain), phrase("Stop this exercise if")),
    ]
    return PageView(
        key=page.key,
        heading=phrase(sheet.title),
        above=phrase(
            "{knee} · exercise {index} of {count}",
            knee=knee(setting.side),
            index=page.index,
            count=page.count,
        ),
        blocks=(*blocks, *_how_it_went(True)),
        main=Button(phrase("Exercise done"), (("outcome", "done"),)),
        others=(
            Button(phrase("Leave it out"), (("outcome", "skipped"),), asks=False),
            Button(phrase("It hurt too much"), (("outcome", "stopped"),), asks=False),
        ),
    )


def _mind(asks: Iterable[Ask], setting: Setting, *, tape: bool = False) -> tuple[Block, ...]:
    """What is minded all the while; what is made ready beforehand was asked."""
    left = [ask for ask in asks if ask not in (*BEFOREHAND, *SAID_ELSEWHERE)]
    said = asked_for(left, helping=setting.helping, tape=tape)
    if not said:
        return ()
    return (Bulleted(said) if len(said) > 1 else Callout(said[0]),)


_STEP_STOPS: CodeTable[walk.Stopped, str] = CodeTable(
    walk.Stopped,
    {
        "said": "It hurt too much. So this step stops here.",
        "above_ceiling": "The pain was {pain}. Your plan says: stop above {limit}.",
        "above_rest": "The pain was {pain}. That is too far above the pain at rest: "
        "stop above {limit} today.",
    },
)


@view_of.register
def _(page: walk.StepStoppedPage, setting: Setting) -> PageView:
    return PageView(
        key=page.key,
        heading=phrase("Stop this step"),
        blocks=(
            Text(_STEP_STOPS.said(page.stop, pain=page.pain, limit=page.most_pain)),
            Text(phrase("Rest until it settles. Then go on with the next page.")),
            Text(phrase("If it does not settle, press Stop.")),
        ),
        main=Button(phrase("It has settled, go on")),
    )


# ---------------------------------------------------------------- decisions


_REASONS: dict[str, Callable[[int, int], str]] = {
    "worse": lambda before, now: phrase(
        "Before {before}, now {now}. It hurts more than before.", before=before, now=now
    ),
    "nothing_to_ease": lambda before, now: phrase(
        "Before {before}, now {now}. It did not hurt before, so there is nothing to ease.",
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
                "That is short of the mark. Your plan says: tape, {stage}.",
                stage=stage(decision.stage or 1),
            )
        case ("tape_off_end", _):
            return phrase("Your plan says: take the tape off and stop for today.")
        case ("end", _):
            return phrase("Your plan says: stop for today.")
        case (_, "target_met"):
            return phrase("Your plan says: stop here.")
        case (_, "tape_not_allowed_today"):
            return phrase("Your plan would tape now, but not today. So this part ends here.")
        case (_, "tape_did_not_add"):
            return phrase(
                "The tape did not bring it lower. Your plan says: no more tape. "
                "What is on may stay. Does it itch, pinch or hurt? Then take it off."
            )
        case (_, "moves_used_up"):
            return phrase("No check moves are left. Your plan says: stop here.")
        case (_, "low_score"):
            return phrase("That is a low score. Your plan says: stop here.")
        case (_, "nothing_to_ease" | "not_comparable"):
            return phrase("Your plan says: stop here.")
        case _:
            return phrase("That is short of the mark. Your plan says: stop here.")


@view_of.register
def _(page: walk.DecisionPage, setting: Setting) -> PageView:
    decision = page.decision
    named = _REASONS.get(decision.reason)
    numbers = (
        named(page.before, page.latest)
        if named is not None
        else score_sentence(page.before, page.latest, setting.plan.ease_target_percent)
    )
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
        # Else "stop here" and what follows would speak against each other.
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
    return PageView(
        key=page.key, heading=numbers, blocks=tuple(blocks), main=Button(phrase("Go on"))
    )


# ---------------------------------------------------------------- tape


@view_of.register
def _(page: taping.TapeReadyPage, setting: Setting) -> PageView:
    steps = setting.catalogue.tape_steps
    reach = [
        Option("alone", phrase("Yes, I can reach")),
        Option("helper", phrase("Someone is here to help")),
        Option("no", phrase("No, and nobody is here")),
    ]
    return PageView(
        key=page.key,
        heading=phrase("Before the tape"),
        blocks=(
            Choose(
                "skin",
                phrase("Look at the skin round the knee. How is it?"),
                (
                    Option("clear", phrase("Whole, dry, its usual colour")),
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
        ),
        main=_next(),
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
        "rest": "The skin needs its rest since the last tape.",
    },
)


def no_tape_reason(reason: TapeReason, plan: Plan) -> str:
    """Why no tape goes on; of the rest also how long the plan lets the skin have it."""
    if reason != "rest":
        return NO_TAPE_REASONS[reason]
    return phrase(
        "The skin needs its rest since the last tape: {n} hour in your plan.",
        "The skin needs its rest since the last tape: {n} hours in your plan.",
        n=plan.tape.rest_hours,
    )


_BY_TRIAL = ("trial_bare", "trial_no_tape", "trial_evening", "trial_clock")
_MAY_PASS = ("skin", "not_clean", "reach", "helper_needed", "trial_clock")
"""What may be over later the same day. Nothing of it is kept: the front page offers the tape of a
tape day again, and the gate asks for the skin anew each time."""
_FINAL_REASONS = ("not_in_plan", "stay_bare", "caution", "locked", *_BY_TRIAL)


def _telling(reasons: tuple[TapeReason, ...]) -> tuple[TapeReason, ...]:
    """Where the plan itself rules tape out, the reasons of the day would only confuse."""
    final = tuple(reason for reason in reasons if reason in _FINAL_REASONS)
    return final[:1] or reasons


@view_of.register
def _(page: taping.NoTapePage, setting: Setting) -> PageView:
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
    return PageView(
        key=page.key,
        heading=phrase("No tape now") if later else phrase("No tape today"),
        blocks=tuple(blocks),
        main=Button(phrase("Go on")),
    )


def _drawn_stage(stage: int) -> Literal[1, 2]:
    return 2 if stage == 2 else 1


def _skin_drawn(piece: int, setting: Setting) -> tuple[Drawing, ...]:
    return tuple(
        tape_picture(setting.plan, setting.side, 1, setting.seen_by, piece, "draw", time)
        for time in loop_times(LOOP_FRAMES)
    )


def _tape_step_picture(step: Step, stage: int, setting: Setting) -> Picture:
    """What is on by then and what is done now; drawing the skin can be seen in motion."""
    moment = step.moment or "lay"
    still = tape_picture(
        setting.plan, setting.side, _drawn_stage(stage), setting.seen_by, step.piece, moment
    )
    if moment == "draw" and step.piece is not None:
        return Picture(still, partial(_skin_drawn, step.piece, setting))
    return Picture(still)


@view_of.register
def _(page: taping.TapeStepPage, setting: Setting) -> PageView:
    tape = setting.catalogue.tape_steps
    match page.part:
        case "before":
            step = tape.before[page.index]
        case "write":
            step = tape.write_off_day
        case _:
            step = next(s for s in tape.stages if s.stage == page.stage).steps[page.index]
    blocks: list[Block] = [Text(phrase(setting.told(step)), "strong")]
    if step.piece is not None and f" {step.piece}" not in setting.told(step):
        blocks.append(Text(phrase("This is about strip {piece}.", piece=step.piece), "quiet"))
    if page.part == "before" and step.cuts:
        lengths = lengths_to_cut(setting.plan, setting.side, page.stage)
        blocks += [Text(said) for said in lengths]
    if page.part == "stage":
        if step.moment == "draw":
            blocks += [Text(said) for said in pull_sentences(setting.plan.tape)]
        blocks = [TwoColumns(_tape_step_picture(step, page.stage, setting), tuple(blocks))]
    elif step.posture is not None:
        bend = setting.plan.tape.knee_bend_degrees
        sitting = Picture(posture_picture(step.posture, setting.side, bend))
        blocks = [TwoColumns(sitting, tuple(blocks))]
    return PageView(
        key=page.key,
        heading=phrase("{number} {verb}", number=page.number, verb=phrase(step.verb))
        if setting.helping
        else phrase(step.verb),
        above=phrase(
            "{knee} · tape step {number} of {count}",
            knee=knee(setting.side),
            number=page.number,
            count=page.count,
        ),
        blocks=tuple(blocks),
        main=Button(phrase("Done, next step")),
        far=setting.helping,
    )


@view_of.register
def _(page: taping.TapeOnPage, setting: Setting) -> PageView:
    tape = setting.catalogue.tape_steps
    return PageView(
        key=page.key,
        heading=phrase("Is the tape on?"),
        blocks=(
            Bulleted(tuple(phrase(sentence) for sentence in tape.after_on)),
            Callout(
                " ".join(phrase(s) for s in tape.take_off_for), phrase("Take it off at once for")
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
        ),
        main=Button(phrase("The tape is on"), (("tape", "on"),)),
        others=(Button(phrase("It is not on"), (("tape", "not_on"),), asks=False),),
    )


def _daily_look(setting: Setting) -> tuple[Block, ...]:
    if not tape_looked_at_daily(setting.plan, setting.catalogue.policy):
        return ()
    return (Callout(daily_look(helping=setting.helping), phrase("Every day")),)


@view_of.register
def _(page: taping.TapeCheckPage, setting: Setting) -> PageView:
    return PageView(
        key=page.key,
        heading=phrase("Check the tape"),
        blocks=(
            Text(phrase("Look at the tape and the skin round it.")),
            *_daily_look(setting),
            Tick(
                "feelings",
                phrase("What do you feel from the tape? If nothing, tick none."),
                tuple(Option(feeling, words.answer) for feeling, words in codes.FEELINGS.items()),
            ),
        ),
        main=_next(),
        enter_answers=False,
    )


@view_of.register
def _(page: taping.SkinTooEarlyPage, setting: Setting) -> PageView:
    return PageView(
        key=page.key,
        heading=phrase("A little later"),
        blocks=(
            Text(phrase("Look at the skin again at {time}.", time=clock_time(page.at))),
            Text(phrase("Is it getting worse? Press Stop.")),
        ),
        main=Button(phrase("To the front page")),
    )


@view_of.register
def _(page: taping.TapeTakenOffPage, setting: Setting) -> PageView:
    tape = setting.catalogue.tape_steps
    return PageView(
        key=page.key,
        heading=phrase("Take the tape off now" if page.felt else "Take the new tape off"),
        blocks=(Numbered(tuple(phrase(setting.told(step)) for step in tape.removal)),),
        main=Button(phrase("The tape is off"), (("tape", "off"),)),
    )


@view_of.register
def _(page: taping.RemovalPage, setting: Setting) -> PageView:
    tape = setting.catalogue.tape_steps
    return PageView(
        key=page.key,
        heading=phrase("Take the tape off"),
        blocks=_steps(tape.removal, setting),
        main=Button(phrase("The tape is off now"), (("off", "now"),)),
        others=(
            Button(phrase("I took it off earlier"), (("off", "earlier"),)),
            Button(phrase("It came off by itself"), (("off", "by_itself"),)),
        ),
    )


@view_of.register
def _(page: taping.OffWhenPage, setting: Setting) -> PageView:
    return PageView(
        key=page.key,
        heading=phrase("When did it come off?"),
        blocks=(
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
                phrase("About what hour? Leave it out if you don’t know."),
                phrase("o’clock"),
                0,
                23,
            ),
        ),
        main=_next(),
    )


@view_of.register
def _(page: taping.SkinPage, setting: Setting) -> PageView:
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
    blocks: list[Block] = [
        Choose(
            "skin",
            phrase(tape.skin_again_question if later else tape.skin_question),
            answers,
        )
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
    return PageView(
        key=page.key, heading=phrase("How is the skin?"), blocks=tuple(blocks), main=_next()
    )


# ---------------------------------------------------------------- look over


@view_of.register
def _(page: walk.LookOverPage, setting: Setting) -> PageView:
    return PageView(
        key=page.key,
        heading=phrase("Look it over"),
        blocks=(
            DefinitionList(session_facts(page.end, setting)),
            Text(phrase("Is something wrong? Press Back and change it.")),
        ),
        main=Button(phrase("Write it down")),
    )


def session_facts(end: walk.RoutineEnd, setting: Setting) -> tuple[tuple[str, str], ...]:
    """A session as names and values, only what was recorded."""
    rows: list[tuple[str, str]] = []
    if end.after_last is not None:
        answer = codes.AFTER_LAST[end.after_last].answer
        rows.append((phrase("After the last routine"), answer))
    if end.rest_pain is not None:
        rows.append((phrase("Pain at rest"), str(end.rest_pain)))
    moves = tuple(zip(end.moves, made_again(end.moves), strict=True))
    rounds = sum(move.role == "after_hands" and not again for move, again in moves)
    number = 0
    for move, again in moves:
        value = str(move.score)
        if move.zones:
            value = phrase(
                "{score}, {zones}", score=value, zones=zone_words(move.zones, setting.catalogue)
            )
        name = capital(codes.MOVE_ROLES[move.role].home)
        if move.role == "after_hands":
            number += not again
            if rounds > 1:
                name = phrase("After round {number}", number=number)
        if again:
            name = phrase("{name}, again", name=name)
        rows.append((name, value))
    if end.rounds:
        done = sum(step.outcome == "done" for r in end.rounds for step in r.steps)
        count = sum(len(r.steps) for r in end.rounds)
        rows.append(
            (
                phrase("Hands-on part"),
                phrase(
                    "{n} round, {done} of {count} steps done",
                    "{n} rounds, {done} of {count} steps done",
                    n=len(end.rounds),
                    done=done,
                    count=count,
                ),
            )
        )
    if end.exercises:
        rows.append(
            (
                phrase("Exercises"),
                phrase(
                    "{done} of {count} done",
                    done=sum(step.outcome == "done" for step in end.exercises),
                    count=len(end.exercises),
                ),
            )
        )
    if end.stage is not None:
        rows.append((phrase("Tape"), stage(end.stage)))
    if not end.comparable:
        rows.append((phrase("Done the same way"), yes_or_no(False)))
    for ticked in end.signs:
        sign = phrase(setting.catalogue.sign(ticked.sign).words)
        rows.append((phrase("Ticked by mistake") if ticked.mistake else phrase("Ticked"), sign))
    rows.append((phrase("How it ended"), end_words(end.reason)))
    return tuple(rows)


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
    "session_facts",
    "skin_options",
    "zone_words",
]
