"""One served shop for the journeys of a module: they follow each other in one book, as days do."""

import shutil
from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.journeys.demos import Built, built_in, half_the_past
from tests.journeys.hands import Shop, open_shop


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
