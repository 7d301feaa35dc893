"""The words of a count, as they stand beside the numbers and are spoken."""

from companion.care.counting import Beat, length
from companion.presentation.language.code_table import inside
from companion.presentation.language.phrases import phrase


def beat_words(beat: Beat) -> str:
    """What is done now."""
    match beat.kind:
        case "ready":
            return phrase("Get ready")
        case "release":
            return phrase("Let go")
        case "rest" if beat.number > 1:
            return phrase("Rest, then {n} of {of}", n=beat.number, of=beat.of)
        case "rest":
            return phrase("Rest, then round {n} of {of}", n=beat.turn, of=beat.turns)
        case _:
            return phrase("{n} of {of}", n=beat.number, of=beat.of)


def beat_round(beat: Beat, steps: tuple[str, ...] = ()) -> str:
    """Which of several `steps` it is, and which round; nothing where there is one alone."""
    turn = ""
    if beat.turns > 1 and beat.kind != "rest":
        turn = phrase("Round {n} of {of}", n=beat.turn, of=beat.turns)
    if not steps or not turn:
        return steps[beat.step] if steps else turn
    return phrase("{step}, {turn}", step=steps[beat.step], turn=inside(turn))


def together_words(beats: tuple[Beat, ...], steps: int) -> str:
    """Several steps before they begin: how many, and how long."""
    minutes = max(1, round(length(beats) / 60))
    return phrase("{n} steps, about {m} minutes", n=steps, m=minutes)


def count_words(beats: tuple[Beat, ...]) -> str:
    """The whole count before it begins: how long, how often, how many rounds."""
    one = next(beat for beat in beats if beat.kind == "hold")
    held = any(beat.kind == "release" for beat in beats) or one.seconds >= _A_HOLD
    if held:
        said = phrase(
            "{seconds} seconds, once", "{seconds} seconds, {n} times", n=one.of, seconds=one.seconds
        )
    else:
        said = phrase("{n} time", "{n} times", n=one.of)
    if one.turns > 1:
        return phrase("{said}, {turns} rounds", said=said, turns=one.turns)
    return said


_A_HOLD = 10
