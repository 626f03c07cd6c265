"""What is on issued invoices of jobs already, and what of the agreed work is left for a follow-up."""

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import datetime
from typing import TypeVar

from sqlalchemy import select
from sqlalchemy.orm import Session

from shopbook.models.money import Invoice, InvoiceApproval, InvoiceLine, InvoicePayer, InvoiceTax, LineMatch
from shopbook.queries.money.billable import AgreedWork, BillingDay, asked_of
from shopbook.queries.money.invoices import issued_line
from shopbook.trade.billing import BillLine, LineKind, TaxTotal, rate_of
from shopbook.trade.billing.billable import Billable, with_tax
from shopbook.trade.billing.further import bill_rest


@dataclass(frozen=True, slots=True)
class Issued:
    """The invoices of one job that no credit note took back whole: their lines without deposits, newest number last.

    `gross_minor` is what those lines came to with tax, before deposits were taken off. `shared` holds for whom an
    excess or a fixed sum stands on one of them. `owing` are these and the deposits and fees that stand: papers
    that somebody may still owe of.
    """

    papers: tuple[Invoice, ...] = ()
    owing: tuple[Invoice, ...] = ()
    lines: tuple[BillLine, ...] = ()
    gross_minor: int = 0
    off_number: int | None = None
    """The invoice that took the job's deposits off."""
    shared: frozenset[int | None] = frozenset()
    taxes: tuple[TaxTotal, ...] = ()
    """What falls under each kind of tax, before deposits were taken off."""
    billed: Mapping[int | None, int] = field(default_factory=dict)
    """By payer, the shares of them before deposits were taken off; they sum to `gross_minor`."""
    net_minor: int = 0
    """What all papers of the job come to without tax: deposits, and credit notes taken off."""
    begun: tuple[Invoice, ...] = ()
    """The invoices that they began with: themselves, but for those that correct another."""
    counted: tuple[BillLine, ...] = ()
    """What is not left to bill: their lines, of a corrected one those of the invoice that it began with."""
    approved: Mapping[int | None, int] = field(default_factory=dict)
    """By payer, with tax: what was approved of them, and of those that they correct, beyond the quotes."""
    repriced: Mapping[int | None, int] = field(default_factory=dict)
    """What of that was approved as a higher price; the rest is what moved from one payer to another."""
    every_share: tuple[tuple[InvoicePayer, int | None], ...] = ()
    """Of all papers of the job, each with the paper that its credit note takes back of."""
    net_by_item: Mapping[int, int] = field(default_factory=dict)
    """What all papers of a job that is invoiced come to without tax, fees left out, by item; 0 is for none."""

    @property
    def has_deposit_off(self) -> bool:
        """Whether one of them took off the job's deposits: all of them are taken before the first invoice."""
        return self.off_number is not None

    @property
    def lacks_keys(self) -> bool:
        """Whether a line from before keys is matched by nobody yet, so that what is left to bill is not known."""
        return not all(line.key for line in self.counted)

    @property
    def at(self) -> datetime | None:
        """When the newest was issued; a corrected one counts as issued when the invoice was that it began with."""
        return max((paper.issued_at for paper in self.begun), default=None)


def issued_of(session: Session, job_ids: Iterable[int]) -> dict[int, Issued]:
    """What is invoiced of several jobs, by job id; four statements however many, five where approvals passed on.

    What a credit note took back in part counts as invoiced: a goodwill is not billed again.
    """
    ids = sorted(set(job_ids))
    papers: dict[int, list[Invoice]] = defaultdict(list)
    for paper in session.scalars(select(Invoice).where(Invoice.job_id.in_(ids)).order_by(Invoice.id)):
        papers[paper.job_id].append(paper)
    live = {job_id: standing(papers[job_id], "invoice") for job_id in ids}
    chains = _chains(live, papers)
    every = [paper.id for rows in papers.values() for paper in rows]
    whole = every if chains else []
    taxes, shares = _taxes(session, whole), _shares(session, every)
    lines, approved = _lines(session, whole, taxes), _approvals(session, _passed_on(chains, shares))
    found = {job_id: _issued(papers[job_id], live[job_id], lines, taxes, shares) for job_id in ids}
    return {job_id: _with_chains(issued, chains, lines, approved) for job_id, issued in found.items()}


def _chains(live: Mapping[int, list[Invoice]], papers: Mapping[int, list[Invoice]]) -> dict[int, list[Invoice]]:
    return {paper.id: chain_of(paper, papers[job_id]) for job_id, rows in live.items() for paper in rows}


