"""The proof of the whole book: figures kept for speed and totals as issued, recomputed from the lines under them."""

from collections import defaultdict
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from typing import Any

from sqlalchemy import Select, case, func, inspect, select, text
from sqlalchemy.orm import Session, aliased

from shopbook.models.floor import ClockEntry, ClockShare, RunningClock
from shopbook.models.guards import LEDGERS
from shopbook.models.money import (
    Allocation,
    Invoice,
    InvoiceLine,
    InvoicePayer,
    InvoiceTax,
    LineMatch,
    MonthClose,
    Payment,
)
from shopbook.models.shelf import Material, Movement
from shopbook.models.shop import ActKey, NumberCounter, Paper, Person
from shopbook.trade.stock.average_cost import prove
from shopbook.trade.stock.movements import MovementKind, Posting, Stock

_AT_AVERAGE = (MovementKind.ISSUED, MovementKind.WASTED, MovementKind.COUNTED_DOWN)


@dataclass(frozen=True, slots=True)
class Proof:
    """One claim about the book, how many things it was tried on, and a sentence for each that fails it."""

    claim: str
    count: int
    faults: tuple[str, ...]


def list_proofs(session: Session) -> list[Proof]:
    """Every claim tried; each with a number of statements that does not depend on the number of rows."""
    return [
        Proof(claim, count, tuple(faults))
        for claim, (count, faults) in ((claim, _try(session, find)) for claim, find in _CLAIMS.items())
    ]


Finder = Callable[[Session], Iterator[str | None]]


def _try(session: Session, find: Finder) -> tuple[int, list[str]]:
    tried = list(find(session))
    return len(tried), [fault for fault in tried if fault is not None]


def count_before_keys(session: Session) -> int:
    """Issued lines (deposits aside) that no key ties to a quoted line: from before keys, and matched by nobody yet."""
    matched = select(LineMatch.invoice_line_id)
    asked = select(func.count(InvoiceLine.id)).where(
        InvoiceLine.line_key.is_(None), InvoiceLine.kind != "deposit", InvoiceLine.id.not_in(matched)
    )
    papers = select(Invoice.id).where(Invoice.kind == "invoice")
    return session.scalar(asked.where(InvoiceLine.invoice_id.in_(papers))) or 0


def _stock_closes(session: Session) -> Iterator[str | None]:
    sums = defaultdict(list)
    lines = session.execute(
        select(
            Movement.material_id,
            Movement.kind,
            func.sum(Movement.quantity_thousandths),
            func.sum(Movement.value_minor),
        ).group_by(Movement.material_id, Movement.kind)
    )
    for material_id, kind, quantity, value in lines:
        sums[material_id].append(Posting(MovementKind(kind), int(quantity), int(value)))
    for material in session.scalars(select(Material).order_by(Material.id)):
        left = Stock(material.on_hand_thousandths, material.value_minor)
        proof = prove(sums[material.id], left)
        yield (
            None
            if proof.is_sound
            else (
                f"{material.name}: the stock figures differ from the movements by "
                f"{proof.quantity_gap_thousandths} thousandths and {proof.gap_minor} minor units"
            )
        )


def _draws_at_average(session: Session) -> Iterator[str | None]:
    """Walk through every movement as it was written: what left within the book left at that moment's average."""
    lines = session.execute(
        select(
            Movement.id, Movement.material_id, Movement.kind, Movement.quantity_thousandths, Movement.value_minor
        ).order_by(Movement.material_id, Movement.id),
        execution_options={"yield_per": 1000},
    )
    stock, material_of = Stock(), None
    for movement_id, material_id, kind, quantity, value in lines:
        if material_id != material_of:
            stock, material_of = Stock(), material_id
        if kind in _AT_AVERAGE and 0 < -quantity <= stock.quantity_thousandths:
            wanted = -stock.value_of(-quantity)
            yield None if wanted == value else f"Movement {movement_id} was valued at {value} instead of {wanted}"
        stock = Stock(stock.quantity_thousandths + quantity, stock.value_minor + value)


def _clocks_are_shared(session: Session) -> Iterator[str | None]:
    shares = (
        select(ClockShare.entry_id, func.sum(ClockShare.minutes).label("minutes"))
        .group_by(ClockShare.entry_id)
        .subquery()
    )
    lines = session.execute(
        select(ClockEntry.id, ClockEntry.minutes, shares.c.minutes).join(shares, shares.c.entry_id == ClockEntry.id)
    )
    for entry_id, minutes, shared in lines:
        yield None if minutes == int(shared) else f"Clock entry {entry_id} has {minutes} minutes, its shares {shared}"


