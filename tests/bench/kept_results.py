"""What became of each changed spot, written to a file line by line, so that hours of work can be cut and taken up."""

from pathlib import Path

from tests.bench.mutations import Spot


class KeptResults:
    """Results by spot, in a file of tabs; of two for one spot the later counts."""

    def __init__(self, path: Path) -> None:
        self._path = path
        self.read()

    def read(self) -> None:
        """Read what the file holds, written by whomever."""
        lines = self._path.read_text("utf-8").splitlines() if self._path.exists() else []
        self._found = {rest: result for result, _, rest in (line.partition("\t") for line in lines)}

    def result_of(self, spot: Spot) -> str:
        """Killed, survived, endless, or nothing for one that was not tried yet."""
        return self._found.get(_named(spot), "")

    def keep(self, spot: Spot, result: str) -> None:
        """Write one result at once."""
        self._found[_named(spot)] = result
        with self._path.open("a", encoding="utf-8") as file:
            file.write(f"{result}\t{_named(spot)}\n")


def _named(spot: Spot) -> str:
    return f"{spot.path}\t{spot.line}\t{spot.place}\t{spot.before!r}\t{spot.after!r}"
