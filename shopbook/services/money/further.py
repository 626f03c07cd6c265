"""What a follow-up invoice of a job says about the earlier ones."""

from shopbook.queries.money.issued import Issued
from shopbook.queries.money.words import Wording

SHARED_ENDS = ("is not charged again.", "is not asked for again.")
"""How the note ends that an excess is on an earlier invoice: today, and on papers from before."""


def further_to(issued: Issued, said: Wording) -> list[list[str]]:
    """The fact that names the invoices before it."""
    if not issued.papers:
        return []
    papers = ", ".join(f"{said.invoice_number(paper.number)} of {said.day(paper.issued_on)}" for paper in issued.papers)
    return [["Follows", f"invoice{'s' if len(issued.papers) > 1 else ''} {papers}"]]


def further_notes(issued: Issued, said: Wording) -> list[str]:
    """That it is due as well, and that the excess is on an earlier invoice."""
    if not issued.papers:
        return []
    one = len(issued.papers) == 1
    numbers = f"invoice{'' if one else 's'} {', '.join(said.invoice_number(paper.number) for paper in issued.papers)}"
    notes = [f"This is only for work that {numbers} {'does' if one else 'do'} not include, and is due as well."]
    if issued.shared:
        notes.append(said.say(f"The {{excess}} or fixed amount is on {numbers} and {SHARED_ENDS[0]}"))
    return notes
