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
import pickle
import random
import resource
import shutil
import sys
import tempfile
from collections import Counter
from importlib import import_module
from pathlib import Path

import pytest

from tests.bench.callers import CallersSeen, Chosen, function_of
from tests.bench.kept_results import KeptResults
from tests.bench.mutations import Spot, changed_source, count_spots, spot_of

SEED = 20261130
DRAWN = 400
LONGEST = 300
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
SEEN: dict[tuple[str, ...], CallersSeen] = {}
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
        for spot in drawn:
            if kept.result_of(spot) in {"", *again}:
                kept.keep(spot, told(spot, try_spot(copy, spot)))


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
    results = (try_with(copy, spot, tests) for tests in tests_of(copy, spot.path))
    return next((result for result in results if result != "survived"), "survived")


def try_with(copy: Path, spot: Spot, tests: tuple[str, ...]) -> str:
    path = copy / spot.path
    kept = path.read_text("utf-8")
    function = None if holds_answers(spot.path) else function_of(spot.path, kept, spot.line)
    chosen = seen_by(copy, tests).tests_of(function)
    if chosen == []:
        return "survived"
    write_module(path, changed_source(kept, spot))
    try:
        return run_tests(copy, tests, chosen)
    finally:
        write_module(path, kept)


def holds_answers(path: str) -> bool:
    """Whether what a module works out is kept for the next test, which then calls nothing of it."""
    return "cache" in Path(path).read_text("utf-8") or path.startswith(
        ("shopbook/trade/catalogue", "shopbook/trade/countries")
    )


def seen_by(copy: Path, tests: tuple[str, ...]) -> CallersSeen:
    """Who calls what in these tests, as the unchanged modules run them; asked once."""
    if tests not in SEEN:
        seen = CallersSeen(copy)
        with tempfile.NamedTemporaryFile() as file:
            child = os.fork()
            if not child:
                began = run_as_child(copy, tests, seen)
                Path(file.name).write_bytes(pickle.dumps((began, seen.imported, dict(seen.callers), seen.seconds)))
                os._exit(0)
            os.waitpid(child, 0)
            failed, seen.imported, callers, seen.seconds = pickle.loads(Path(file.name).read_bytes())
        if failed:
            raise SystemExit(f"These tests fail before anything is changed: {', '.join(tests)}")
        seen.callers.update(callers)
        SEEN[tests] = seen
    return SEEN[tests]


def write_module(path: Path, source: str) -> None:
    path.write_text(source, "utf-8")
    # A compiled module of the same second and size would be taken for this one.
    for compiled in (path.parent / "__pycache__").glob(f"{path.stem}.*.pyc"):
        compiled.unlink()


def run_tests(copy: Path, tests: tuple[str, ...], chosen: list[str] | None) -> str:
    """What the tests say, run by a child of this process: what both need is then imported only once."""
    child = os.fork()
    if not child:
        os._exit(run_as_child(copy, tests, *([] if chosen is None else [Chosen(chosen)])))
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
