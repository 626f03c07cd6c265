"""The rows that the links name, compared with the rows of the book: changed, missing, or there without a link."""

import hashlib
from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import Any

from sqlalchemy import column, func, select, table
from sqlalchemy.orm import Session

from shopbook.models.seal.chain import select_sealed, typed_values, values_between
from shopbook.models.seal.forms import SealForm, get_form, present_form
from shopbook.models.shop import LogLine, Person
from shopbook.queries.reports.proofs import Fault, fault_of
from shopbook.queries.reports.sealing.links import ReadLink, say_at
from shopbook.trade.sealing import SealedRow, canonical_lines, canonical_row

_KEYS_AT_ONCE = 500
Found = Mapping[str, Mapping[int, dict[str, Any]]]
"""Rows as their form takes them, by table and key."""


@dataclass
class Runs:
    """Which keys of one table are sealed, as runs of neighbours: a book of ten years has few."""

    runs: list[list[int]] = field(default_factory=list)

    def __len__(self) -> int:
        return sum(last - first + 1 for first, last in self.runs)

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

    def add(self, other: "RowsProof") -> None:
        """With what was found of other links."""
        self.count += other.count
        self.faults += other.faults
        for name, own in other.sealed.items():
            self.sealed[name].runs += own.runs

    def compare(self, session: Session, links: Sequence[ReadLink]) -> None:
        """Each row of some links: there, and as it was written."""
        found = _fetch(session, links)
        for link in links:
            self.count += len(link.entries)
            for name, key, _ in link.entries:
                self.sealed[name].add(key)
            # One digest over all rows of a sound link; which row is another one is asked only where it differs.
            if link.fault is not None or not _is_whole(found, link):
                self._say(session, link, [fault for fault in (_try(found, *each) for each in link.entries) if fault])

    def _say(self, session: Session, link: ReadLink, bad: Sequence[Fault]) -> None:
        if bad:
            written = _written(session, link)
            self.faults += [replace(fault, said=f"{fault.said}: it was {written}") for fault in bad]
        elif link.fault is None:
            said = f"The rows of link {link.number} ({say_at(link.at)}) are not those that it names"
            self.faults.append(Fault("seal", str(link.number), said))

    def find_unsealed(self, session: Session) -> None:
        """Rows that no link names were put into the book past the program."""
        for name in sorted(present_form().tables):
            here, runs = table(name, column("id")), self.sealed[name]
            there = session.connection().execute(select(func.count()).select_from(here)).scalar_one()
            if there == len(runs) and not self.faults:
                continue
            keys = session.connection().execute(select(here.c.id).order_by(here.c.id)).scalars()
            self.faults += [
                Fault(name, str(key), f"{name} {key} is in no link of the seal: it was slipped in")
                for key in runs.without(keys)
            ]


def _is_whole(found: Found, link: ReadLink) -> bool:
    try:
        lines = canonical_lines((name, found[name][key]) for name, key, _ in link.entries)
    except KeyError:
        return False
    return hashlib.sha256(lines).hexdigest() == link.rows_sha256


def _try(found: Found, name: str, key: int, hint: str) -> Fault | None:
    values = found.get(name, {}).get(key)
    if values is None:
        return Fault(name, str(key), f"{name} {key} is missing")
    row = SealedRow(name, key, canonical_row(name, values))
    return fault_of(name, key, f"{name} {key} was changed", holds=row.entry == f"{name} {key} {hint}")


def _fetch(session: Session, links: Sequence[ReadLink]) -> Found:
    """The rows that these links name, each in its link's form; a few statements a table."""
    wanted: dict[tuple[int, str], list[int]] = defaultdict(list)
    for link in links:
        for name, key, _ in link.entries:
            if name in link.form.tables:
                wanted[link.form.number, name].append(key)
    found: dict[str, dict[int, dict[str, Any]]] = defaultdict(dict)
    for (form, name), keys in wanted.items():
        found[name].update((row["id"], row) for row in _rows(session, get_form(form), name, keys))
    return found


def _rows(session: Session, form: SealForm, name: str, keys: Sequence[int]) -> Iterator[dict[str, Any]]:
    """The rows of these ids, mostly a run of neighbours; a gap costs a statement for some hundred of them."""
    low, high = min(keys), max(keys)
    if high - low < 2 * len(keys):
        yield from values_between(session.connection(), form, name, low, high)
        return
    for begin in range(0, len(keys), _KEYS_AT_ONCE):
        asked = select_sealed(form, name).where(column("id").in_(keys[begin : begin + _KEYS_AT_ONCE]))
        yield from typed_values(form, name, session.connection().execute(asked))


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
