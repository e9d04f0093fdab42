"""What a test's server is still at work on, so that nothing is put away under its hands."""

import threading
from collections.abc import Callable, Iterable, Iterator
from typing import Any

from django.core.servers.basehttp import WSGIServer

MOST_WAIT = 30  # seconds


class UnderWay:
    """Stands before a server's application and counts what was asked and is not answered yet."""

    def __init__(self, server: WSGIServer) -> None:
        self._application: Callable[..., Iterable[bytes]] = server.get_app()
        self._count = 0
        self._changed = threading.Condition()
        server.set_app(self)

    def __call__(self, environ: dict[str, Any], start_response: Callable[..., Any]) -> Iterable[bytes]:
        self._add(1)
        try:
            return _Answer(self._application(environ, start_response), lambda: self._add(-1))
        except BaseException:
            self._add(-1)
            raise

    def wait(self) -> None:
        """Until all is answered."""
        with self._changed:
            assert self._changed.wait_for(lambda: self._count == 0, MOST_WAIT), f"{self._count} not answered"

    def _add(self, number: int) -> None:
        with self._changed:
            self._count += number
            self._changed.notify_all()


class _Answer:
    """An answer that says when the server is done with it, gone or broken off."""

    def __init__(self, answer: Iterable[bytes], done: Callable[[], None]) -> None:
        self._answer, self._done = answer, done

    def __iter__(self) -> Iterator[bytes]:
        return iter(self._answer)

    def close(self) -> None:
        try:
            if hasattr(self._answer, "close"):
                self._answer.close()
        finally:
            self._done()
