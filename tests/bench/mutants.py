"""Changes the trade and the services of money one spot at a time, and counts which changes the tests notice.

400 spots are drawn with a fixed seed: an operator, a comparison, a word of logic or a number each. Each changed module
is tried in a copy of this checkout against the tests of its own area: `tests/trade/<room>` (beside the rooms:
`tests/trade/*.py`) or `tests/services/money`, and those of `tests/published` that import the module.

Run it alone, it takes hours:  python -m tests.bench.mutants [--first 120] [--from 0] [--only billing/]
"""

import argparse
import os
import random
import resource
import shutil
import subprocess
import sys
import tempfile
from collections import Counter
from pathlib import Path

from tests.bench.mutations import Spot, changed_source, count_spots, spot_of

SEED = 20261130
DRAWN = 400
LONGEST = 300
"""Seconds of the processor, so that a busy machine decides nothing, after which a change counts as one that never ends:
that is noticed too."""
COPIED = ("shopbook", "tests", "migrations", "templates", "pyproject.toml", "README.md", "DEVELOPERS.md")
FOUND = ("shopbook/trade", "shopbook/services/money")


def main() -> None:
    wanted = argparse.ArgumentParser(description=__doc__)
    wanted.add_argument("--first", type=int, default=DRAWN)
    wanted.add_argument("--from", type=int, default=0, dest="begin")
    wanted.add_argument("--only", default="")
    asked = wanted.parse_args()
    drawn = [spot for spot in draw(Path())[asked.begin : asked.first] if asked.only in spot.path]
    with tempfile.TemporaryDirectory(prefix="shopbook-mutants-") as folder:
        copy = copied(Path(folder))
        results = [(spot, told(spot, try_spot(copy, spot))) for spot in drawn]
    print_sums(results)


def draw(root: Path) -> list[Spot]:
    """The 400 spots in the order drawn; the same for the same source."""
    sources = {
        path.relative_to(root).as_posix(): path.read_text("utf-8")
        for found in FOUND
        for path in sorted((root / found).rglob("*.py"))
    }
    every = [(path, place) for path, source in sources.items() for place in range(count_spots(source))]
    return [spot_of(path, sources[path], place) for path, place in random.Random(SEED).sample(every, DRAWN)]


def copied(folder: Path) -> Path:
    """A copy of the checkout in which a module can be changed without anybody else seeing it."""
    for name in COPIED:
        if Path(name).is_dir():
            shutil.copytree(name, folder / name)
        else:
            shutil.copy(name, folder / name)
    return folder


def try_spot(copy: Path, spot: Spot) -> str:
    """Killed, survived or endless: what the area's tests say of the module changed at one spot."""
    path = copy / spot.path
    kept = path.read_text("utf-8")
    path.write_text(changed_source(kept, spot), "utf-8")
    # A compiled module of the same second and size would be taken for this one.
    for compiled in (path.parent / "__pycache__").glob(f"{path.stem}.*.pyc"):
        compiled.unlink()
    try:
        return run_tests(copy, tests_of(copy, spot.path))
    finally:
        path.write_text(kept, "utf-8")


def run_tests(copy: Path, tests: list[str]) -> str:
    command = [sys.executable, "-m", "pytest", "-q", "-x", "-p", "no:cacheprovider", "-m", "not postgresql", *tests]
    settings = {**os.environ, "PYTHONPATH": str(copy), "PYTHONDONTWRITEBYTECODE": "1"}
    if not any("services" in each or "published" in each for each in tests):
        # The trade needs no book: half of the time would go into importing the program.
        command += ["--noconftest", "-p", "tests.bench.untimed"]
    ended = subprocess.run(
        [*command, "-o", "timeout=0"], cwd=copy, env=settings, capture_output=True, check=False, preexec_fn=bound_time
    )
    if ended.returncode < 0:
        return "endless"
    return "survived" if ended.returncode == 0 else "killed"


def bound_time() -> None:
    resource.setrlimit(resource.RLIMIT_CPU, (LONGEST, LONGEST + 1))


def tests_of(copy: Path, path: str) -> list[str]:
    """The tests of the area that a module stands in and the published checks that import it; what imports it first."""
    parts = Path(path).parts
    folder = "tests/services/money" if parts[1] == "services" else f"tests/trade/{parts[2]}"
    own = (copy / folder if (copy / folder).is_dir() else copy / "tests/trade").glob("test_*.py")
    imports = f"from {path.removesuffix('.py').removesuffix('/__init__').replace('/', '.')} import"
    published = (each for each in (copy / "tests/published").glob("test_*.py") if imports in each.read_text("utf-8"))
    found = sorted([*own, *published], key=lambda each: (imports not in each.read_text("utf-8"), each))
    return [each.relative_to(copy).as_posix() for each in found]


def told(spot: Spot, result: str) -> str:
    print(f"{result:8} {spot.path}:{spot.line}  {spot.before}  ->  {spot.after}", flush=True)
    return result


def print_sums(results: list[tuple[Spot, str]]) -> None:
    rooms = Counter(Path(spot.path).parent.as_posix() for spot, _ in results)
    lived = Counter(Path(spot.path).parent.as_posix() for spot, result in results if result == "survived")
    print(f"\n{'room':32} {'mutants':>8} {'killed':>8} {'survived':>9}")
    for room, count in sorted(rooms.items()):
        print(f"{room:32} {count:8} {count - lived[room]:8} {lived[room]:9}")
    killed = rooms.total() - lived.total()
    print(f"{'all':32} {rooms.total():8} {killed:8} {lived.total():9}  {100 * killed / max(1, rooms.total()):.0f} %")


if __name__ == "__main__":
    main()
