"""The page behind the door "A bad spell": what the plan says for one, and its press to begin or end
it."""

from __future__ import annotations

from companion.care.policy import Policy
from companion.care.records import Plan
from companion.presentation.home.numbers import phones_of
from companion.presentation.home.routine_pages import spell_call_words
from companion.presentation.language.phrases import phrase
from companion.presentation.view.page import (
    Block,
    Bulleted,
    Button,
    Callout,
    PageView,
    Phones,
    Text,
    next_page,
)
from companion.services.front import Front


def bad_spell_view(front: Front, plan: Plan, policy: Policy) -> PageView:
    """What a bad spell is, what the plan says for it, and when to call."""
    days = plan.flare_days or policy.state("flare_days_used_up").number("days")
    spell = front.spell
    blocks: list[Block] = []
    if spell is None:
        blocks.append(Text(phrase("Does your knee hurt much more than it usually does?"), "strong"))
    elif spell.call is not None:
        blocks += [Text(spell_call_words(spell.call, plan, policy), "strong"), *_numbers(plan)]
    if plan.flare_plan:
        blocks.append(Callout(plan.flare_plan, phrase("Your plan for a bad spell")))
    blocks += [
        Text(phrase("While it lasts:")),
        Bulleted(
            (
                phrase("The routine is shorter: one score, one round, your gentler exercises."),
                phrase("No new tape for the routine."),
                phrase("Nothing done standing, or only in its easier way."),
            )
        ),
        Text(phrase("Call your clinic if:")),
        Bulleted(
            (
                phrase("it has not settled in {n} days", n=days),
                phrase("it gets worse each time"),
                phrase("something new comes with it. Press Stop for the list."),
            )
        ),
    ]
    if spell is None:
        return PageView(
            key="bad_spell",
            heading=phrase("A bad spell"),
            blocks=tuple(blocks),
            main=Button(phrase("Yes, a bad spell has begun"), (("spell", "begun"),)),
            others=(Button(phrase("No, back to the front page")),),
            enter_answers=False,
        )
    heading = phrase("Your bad spell, day {n}", n=spell.day(front.today))
    if not spell.pressed:
        blocks.append(
            Text(phrase("It is over once a routine begins with less pain. Nothing to press."))
        )
        return next_page("bad_spell", heading, *blocks, main=phrase("Back to the front page"))
    return PageView(
        key="bad_spell",
        heading=heading,
        blocks=tuple(blocks),
        main=Button(phrase("Back to the front page")),
        others=(Button(phrase("My knee is as usual again"), (("spell", "over"),)),),
        enter_answers=False,
    )


def _numbers(plan: Plan) -> tuple[Block, ...]:
    lines = phones_of(plan, ("clinic", "out_of_hours"))
    return (Phones(phrase("Whom to call"), lines),) if lines else ()
