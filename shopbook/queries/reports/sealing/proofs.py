"""The claims of the seal, tried over the whole book."""

from collections.abc import Sequence
from dataclasses import dataclass, field

from sqlalchemy.orm import Session

from shopbook.queries.reports.proofs import Fault, Proof
from shopbook.queries.reports.sealing.links import read_links
from shopbook.queries.reports.sealing.remembered import Remembered, compare_remembered, remembered_by_closings
from shopbook.queries.reports.sealing.rows import RowsProof

_MOST_SAID = 50
"""Whoever made the whole seal anew is found by the first of them."""


@dataclass(slots=True)
class LinksTried:
    """What came of some links and of the rows that they name; `last` is the number of the last one."""

    last: int
    count: int = 0
    faults: list[Fault] = field(default_factory=list)
    rows: RowsProof = field(default_factory=RowsProof)


def try_links(session: Session, first: int = 1, last: int | None = None) -> LinksTried:
    """The links of these numbers, both included (all from the first on), and every row that they name."""
    tried = LinksTried(last or 0)
    for batch in read_links(session, first, last):
        tried.count += len(batch)
        tried.faults += [Fault("seal", str(link.number), link.fault) for link in batch if link.fault is not None]
        tried.rows.compare(session, batch)
    return tried


def list_seal_proofs(session: Session, backups: Sequence[Remembered], parts: Sequence[LinksTried] = ()) -> list[Proof]:
    """The links, every row that they name, and what closings and these backups remember.

    `parts` are links that were tried before, from the first one on; here the rest of them is.
    """
    tried = [*parts, try_links(session, 1 + max((part.last for part in parts), default=0))]
    rows = RowsProof()
    for part in tried:
        rows.add(part.rows)
    rows.find_unsealed(session)
    remembered = [*remembered_by_closings(session), *backups]
    links, faults = sum(part.count for part in tried), [fault for part in tried for fault in part.faults]
    return [
        _proof("seal_links", "the links of the seal follow each other", links, faults),
        _proof("seal_rows", "every row of a ledger is as it was sealed", rows.count, rows.faults),
        _proof(
            "seal_kept",
            "the seal holds what closings and backups keep of it",
            len(remembered),
            [Fault("seal", str(key), said) for key, said in compare_remembered(session, remembered)[0]],
        ),
    ]


def list_given_up(session: Session, backups: Sequence[Remembered]) -> list[str]:
    """Backups of work that was given up when an earlier one was restored, in a sentence each."""
    return compare_remembered(session, backups)[1]


def _proof(code: str, claim: str, count: int, faults: Sequence[Fault]) -> Proof:
    kept = list(faults[:_MOST_SAID])
    if len(faults) > _MOST_SAID:
        kept.append(Fault("seal", "", f"and {len(faults) - _MOST_SAID} more"))
    return Proof(code, claim, count, tuple(kept))
