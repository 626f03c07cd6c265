"""One printed example invoice goes through the whole book: quoted, agreed, issued, read back.

Source: CEN, ConnectingEurope/eInvoicing-EN16931, ubl/examples/ubl-tc434-example1.xml: twenty lines, 6 % and 21 %.
"""

from datetime import date, datetime

from sqlalchemy.orm import Session

from shopbook.queries.money.invoices import get_invoice
from shopbook.queries.reports.month import get_month_end
from shopbook.services.act import Act
from shopbook.services.money.invoices import issue_invoice
from tests.makers.billing import add_quote, make_job, prove, set_tax

AT_SIX = (1990, 985, 829, 1446, 3500, 3500, 1065, 155, 1437, 829, 1658, 995, 330, 390, 10212)
TAKEN_BACK = 10998
AT_TWENTY_ONE = (1080, 760, 934, 1863)


def test_the_bases_and_taxes_by_rate_are_the_printed_ones(session: Session, now: datetime, act: Act) -> None:
    """CEN, ubl-tc434-example1.xml: bases of 183.23 and 46.37, taxes of 10.99 and 9.74, 250.33 in all."""
    set_tax(session, "low", "Reduced", 6000, [], date(2026, 1, 1), now)
    set_tax(session, "high", "Standard", 21000, [], date(2026, 1, 1), now)
    job = make_job(session, now)
    lines = [("part", f"low {place}", amount) for place, amount in enumerate((*AT_SIX, -TAKEN_BACK))]
    add_quote(session, job, job.opened_at, [("car", "At 6 %", lines)], code="low")
    high = [("part", f"high {place}", amount) for place, amount in enumerate(AT_TWENTY_ONE)]
    add_quote(session, job, job.opened_at, [("car", "At 21 %", high)], code="high", kind="extra")
    invoice = get_invoice(session, issue_invoice(act, job.id).id)
    assert (invoice.net_minor, invoice.tax_minor, invoice.gross_minor) == (22960, 2073, 25033)
    month = get_month_end(session, f"{now:%Y-%m}")
    charged = {row.rate_thousandths: (row.basis_minor, row.tax_minor) for row in month.taxes}
    assert charged == {6000: (18323, 1099), 21000: (4637, 974)}
    prove(session)
