"""Reminders while no window is open: one look at what is due, and a message for what is new.

It reads the diary and writes nothing into it. What was shown, and when it comes again, is kept
beside it.
"""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING

from companion.journal.backups import STORE
from companion.journal.faults import JournalFault
from companion.journal.instance_lock import InstanceLock
from companion.journal.store import Journal
from companion.presentation.home.reminders import again_at, reminders
from companion.presentation.language.phrases import phrase
from companion.services.context import Context
from companion.services.front import front
from companion.services.settings import read_settings
from companion.system.clock import Clock
from companion.system.resources import resource
from companion.system.settings import SettingsFile
from companion.wire.catalogue_reading import read_catalogue
from companion.wire.resource_reading import shipped_policy

if TYPE_CHECKING:
    from companion.presentation.home.reminders import Reminder

SHOWN_FILE = "reminded.json"
Show = Callable[[str, str, bool], object]
"""Shows a heading and a sentence; True where it cannot wait."""


def remind(folder: Path, clock: Clock, show: Show) -> int:
    """Look once, and show what is due and was not shown, or is to come again; how many.

    Nothing where the person wants none, where there is no diary, and while a window has it open:
    that window reminds by itself.
    """
    settings = read_settings(SettingsFile(folder))
    if not (settings.reminders and settings.when_closed) or not (folder / STORE).exists():
        return 0
    try:
        InstanceLock(folder).release()
        with Journal.open(folder, clock, read_only=True) as journal:
            context = Context(
                journal=journal,
                clock=clock,
                catalogue=lambda: read_catalogue(resource()),
                policy=shipped_policy,
            )
            due = reminders(front(context))
    except (JournalFault, OSError):
        # A window has it open and reminds itself; of a fault whoever opens the window is told.
        return 0
    return _shown(folder, due, clock.now(), show)


def _shown(folder: Path, due: tuple[Reminder, ...], now: datetime, show: Show) -> int:
    file = SettingsFile(folder, SHOWN_FILE)
    before, kept, count = file.read(), {}, 0
    for one in due:
        times, again = _told(before.get(one.key))
        if again is None or now >= again:
            show(phrase("Your knee diary"), one.sentence, one.presses)
            count, times = count + 1, times + 1
            again = again_at(one, times, now)
        kept[one.key] = [times, again.isoformat()]
    if kept != before:
        file.write(kept)
    return count


def _told(kept: object) -> tuple[int, datetime | None]:
    """How often a reminder was shown and when it comes again, as kept."""
    match kept:
        case [int(times), str(at)]:
            try:
                again = datetime.fromisoformat(at)
            except ValueError:
                return 0, None
            return (times, again) if again.tzinfo is not None else (0, None)
    return 0, None


def call_again(folder: Path, wanted: bool) -> bool:
    """Let the desktop call this program for the diary in `folder` while no window is open, or no
    more; whether that went well."""
    from companion.system.desktop_timer import desktop_way, set_up, take_down, user_configuration
    from companion.system.machine import own_command

    config, way = user_configuration(), desktop_way()
    try:
        if not wanted:
            take_down(config)
            return True
        command = own_command("remind", "--data-dir", str(folder))
        return way is not None and set_up(way, command, config) is not None
    except OSError:
        return False
