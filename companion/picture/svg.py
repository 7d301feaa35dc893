"""A drawing as SVG 1.1 text, at true size in millimetres."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import replace
from typing import get_args
from xml.sax.saxutils import escape, quoteattr

from companion.care.coded import Say
from companion.picture.curves import Path
from companion.picture.drawing import (
    WORDS_HALO_SHARE,
    Closeup,
    Drawing,
    DrawnWords,
    Shape,
    Tint,
)

FONT = "'Atkinson Hyperlegible', sans-serif"
_SCREEN = 96 / 25.4
"""Pixels a millimetre of a page at true size (CSS 2.1, 4.3.2: 96 to the inch)."""
_ANCHOR = {"left": "start", "centre": "middle", "right": "end"}


def svg_text(
    drawing: Drawing,
    say: Say,
    *,
    ink: str = "#1A1A1A",
    paper: str = "#FFFFFF",
    tape: str = "#C9C9C9",
    tints: Mapping[Tint, str] | None = None,
) -> str:
    """The drawing as a whole SVG document in the words of `say`; colours are "#RRGGBB".

    A tint that is not handed in is paper.
    """
    frame = drawing.frame
    box = f"{_number(frame.left)} {_number(frame.top)} {_number(frame.width)} "
    box += _number(frame.height)
    size = f'width="{_number(frame.width)}mm" height="{_number(frame.height)}mm"'
    ground = f'x="{_number(frame.left)}" y="{_number(frame.top)}"'
    ground += f' width="{_number(frame.width)}" height="{_number(frame.height)}"'
    lines = [
        '<?xml version="1.0" encoding="UTF-8"?>',
        f'<svg xmlns="http://www.w3.org/2000/svg" {size} viewBox="{box}" role="img">',
        f"<title>{escape(say(drawing.description))}</title>",
        f'<rect {ground} fill="{paper}"/>',
        '<g stroke-linecap="round" stroke-linejoin="round">',
    ]
    colours: dict[str, str] = dict.fromkeys(get_args(Tint), paper) | dict(tints or {})
    colours |= {"none": "none", "paper": paper, "tape": tape, "ink": ink}
    for item in drawing.items:
        if isinstance(item, Shape):
            lines.append(_shape(item, ink, paper, colours))
        elif isinstance(item, Closeup):
            lines += _closeup(item, ink, paper, colours)
        else:
            lines += _words(item, say, ink, paper)
    return "\n".join([*lines, "</g>", "</svg>", ""])


def path_data(path: Path) -> str:
    """The `d` of a path: absolute cubic curves."""
    first = path.points[0]
    parts = [f"M{_number(first.real)} {_number(first.imag)}"]
    for _, b, c, d in path.curves:
        parts.append("C" + " ".join(f"{_number(p.real)} {_number(p.imag)}" for p in (b, c, d)))
    return "".join(parts) + ("Z" if path.closed else "")


def _shape(shape: Shape, ink: str, paper: str, colours: dict[str, str]) -> str:
    stroke, pen, dash = "none", "", ""
    line = shape.line(_SCREEN)
    if line is not None:
        what, width = line
        stroke = ink if what == "ink" else paper
        pen = f' stroke-width="{_number(width)}"'
        if shape.dashed:
            dash = f' stroke-dasharray="{_number(shape.dash_mm(width))}"'
    name = f" id={quoteattr(shape.name)}" if shape.name else ""
    return (
        f'<path{name} class="{shape.role}" d="{path_data(shape.path)}"'
        f' fill="{colours[shape.fill]}" stroke="{stroke}"{pen}{dash}/>'
    )


def _closeup(item: Closeup, ink: str, paper: str, colours: dict[str, str]) -> Iterator[str]:
    """What is cut off at a circle; one picture holds at most one."""
    ring = path_data(item.ring.path)
    yield f'<clipPath id="near"><path d="{ring}"/></clipPath>'
    yield f'<g clip-path="url(#near)"><path d="{ring}" fill="{paper}"/>'
    for shape in item.shapes:
        yield _shape(replace(shape, name=None), ink, paper, colours)
    yield "</g>"
    yield _shape(item.ring, ink, paper, colours)


def _words(words: DrawnWords, say: Say, ink: str, paper: str) -> Iterator[str]:
    weight = ' font-weight="bold"' if words.bold else ""
    halo = ""
    if words.halo:
        width = _number(words.size_mm * WORDS_HALO_SHARE)
        halo = f' stroke="{paper}" stroke-width="{width}" paint-order="stroke"'
    for line, at in words.lines(say):
        yield (
            f'<text class="{words.role}" x="{_number(at.real)}" y="{_number(at.imag)}"'
            f' font-family="{FONT}" font-size="{_number(words.size_mm)}"{weight}'
            f' text-anchor="{_ANCHOR[words.align]}" fill="{ink}"{halo}>'
            f"{escape(line)}</text>"
        )


def _number(value: float) -> str:
    """Up to three digits after the point: a thousandth of a millimetre."""
    text = f"{value:.3f}".rstrip("0").rstrip(".")
    return "0" if text == "-0" else text
