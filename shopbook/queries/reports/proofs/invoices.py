"""Papers as issued: lines, tax, shares and the words that were frozen against one another; numbers without gaps."""

from collections import defaultdict
from collections.abc import Iterator
from datetime import datetime
from typing import Any

from sqlalchemy import Text, func, select, type_coerce, union_all
from sqlalchemy.orm import Session, aliased

from shopbook.models.jobs import Job
from shopbook.models.money import Invoice, InvoiceLine, InvoicePayer, InvoiceTax, Payment
from shopbook.models.shelf import SupplyOrder
from shopbook.models.shop import LogLine, NumberCounter
from shopbook.queries.reports.proofs.faults import Claim, Fault, fault_of, read_json, sums_by_first
from shopbook.trade.billing.lines import WHOLE_RATE, LineKind
from shopbook.trade.billing.number_series import Series

_AT_ONCE = 500


def _invoices_add_up(session: Session) -> Iterator[Fault | None]:
    net = sums_by_first(session, select(InvoiceLine.invoice_id, func.sum(InvoiceLine.net_minor)))
    tax = sums_by_first(session, select(InvoiceTax.invoice_id, func.sum(InvoiceTax.tax_minor)))
    shares = sums_by_first(session, select(InvoicePayer.invoice_id, func.sum(InvoicePayer.share_minor)))
    for invoice in session.execute(select(*_TOTALS).order_by(Invoice.id)):
        found = (net.get(invoice.id, 0), tax.get(invoice.id, 0), shares.get(invoice.id, 0))
        wanted = (invoice.net_minor, invoice.tax_minor, invoice.gross_minor)
        holds = found == wanted and invoice.net_minor + invoice.tax_minor == invoice.gross_minor
        said = f"{paper_name(invoice.kind, invoice.number)}: lines, tax and payers' shares add up to {found}"
        yield fault_of("invoice", invoice.id, f"{said}, the paper says {wanted}", holds=holds)


_TOTALS = (Invoice.id, Invoice.kind, Invoice.number, Invoice.net_minor, Invoice.tax_minor, Invoice.gross_minor)


def _taxes_follow(session: Session) -> Iterator[Fault | None]:
    """Each row of tax stands on the lines of its kind, and its tax is its basis at its rate, as far as rounding goes.

    64.00 at 8 % are 5.12. A paper's tax is rounded once a kind of tax, for a rate of two parts twice, and less what
    each deposit was rounded to: so it may lie one unit off, and one more for each deposit that comes off.
    """
    lines: dict[int, dict[str, int]] = defaultdict(dict)
    deposits: dict[int, int] = defaultdict(int)
    kinds = select(InvoiceLine.invoice_id, InvoiceLine.tax_code, InvoiceLine.kind, func.sum(InvoiceLine.net_minor))
    grouped = kinds.add_columns(func.count()).group_by(*kinds.selected_columns[:3])
    for invoice_id, code, kind, net, count in session.execute(grouped):
        lines[invoice_id][code] = lines[invoice_id].get(code, 0) + int(net)
        deposits[invoice_id] += count if kind == LineKind.DEPOSIT else 0
    columns = (InvoiceTax.invoice_id, InvoiceTax.code, InvoiceTax.rate_thousandths)
    asked = select(InvoiceTax.id, *columns, InvoiceTax.basis_minor, InvoiceTax.tax_minor)
    for key, invoice_id, code, rate, basis, tax in session.execute(asked.order_by(InvoiceTax.id)):
        own = lines[invoice_id]
        if code in own:
            own[code] -= basis
        off = abs(tax * WHOLE_RATE - basis * rate)
        # A kind of which nothing is left, as where a deposit took all of it, may keep its row of nothing on nothing.
        holds = (code in own or not basis) and off <= (1 + deposits[invoice_id]) * WHOLE_RATE
        said = f"Tax row {key} of invoice {invoice_id} has {tax} on {basis} at {rate} thousandths of a percent"
        yield fault_of("invoice_tax", key, said, holds=holds)
    for invoice_id, own in lines.items():
        left = {code: net for code, net in own.items() if net}
        said = f"Invoice {invoice_id}: its tax rows leave {left} of its lines without their tax"
        yield fault_of("invoice", invoice_id, said, holds=not left)


def _months_hold_their_tax(session: Session) -> Iterator[Fault | None]:
    """A month's tax as the papers' totals have it and as their tax lines have it."""
    papers: dict[str, int] = defaultdict(int)
    lines: dict[str, int] = defaultdict(int)
    for day, tax in session.execute(select(Invoice.supply_on, func.sum(Invoice.tax_minor)).group_by(Invoice.supply_on)):
        papers[f"{day:%Y-%m}"] += int(tax)
    for day, tax in session.execute(
        select(Invoice.supply_on, func.sum(InvoiceTax.tax_minor))
        .join(Invoice, Invoice.id == InvoiceTax.invoice_id)
        .group_by(Invoice.supply_on)
    ):
        lines[f"{day:%Y-%m}"] += int(tax)
    for month in sorted({*papers, *lines}):
        said = f"{month}: tax {papers[month]}, its lines {lines[month]}"
        yield fault_of("invoice_tax", month, said, holds=papers[month] == lines[month])


