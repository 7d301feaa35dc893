"""What a person set on this machine: size of text, colours, who sits at it. Never in the diary."""

import json
from dataclasses import asdict, dataclass, fields
from pathlib import Path
from typing import Any, Literal

from companion.system.atomic import write_whole

Colours = Literal["computer", "light", "dark", "high_contrast"]
TEXT_PERCENTS = (100, 125, 150, 175, 200)
COLOURS: tuple[Colours, ...] = ("computer", "light", "dark", "high_contrast")


@dataclass(frozen=True, slots=True, kw_only=True)
class Settings:
    """`text_percent` is one of TEXT_PERCENTS; `colours` "computer" follows the machine's wish.

    `helper_view` shows steps from the helper's side; `reading_aloud` offers it where a voice is;
    `reminders` are shown while the program runs.
    """

    text_percent: int = 100
    colours: Colours = "computer"
    helper_view: bool = False
    reading_aloud: bool = False
    reminders: bool = True


def read_settings(folder: Path) -> Settings:
    """The settings of a data folder. What is missing or makes no sense is the default: nobody is
    kept from their routine by a settings file."""
    try:
        found = json.loads((folder / "settings.json").read_bytes())
    except (OSError, ValueError):
        return Settings()
    if not isinstance(found, dict):
        return Settings()
    kept: dict[str, Any] = {}
    default = Settings()
    for field in fields(Settings):
        value = found.get(field.name)
        if type(value) is type(getattr(default, field.name)):
            kept[field.name] = value
    if kept.get("text_percent") not in TEXT_PERCENTS:
        kept.pop("text_percent", None)
    if kept.get("colours") not in COLOURS:
        kept.pop("colours", None)
    return Settings(**kept)


def write_settings(folder: Path, settings: Settings) -> None:
    """Keep the settings in a data folder. Raises OSError."""
    data = json.dumps(asdict(settings), indent=1) + "\n"
    write_whole(folder / "settings.json", data.encode())
