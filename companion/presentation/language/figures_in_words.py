"""Numbers as a person and as a clinician read them.

The person reads half points, the clinician one decimal; a minus is a real minus sign. Halves go
up, away from what a machine's binary rounding would do. A change that stands beside its two ends is
what they differ by as they are read: rounded apart, 4.4 to 6.5 would be +2.2.
"""

from __future__ import annotations

from decimal import ROUND_HALF_UP, Decimal

from companion.presentation.language.phrases import in_figures, phrase

MINUS = "\u2212"


def half_point(value: float) -> str:
    """`6½`, `4`, `½`: the nearest half of a score from 0 to 10."""
    doubled = int(Decimal(str(2 * value)).to_integral_value(ROUND_HALF_UP))
    whole, half = divmod(doubled, 2)
    if not half:
        return str(whole)
    return f"{whole}½" if whole else "½"


def one_decimal(value: float) -> str:
    """`4.4`; a value that rounds to nothing is `0.0` without a sign."""
    return to_step(value, "0.1")


def to_step(value: float, step: str) -> str:
    """The same to another step, such as whole ones."""
    rounded = _rounded(value, step)
    return f"{MINUS if rounded < 0 else ''}{in_figures(abs(rounded), 'f')}"


def signed(value: float, step: str = "0.1") -> str:
    """`+2.0`, a real minus and `1.8`, `0.0`; or to another step, such as whole ones."""
    return _with_sign(_rounded(value, step))


def change_between(before: float, after: float) -> str:
    """The change beside two levels that are shown, each to one decimal: `+2.1` from 4.4 to 6.5."""
    return _with_sign(_rounded(after, "0.1") - _rounded(before, "0.1"))


def changed(before: float, change: float, step: str = "0.1") -> str:
    """The level after, beside the level before and a change that are shown to that step."""
    after = _rounded(before, step) + _rounded(change, step)
    return f"{MINUS if after < 0 else ''}{in_figures(abs(after), 'f')}"


def amount_of(amount: float, unit: str) -> str:
    """`250 m`, `7.5 min`."""
    return phrase("{amount:g} {unit}", amount=amount, unit=unit)


def step_of(goal: float) -> str:
    """To what step an amount with such a goal is read: whole ones from 10 on, as `250 m`."""
    return "1" if goal >= 10 else "0.1"


def hundredths(value: float) -> str:
    """The same to two decimals, for points a week: there a tenth is most of the answer."""
    return _with_sign(_rounded(value, "0.01"))


def smallest_chance(value: float) -> str:
    """`0.0078`: the smallest p that so many pairs can reach, to four decimals."""
    return in_figures(_rounded(value, "0.0001"), "f")


def whole_percent(value: float, *, with_sign: bool = False) -> str:
    """`29 %`, and with its sign where asked; the space does not break."""
    rounded = _rounded(value, "1")
    sign = MINUS if rounded < 0 else "+" if with_sign and rounded > 0 else ""
    return phrase("{sign}{percent}\u00a0%", sign=sign, percent=abs(rounded))


def _with_sign(rounded: Decimal) -> str:
    sign = "+" if rounded > 0 else MINUS if rounded < 0 else ""
    return f"{sign}{in_figures(abs(rounded), 'f')}"


def _rounded(value: float, step: str) -> Decimal:
    # Through the shortest decimal: 6.25 is 6.3 to a reader, whatever its binary neighbours are.
    rounded = Decimal(str(value)).quantize(Decimal(step), ROUND_HALF_UP)
    return rounded or abs(rounded)
