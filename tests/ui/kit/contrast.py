"""How well two colours are told apart."""


def contrast_ratio(one: str, other: str) -> float:
    """Contrast of two opaque "#RRGGBB" colours, 1 to 21: WCAG 2.2, "contrast ratio"."""
    light, dark = sorted((_luminance(one), _luminance(other)), reverse=True)
    return (light + 0.05) / (dark + 0.05)


def _luminance(colour: str) -> float:
    # WCAG 2.2, "relative luminance", for sRGB.
    parts = (int(colour[place : place + 2], 16) / 255 for place in (1, 3, 5))
    red, green, blue = (
        part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4 for part in parts
    )
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue
