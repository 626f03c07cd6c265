"""What a further invoice of a job says of those before it."""

from shopbook.queries.money.issued import Issued
from shopbook.queries.money.words import Wording


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