def chain_of(paper: Invoice, papers: Sequence[Invoice]) -> list[Invoice]:
    """A paper and those in whose place it stands, the newest first; `papers` are all of its job."""
    known = {one.id: one for one in papers}
    found = [paper]
    while found[-1].corrects_id is not None:
        found.append(known[found[-1].corrects_id])
    return found


def _with_chains(
    issued: "Issued",
    chains: Mapping[int, list[Invoice]],
    lines: Mapping[int, list[BillLine]],
    approved: Mapping[int, list[InvoiceApproval]],
) -> "Issued":
    """What a correction changes: what was billed first counts as billed, and approvals of the whole chain hold."""
    own = [chains[paper.id] for paper in issued.papers]
    begun = tuple(chain[-1] for chain in own)
    counted = tuple(line for line in _of(begun, lines) if line.kind is not LineKind.DEPOSIT)
    rows = [row for chain in own for row in _of(chain, approved)]
    prices = [row for row in rows if row.kind == "price"]
    return replace(
        issued, begun=begun, counted=counted, approved=_added_approvals(rows), repriced=_added_approvals(prices)
    )


def _added_approvals(rows: Iterable[InvoiceApproval]) -> dict[int | None, int]:
    sums: dict[int | None, int] = defaultdict(int)
    for row in rows:
        sums[row.customer_id] += row.amount_minor
    return dict(sums)


def _passed_on(chains: Mapping[int, list[Invoice]], shares: Mapping[int, list[InvoicePayer]]) -> list[int]:
    """The papers for which a payer may have approved more: those that correct another, or of which a rest moved."""
    papers = (paper for chain in chains.values() for paper in chain)
    return [
        paper.id
        for paper in papers
        if paper.corrects_id is not None or any(row.on is not None for row in shares[paper.id])
    ]


def _approvals(session: Session, ids: Sequence[int]) -> dict[int, list[InvoiceApproval]]:
    found: dict[int, list[InvoiceApproval]] = defaultdict(list)
    if not ids:
        return found
    asked = select(InvoiceApproval).where(InvoiceApproval.invoice_id.in_(ids)).order_by(InvoiceApproval.id)
    for row in session.scalars(asked):
        found[row.invoice_id].append(row)
    return found


def standing(papers: Sequence[Invoice], *kinds: str) -> list[Invoice]:
    """Those of a job's papers of these kinds that no credit notes took back whole; `papers` holds the credit notes."""
    back: dict[int, int] = defaultdict(int)
    for paper in papers:
        if paper.credits_id is not None:
            back[paper.credits_id] += paper.gross_minor
    return [row for row in papers if row.kind in kinds and (row.id not in back or row.gross_minor + back[row.id])]


def _deposits_off(papers: Sequence[Invoice], took: Sequence[Invoice]) -> list[Invoice]:
    """The deposit invoices of a job that some of its papers took off, with the credit notes against them."""
    if not took:
        return []
    deposits = {paper.id for paper in papers if paper.kind == "deposit"}
    return [paper for paper in papers if {paper.id, paper.credits_id} & deposits]


def _lines(session: Session, ids: Sequence[int], taxes: dict[int, list[InvoiceTax]]) -> dict[int, list[BillLine]]:
    """By paper; each with its net and, rounded for itself, what it came to with tax."""
    found: dict[int, list[BillLine]] = defaultdict(list)
    if not ids:
        return found
    rates = {(row.invoice_id, row.code): row.rate_thousandths for rows in taxes.values() for row in rows}
    asked = select(InvoiceLine).where(InvoiceLine.invoice_id.in_(ids)).order_by(InvoiceLine.id)
    issued = list(session.scalars(asked))
    matched = matched_keys(session, ids) if any(row.line_key is None for row in issued) else {}
    for row in issued:
        gross = with_tax(row.net_minor, rates.get((row.invoice_id, row.tax_code), 0))
        line = issued_line(row)
        found[row.invoice_id].append(replace(line, amount_minor=gross, key=line.key or matched.get(row.id, 0)))
    return found


def matched_keys(session: Session, ids: Sequence[int]) -> dict[int, int]:
    """The keys that a person gave to lines of these invoices from before keys: by line, the newest word counts."""
    asked = (
        select(LineMatch.invoice_line_id, LineMatch.line_key)
        .join(InvoiceLine, InvoiceLine.id == LineMatch.invoice_line_id)
        .where(InvoiceLine.invoice_id.in_(ids))
        .order_by(LineMatch.id)
    )
    return {line_id: key for line_id, key in session.execute(asked)}


