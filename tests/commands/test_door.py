"""What the server in front of the pages does with slow callers and with many of one place; the clock is the test's."""

import socket
import threading
from collections.abc import Callable, Iterator
from contextlib import ExitStack, closing, contextmanager
from time import monotonic, sleep
from typing import Any

import pytest
from waitress import wasyncore

from shopbook.commands.door import MOST_OF_ONE, PICTURES_WITHIN, WHOLE_WITHIN, Door, door_settings

WHOLE = b"GET / HTTP/1.1\r\nHost: shop\r\n\r\n"
FORM = b"POST / HTTP/1.1\r\nHost: shop\r\nContent-Length: 99\r\nContent-Type: %s\r\n\r\na"
PICTURES, WORDS = FORM % b"multipart/form-data; boundary=b", FORM % b"application/x-www-form-urlencoded"


class Clock:
    """The server's clock, moved by a test."""

    def __init__(self) -> None:
        self.at = 1000.0

    def __call__(self) -> float:
        return self.at


class Served:
    """A door with an application behind it that says "here"."""

    def __init__(self, door: Door, clock: Clock) -> None:
        self.door, self.clock = door, clock

    def pass_on(self, seconds: float) -> None:
        """So many seconds later the server has looked after its connections."""
        self.clock.at += seconds
        self.door.next_channel_cleanup = 0
        self.door.pull_trigger()

    def call(self, sent: bytes = b"", came_from: str = "127.0.0.1") -> socket.socket:
        """A connection on which so much was sent and read."""
        caller = socket.create_connection(("127.0.0.1", int(self.door.effective_port)), 10, (came_from, 0))
        caller.sendall(sent)
        return caller

    def until(self, holds: Callable[[], bool]) -> None:
        """Wait for the server's own thread; what never comes fails."""
        ends = monotonic() + 20
        while not holds():
            assert monotonic() < ends
            sleep(0.01)

    def begun(self, count: int) -> None:
        """Wait until so many connections have a request that is not whole."""
        self.until(lambda: sum(each.began is not None for each in list(self.door.active_channels.values())) == count)


@contextmanager
def opened(**more: Any) -> Iterator[Served]:
    sockets: dict[int, Any] = {}

    def here(environ: Any, start: Any) -> list[bytes]:
        start("200 OK", [("Content-Length", "4")])
        return [b"here"]

    # waitress counts idle seconds by the machine's clock: on a busy one a test would wait for what is closed already.
    given = door_settings() | {"channel_timeout": 600} | more
    door = Door(here, sockets, host="127.0.0.1", port=0, **given)
    door.clock = clock = Clock()
    thread = threading.Thread(target=door.run)
    thread.start()
    try:
        yield Served(door, clock)
    finally:
        door.trigger.pull_trigger(lambda: wasyncore.close_all(sockets, ignore_all=True))
        thread.join(10)
        door.task_dispatcher.shutdown()


@pytest.fixture
def served() -> Iterator[Served]:
    with opened() as made:
        yield made


def has_answer(caller: socket.socket) -> bool:
    """Whether a whole answer comes; its head and its body may come one after the other."""
    heard = b""
    while not heard.endswith(b"here"):
        part = caller.recv(4096)
        if not part:
            return False
        heard += part
    return heard.startswith(b"HTTP/1.1 200")


def is_answered(caller: socket.socket) -> bool:
    caller.sendall(WHOLE)
    return has_answer(caller)


def is_closed(caller: socket.socket) -> bool:
    """Whether the server ends this connection without an answer; waits for it."""
    try:
        return caller.recv(4096) == b""
    except ConnectionResetError:
        return True


@pytest.mark.parametrize("sent", [b"G", WHOLE[:-4], WORDS, b"\r\n", WHOLE + b"G"])
def test_a_request_that_is_not_whole_in_twenty_seconds_ends(served: Served, sent: bytes) -> None:
    with closing(served.call(sent)) as slow:
        served.begun(1)
        served.pass_on(WHOLE_WITHIN - 1)
        if sent.startswith(WHOLE):
            assert has_answer(slow)
        else:
            slow.sendall(b"\r\n" if sent == b"\r\n" else b"x")
        served.until(lambda: served.door.next_channel_cleanup > 0)
        served.begun(1)
        served.pass_on(1)
        assert is_closed(slow), "a byte that came a second ago gives no more time"


def test_a_form_with_pictures_has_a_minute(served: Served) -> None:
    with closing(served.call(PICTURES)) as slow, closing(served.call(WORDS)) as words:
        served.begun(2)
        served.pass_on(PICTURES_WITHIN - 1)
        assert is_closed(words)
        served.begun(1)
        slow.sendall(b"x" * 98)
        assert has_answer(slow)
    with closing(served.call(PICTURES)) as slow:
        served.begun(1)
        served.pass_on(PICTURES_WITHIN)
        assert is_closed(slow)


def test_a_request_after_another_has_its_own_twenty_seconds(served: Served) -> None:
    with closing(served.call(WHOLE)) as browser:
        assert has_answer(browser)
        served.pass_on(WHOLE_WITHIN - 1)
        browser.sendall(WHOLE[:5])
        served.begun(1)
        served.pass_on(WHOLE_WITHIN - 1)
        browser.sendall(WHOLE[5:])
        assert has_answer(browser)


def test_an_address_has_twenty_connections_and_the_next_is_closed(served: Served) -> None:
    with ExitStack() as stack:
        slow = [stack.enter_context(closing(served.call(b"G"))) for _ in range(MOST_OF_ONE)]
        served.begun(MOST_OF_ONE)
        more = stack.enter_context(closing(served.call()))
        assert is_closed(more)
        others = stack.enter_context(closing(served.call(came_from="127.0.0.2")))
        assert is_answered(others)
        slow[0].close()
        served.begun(MOST_OF_ONE - 1)
        assert is_answered(stack.enter_context(closing(served.call())))


def test_a_connection_that_nothing_is_asked_on_gives_way_to_a_new_one_of_its_address(served: Served) -> None:
    with ExitStack() as stack:
        idle = [stack.enter_context(closing(served.call())) for _ in range(MOST_OF_ONE)]
        assert all(is_answered(each) for each in idle)
        served.until(lambda: all(each.is_idle() for each in list(served.door.active_channels.values())))
        assert is_answered(stack.enter_context(closing(served.call())))
        assert is_closed(idle[0])
        assert is_answered(idle[1])


def test_the_named_proxy_has_as_many_as_it_needs() -> None:
    named = {"trusted_proxy": "127.0.0.1", "trusted_proxy_headers": {"x-forwarded-for"}}
    with opened(**named) as served, ExitStack() as stack:
        for _ in range(MOST_OF_ONE + 5):
            stack.enter_context(closing(served.call(b"G")))
        served.begun(MOST_OF_ONE + 5)
        assert is_answered(stack.enter_context(closing(served.call())))
