"""Where the pages are reached: this machine's names and addresses, whether a port is free, the code for a phone."""

import io
import socket
import sys
from contextlib import suppress
from dataclasses import dataclass

import segno

DEFAULT_PORT = 8210
LOOPBACK = "127.0.0.1"
EVERYWHERE = "0.0.0.0"
_ELSEWHERE = ("192.0.2.1", 9)
"""An address for documentation (RFC 5737): asking the way there sends nothing and tells which address is ours."""


@dataclass(frozen=True, slots=True)
class Places:
    """Addresses and names by which a phone in the shop finds this machine, best first."""

    addresses: tuple[str, ...]
    names: tuple[str, ...]

    @property
    def hosts(self) -> tuple[str, ...]:
        """Every host name that pages are served under."""
        return (*self.addresses, *self.names)


def find_places() -> Places:
    """This machine's addresses on its networks (IPv4), and the names it goes by."""
    name = socket.gethostname()
    found = [*_address_on_the_way_out(), *_addresses_of(name)]
    addresses = [address for address in dict.fromkeys(found) if not address.startswith("127.")]
    names = [name, f"{name}.local"] if name and "." not in name else [name]
    return Places(tuple(addresses), tuple(given.lower() for given in names if given))


def _address_on_the_way_out() -> list[str]:
    with suppress(OSError), socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as probe:
        probe.connect(_ELSEWHERE)
        return [str(probe.getsockname()[0])]
    return []


def _addresses_of(name: str) -> list[str]:
    with suppress(OSError):
        return socket.gethostbyname_ex(name)[2]
    return []


def is_taken(host: str, port: int) -> bool:
    """Whether the port is in use or cannot be used.

    Asked by a connection first: on Windows a second server could bind a port that is in use.
    """
    with suppress(OSError), socket.create_connection((LOOPBACK, port), timeout=0.5):
        return True
    with socket.socket(socket.AF_INET, socket.SOCK_STREAM) as probe:
        if sys.platform != "win32":
            # As the server itself does: connections of one that just ended linger on its port for a minute.
            probe.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            probe.bind((host, port))
        except OSError:
            return True
    return False


def draw_code(url: str) -> str:
    """The address as a code that a phone's camera reads from the terminal."""
    drawn = io.StringIO()
    segno.make(url, error="m", micro=False).terminal(drawn, compact=True, border=2)
    return drawn.getvalue()
