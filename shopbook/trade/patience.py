"""How long a wrong PIN or password slows the next try, longer each time, never for good; and whom it slows."""

from datetime import datetime, timedelta
from ipaddress import IPv6Address, ip_address

FREE_TRIES = 3
LONGEST = timedelta(minutes=2)
KNOWN_FOR = timedelta(days=30)
"""So long after a right password a browser counts that person's wrong ones by itself."""


def wait_before_try(wrong: int, last_at: datetime, now: datetime) -> timedelta:
    """What is left to wait after `wrong` tries in a row, the last at `last_at`; nothing for the first few.

    One second after the third, doubling, at most two minutes: a painter is slowed, never locked out, not even by a
    clock that was put back meanwhile.
    """
    if wrong < FREE_TRIES:
        return timedelta(0)
    pause = min(timedelta(seconds=2 ** min(wrong - FREE_TRIES, 10)), LONGEST)
    return min(pause, max(timedelta(0), last_at + pause - now))


def place_of(address: str) -> str:
    """Who counts as one on the network: an IPv4 address, and the first 64 bits of an IPv6 address.

    A machine draws the other 64 bits as it likes (RFC 4291, 2.5.4; RFC 8981): 2001:db8:0:7::1 and 2001:db8:0:7::2 are
    one place, 2001:db8:0:7::. An IPv4 address written as IPv6 is the IPv4 address. What is no address stays as it is.
    """
    try:
        known = ip_address(address.partition("%")[0])
    except ValueError:
        return address
    if not isinstance(known, IPv6Address):
        return str(known)
    if known.ipv4_mapped is not None:
        return str(known.ipv4_mapped)
    return str(IPv6Address(int(known) >> 64 << 64)) if not known.is_loopback else str(known)
