"""What a further invoice of a job says of those before it, and that nobody pays an excess or a fixed sum twice."""

from collections.abc import Sequence
from dataclasses import replace

from shopbook.queries.money.issued import Issued
from shopbook.queries.money.payers import NamedPayer
from shopbook.queries.money.words import Wording


def not_twice(payers: Sequence[NamedPayer], issued: Issued) -> list[NamedPayer]:
    """The payers with nought for an excess or a fixed sum that stands on an earlier invoice."""
    return [
        replace(payer, amount_minor=0) if (payer.customer.id if payer.customer else None) in issued.shared else payer
        for payer in payers
    ]


def further_to(issued: Issued, said: Wording) -> list[list[str]]:
    """The fact that names the invoices before it."""
    if not issued.papers:
        return []
    papers = ", ".join(f"{paper.number} of {said.day(paper.issued_on)}" for paper in issued.papers)
    return [["Further to", f"invoice{'s' if len(issued.papers) > 1 else ''} {papers}"]]


def further_notes(issued: Issued) -> list[str]:
    """That it comes on top, and whose first part is paid by an earlier invoice."""
    if not issued.papers:
        return []
    one = len(issued.papers) == 1
    numbers = f"invoice{'' if one else 's'} {', '.join(str(paper.number) for paper in issued.papers)}"
    notes = [f"This is only for what {numbers} {'does' if one else 'do'} not hold, and comes on top of {numbers}."]
    if issued.shared:
        notes.append(f"The excess, or the fixed sum, stands on {numbers} and is not asked for again.")
    return notes
