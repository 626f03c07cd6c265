"""Changes the trade and the services of money one spot at a time, and counts which changes the tests notice.

400 spots are drawn with a fixed seed: an operator, a comparison, a word of logic or a number each. Each changed module
is tried in a copy of this checkout against the tests of its own area: `tests/trade/<room>` (beside the rooms:
`tests/trade/*.py`) or `tests/services/money`, and those of `tests/published` that import the module: of them only those
that call the changed function (`callers.py`), the quickest first, and the first that fails ends the try.

Run it alone, it takes an hour:  python -m tests.bench.mutants [--first 120] [--from 0] [--only billing/]
Each result is written to `--kept` at once; run again, it goes on from there. `--again` tries the survivors once more,
after tests were written for them. Those that nothing can notice are explained in `survivors.toml` beside this file.
"""

import argparse
import os
import random
import resource
import shutil
import sys
import tempfile
from collections import Counter, defaultdict
from importlib import import_module
from pathlib import Path

import pytest

from tests.bench.callers import CallersSeen, Function, function_of
from tests.bench.kept_results import KeptResults
from tests.bench.mutations import Spot, changed_source, count_spots, spot_of
from tests.bench.tried_inside import TriedInside

SEED = 20261130
DRAWN = 400
LONGEST = 60
"""Seconds of the processor, so that a busy machine decides nothing, after which a change counts as one that never ends:
that is noticed too."""
COPIED = ("shopbook", "tests", "migrations", "templates", "pyproject.toml", "README.md", "DEVELOPERS.md")
FOUND = ("shopbook/trade", "shopbook/services/money")
IMPORTED_ONCE = (
    "alembic.command",
    "argon2",
    "babel.dates",
    "babel.numbers",
    "flask_sqlalchemy",
    "wtforms",
    "hypothesis.strategies",
    "reportlab.platypus",
    "sqlalchemy.orm",
    "PIL.Image",
)
LEFT_OUT = {"test_histories.py"}
"""A hundred random histories take longer than all other tests of the area: what only they notice counts as survived."""
WHERE_KEPT = Path(tempfile.gettempdir()) / "shopbook-mutants.tsv"


def main() -> None:
    wanted = argparse.ArgumentParser(description=__doc__)
    wanted.add_argument("--first", type=int, default=DRAWN)
    wanted.add_argument("--from", type=int, default=0, dest="begin")
    wanted.add_argument("--only", default="")
    wanted.add_argument("--kept", type=Path, default=WHERE_KEPT)
    wanted.add_argument("--again", action="store_true")
    asked = wanted.parse_args()
    drawn = [spot for spot in draw(Path())[asked.begin : asked.first] if asked.only in spot.path]
    kept = KeptResults(asked.kept)
    try_all(drawn, kept, {"survived"} if asked.again else set())
    print_sums([(spot, kept.result_of(spot)) for spot in drawn])


def try_all(drawn: list[Spot], kept: KeptResults, again: set[str]) -> None:
    """Try what has no kept result yet, or one that is to be tried again."""
    for name in IMPORTED_ONCE:
        import_module(name)
    with tempfile.TemporaryDirectory(prefix="shopbook-mutants-") as folder:
        copy = copied(Path(folder))
        todo = [spot for spot in drawn if kept.result_of(spot) in {"", *again}]
        try_inside(copy, todo, kept)
        for spot in todo:
            # What its own area noticed nothing of is asked of the published checks alone.
            groups = tests_of(copy, spot.path)[1 if kept.result_of(spot) == "survived" else 0 :]
            if kept.result_of(spot) in {"", "survived"}:
                kept.keep(spot, told(spot, try_spot(copy, spot, groups)))


def try_inside(copy: Path, todo: list[Spot], kept: KeptResults) -> None:
    """Try what stands in a function, one area after the other."""
    by_tests: dict[tuple[str, ...], list[tuple[Spot, str, Function]]] = defaultdict(list)
    for spot in todo:
        source = (copy / spot.path).read_text("utf-8")
        function = function_of(spot.path, source, spot.line)
        if function and not holds_answers(spot.path):
            by_tests[tests_of(copy, spot.path)[0]].append((spot, source, function))
    for tests, spots in by_tests.items():
        seen = CallersSeen(copy)
        tried = TriedInside(seen, spots, LONGEST)
        tried.keep = kept.keep
        child = os.fork()
        if not child:
            os._exit(run_as_child(copy, tests, seen, tried))
        os.waitpid(child, 0)
        kept.read()


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


