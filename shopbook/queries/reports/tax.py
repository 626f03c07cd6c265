"""Tax of a span of days on the basis that the shop told its tax office: a fixed number of statements."""

from collections import defaultdict
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Any

from sqlalchemy import Select, func, select
from sqlalchemy.orm import Session, aliased

from shopbook.models.money import Allocation, Invoice, InvoiceLine, InvoiceTax, MonthClose, MonthReopening, Payment
from shopbook.queries.money.owed import list_on_account
from shopbook.queries.reports.tax_received import read_received
from shopbook.queries.shop.shop_on import ShopOn
from shopbook.trade.billing.deposits import DepositRule
from shopbook.trade.results.month import TaxRow
from shopbook.trade.results.tax_basis import (
    BasisLine,
    ClosedSpan,
    TaxBasis,
    TaxEvent,
    TaxPaper,
    TaxPoint,
    basis_on,
    counts_on,
    paper_events,
)
from shopbook.trade.results.tax_span import SpanTax, sum_tax
from shopbook.trade.settings import SettingName

Rows = Mapping[int, tuple[TaxRow, ...]]


@dataclass(frozen=True, slots=True)
class TaxRules:
    """What decides on which day something counts: the basis from each day, the closings, the country's tax point."""

    lines: tuple[BasisLine, ...]
    closings: tuple[ClosedSpan, ...]
    point: TaxPoint

    def known_by(self, last: date) -> date | None:
        """A day after which nothing is written any more that counts up to `last`; None while it is open.

        A day after the UTC one of the closing, so that it is no earlier than the shop's own in any zone.
        """
        closed = [row.at for row in self.closings if row.reopened_at is None and row.through_on >= last]
        return min(closed).date() + timedelta(days=1) if closed else None

    def bases(self, first: date, last: date) -> tuple[TaxBasis, ...]:
        """The bases that hold in a span, in order."""
        days = [first, *sorted(line.from_on for line in self.lines if first < line.from_on <= last)]
        held = [basis_on(self.lines, day) for day in days]
        return tuple(dict.fromkeys(line.basis if line else TaxBasis.INVOICE for line in held))


def get_tax(shop: ShopOn, first: date, last: date) -> SpanTax:
    """Sales and tax that count from `first` to `last`, both included.

    A paper stays on the basis that held on the day it was issued, whatever is set later, so that nothing counts twice
    and nothing is lost where the basis changes.
    """
    session, rules = shop.session, read_rules(shop)
    is_by_invoice = all(line.basis is TaxBasis.INVOICE for line in rules.lines)
    until = last if is_by_invoice else rules.known_by(last)
    asked = _issued(first, until)
    rows, prepaid = read_rows(session, asked), _prepaid(session, asked, rules)
    events: list[TaxEvent] = []
    for paper, original_on in session.execute(_with_original(asked)):
        line = basis_on(rules.lines, original_on or paper.issued_on)
        told = _paper(paper, rows.get(paper.id, ()), tuple(prepaid.get(paper.id, ())))
        events += paper_events(told, line, rules.point, rules.closings)
    events += _received(session, rules, first, last)
    is_answered = basis_on(rules.lines, last) is not None
    bases = rules.bases(first, last)
    held = _held_on(session, last) if TaxBasis.RECEIVED in bases else 0
    return sum_tax(events, first, last, bases, is_answered=is_answered, held_minor=held)


def _held_on(session: Session, day: date) -> int:
    """Money held for customers at the end of a day that is on no invoice; no securities."""
    return sum(row.free_minor for row in list_on_account(session, day) if row.kind != "security")


def read_rules(shop: ShopOn) -> TaxRules:
    """The rules of a shop; one statement besides the shop's own."""
    session, country = shop.session, shop.country
    asked = select(MonthClose.at, MonthClose.through_on, MonthReopening.at)
    closings = session.execute(asked.outerjoin(MonthReopening, MonthReopening.close_id == MonthClose.id))
    return TaxRules(
        tuple(
            BasisLine(TaxBasis(line.value), line.from_on, line.at)
            for line in shop.setting_lines
            if line.name == SettingName.TAX_BASIS and line.value
        ),
        tuple(ClosedSpan(at, through_on, reopened_at) for at, through_on, reopened_at in closings),
        TaxPoint(country.supply_invoice_days, country.deposit_treatment == DepositRule.TAXED_WHEN_TAKEN),
    )


def _issued(first: date, until: date | None) -> Select[Any]:
    """The papers issued from `first` on: nothing counts later than the day it was issued, so no others matter."""
    asked = select(Invoice.id).where(Invoice.issued_on >= first)
    return asked if until is None else asked.where(Invoice.issued_on <= until)