def _reversals_take_back_all(session: Session) -> Iterator[str | None]:
    first = ClockEntry.__table__.alias("first")
    lines = session.execute(
        select(ClockEntry.id, ClockEntry.minutes, first.c.minutes).join(first, first.c.id == ClockEntry.reverses_id)
    )
    for entry_id, minutes, taken in lines:
        yield None if minutes == -taken else f"Clock entry {entry_id} reverses {-minutes} of {taken} minutes"


def _one_clock_a_person(session: Session) -> Iterator[str | None]:
    lines = session.execute(
        select(RunningClock.person_id, func.count(), func.max(case((Person.is_active, 1), else_=0)))
        .join(Person, Person.id == RunningClock.person_id)
        .group_by(RunningClock.person_id)
    )
    for person_id, clocks, is_active in lines:
        yield None if clocks == 1 and is_active else f"Person {person_id} left or runs {clocks} clocks at once"


def _invoices_add_up(session: Session) -> Iterator[str | None]:
    net = _sums(session, select(InvoiceLine.invoice_id, func.sum(InvoiceLine.net_minor)))
    tax = _sums(session, select(InvoiceTax.invoice_id, func.sum(InvoiceTax.tax_minor)))
    shares = _sums(session, select(InvoicePayer.invoice_id, func.sum(InvoicePayer.share_minor)))
    for invoice in session.scalars(select(Invoice).order_by(Invoice.id)):
        found = (net.get(invoice.id, 0), tax.get(invoice.id, 0), shares.get(invoice.id, 0))
        wanted = (invoice.net_minor, invoice.tax_minor, invoice.gross_minor)
        yield (
            None
            if found == wanted
            else (f"{_paper(invoice)}: lines, tax and payers' shares add up to {found}, the paper says {wanted}")
        )


def _months_hold_their_tax(session: Session) -> Iterator[str | None]:
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
        yield None if papers[month] == lines[month] else f"{month}: tax {papers[month]}, its lines {lines[month]}"


def _payments_are_set_once(session: Session) -> Iterator[str | None]:
    """What a payment was set against is never more than came in, counting what was taken back."""
    used = _sums(session, select(Allocation.payment_id, func.sum(Allocation.amount_minor)))
    for payment in session.scalars(select(Payment).order_by(Payment.id)):
        amount, spent = payment.amount_minor, used.get(payment.id, 0)
        is_within = min(0, amount) <= spent <= max(0, amount)
        yield None if is_within else f"Payment {payment.number}: {spent} of {amount} is applied to invoices"


def _what_went_back_is_not_used(session: Session) -> Iterator[str | None]:
    """What a payment was set against and what of it was refunded or reversed is never more than came in."""
    used = _sums(session, select(Allocation.payment_id, func.sum(Allocation.amount_minor)))
    gone = _sums(
        session, select(Payment.reverses_id, func.sum(Payment.amount_minor)).where(Payment.reverses_id.is_not(None))
    )
    lines = session.scalars(select(Payment).where(Payment.id.in_(gone)).order_by(Payment.id.desc())).all()
    for line in lines:
        # A refund that was taken back, written later than its payment, gives the payment its money again.
        if line.amount_minor < 0 and line.reverses_id is not None:
            gone[line.reverses_id] += gone[line.id]
    for payment in reversed(lines):
        left = payment.amount_minor + gone[payment.id] - used.get(payment.id, 0)
        over = left if payment.amount_minor < 0 else -left
        yield None if over <= 0 else f"Payment {payment.number}: {over} more went back than was left of it"


def _paid_and_owed_are_invoiced(session: Session) -> Iterator[str | None]:
    """An invoice with its credits and what was paid leaves something owed, or nothing; never less than nothing."""
    paid = _sums(session, select(Allocation.invoice_id, func.sum(Allocation.amount_minor)))
    credited = _sums(
        session, select(Invoice.credits_id, func.sum(Invoice.gross_minor)).where(Invoice.credits_id.is_not(None))
    )
    for invoice in session.scalars(select(Invoice).where(Invoice.credits_id.is_(None)).order_by(Invoice.id)):
        owed = invoice.gross_minor + credited.get(invoice.id, 0) - paid.get(invoice.id, 0)
        yield None if owed >= 0 else f"{_paper(invoice)}: paid or credited {-owed} more than was invoiced"


