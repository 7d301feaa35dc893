"""Text of others as it may be shown: on a terminal, on a page, in a table.

A file may hold whatever text allows: what clears a screen, and what turns the direction of a line
so that it reads as something else. It is kept as it was written, and shown with a mark in its
place.
"""

MARK = "?"
SHORT_WORD = 3
"""A last word of so few characters, its stop among them, never has a line to itself."""
_HIDDEN = str.maketrans(
    dict.fromkeys(
        [
            *range(0x09),
            *range(0x0B, 0x20),
            *range(0x7F, 0xA0),
            *(0x061C, 0x200E, 0x200F),  # marks of a direction
            *range(0x202A, 0x202F),  # embeddings and overrides
            *range(0x2066, 0x206A),  # isolates
            *range(0xD800, 0xE000),  # halves of a pair
        ],
        MARK,
    )
)


def shown(text: str) -> str:
    """The same with a mark in place of every control character but tab and line feed, and of what
    changes the direction of reading. Its length stays."""
    return text if text.isprintable() else text.translate(_HIDDEN)


def in_one_line(text: str, most: int) -> str:
    """The same on one line of at most `most` characters."""
    line = "".join(letter if letter.isprintable() else MARK for letter in shown(text))
    return line if len(line) <= most else line[: most - 3] + "..."
