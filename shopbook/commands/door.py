"""The server in front of the pages, with what waitress has no setting for: nobody keeps the others out by being slow.

waitress reads requests in one loop and holds no thread for one that is not whole, but its own limits count from the
last byte: a browser that sends one a second is waited for without end, and a hundred of those were all the connections
there are. Here a request is whole in time, and an address has its share of the connections.
"""

import select
from collections.abc import Callable
from socket import socket
from time import monotonic
from typing import Any

from waitress.channel import HTTPChannel
from waitress.server import TcpWSGIServer

from shopbook.trade.patience import place_of

WHOLE_WITHIN = 20
"""Seconds from the first byte of a request to its last; also how long a connection may be open without a request."""
PICTURES_WITHIN = 60
"""The same of a form with files."""
MOST_OF_ONE = 20
"""Connections at once from one place on the network: three browsers' worth. The named proxy has as many as it needs."""
MOST_AT_ONCE = 1000
WITHOUT_POLL = 400
"""Connections where the system can only ask for 512 at once (Windows)."""


class Caller(HTTPChannel):
    """One connection, which knows where it comes from and when the request that is not whole yet began."""

    server: "Door"
    began: float | None = None

    def __init__(
        self, server: "Door", sock: socket, addr: Any, adj: Any, map: Any = None
    ) -> None:  # as waitress calls it
        self.place = place_of(str(addr[0]))
        super().__init__(server, sock, addr, adj, map)

    def received(self, data: bytes) -> bool:
        before, is_taken = self.request, super().received(data)
        # Blank lines before a request make none whole: somebody who sends only those has still begun.
        is_blank = not data.strip() if before is None else before.completed and before.empty
        if is_blank:
            self.began = self.began or self.server.clock()
        elif self.request is not before:
            self.began = None if self.request is None else self.server.clock()
        return bool(is_taken)

    def is_late(self, moment: float) -> bool:
        """Whether the request that began is not whole in its time."""
        if self.began is None or self.requests:
            return False
        headers = self.request.headers if self.request is not None else {}
        has_files = headers.get("CONTENT_TYPE", "").lower().startswith("multipart/form-data")
        return moment - self.began >= (PICTURES_WITHIN if has_files else WHOLE_WITHIN)

    def is_idle(self) -> bool:
        """Whether nothing is asked for or answered here."""
        return self.request is None and not self.requests and not self.total_outbufs_len


class Door(TcpWSGIServer):
    """waitress with the limits of this module."""

    channel_class = Caller
    clock: Callable[[], float] = staticmethod(monotonic)

    def accept(self) -> tuple[socket, Any] | None:
        """The next connection, or None; one too many from its place is closed at once.

        Of a place that has all of its connections, one that nothing is asked on gives way to the new one.
        """
        taken = super().accept()
        if taken is None or str(taken[1][0]) == self.adj.trusted_proxy:
            return taken
        place = place_of(str(taken[1][0]))
        theirs = [caller for caller in self._callers() if caller.place == place and not caller.will_close]
        if len(theirs) >= MOST_OF_ONE and not _give_way(theirs):
            taken[0].close()
            return None
        return taken

    def maintenance(self, now: float) -> None:
        """Close what is idle too long, as waitress does, and what is late."""
        super().maintenance(int(now))
        moment = self.clock()
        for caller in self._callers():
            if caller.is_late(moment):
                caller.will_close = True

    def _callers(self) -> list[Caller]:
        """Every connection that is open."""
        return list(self.active_channels.values())  # type: ignore[attr-defined]  # the stubs know only one


def _give_way(theirs: list[Caller]) -> bool:
    """Let the first idle one of these connections end; whether there was one."""
    idle = next((caller for caller in theirs if caller.is_idle()), None)
    if idle is not None:
        # By the loop, not here: the system would give its number to the new one while the loop still has its events.
        idle.will_close = True
    return idle is not None


def door_settings() -> dict[str, Any]:
    """What of these limits waitress itself is told."""
    can_poll = hasattr(select, "poll")
    return {
        "channel_timeout": WHOLE_WITHIN,
        "cleanup_interval": 1,
        "connection_limit": min(MOST_AT_ONCE, _open_files() // 2) if can_poll else WITHOUT_POLL,
        "asyncore_use_poll": can_poll,
    }


def _open_files() -> int:
    """How many files this process may have open, made as many as it may ask for, within reason."""
    import resource  # not on Windows

    soft, hard = resource.getrlimit(resource.RLIMIT_NOFILE)
    wanted = 4 * MOST_AT_ONCE
    if soft != resource.RLIM_INFINITY and soft < wanted:
        soft = wanted if hard == resource.RLIM_INFINITY else min(wanted, hard)
        resource.setrlimit(resource.RLIMIT_NOFILE, (soft, hard))
    return wanted if soft == resource.RLIM_INFINITY else soft
