"""What a screen reader hears: the desktop's accessibility bus, listened to and asked.

The message bus protocol as far as it takes: D-Bus specification 0.43, freedesktop.org ("Message
Protocol", "Authentication Protocol"). The names asked for are those of AT-SPI 2.
"""

from __future__ import annotations

import os
import re
import shutil
import socket
import struct
import subprocess
import tempfile
from collections import deque
from collections.abc import Iterator
from contextlib import ExitStack, closing, contextmanager
from dataclasses import dataclass
from typing import cast

from tests.e2e.running import ended

_ALIGN = dict.fromkeys("ygv", 1) | dict.fromkeys("nq", 2)
_ALIGN |= dict.fromkeys("biuasoh", 4) | dict.fromkeys("xtd({", 8)
_FIXED = {"y": "B", "n": "h", "q": "H", "b": "I", "i": "i", "u": "I", "h": "I", "x": "q"}
_FIXED |= {"t": "Q", "d": "d"}
_CALL, _REPLY, _SIGNAL = 1, 2, 4
_BUS, _BUS_PATH = "org.freedesktop.DBus", "/org/freedesktop/DBus"


def _first(signature: str) -> str:
    """The first whole type of a signature."""
    if signature[0] == "a":
        return "a" + _first(signature[1:])
    if signature[0] not in "({":
        return signature[0]
    depth = 0
    for place, sign in enumerate(signature):
        depth += (sign in "({") - (sign in ")}")
        if depth == 0:
            return signature[: place + 1]
    raise ValueError(f"{signature} has no end")


class _Reading:
    """Values of a message, read one after the other."""

    def __init__(self, data: bytes, order: str) -> None:
        self._data, self._order, self.at = data, order, 0

    def align(self, to: int) -> None:
        self.at += -self.at % to

    def values(self, signature: str) -> list[object]:
        found = []
        while signature:
            kind = _first(signature)
            found.append(self.value(kind))
            signature = signature[len(kind) :]
        return found

    def value(self, kind: str) -> object:
        if kind[0] == "v":
            return self.value(cast(str, self.value("g")))
        self.align(_ALIGN[kind[0]])
        if kind in _FIXED:
            code = self._order + _FIXED[kind]
            (number,) = struct.unpack_from(code, self._data, self.at)
            self.at += struct.calcsize(code)
            return number
        if kind in "sog":
            size = cast(int, self.value("y" if kind == "g" else "u"))
            words = self._data[self.at : self.at + size].decode()
            self.at += size + 1
            return words
        if kind[0] == "a":
            size, inner = cast(int, self.value("u")), kind[1:]
            self.align(_ALIGN[inner[0]])
            end, found = self.at + size, []
            while self.at < end:
                found.append(self.value(inner))
            return found
        return tuple(self.values(kind[1:-1]))


class _Writing:
    """Values of a message, written one after the other: words, numbers and what is yes or no."""

    def __init__(self) -> None:
        self.data = bytearray()

    def align(self, to: int) -> None:
        self.data += bytes(-len(self.data) % to)

    def value(self, kind: str, value: object) -> None:
        self.align(_ALIGN[kind])
        if kind == "v":
            inner = "b" if isinstance(value, bool) else "s"
            self.value("g", inner)
            self.value(inner, value)
        elif isinstance(value, str):
            words = value.encode()
            self.data += struct.pack("<B" if kind == "g" else "<I", len(words)) + words + b"\0"
        else:
            self.data += struct.pack("<" + _FIXED[kind], value)


@dataclass(frozen=True)
class Message:
    """One message that came in."""

    kind: int
    head: dict[int, object]
    body: list[object]

    @property
    def member(self) -> str:
        """The name of the signal."""
        return str(self.head[3])

    @property
    def path(self) -> str:
        """The thing it is about."""
        return str(self.head[1])


