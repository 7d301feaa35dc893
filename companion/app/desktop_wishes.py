"""What the desktop asks of every program: less motion, larger text. Read over the session bus, and
followed.

The toolkit tells of contrast alone. The portal of settings tells `reduced-motion` (1: less), and
hands on what GNOME calls `enable-animations` and `text-scaling-factor`. Where there is no bus, no
portal or no answer nothing was asked for, and nobody waits: each question is sent, and answered
later.
"""

from __future__ import annotations

import os
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from pathlib import Path

from PySide6.QtCore import SLOT, QObject, Slot
from PySide6.QtDBus import QDBusConnection, QDBusMessage, QDBusPendingCallWatcher, QDBusVariant

SERVICE = "org.freedesktop.portal.Desktop"
PATH = "/org/freedesktop/portal/desktop"
INTERFACE = "org.freedesktop.portal.Settings"
_GNOME = "org.gnome.desktop.interface"
STILL = {("org.freedesktop.appearance", "reduced-motion"): 1, (_GNOME, "enable-animations"): False}
"""Each with the value that asks for less motion; either one counts."""
TEXT_FACTOR = (_GNOME, "text-scaling-factor")
"""How much larger than usual text is to be, as a factor."""
_ANSWER_MS = 5000


def session_bus(environment: Mapping[str, str]) -> str | None:
    """The address of the bus of this session; None where none was named: one that had to be begun
    first would be waited for."""
    named = environment.get("DBUS_SESSION_BUS_ADDRESS")
    if named:
        return named
    place = Path(environment.get("XDG_RUNTIME_DIR", "/nowhere")) / "bus"
    return f"unix:path={place}" if place.is_socket() else None


@dataclass(frozen=True, slots=True)
class Wishes:
    """Whether pictures are to stand still, and how large text is to be at least, in percent."""

    still: bool = False
    text_percent: int = 100


class DesktopWishes(QObject):
    """Asks once, and hears of each change; `told` gets what is asked for then."""

    def __init__(self, told: Callable[[Wishes], None], parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._told = told
        self._values: dict[tuple[str, str], object] = {}
        self._waiting: dict[QDBusPendingCallWatcher, tuple[str, str]] = {}

    def listen(self, address: str | None = None) -> None:
        """Ask the bus at an address, that of the session without one."""
        address = address or session_bus(os.environ)
        if address is None:
            return
        bus = QDBusConnection.connectToBus(address, "homeknee-wishes")
        if not bus.isConnected():
            return
        slot = SLOT("changed(QString,QString,QDBusVariant)")
        # A slot is text when it runs, and bytes in what the toolkit says of its types.
        bus.connect(SERVICE, PATH, INTERFACE, "SettingChanged", self, slot)  # type: ignore[call-overload]
        for asked in (*STILL, TEXT_FACTOR):
            call = QDBusMessage.createMethodCall(SERVICE, PATH, INTERFACE, "Read")
            call.setArguments(list(asked))
            watcher = QDBusPendingCallWatcher(bus.asyncCall(call, _ANSWER_MS), self)
            self._waiting[watcher] = asked
            watcher.finished.connect(self._answered)

    def _answered(self, watcher: QDBusPendingCallWatcher) -> None:
        asked = self._waiting.pop(watcher)
        if not watcher.isError():
            self._take(asked, watcher.reply().arguments()[0])
        watcher.deleteLater()

    @Slot(str, str, QDBusVariant)
    def changed(self, namespace: str, key: str, value: QDBusVariant) -> None:
        """A setting of the desktop was changed."""
        if (namespace, key) in (*STILL, TEXT_FACTOR):
            self._take((namespace, key), value)

    def _take(self, asked: tuple[str, str], value: object) -> None:
        while isinstance(value, QDBusVariant):  # `Read` puts one into another
            value = value.variant()
        self._values[asked] = value
        still = any(
            self._values.get(of) == less for of, less in STILL.items() if of in self._values
        )
        factor = self._values.get(TEXT_FACTOR)
        percent = round(100 * factor) if isinstance(factor, float) else 100
        self._told(Wishes(still, max(percent, 100)))
