"""One served shop for the journeys of a module: they follow each other in one book, as days do."""

import shutil
from collections.abc import Iterator
from pathlib import Path

import pytest

from shopbook.config import read_config
from tests.clocks import Clock
from tests.journeys.demos import NOW, Built, built_in, half_the_past, last_weeks
from tests.journeys.hands import Shop, open_shop
from tests.servers import SHOP_HOST, serving


@pytest.fixture(scope="module")
def shop(tmp_path_factory: pytest.TempPathFactory, empty_book_file: Path) -> Iterator[Shop]:
    """A shop of four in the United States that has just been started."""
    folder = tmp_path_factory.mktemp("shop")
    shutil.copyfile(empty_book_file, folder / "book.sqlite3")
    with open_shop(folder) as opened:
        yield opened


@pytest.fixture(scope="session")
def demo(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Built]:
    """The demo, whole."""
    yield from built_in(tmp_path_factory.mktemp("demo") / "whole")


@pytest.fixture(scope="session")
def half_demo(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Built]:
    """The demo with half of its past."""
    yield from built_in(tmp_path_factory.mktemp("demo") / "half", half_the_past())


@pytest.fixture(scope="module")
def recent_shop(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Shop]:
    """The demo with the cars of the last weeks, served with its clock standing."""
    for built, _ in built_in(tmp_path_factory.mktemp("recent") / "demo", last_weeks()):
        config = read_config({"SHOPBOOK_DATA": str(built.data_folder), "SHOPBOOK_HOSTS": SHOP_HOST})
        clock = Clock(NOW)
        with serving(config, CLOCK=clock) as running:
            yield Shop(running, clock)
