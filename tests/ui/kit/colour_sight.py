"""How colours look to people who see some of them less, or not.

Machado, Oliveira, Fernandes: A Physiologically-based Model for Simulation of Color Vision
Deficiency, IEEE Transactions on Visualization and Computer Graphics 15(6), 2009, matrices of
severity 1.0 for linear red, green and blue; from memory (M): each row must leave white as it is.
"""

from __future__ import annotations

from collections.abc import Mapping

from PySide6.QtGui import QColor

Matrix = tuple[tuple[float, float, float], ...]

SIGHTS: Mapping[str, Matrix] = {
    "all colours": ((1.0, 0.0, 0.0), (0.0, 1.0, 0.0), (0.0, 0.0, 1.0)),
    "no red": (
        (0.152286, 1.052583, -0.204868),
        (0.114503, 0.786281, 0.099216),
        (-0.003882, -0.048116, 1.051998),
    ),
    "no green": (
        (0.367322, 0.860646, -0.227968),
        (0.280085, 0.672501, 0.047413),
        (-0.011820, 0.042940, 0.968881),
    ),
    "no blue": (
        (1.255528, -0.076749, -0.178779),
        (-0.078411, 0.930809, 0.147602),
        (0.004733, 0.691367, 0.303900),
    ),
    "grey": ((0.2126, 0.7152, 0.0722),) * 3,
}
"""Grey: luminance of IEC 61966-2-1."""


def _linear(value: float) -> float:
    return value / 12.92 if value <= 0.04045 else float(((value + 0.055) / 1.055) ** 2.4)


def _coded(value: float) -> float:
    value = min(max(value, 0.0), 1.0)
    return value * 12.92 if value <= 0.0031308 else float(1.055 * value ** (1 / 2.4) - 0.055)


def seen(colour: str, sight: str) -> str:
    """A colour "#RRGGBB" as it looks with this sight."""
    ink = QColor(colour)
    linear = [_linear(part) for part in (ink.redF(), ink.greenF(), ink.blueF())]
    rows = (sum(a * b for a, b in zip(row, linear, strict=True)) for row in SIGHTS[sight])
    return QColor.fromRgbF(*map(_coded, rows)).name()