def try_spot(copy: Path, spot: Spot, groups: list[tuple[str, ...]]) -> str:
    """Killed, survived or endless: what these tests say of the module changed at one spot."""
    path = copy / spot.path
    kept = path.read_text("utf-8")
    write_module(path, changed_source(kept, spot))
    try:
        results = (run_tests(copy, tests) for tests in groups)
        return next((result for result in results if result != "survived"), "survived")
    finally:
        write_module(path, kept)


def holds_answers(path: str) -> bool:
    """Whether what a module works out is kept for the next test, which then calls nothing of it."""
    return "cache" in Path(path).read_text("utf-8") or path.startswith(
        ("shopbook/trade/catalogue", "shopbook/trade/countries")
    )


def write_module(path: Path, source: str) -> None:
    path.write_text(source, "utf-8")
    # A compiled module of the same second and size would be taken for this one.
    for compiled in (path.parent / "__pycache__").glob(f"{path.stem}.*.pyc"):
        compiled.unlink()


def run_tests(copy: Path, tests: tuple[str, ...]) -> str:
    """What the tests say, run by a child of this process: what both need is then imported only once."""
    child = os.fork()
    if not child:
        os._exit(run_as_child(copy, tests))
    _, status = os.waitpid(child, 0)
    if os.WIFSIGNALED(status):
        return "endless"
    return "survived" if os.WEXITSTATUS(status) == 0 else "killed"


def run_as_child(copy: Path, tests: tuple[str, ...], *plugins: object) -> int:
    """Run the copy's tests with the copy's modules, and with none of this checkout's."""
    resource.setrlimit(resource.RLIMIT_CPU, (LONGEST, LONGEST + 1))
    os.chdir(copy)
    nowhere = os.open(os.devnull, os.O_WRONLY)
    os.dup2(nowhere, 1)
    os.dup2(nowhere, 2)
    here = str(Path(__file__).parents[2])
    sys.path[:] = [str(copy), *(each for each in sys.path if each not in ("", here))]
    for name in [each for each in sys.modules if each.partition(".")[0] in ("tests", "shopbook")]:
        del sys.modules[name]
    os.environ["PYTHONPATH"] = str(copy)
    options = ["-q", "-x", "-p", "no:cacheprovider", "-p", "no:xdist", "-m", "not postgresql", "-o", "timeout=0"]
    options += ["-W", "ignore::pytest.PytestAssertRewriteWarning"]
    # An example that fails is enough: it is not made smaller first.
    options += ["-p", "tests.bench.untimed", "--hypothesis-profile", "first_failure"]
    if not any("services" in each or "published" in each for each in tests):
        # The trade needs no book: half of the time would go into importing the program.
        options += ["--noconftest"]
    return int(pytest.main([*options, *tests], plugins))


def tests_of(copy: Path, path: str) -> list[tuple[str, ...]]:
    """The tests of the area that a module stands in, then the published checks that import it."""
    parts = Path(path).parts
    folder = "tests/services/money" if parts[1] == "services" else f"tests/trade/{parts[2]}"
    own = (copy / folder if (copy / folder).is_dir() else copy / "tests/trade").glob("test_*.py")
    imports = f"from {path.removesuffix('.py').removesuffix('/__init__').replace('/', '.')} import"
    published = (each for each in (copy / "tests/published").glob("test_*.py") if imports in each.read_text("utf-8"))
    own = (each for each in own if each.name not in LEFT_OUT)
    groups = (tuple(sorted(each.relative_to(copy).as_posix() for each in group)) for group in (own, published))
    return [group for group in groups if group]


def told(spot: Spot, result: str) -> str:
    print(f"{result:8} {spot.path}:{spot.line}  {spot.before}  ->  {spot.after}", flush=True)
    return result


def print_sums(results: list[tuple[Spot, str]]) -> None:
    rooms = Counter(Path(spot.path).parent.as_posix() for spot, result in results if result)
    lived = Counter(Path(spot.path).parent.as_posix() for spot, result in results if result == "survived")
    print(f"\n{'room':32} {'mutants':>8} {'killed':>8} {'survived':>9}")
    for room, count in sorted(rooms.items()):
        print(f"{room:32} {count:8} {count - lived[room]:8} {lived[room]:9}")
    killed = rooms.total() - lived.total()
    print(f"{'all':32} {rooms.total():8} {killed:8} {lived.total():9}  {100 * killed / max(1, rooms.total()):.0f} %")


if __name__ == "__main__":
    main()