def _corrected_are_taken_back(session: Session) -> Iterator[str | None]:
    """An invoice in whose place a corrected one stands is credited whole."""
    later = aliased(Invoice)
    credited = _sums(
        session, select(Invoice.credits_id, func.sum(Invoice.gross_minor)).where(Invoice.credits_id.is_not(None))
    )
    for invoice in session.scalars(select(Invoice).join(later, later.corrects_id == Invoice.id).order_by(Invoice.id)):
        left = invoice.gross_minor + credited.get(invoice.id, 0)
        yield None if left == 0 else f"{_paper(invoice)} was corrected, and {left} of it still stands"


def _numbers_have_no_gap(session: Session) -> Iterator[str | None]:
    counters = {
        (counter.series, counter.year): counter.last_number for counter in session.scalars(select(NumberCounter))
    }
    for table in (Invoice, Payment):
        lines = session.execute(
            select(table.series, table.year, func.count(), func.min(table.number), func.max(table.number)).group_by(
                table.series, table.year
            )
        )
        for series, year, count, first, last in lines:
            is_whole = count == last - first + 1 and counters.get((series, year)) == last
            yield None if is_whole else f"{series} {year or ''}: {count} numbers from {first} to {last}"


def _acts_kept_their_result(session: Session) -> Iterator[str | None]:
    for key, result in session.execute(select(ActKey.key, ActKey.result)):
        yield None if result else f"The act with the key {key} has no result"


def _ledgers_are_guarded(session: Session) -> Iterator[str | None]:
    asked = (
        "SELECT name FROM sqlite_master WHERE type = 'trigger'"
        if session.get_bind().dialect.name == "sqlite"
        else "SELECT tgname FROM pg_trigger WHERE NOT tgisinternal AND tgenabled <> 'D'"
    )
    there = set(session.scalars(text(asked)))
    for table in LEDGERS:
        is_guarded = {f"guard_{table}_update", f"guard_{table}_delete"} <= there
        yield None if is_guarded else f"The ledger {table} has lost its guards: run shopbook upgrade to restore them"


def _every_row_points_somewhere(session: Session) -> Iterator[str | None]:
    """SQLite's own check; PostgreSQL has never let such a row in."""
    yield from (None for _ in inspect(session.connection()).get_table_names())
    if session.get_bind().dialect.name == "sqlite":
        for table, row, target, _ in session.execute(text("PRAGMA foreign_key_check")):
            yield f"Row {row} of {table} points to a missing {target}"
        said = session.scalar(text("PRAGMA integrity_check"))
        yield None if said == "ok" else f"The book's file is damaged: {said}"


def _closings_have_their_paper(session: Session) -> Iterator[str | None]:
    asked = select(MonthClose, Paper.sha256).outerjoin(
        Paper, (Paper.subject == "month_close") & (Paper.subject_id == MonthClose.id)
    )
    for close, sha256 in session.execute(asked.where(MonthClose.sha256 != "").order_by(MonthClose.id)):
        name = f"Closing {close.month}, version {close.version}"
        yield None if sha256 == close.sha256 else f"{name} names another paper than the one kept for it"


def _sums(session: Session, asked: Select[Any, int]) -> dict[int, int]:
    """The sums of a statement of two columns by its first."""
    lines = session.execute(asked.group_by(asked.selected_columns[0]))
    return {key: int(total) for key, total in lines}


def _paper(invoice: Invoice) -> str:
    return f"{invoice.kind.capitalize()} {invoice.number}"


_CLAIMS: dict[str, Finder] = {
    "every reference points to an existing row": _every_row_points_somewhere,
    "ledgers are append-only": _ledgers_are_guarded,
    "stock on hand is the sum of movements, and value in equals value left plus value out": _stock_closes,
    "stock used was valued at the average cost of that moment": _draws_at_average,
    "a clock entry is the sum of its shares": _clocks_are_shared,
    "a corrected clock entry is fully reversed": _reversals_take_back_all,
    "each person has at most one running clock": _one_clock_a_person,
    "an invoice is the sum of its lines, its tax lines and its payers' shares": _invoices_add_up,
    "a month's tax is the sum of its tax lines": _months_hold_their_tax,
    "no payment is applied for more than its amount": _payments_are_set_once,
    "no payment goes back for more than is left of it": _what_went_back_is_not_used,
    "paid plus owed equals invoiced": _paid_and_owed_are_invoiced,
    "a corrected invoice is credited in full": _corrected_are_taken_back,
    "a closing names the paper kept for it": _closings_have_their_paper,
    "numbers have no gaps": _numbers_have_no_gap,
    "every act has its result": _acts_kept_their_result,
}