def _shares(session: Session, ids: Sequence[int]) -> dict[int, list[InvoicePayer]]:
    found: dict[int, list[InvoicePayer]] = defaultdict(list)
    if not ids:
        return found
    for row in session.scalars(select(InvoicePayer).where(InvoicePayer.invoice_id.in_(ids)).order_by(InvoicePayer.id)):
        found[row.invoice_id].append(row)
    return found


def _taxes(session: Session, ids: Sequence[int]) -> dict[int, list[InvoiceTax]]:
    found: dict[int, list[InvoiceTax]] = defaultdict(list)
    if not ids:
        return found
    for row in session.scalars(select(InvoiceTax).where(InvoiceTax.invoice_id.in_(ids)).order_by(InvoiceTax.id)):
        found[row.invoice_id].append(row)
    return found


def _added_taxes(rows: Iterable[InvoiceTax]) -> tuple[TaxTotal, ...]:
    found: dict[str, TaxTotal] = {}
    for row in rows:
        before = found.get(row.code, TaxTotal(rate_of(row.code, row.name, row.rate_thousandths), 0, 0))
        found[row.code] = TaxTotal(before.rate, before.basis_minor + row.basis_minor, before.tax_minor + row.tax_minor)
    return tuple(found.values())


def _added_shares(rows: Iterable[InvoicePayer]) -> dict[int | None, int]:
    found: dict[int | None, int] = defaultdict(int)
    for row in rows:
        found[row.whose_id] += row.share_minor
    return dict(found)


def _issued(
    papers: Sequence[Invoice],
    live: Sequence[Invoice],
    lines: Mapping[int, list[BillLine]],
    taxes: Mapping[int, list[InvoiceTax]],
    shares: Mapping[int, list[InvoicePayer]],
) -> Issued:
    took = [paper for paper in live if _has_deposit(lines[paper.id])]
    counted = [*live, *_deposits_off(papers, took)]
    return Issued(
        papers=tuple(live),
        owing=tuple(standing(papers, "invoice", "deposit", "fee")),
        lines=tuple(row for row in _of(live, lines) if row.kind is not LineKind.DEPOSIT),
        gross_minor=sum(paper.gross_minor for paper in counted),
        off_number=took[-1].number if took else None,
        shared=_limited(_of(live, shares)),
        taxes=_added_taxes(_of(counted, taxes)),
        billed=_added_shares(_of(counted, shares)),
        net_minor=sum(paper.net_minor for paper in papers),
        net_by_item=_net_by_item(papers, lines),
        every_share=tuple((row, paper.credits_id) for paper in papers for row in shares[paper.id]),
    )


def _net_by_item(papers: Iterable[Invoice], lines: Mapping[int, list[BillLine]]) -> dict[int, int]:
    sums: dict[int, int] = defaultdict(int)
    for line in _of([paper for paper in papers if paper.kind != "fee"], lines):
        sums[line.item] += line.net_minor
    return dict(sums)


Row = TypeVar("Row")


def _of(papers: Iterable[Invoice], rows: Mapping[int, list[Row]]) -> list[Row]:
    return [row for paper in papers for row in rows[paper.id]]


def _has_deposit(rows: Iterable[BillLine]) -> bool:
    return any(row.kind is LineKind.DEPOSIT for row in rows)


def _limited(rows: Iterable[InvoicePayer]) -> frozenset[int | None]:
    """For whom an excess or a fixed sum stands on one of them."""
    return frozenset(row.whose_id for row in rows if {"excess", "fixed sum"} & set(row.words.split(", ")))


def bill_not_issued(work: AgreedWork, issued: Issued, day: BillingDay) -> Billable:
    """The bill over what of one job's agreed work no invoice holds, as it would be issued on that day.

    Nothing invoiced yet: all of it. A higher price approved of an invoice raises the limit. RuleBroken where what is
    invoiced does not fit what is agreed now.
    """
    asked, day = asked_of(work, day), day.of(work)
    asked = replace(asked, agreed_minor=asked.agreed_minor + sum(issued.repriced.values()))
    return bill_rest(asked, issued.counted, issued.gross_minor, day.rates, day.allowance)


def is_agreed_since(work: AgreedWork, issued: Issued) -> bool:
    """Whether customer or payer approved something, or an approval was read anew, after the newest invoice."""
    approvals = [approval.at for row in work.quotes for approval in row.approvals]
    readings = [reading.at for row in work.quotes for reading in row.readings.values()]
    return issued.at is not None and any(at > issued.at for at in (*approvals, *readings))
