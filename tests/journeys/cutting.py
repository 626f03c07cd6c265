"""A network between a phone and the shop that a test can cut: before, during and after the server's work."""

import socket
import threading
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from enum import StrEnum

END_OF_HEAD = b"\r\n\r\n"


class Cut(StrEnum):
    """Where a press is cut off. In each case nothing more passes until the network is whole again."""

    BEFORE = "before"
    """It never leaves the phone."""
    DURING = "during"
    """It reaches the server whole, and the connection is gone before there is an answer."""
    AFTER = "after"
    """The server has done it, and its answer breaks off after a few bytes."""


class Network:
    """Passes on what comes to `port` to the server, until it is cut."""

    def __init__(self, server_port: int) -> None:
        self._server_port = server_port
        self._cut: Cut | None = None
        self._open: set[socket.socket] = set()
        self._ear = socket.create_server(("127.0.0.1", 0))
        self.port: int = self._ear.getsockname()[1]
        self._is_done = threading.Event()
        self._threads: list[threading.Thread] = []
        self._listener = threading.Thread(target=self._listen, daemon=True)
        self._listener.start()

    def cut(self, how: Cut) -> None:
        """Cut it for the next post; connections that lie idle break now."""
        self._cut = how
        self._is_done.clear()
        if how is Cut.BEFORE:
            self._break_all()

    def wait_for_server(self) -> None:
        """Until the server has done what was cut off on the way back; a slow machine takes its time for it."""
        assert self._is_done.wait(120), "nothing reached the server"

    def mend(self) -> None:
        """Whole again."""
        self._cut = None

    def close(self) -> None:
        """Let go of everything: no connection is left open behind a test."""
        _break(self._ear)
        self._listener.join()
        self._break_all()
        for thread in self._threads:
            thread.join()

    def _break_all(self) -> None:
        for each in list(self._open):
            _break(each)

    def _listen(self) -> None:
        with suppress(OSError):
            while True:
                phone, _ = self._ear.accept()
                server = socket.create_connection(("127.0.0.1", self._server_port))
                self._open |= {phone, server}
                self._threads.append(threading.Thread(target=self._carry, args=(phone, server), daemon=True))
                self._threads[-1].start()

    def _carry(self, phone: socket.socket, server: socket.socket) -> None:
        try:
            with suppress(OSError):
                while self._cut is not Cut.BEFORE and (request := _read_request(phone)):
                    if not self._pass_on(request, phone, server):
                        break
        finally:
            self._open -= {phone, server}
            _break(phone)
            server.close()

    def _pass_on(self, request: bytes, phone: socket.socket, server: socket.socket) -> bool:
        """One request to the server and its answer back; False where the network was cut in between."""
        how = self._cut
        is_post = request.startswith(b"POST ")
        if how is Cut.BEFORE or (how is not None and not is_post):
            return False
        server.sendall(request)
        if how is not None:
            self._cut = Cut.BEFORE
        if how is Cut.DURING:
            _break(phone)
        answer = _read_answer(server)
        if is_post:
            self._is_done.set()
        if how is Cut.AFTER:
            phone.sendall(answer[:20])
            return False
        if how is None:
            phone.sendall(answer)
        return how is None


def _break(each: socket.socket) -> None:
    with suppress(OSError):
        each.shutdown(socket.SHUT_RDWR)
    each.close()


def _read_request(phone: socket.socket) -> bytes:
    """One whole request; empty when the phone hung up."""
    return _read(phone, b"")


def _read_answer(server: socket.socket) -> bytes:
    return _read(server, b"")


def _read(end: socket.socket, got: bytes) -> bytes:
    """Head and body, by the length that the head names."""
    while END_OF_HEAD not in got:
        more = end.recv(65536)
        if not more:
            return b""
        got += more
    head, _, body = got.partition(END_OF_HEAD)
    length = _length_in(head)
    while len(body) < length:
        more = end.recv(65536)
        if not more:
            return b""
        body += more
    return head + END_OF_HEAD + body


def _length_in(head: bytes) -> int:
    for line in head.split(b"\r\n")[1:]:
        name, _, value = line.partition(b":")
        if name.strip().lower() == b"content-length":
            return int(value)
    return 0


@contextmanager
def network_to(server_port: int) -> Iterator[Network]:
    """A network to a served shop, whole at first."""
    made = Network(server_port)
    try:
        yield made
    finally:
        made.close()
