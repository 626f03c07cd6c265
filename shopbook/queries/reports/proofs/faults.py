"""What a proof answers: the claim, how many things it was tried on, and a fault for each that fails it."""

import json
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from typing import Any

from sqlalchemy import Select
from sqlalchemy.orm import Session


@dataclass(frozen=True, slots=True)
class Fault:
    """One row that fails a claim: its table, its key as text ("invoice/0" where it has two), and a sentence."""

    table: str
    key: str
    said: str


@dataclass(frozen=True, slots=True)
class Proof:
    """One claim about the book, how many things it was tried on, and what fails it.

    `code` names the claim for programs and never changes; `claim` is for people.
    """

    code: str
    claim: str
    count: int
    faults: tuple[Fault, ...]


Finder = Callable[[Session], Iterator[Fault | None]]
"""Yields once for each thing that it tries: a fault, or None where the claim holds."""


@dataclass(frozen=True, slots=True)
class Claim:
    """One claim that is tried by a number of statements that does not depend on the number of rows."""

    code: str
    words: str
    find: Finder

    def try_on(self, session: Session) -> Proof:
        """The claim tried on the whole book. A row that no longer reads at all is a fault like any other."""
        return prove(self.code, self.words, self._tried(session))

    def _tried(self, session: Session) -> Iterator[Fault | None]:
        try:
            yield from self.find(session)
        except (ArithmeticError, AttributeError, LookupError, TypeError, ValueError) as error:
            why = " ".join(str(error).split())[:200]
            yield Fault("book", self.code, f"This could not be tried, for something in the book does not read: {why}")


def prove(code: str, words: str, tried: Iterable[Fault | None]) -> Proof:
    """What came of trying; nothing that holds is kept."""
    count, faults = 0, []
    for fault in tried:
        count += 1
        if fault is not None:
            faults.append(fault)
    return Proof(code, words, count, tuple(faults))


def fault_of(table: str, key: object, said: str, *, holds: bool) -> Fault | None:
    """The fault of one row, None where the claim holds."""
    return None if holds else Fault(table, str(key), said)


def read_json(text: object) -> Any:
    """What a kept text says; None for one that is no JSON any more."""
    try:
        return json.loads(str(text)) if text else {}
    except ValueError:
        return None


def sums_by_first(session: Session, asked: Select[Any, int]) -> dict[int, int]:
    """The sums of a statement of two columns by its first."""
    lines = session.execute(asked.group_by(asked.selected_columns[0]))
    return {key: int(total) for key, total in lines}
