"""The rows that the links name, compared with the rows of the book: changed, missing, or there without a link."""

from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field, replace

from sqlalchemy import column, select, table
from sqlalchemy.orm import Session

from shopbook.models.seal.chain import read_rows, select_sealed
from shopbook.models.seal.forms import SealForm, present_form
from shopbook.models.shop import LogLine, Person
from shopbook.queries.reports.proofs import Fault, fault_of
from shopbook.queries.reports.sealing.links import ReadLink, say_at
from shopbook.trade.sealing import SealedRow, rows_digest

_KEYS_AT_ONCE = 500
Place = tuple[str, int]


@dataclass
class Runs:
    """Which keys of one table are sealed, as runs of neighbours: a book of ten years has few."""

    runs: list[list[int]] = field(default_factory=list)

    def add(self, key: int) -> None:
        """Note one key; mostly the next one."""
        if self.runs and self.runs[-1][1] + 1 == key:
            self.runs[-1][1] = key
        else:
            self.runs.append([key, key])

    def without(self, keys: Iterable[int]) -> Iterator[int]:
        """Of keys in ascending order those that are in no run."""
        runs = iter(sorted(self.runs))
        run = next(runs, None)
        for key in keys:
            while run is not None and run[1] < key:
                run = next(runs, None)
            if run is None or key < run[0]:
                yield key


@dataclass
class RowsProof:
    """What was found when the rows of all links were compared."""

    count: int = 0
    faults: list[Fault] = field(default_factory=list)
    sealed: dict[str, Runs] = field(default_factory=lambda: defaultdict(Runs))

    def compare(self, session: Session, links: Sequence[ReadLink]) -> None:
        """Each row of some links: there, and as it was written."""
        found = _fetch(session, links)
        for link in links:
            bad = [fault for fault in (self._try(found, link, *entry) for entry in link.entries) if fault]
            if bad:
                written = _written(session, link)
                self.faults += [replace(fault, said=f"{fault.said}: it was {written}") for fault in bad]
            elif link.fault is None and rows_digest(_rows_of(found, link)) != link.rows_sha256:
                said = f"The rows of link {link.number} ({say_at(link.at)}) are not those that it names"
                self.faults.append(Fault("seal", str(link.number), said))

    def _try(self, found: dict[Place, SealedRow], link: ReadLink, name: str, key: int, hint: str) -> Fault | None:
        self.count += 1
        self.sealed[name].add(key)
        row = found.get((name, key))
        if row is None:
            return Fault(name, str(key), f"{name} {key} is missing")
        return fault_of(name, key, f"{name} {key} was changed", holds=row.entry == f"{name} {key} {hint}")

    def find_unsealed(self, session: Session) -> None:
        """Rows that no link names were put into the book past the program."""
        for name in sorted(present_form().tables):
            here, runs = table(name, column("id")), self.sealed[name]
            keys = session.connection().execute(select(here.c.id).order_by(here.c.id)).scalars()
            self.faults += [
                Fault(name, str(key), f"{name} {key} is in no link of the seal: it was slipped in")
                for key in runs.without(keys)
            ]


def _fetch(session: Session, links: Sequence[ReadLink]) -> dict[Place, SealedRow]:
    """The rows that these links name, each in its link's form; one statement for some hundred keys of a table."""
    wanted: dict[tuple[int, str], list[int]] = defaultdict(list)
    forms: dict[int, SealForm] = {}
    for link in links:
        forms[link.form.number] = link.form
        for name, key, _ in link.entries:
            if name in link.form.tables:
                wanted[link.form.number, name].append(key)
    found = {}
    for (number, name), keys in wanted.items():
        for begin in range(0, len(keys), _KEYS_AT_ONCE):
            asked = select_sealed(forms[number], name).where(column("id").in_(keys[begin : begin + _KEYS_AT_ONCE]))
            for row in read_rows(forms[number], name, session.connection().execute(asked)):
                found[name, row.key] = row
    return found


def _rows_of(found: dict[Place, SealedRow], link: ReadLink) -> Iterator[bytes]:
    return (found[name, key].canonical for name, key, _ in link.entries)


def _written(session: Session, link: ReadLink) -> str:
    """When the act of a link was, what it was and who did it, as the log says now; an old book's rows by their note."""
    when = f"written {say_at(link.at)} in link {link.number}"
    if link.note:
        return f"{when} ({link.note})"
    keys = [key for name, key, _ in link.entries if name == "log_line"]
    asked = select(LogLine.act, Person.name).outerjoin(Person, Person.id == LogLine.person_id)
    said = session.execute(asked.where(LogLine.id.in_(keys[:_KEYS_AT_ONCE])).order_by(LogLine.id))
    acts = list(dict.fromkeys(f"{deed} by {name or 'the program'}" for deed, name in said))
    return f"{when}, {', '.join(acts[:3]) or 'no act in the log'}"
