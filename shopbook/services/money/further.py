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
    notes = ["This invoice holds what was agreed or came after the one before it; it comes on top of it."]
    if issued.shared:
        notes.append("The excess, or the fixed sum, stands on the invoice before it and is not asked for again.")
    return notes
