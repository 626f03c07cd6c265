"""How much longer a page takes while 300 slow callers come again and again for two minutes; `pytest tests/bench -s`."""

import time
from pathlib import Path
from statistics import median, quantiles

from shopbook.commands.door import MOST_OF_ONE
from tests.slow_callers import Confined, confined, crowd

PAGE, MINUTES = "/today", 2


def took(shop: Confined, seconds: float) -> list[float]:
    """The milliseconds of a page, asked for twice a second so long."""
    ends, found = time.monotonic() + seconds, []
    while time.monotonic() < ends:
        status, each = shop.get(PAGE)
        assert status == 200
        found.append(each * 1000)
        time.sleep(0.5)
    return found


def test_a_page_beside_three_hundred_slow_callers(empty_book_file: Path) -> None:
    with confined(empty_book_file) as shop:
        took(shop, 5)
        alone, beside, ends = list[float](), list[float](), time.monotonic() + MINUTES * 60
        while time.monotonic() < ends:
            # In turns, so that what else the machine does meanwhile falls on both.
            alone += took(shop, 5)
            with crowd(shop.port, addresses=15, each=MOST_OF_ONE) as slow:
                while slow.open and time.monotonic() < ends:
                    beside += took(shop, 1)
    ratio, last = median(beside) / median(alone), quantiles(beside, n=20)[-1]
    print(f"\n{PAGE}: alone {median(alone):.0f} ms, beside {median(beside):.0f} ms (p95 {last:.0f}, most"
          f" {max(beside):.0f}), ratio {ratio:.2f} over {len(beside)} pages")  # fmt: skip
