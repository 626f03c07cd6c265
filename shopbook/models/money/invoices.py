"""Issued invoices and credit notes with their lines, tax and payers, frozen as issued. Append-only, all four."""

from sqlalchemy import CheckConstraint, Index, UniqueConstraint
from sqlalchemy.orm import Mapped, mapped_column, relationship

from shopbook.models.base import Base, Day, JsonObject, Key, Kind, Line, Minor, Moment, Whole, Words, refers
from shopbook.models.customers import Customer, whose, whose_customer


class Invoice(Base):
    """One numbered paper: an invoice, a deposit invoice, a fee, or a credit note (its amounts are negative)."""

    __tablename__ = "invoice"
    __table_args__ = (
        UniqueConstraint("series", "year", "number"),
        CheckConstraint("kind IN ('invoice', 'deposit', 'credit', 'fee')", name="known_kind"),
        CheckConstraint("net_minor + tax_minor = gross_minor", name="sums_agree"),
        Index("ix_invoice_issued_on", "issued_on"),
        Index("ix_invoice_supply_on", "supply_on"),
    )

    id: Mapped[Key]
    series: Mapped[Kind]
    year: Mapped[Whole] = mapped_column(default=0)
    number: Mapped[Whole]
    kind: Mapped[Kind]
    job_id: Mapped[int] = refers("job.id")
    customer_id: Mapped[int | None] = refers("customer.id")
    credits_id: Mapped[int | None] = refers("invoice.id")
    corrects_id: Mapped[int | None] = refers("invoice.id")
    """Of a corrected invoice, the one in whose place it stands."""
    issued_at: Mapped[Moment]
    issued_on: Mapped[Day]
    supply_on: Mapped[Day]
    due_on: Mapped[Day]
    net_minor: Mapped[Minor]
    tax_minor: Mapped[Minor]
    gross_minor: Mapped[Minor]
    frozen: Mapped[JsonObject]
    """Names, addresses and words as printed, so that nothing changes with the customer's row."""
    reason: Mapped[Line] = mapped_column(default="")
    person_id: Mapped[int | None] = refers("person.id", index=False)

    lines: Mapped[list["InvoiceLine"]] = relationship(lazy="raise", order_by="InvoiceLine.id", viewonly=True)
    taxes: Mapped[list["InvoiceTax"]] = relationship(lazy="raise", order_by="InvoiceTax.id", viewonly=True)
    payers: Mapped[list["InvoicePayer"]] = relationship(lazy="raise", order_by="InvoicePayer.id", viewonly=True)


class InvoiceLine(Base):
    """One line: net of tax, its kind for the month's sums, its tax code."""

    __tablename__ = "invoice_line"

    id: Mapped[Key]
    invoice_id: Mapped[int] = refers("invoice.id")
    group_title: Mapped[Line]
    kind: Mapped[Kind]
    words: Mapped[Words]
    net_minor: Mapped[Minor]
    tax_code: Mapped[Kind]
    line_key: Mapped[Whole | None]
    """The key of the quote's line that it bills; None on what was issued before lines had keys."""
    item_key: Mapped[Whole | None]
    """The key of the item it stands in."""
    minutes: Mapped[Whole | None]
    """Man-minutes that it charges for, none for what is no labour; None on what was issued before they were kept."""


class LineMatch(Base):
    """Which line of the quotes an invoice line from before keys bills, as a person said. Append-only."""

    __tablename__ = "line_match"

    id: Mapped[Key]
    invoice_line_id: Mapped[int] = refers("invoice_line.id")
    line_key: Mapped[Whole]
    at: Mapped[Moment]
    on: Mapped[Day]
    person_id: Mapped[int | None] = refers("person.id", index=False)


class InvoiceTax(Base):
    """The tax of one code: rounded once, on the sum of its lines."""

    __tablename__ = "invoice_tax"
    __table_args__ = (UniqueConstraint("invoice_id", "code", "rate_thousandths"),)

    id: Mapped[Key]
    invoice_id: Mapped[int] = refers("invoice.id", index=False)
    code: Mapped[Kind]
    name: Mapped[Line]
    rate_thousandths: Mapped[Whole]
    basis_minor: Mapped[Minor]
    tax_minor: Mapped[Minor]


class InvoicePayer(Base):
    """What one payer owes of one invoice."""

    __tablename__ = "invoice_payer"
    __table_args__ = (Index("ix_invoice_payer_on", "on"),)

    id: Mapped[Key]
    invoice_id: Mapped[int] = refers("invoice.id")
    customer_id: Mapped[int | None] = refers("customer.id")
    whose_id: Mapped[int | None] = whose(customer_id)
    share_minor: Mapped[Minor]
    due_on: Mapped[Day]
    words: Mapped[Line]
    on: Mapped[Day | None]
    """The day on which a rest moved by this row; empty on what was issued with the paper."""

    customer: Mapped[Customer | None] = whose_customer(lambda: InvoicePayer.customer_id)


class InvoiceApproval(Base):
    """What a payer approved to pay of one invoice beyond its approvals of the quotes. Append-only."""

    __tablename__ = "invoice_approval"
    __table_args__ = (
        CheckConstraint("amount_minor > 0", name="above_zero"),
        CheckConstraint("kind IN ('price', 'rest')", name="known_kind"),
    )

    id: Mapped[Key]
    invoice_id: Mapped[int] = refers("invoice.id")
    customer_id: Mapped[int | None] = refers("customer.id", index=False)
    kind: Mapped[Kind]
    """price: of a corrected invoice; rest: of what another payer still owed."""
    amount_minor: Mapped[Minor]
    """With tax: by how much the invoice may pass what was approved before."""
    means: Mapped[Kind]
    said_by: Mapped[Line]
    words: Mapped[Words] = mapped_column(default="")
    at: Mapped[Moment]
    on: Mapped[Day]
    person_id: Mapped[int | None] = refers("person.id", index=False)