class Bus:
    """A connection to a message bus. Signals that come in between wait in `heard`."""

    def __init__(self, address: str) -> None:
        path = re.search(r"unix:(path|abstract)=([^,;]+)", address)
        assert path is not None, address
        self._socket = socket.socket(socket.AF_UNIX)
        self._socket.settimeout(60)
        self._socket.connect(path[2] if path[1] == "path" else "\0" + path[2])
        self._buffer = b""
        self._serial = 0
        self.heard: deque[Message] = deque()
        self._socket.sendall(b"\0AUTH EXTERNAL " + str(os.getuid()).encode().hex().encode())
        self._socket.sendall(b"\r\n")
        assert self._socket.recv(4096).startswith(b"OK"), "the bus lets nobody in"
        self._socket.sendall(b"BEGIN\r\n")
        self.ask(_BUS, _BUS_PATH, _BUS, "Hello")

    def close(self) -> None:
        """Leave the bus."""
        self._socket.close()

    def ask(
        self, name: str, path: str, interface: str, member: str, *values: object, kinds: str = ""
    ) -> list[object]:
        """Call a method; what it answers. Raises AssertionError for an error."""
        self._serial += 1
        body = _Writing()
        for kind, value in zip(kinds, values, strict=True):
            body.value(kind, value)
        head = _Writing()
        head.data += struct.pack("<cBBBII", b"l", _CALL, 0, 1, len(body.data), self._serial)
        fields = _Writing()
        fields.data += bytes(16)  # so that it is aligned as in the message
        for code, kind, value in (
            (1, "o", path),
            (2, "s", interface),
            (3, "s", member),
            (6, "s", name),
            *(((8, "g", kinds),) if kinds else ()),
        ):
            fields.align(8)
            fields.data += bytes([code])
            fields.value("g", kind)
            fields.value(kind, value)
        head.data += struct.pack("<I", len(fields.data) - 16) + fields.data[16:]
        head.align(8)
        self._socket.sendall(bytes(head.data + body.data))
        while True:
            message = self._next()
            if message.kind == _SIGNAL:
                self.heard.append(message)
            elif message.head.get(5) == self._serial:
                assert message.kind == _REPLY, f"{member} of {path}: {message.body}"
                return message.body

    def get(self, name: str, path: str, interface: str, field: str) -> object:
        """A property."""
        own = "org.freedesktop.DBus.Properties"
        return self.ask(name, path, own, "Get", interface, field, kinds="ss")[0]

    def put(self, name: str, path: str, interface: str, field: str, value: object) -> None:
        """Set a property."""
        own = "org.freedesktop.DBus.Properties"
        self.ask(name, path, own, "Set", interface, field, value, kinds="ssv")

    def _next(self) -> Message:
        start = self._take(16)
        order = "<" if start[:1] == b"l" else ">"
        body_size, _, head_size = struct.unpack_from(order + "III", start, 4)
        rest = self._take(head_size + -head_size % 8 + body_size)
        reading = _Reading(start + rest[: head_size + -head_size % 8], order)
        reading.at = 12
        head = dict(cast(list[tuple[int, object]], reading.value("a(yv)")))
        body = _Reading(rest[len(rest) - body_size :], order)
        return Message(start[1], head, body.values(cast(str, head.get(8, ""))))

    def _take(self, size: int) -> bytes:
        while len(self._buffer) < size:
            more = self._socket.recv(65536)
            assert more, "the bus went away"
            self._buffer += more
        taken, self._buffer = self._buffer[:size], self._buffer[size:]
        return taken


@contextmanager
def session_bus(display: str) -> Iterator[tuple[Bus, str]]:
    """A session bus with the accessibility bus behind it, both only for the block, as they are on
    a desktop where a screen reader runs: the connection to the second, the address of the first."""
    assert shutil.which("dbus-daemon"), "dbus is missing; `python3 run.py test` installs it"
    with tempfile.TemporaryDirectory(prefix="bus-") as own, ExitStack() as opened:
        environment = {"PATH": os.environ["PATH"], "DISPLAY": display}
        environment |= dict.fromkeys(("HOME", "XDG_RUNTIME_DIR", "XDG_CACHE_HOME"), own)
        daemon = subprocess.Popen(
            ["dbus-daemon", "--session", "--nofork", "--print-address=1"],
            stdout=subprocess.PIPE,
            stderr=subprocess.DEVNULL,
            text=True,
            env=environment,
        )
        opened.enter_context(ended(daemon))
        assert daemon.stdout is not None
        address = daemon.stdout.readline().strip()
        session = opened.enter_context(closing(Bus(address)))
        desktop = "org.a11y.Bus", "/org/a11y/bus"
        (inner,) = session.ask(*desktop, "org.a11y.Bus", "GetAddress")
        for said in ("IsEnabled", "ScreenReaderEnabled"):
            session.put(*desktop, "org.a11y.Status", said, True)
        bus = opened.enter_context(closing(Bus(str(inner))))
        registry = "org.a11y.atspi.Registry"
        for event in ("object:state-changed:focused", "object:announcement"):
            place = registry, "/org/a11y/atspi/registry", registry
            bus.ask(*place, "RegisterEvent", event, kinds="s")
        rule = "type='signal',interface='org.a11y.atspi.Event.Object'"
        bus.ask(_BUS, _BUS_PATH, _BUS, "AddMatch", rule, kinds="s")
        yield bus, address
