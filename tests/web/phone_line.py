"""The line between a phone and the yard's machine, which can be cut.

A browser told to be without signal may still let a request of its worker through, in the moment in which it is told so
or in which that worker starts again. A cut line lets none through.
"""

from __future__ import annotations

import contextlib
import socket
import threading
from collections.abc import Callable
from urllib.parse import urlsplit

from tests.conftest import Browser

SIGNAL_LOST = ("ERR_INTERNET_DISCONNECTED", "ERR_FAILED", "ERR_EMPTY_RESPONSE", "ERR_CONNECTION_", "ERR_SOCKET_")


class PhoneLine:
    """Carries what is sent to `url` on to the yard's machine, and its answers back, until `cut`."""

    def __init__(self, machine: str) -> None:
        asked = urlsplit(machine)
        self.machine = (str(asked.hostname), int(asked.port or 80))
        self.door = socket.create_server(("127.0.0.1", 0))
        self.url = f"http://{asked.hostname}:{self.door.getsockname()[1]}"
        self.is_cut = False
        self.open: set[socket.socket] = set()
        self.lock = threading.Lock()
        threading.Thread(target=self.answer, daemon=True).start()

    def answer(self) -> None:
        while True:
            try:
                phone, _ = self.door.accept()
            except OSError:
                return
            threading.Thread(target=self.connect, args=(phone,), daemon=True).start()

    def connect(self, phone: socket.socket) -> None:
        with self.lock:
            if self.is_cut:
                phone.close()
                return
            machine = socket.create_connection(self.machine)
            self.open |= {phone, machine}
        back = threading.Thread(target=self.carry, args=(machine, phone), daemon=True)
        back.start()
        self.carry(phone, machine)
        back.join()
        with self.lock:
            self.open -= {phone, machine}
        phone.close()
        machine.close()

    def carry(self, sender: socket.socket, receiver: socket.socket) -> None:
        with contextlib.suppress(OSError):
            while data := sender.recv(65536):
                receiver.sendall(data)
        with contextlib.suppress(OSError):
            receiver.shutdown(socket.SHUT_WR)

    def cut(self) -> None:
        with self.lock:
            self.is_cut = True
            for end in self.open:
                with contextlib.suppress(OSError):
                    end.shutdown(socket.SHUT_RDWR)

    def mend(self) -> None:
        with self.lock:
            self.is_cut = False

    def take_down(self) -> None:
        self.cut()
        self.door.shutdown(socket.SHUT_RDWR)
        self.door.close()


def phone_on(line: PhoneLine, new_browser: Callable[..., Browser]) -> Browser:
    phone = new_browser(viewport={"width": 390, "height": 844}, has_touch=True)
    phone.url = line.url
    return phone
