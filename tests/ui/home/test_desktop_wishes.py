"""Motion stops and text grows where the desktop asks for it: a portal that is ours answers on a bus
of its own. Names and values: the Settings portal of xdg-desktop-portal (from memory),
`reduced-motion` 1, GNOME's `enable-animations` false and `text-scaling-factor`."""

from __future__ import annotations

import shutil
import subprocess
from collections.abc import Iterator
from pathlib import Path

import pytest
from PySide6.QtDBus import QDBusConnection, QDBusMessage, QDBusVariant, QDBusVirtualObject
from PySide6.QtWidgets import QApplication

from companion.app.desktop_wishes import (
    INTERFACE,
    PATH,
    SERVICE,
    STILL,
    TEXT_FACTOR,
    DesktopWishes,
    Wishes,
    session_bus,
)
from companion.app.looks import Looks
from companion.services.settings import Settings
from companion.ui.kit.knee_picture import KneePicture
from companion.ui.kit.panels import PicturePanels
from companion.ui.kit.theme import Theme, apply, current
from companion.ui.kit.window import PageWindow
from tests.ui.home.bad_days import begun

REDUCED, ANIMATED = STILL


class Portal(QDBusVirtualObject):
    """Answers as the portal does: a variant in a variant, or that there is no such setting."""

    def __init__(self, values: dict[tuple[str, str], object]) -> None:
        super().__init__()
        self.values = values

    def introspect(self, _path: str) -> str:
        return ""

    def handleMessage(self, message: QDBusMessage, connection: QDBusConnection) -> bool:
        asked = tuple(message.arguments())
        if asked in self.values:
            reply = message.createReply(QDBusVariant(self.values[asked]))
        else:
            reply = message.createErrorReply(f"{SERVICE}.Error.NotFound", "no such setting")
        return bool(connection.send(reply))


@pytest.fixture
def bus() -> Iterator[str]:
    """The address of a bus of its own."""
    daemon = shutil.which("dbus-daemon")
    if daemon is None:
        pytest.skip("no message bus is installed")
    with subprocess.Popen(
        [daemon, "--session", "--print-address", "--nofork", "--nopidfile"],
        stdout=subprocess.PIPE,
        stderr=subprocess.DEVNULL,
        text=True,
    ) as running:
        assert running.stdout is not None
        yield running.stdout.readline().strip()
        running.terminate()


@pytest.fixture
def portal(bus: str) -> Iterator[tuple[Portal, QDBusConnection]]:
    """The portal on it, which knows nothing yet."""
    served = QDBusConnection.connectToBus(bus, "portal")
    made = Portal({})
    assert served.registerService(SERVICE)
    assert served.registerVirtualObject(PATH, made)
    yield made, served
    QDBusConnection.disconnectFromBus("portal")
    QDBusConnection.disconnectFromBus("homeknee-wishes")


@pytest.mark.parametrize(
    ("values", "wished"),
    [
        ({REDUCED: 1}, Wishes(still=True)),
        ({REDUCED: 0}, Wishes()),
        ({ANIMATED: False}, Wishes(still=True)),
        ({REDUCED: 0, ANIMATED: True}, Wishes()),
        ({REDUCED: 0, ANIMATED: False}, Wishes(still=True)),
        ({TEXT_FACTOR: 1.25}, Wishes(text_percent=125)),
        ({REDUCED: 1, TEXT_FACTOR: 2.0}, Wishes(still=True, text_percent=200)),
        ({TEXT_FACTOR: 0.8}, Wishes()),
        ({TEXT_FACTOR: "large"}, Wishes()),
    ],
)
def test_what_the_desktop_asks_for_is_read(
    portal: tuple[Portal, QDBusConnection],
    bus: str,
    qtbot: object,
    values: dict[tuple[str, str], object],
    wished: Wishes,
) -> None:
    portal[0].values = values
    told: list[Wishes] = []
    asks = DesktopWishes(told.append)
    asks.listen(bus)
    qtbot.waitUntil(lambda: len(told) == len(values))  # type: ignore[attr-defined]
    assert told[-1] == wished
    message = QDBusMessage.createSignal(PATH, INTERFACE, "SettingChanged")
    message.setArguments([*REDUCED, QDBusVariant(1)])
    portal[1].send(message)
    qtbot.waitUntil(lambda: len(told) == len(values) + 1)  # type: ignore[attr-defined]
    assert told[-1].still


def test_without_a_bus_nobody_waits_and_nothing_was_asked(tmp_path: Path) -> None:
    assert session_bus({}) is None
    assert session_bus({"XDG_RUNTIME_DIR": str(tmp_path)}) is None
    assert session_bus({"DBUS_SESSION_BUS_ADDRESS": "unix:path=/x"}) == "unix:path=/x"
    told: list[Wishes] = []
    DesktopWishes(told.append).listen(f"unix:path={tmp_path / 'none'}")
    assert told == []


@pytest.mark.parametrize(
    ("motion", "less", "moves"),
    [
        *(("computer", True, False), ("computer", False, True)),
        *(("moves", True, True), ("still", False, False)),
    ],
)
def test_the_setting_goes_before_the_desktop(
    qapp: QApplication, tmp_path: Path, motion: str, less: bool, moves: bool
) -> None:
    looks = Looks(qapp, tmp_path)
    looks.use(Settings(moving=motion))  # type: ignore[arg-type]
    looks._wishes_told(Wishes(still=less))
    assert current().moves is moves
    apply(qapp, Theme())


@pytest.mark.parametrize(
    ("set_to", "wished", "percent"), [(100, 125, 125), (150, 125, 150), (100, 900, 400)]
)
def test_text_is_at_least_as_large_as_the_desktop_asks_for(
    qapp: QApplication, tmp_path: Path, set_to: int, wished: int, percent: int
) -> None:
    looks = Looks(qapp, tmp_path)
    looks.use(Settings(text_percent=set_to))
    looks._wishes_told(Wishes(text_percent=wished))
    assert current().text_percent == percent
    apply(qapp, Theme())


def test_numbered_stills_stand_on_a_step_instead(
    qapp: QApplication, window: PageWindow, tmp_path: Path
) -> None:
    apply(qapp, Theme(moves=False))
    visit = begun(tmp_path, window)
    visit.through("routine")
    visit.walk(until=("step:1:1",))
    (panels,) = visit.page.findChildren(PicturePanels)
    stills = panels.findChildren(KneePicture)
    assert len(stills) == 3, "a place found, hands laid on, and moving"
    assert all(still.accessibleName() for still in stills)
    assert "See it move" not in visit.page.reading_text()
    visit.leave()
    apply(qapp, Theme())
