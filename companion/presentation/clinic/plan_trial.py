"""The plan writer's page of the tape trial in words: what it can tell, how long, what it asks."""

from __future__ import annotations

from datetime import date

from companion.care.records import TapeTrial
from companion.care.trial_schedule import planned
from companion.evidence.figures import Limits
from companion.evidence.limits import REFERENCE_DAYS
from companion.evidence.trial_power import SPREADS, Outlook, outlook
from companion.presentation.language.figures_in_words import smallest_chance
from companion.presentation.language.phrases import dated, in_figures, phrase

Facts = tuple[tuple[str, str], ...]


def how_long(trial: TapeTrial) -> Facts:
    """Its days and its last day."""
    days = planned(trial)
    return (
        (
            phrase("Lasts"),
            phrase(
                "{n} days, {first} to {last}",
                n=(days.last_day - days.first_day).days + 1,
                first=dated(days.first_day),
                last=dated(days.last_day),
            ),
        ),
    )


def what_it_can_tell(trial: TapeTrial, usual: Limits | None) -> Facts:
    """Smallest p, and how often one and two points would be noticed: at this person's own usual
    spread where fourteen days of a diary tell it, else at each spread of the table."""
    known = None if usual is None else usual.spread
    found: list[tuple[str, str]] = []
    if usual is not None and known is not None:
        found.append((phrase("Usual spread"), _spread(usual, known)))
    seen = outlook(trial.pairs, trial.scored_days, SPREADS[-1])
    if seen is not None:
        found.append(
            (phrase("Smallest p"), phrase("{p}, two-sided", p=smallest_chance(seen.smallest_p)))
        )
    if known is not None:
        own = outlook(trial.pairs, trial.scored_days, known)
        return (*found, *(_unknown(trial) if own is None else _noticed(own)))
    for spread in SPREADS:
        seen = outlook(trial.pairs, trial.scored_days, spread)
        if seen is not None:
            found.append(
                (
                    phrase("When days spread {spread}", spread=in_figures(spread, ".1f")),
                    phrase(
                        "1 point noticed in {one} %, 2 points in {two} %",
                        one=seen.one_point_percent,
                        two=seen.two_points_percent,
                    ),
                )
            )
    return tuple(found)


def _spread(usual: Limits, spread: float) -> str:
    return phrase(
        "{spread} points, from {n} of the last {all} days",
        spread=in_figures(spread, ".1f"),
        n=usual.days,
        all=REFERENCE_DAYS,
    )


def _noticed(own: Outlook) -> Facts:
    return (
        (
            phrase("If tape takes 1 point off"),
            phrase("noticed in {share} of 100 trials", share=own.one_point_percent),
        ),
        (
            phrase("If tape takes 2 points off"),
            phrase("noticed in {share} of 100 trials", share=own.two_points_percent),
        ),
    )


def _unknown(trial: TapeTrial) -> Facts:
    """A spread above the table: seldomer than in its last column."""
    last = outlook(trial.pairs, trial.scored_days, SPREADS[-1])
    if last is None:
        return ()
    return (
        (
            phrase("If tape takes 1 point off"),
            phrase("noticed in fewer than {share} of 100 trials", share=last.one_point_percent),
        ),
        (
            phrase("If tape takes 2 points off"),
            phrase("noticed in fewer than {share} of 100 trials", share=last.two_points_percent),
        ),
    )


def how_it_is_read(usual: Limits | None) -> str:
    """From where the spread is, in one or two sentences."""
    if usual is None:
        return phrase(
            "No diary is at hand: this person’s usual spread is not known. So the share of "
            "simulated trials that notice it is shown for four spreads."
        )
    if usual.spread is None or usual.mean is None:
        return phrase(
            "The diary has {n} of the last {all} days; a usual spread needs fourteen. So the share "
            "of simulated trials that notice it is shown for four spreads.",
            n=usual.days,
            all=REFERENCE_DAYS,
        )
    read = next((each for each in SPREADS if usual.spread <= each), None)
    words = (
        phrase("The table of simulated trials goes up to a spread of {most}.", most=SPREADS[-1])
        if read is None
        else phrase(
            "Read in the table of simulated trials at {at}, its next spread from there up.", at=read
        )
    )
    if not 1 <= usual.mean <= 8:
        words = phrase(
            "{words} The usual pain is {mean}: the end of the scale is near, less can be noticed.",
            words=words,
            mean=in_figures(usual.mean, ".1f"),
        )
    return words


def how_it_goes() -> tuple[str, ...]:
    """What holds while it runs."""
    return (
        phrase(
            "Each period opens with one bare day, then its scored days with tape or without. Home "
            "shows the period of today and no later one."
        ),
        phrase(
            "It replaces when to tape, and tape for outings. Hands rest on scored days with tape "
            "and without; exercise goes on. Skin and the stop list always win."
        ),
        phrase(
            "It is not blinded: the person knows when tape is on. Effects that outlast the tape "
            "would hide a difference."
        ),
    )


def running_words(trial: TapeTrial, today: date) -> str:
    """A trial that has begun."""
    days = planned(trial)
    return phrase(
        "Day {n} of {all}: its sizes and its order are fixed.",
        n=(today - days.first_day).days + 1,
        all=(days.last_day - days.first_day).days + 1,
    )