def _frozen_says_the_rows(session: Session) -> Iterator[Fault | None]:
    """What was printed of an invoice is what its rows come to: the columns of its items sum to its net."""
    asked = select(Invoice.id, Invoice.kind, Invoice.number, Invoice.net_minor, type_coerce(Invoice.frozen, Text))
    rows = session.execute(asked.order_by(Invoice.id), execution_options={"yield_per": _AT_ONCE})
    for key, kind, number, net, text in rows:
        printed = _printed_net(read_json(text))
        said = f"{paper_name(kind, number)}: its printed items come to {printed}, its net is {net}"
        yield fault_of("invoice", key, said, holds=printed in (None, net))


def _printed_net(frozen: Any) -> int | str | None:
    """What the items of a frozen paper come to; None where it lists none, a word where it does not read."""
    if not isinstance(frozen, dict):
        return "nothing that reads"
    groups = frozen.get("groups") or []
    columns = ("labour", "other", "whole")
    return sum(group.get(name, 0) for group in groups for name in columns) if groups else None


def _corrected_are_taken_back(session: Session) -> Iterator[Fault | None]:
    """An invoice in whose place a corrected one stands is credited whole."""
    later = aliased(Invoice)
    credited = sums_by_first(
        session, select(Invoice.credits_id, func.sum(Invoice.gross_minor)).where(Invoice.credits_id.is_not(None))
    )
    asked = select(Invoice.id, Invoice.kind, Invoice.number, Invoice.gross_minor)
    for key, kind, number, gross in session.execute(asked.join(later, later.corrects_id == Invoice.id)):
        left = gross + credited.get(key, 0)
        said = f"{paper_name(kind, number)} was corrected, and {left} of it still stands"
        yield fault_of("invoice", key, said, holds=left == 0)


def _numbers_have_no_gap(session: Session) -> Iterator[Fault | None]:
    """Papers and receipts are numbered without a gap up to their counter, jobs and orders never beyond theirs.

    A counter is ahead of its rows only where somebody set it to go on from the shop's old books.
    """
    counters = {(row.series, row.year): row.last_number for row in session.scalars(select(NumberCounter))}
    numbered = session.execute(_NUMBERED).all()
    for series, year, count, first, last in numbered:
        kept = counters.get((series, year))
        is_whole = count == last - first + 1 and kept == last
        said = f"{series} {year or ''}: {count} numbers from {first} to {last}, the counter says {kept}"
        yield fault_of("number_counter", f"{series}/{year}", said, holds=is_whole)
    used = {(series, year) for series, year, *_ in numbered}
    yield from _counters_lead(session, {place: last for place, last in counters.items() if place not in used})


_NUMBERED = union_all(
    *(
        select(table.series, table.year, func.count(), func.min(table.number), func.max(table.number)).group_by(
            table.series, table.year
        )
        for table in (Invoice, Payment)
    )
)


def _counters_lead(session: Session, counters: dict[tuple[str, int], int]) -> Iterator[Fault | None]:
    """The counters of series that no paper stands in yet: jobs and orders, and those that never began."""
    was_set_at = session.scalar(select(func.max(LogLine.at)).where(LogLine.act.in_(_SETS_NUMBERS)))
    for (series, year), last in counters.items():
        if series not in set(Series):
            continue
        used, newest_at = _highest(session, Series(series))
        is_ahead = used < last and was_set_at is not None and (newest_at is None or newest_at <= was_set_at)
        said = f"{series} {year or ''}: the counter says {last}, the highest number is {used}"
        yield fault_of("number_counter", f"{series}/{year}", said, holds=used == last or is_ahead)


_SETS_NUMBERS = ("set_numbers", "prepare_first_invoice")
"""The acts by which a series goes on from the shop's old books."""


def _highest(session: Session, series: Series) -> tuple[int, datetime | None]:
    """The highest number of jobs or orders, and when the newest of them got its own."""
    if series is Series.JOB:
        asked = select(func.max(Job.number), func.max(Job.opened_at)).where(Job.is_sample.is_(False))
    elif series is Series.ORDER:
        asked = select(func.max(SupplyOrder.number), func.max(SupplyOrder.sent_at))
    else:
        return 0, None
    number, newest_at = session.execute(asked).one()
    return number or 0, newest_at


def paper_name(kind: str, number: int) -> str:
    """How a fault calls a paper: "Invoice 12", "Credit 3"."""
    return f"{kind.capitalize()} {number}"


CLAIMS = (
    Claim("invoices", "an invoice is the sum of its lines, its tax lines and its payers' shares", _invoices_add_up),
    Claim("taxes", "a tax row is its lines' net at its rate", _taxes_follow),
    Claim("month_taxes", "a month's tax is the sum of its tax lines", _months_hold_their_tax),
    Claim("frozen", "an invoice's printed items come to its net", _frozen_says_the_rows),
    Claim("corrected", "a corrected invoice is credited in full", _corrected_are_taken_back),
    Claim("numbers", "numbers have no gaps", _numbers_have_no_gap),
)
