"""Three hundred callers who send a byte a second: others are answered meanwhile, and the slow ones are closed."""

import sys
import time
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from shopbook.commands.door import MOST_OF_ONE
from tests.slow_callers import Confined, confined, crowd

# Only there does a machine have a whole network of addresses of its own to call from.
pytestmark = [pytest.mark.processes, pytest.mark.skipif(sys.platform != "linux", reason="127.0.0.2 and on are Linux's")]


@pytest.fixture(scope="module")
def shop(empty_book_file: Path) -> Iterator[Confined]:
    """The program as somebody else runs it."""
    with confined(empty_book_file) as served:
        yield served


def until(holds: Callable[[], bool]) -> None:
    """Wait for another process; what never comes fails."""
    ends = time.monotonic() + 120
    while not holds():
        assert time.monotonic() < ends
        time.sleep(0.2)


def test_three_hundred_slow_callers_shut_nobody_out_and_are_closed(shop: Confined) -> None:
    with crowd(shop.port, addresses=15, each=MOST_OF_ONE) as slow:
        assert len(slow.open) == 300
        answered = [shop.get(path)[0] for path in ("/today", "/sign-in", "/jobs/")]
        assert answered == [200] * 3
        assert len(slow.open) > MOST_OF_ONE, "they were there all the while"
        until(lambda: not slow.open)
        assert shop.get("/today")[0] == 200


def test_of_one_address_the_door_holds_twenty_and_closes_the_others(shop: Confined) -> None:
    with crowd(shop.port, addresses=1, each=3 * MOST_OF_ONE) as slow:
        until(lambda: len(slow.open) <= MOST_OF_ONE)
        assert shop.get("/today")[0] == 200
