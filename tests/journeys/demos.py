"""The demo built for tests, on a Wednesday morning; whole, or with half of its past left out."""

import hashlib
import shutil
from collections.abc import Iterator
from datetime import UTC, datetime
from pathlib import Path

from filelock import FileLock
from sqlalchemy import Engine

import seed_demo
from shopbook.commands.demo.folder import demo_config, ready_demo
from shopbook.config import Config
from shopbook.models.session import make_engine

NOW = datetime(2026, 11, 25, 15, 40, tzinfo=UTC)
"""A Wednesday at 10:40 in the demo's shop."""

Built = tuple[Config, Engine]
"""Its settings, and its book opened."""


def run_folder(base: Path) -> Path:
    """The folder of this run of pytest, which all its workers share; `base` is the one of the worker."""
    return base.parent if base.name.startswith("popen-") else base


def built_in(folder: Path, story: str = seed_demo.STORY) -> Iterator[Built]:
    """The demo of a story as it would have been built on that Wednesday, in a folder of a temporary folder of pytest's.

    It is built once a run: whoever asks for the same story gets a copy that is all his own.
    """
    first = run_folder(folder.parent.parent) / f"built-{hashlib.sha256(story.encode()).hexdigest()[:12]}"
    with FileLock(f"{first}.lock"):
        ready_demo(first, NOW, lambda *given: seed_demo.build(*given, story=story))
    shutil.copytree(first, folder)
    config = demo_config(folder)
    engine = make_engine(config.database_url)
    yield config, engine
    engine.dispose()


def half_the_past() -> str:
    """The story with every other car of earlier weeks left out; whatever stands in the shop today is the same."""
    lines = seed_demo.STORY.strip().splitlines()
    return "\n".join(line for place, line in enumerate(lines) if place % 2 or _is_told_anyhow(line))


def last_weeks() -> str:
    """The story of the cars of the last weeks only."""
    lines = seed_demo.STORY.strip().splitlines()
    return "\n".join(line for line in lines if int(line.partition("|")[0]) < 26)


def _is_told_anyhow(line: str) -> bool:
    """A car of these days, or one that comes back."""
    return int(line.partition("|")[0]) < 25 or "Leila Moss" in line
