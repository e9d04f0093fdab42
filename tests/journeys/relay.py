"""A wire between browser and base that counts what goes over it, and can be cut or left hanging."""

import contextlib
import socket
import threading
import time
from collections.abc import Callable

PIECE = 65_536


class Relay:
    """Listens on a port of its own and hands everything on to `to`, byte by byte, both ways."""

    def __init__(self, to: Callable[[], int]) -> None:
        self.to = to
        self.down = self.up = 0
        self.hangs = False
        self.slow = 0.0  # seconds before what the browser asks is handed on
        self._open: list[socket.socket] = []
        self._door = socket.create_server(("127.0.0.1", 0))
        self.port: int = self._door.getsockname()[1]
        threading.Thread(target=self._listen, daemon=True).start()

    @property
    def address(self) -> str:
        """`localhost` and 127.0.0.1 are secure contexts (W3C, Secure Contexts): a worker runs there."""
        return f"http://127.0.0.1:{self.port}"

    def cut(self) -> None:
        """Cuts every wire there is now; a browser that kept one open has to ask anew."""
        while self._open:
            _end(self._open.pop())

    def close(self) -> None:
        self._door.close()
        self.cut()

    def _listen(self) -> None:
        while True:
            try:
                browser, _ = self._door.accept()
            except OSError:
                return
            threading.Thread(target=self._connect, args=[browser], daemon=True).start()

    def _connect(self, browser: socket.socket) -> None:
        self._open.append(browser)
        if self.hangs:
            return  # taken, and never answered
        try:
            base = socket.create_connection(("127.0.0.1", self.to()))
        except OSError:
            browser.close()
            return
        self._open.append(base)
        threading.Thread(target=self._pump, args=[browser, base, "up"], daemon=True).start()
        self._pump(base, browser, "down")

    def _pump(self, one: socket.socket, other: socket.socket, way: str) -> None:
        with contextlib.suppress(OSError):
            while data := one.recv(PIECE):
                setattr(self, way, getattr(self, way) + len(data))
                if way == "up":
                    time.sleep(self.slow)
                if not self.hangs:
                    other.sendall(data)
        _end(one)
        _end(other)


def _end(one: socket.socket) -> None:
    with contextlib.suppress(OSError):
        one.shutdown(socket.SHUT_RDWR)
    one.close()