def _with_original(asked: Select[Any]) -> Select[Invoice, date]:
    """Each paper with the day of the one that it credits: a credit note is on the basis of its paper."""
    original = aliased(Invoice)
    found = select(Invoice, original.issued_on).outerjoin(original, original.id == Invoice.credits_id)
    return found.where(Invoice.id.in_(asked)).order_by(Invoice.id)


def _paper(paper: Invoice, rows: tuple[TaxRow, ...], prepaid: tuple[tuple[date, int], ...]) -> TaxPaper:
    return TaxPaper(
        kind=paper.kind,
        number=paper.number,
        issued_on=paper.issued_on,
        issued_at=paper.issued_at,
        supply_on=paper.supply_on,
        rows=rows,
        is_correction=paper.corrects_id is not None,
        prepaid=prepaid,
    )


def read_rows(session: Session, papers: Select[Any] | Collection[int]) -> dict[int, tuple[TaxRow, ...]]:
    """Basis and tax of these papers by rate, of what is not taxed by kind of line; two statements."""
    untaxed: dict[tuple[int, str], list[tuple[str, int]]] = defaultdict(list)
    lines = (
        select(InvoiceLine.invoice_id, InvoiceLine.tax_code, InvoiceLine.kind, func.sum(InvoiceLine.net_minor))
        .where(InvoiceLine.invoice_id.in_(papers))
        .group_by(InvoiceLine.invoice_id, InvoiceLine.tax_code, InvoiceLine.kind)
    )
    for paper_id, code, kind, net in session.execute(lines.order_by(InvoiceLine.invoice_id, InvoiceLine.kind)):
        untaxed[(paper_id, code)].append((kind, int(net)))
    found: dict[int, list[TaxRow]] = defaultdict(list)
    taxes = select(InvoiceTax).where(InvoiceTax.invoice_id.in_(papers)).order_by(InvoiceTax.invoice_id, InvoiceTax.id)
    for tax in session.scalars(taxes):
        found[tax.invoice_id] += _rows_of(tax, untaxed[(tax.invoice_id, tax.code)])
    return {paper_id: tuple(rows) for paper_id, rows in found.items()}


def _rows_of(tax: InvoiceTax, kinds: Sequence[tuple[str, int]]) -> list[TaxRow]:
    """One row with tax; without, one a kind of line, where the lines come to the basis."""
    whole = TaxRow(tax.code, tax.name, tax.rate_thousandths, tax.basis_minor, tax.tax_minor)
    if tax.rate_thousandths or tax.tax_minor or sum(net for _, net in kinds) != tax.basis_minor:
        return [whole]
    return [TaxRow(tax.code, tax.name, 0, net, 0, kind) for kind, net in kinds if net]


def _prepaid(session: Session, asked: Select[Any], rules: TaxRules) -> dict[int, list[tuple[date, int]]]:
    """Money set against papers as they were issued, by paper, with the day it came; only by supply it matters.

    What happens to that money later changes nothing: the work was supplied.
    """
    found: dict[int, list[tuple[date, int]]] = defaultdict(list)
    if not rules.point.counts_prepaid or all(line.basis is not TaxBasis.SUPPLY for line in rules.lines):
        return found
    rows = session.execute(
        select(Allocation.invoice_id, Payment.on, func.sum(Allocation.amount_minor))
        .join(Payment, Payment.id == Allocation.payment_id)
        .join(Invoice, Invoice.id == Allocation.invoice_id)
        .where(Invoice.id.in_(asked), Allocation.at == Invoice.issued_at, Payment.series == "receipt")
        .group_by(Allocation.invoice_id, Payment.on)
        .order_by(Allocation.invoice_id, Payment.on)
    )
    for paper_id, on, amount in rows:
        found[paper_id].append((on, int(amount)))
    return found


def _received(session: Session, rules: TaxRules, first: date, last: date) -> list[TaxEvent]:
    """What money counted in the span, of papers issued while the shop was taxed by money received."""
    if all(line.basis is not TaxBasis.RECEIVED for line in rules.lines):
        return []
    book = read_received(session, first, last, rules.known_by(last))
    lines = {paper_id: basis_on(rules.lines, name.issued_on) for paper_id, name in book.papers.items()}
    by_money = [key for key, line in lines.items() if line is not None and line.basis is TaxBasis.RECEIVED]
    rows = read_rows(session, [*by_money, *book.credits])
    events = []
    for row in book.replay({key: rows.get(key, ()) for key in by_money}, rows):
        line, name = lines[row.paper_id], book.papers[row.paper_id]
        known_at = max(row.at, line.at) if line else row.at
        counted = counts_on(row.on, known_at, rules.closings)
        events.append(TaxEvent(name.kind, name.number, row.on, counted, row.rows))
    return events
