"""The two approvals, kept apart, and who pays what share of a job."""

from sqlalchemy import CheckConstraint, UniqueConstraint
from sqlalchemy.orm import Mapped, mapped_column

from shopbook.models.base import Base, Day, Key, Kind, Line, Minor, Moment, Words, refers
from shopbook.models.customers import whose


class Approval(Base):
    """One approval: the customer's of the work, or the payer's of an amount. Append-only."""

    __tablename__ = "approval"
    __table_args__ = (
        CheckConstraint("party IN ('customer', 'payer')", name="known_party"),
        CheckConstraint("amount_minor IS NULL OR amount_minor >= 0", name="amount_not_negative"),
        CheckConstraint("pays_minor IS NULL OR pays_minor >= 0", name="pays_not_negative"),
    )

    id: Mapped[Key]
    job_id: Mapped[int] = refers("job.id")
    quote_id: Mapped[int] = refers("quote.id")
    party: Mapped[Kind]
    customer_id: Mapped[int | None] = refers("customer.id", index=False)
    whose_id: Mapped[int | None] = whose(customer_id)
    means: Mapped[Kind]
    """signed, typed, phone, text, mail, in_person."""
    said_by: Mapped[Line]
    """The name as signed or said, and a reference."""
    amount_minor: Mapped[Minor | None]
    """With tax: what was approved; a payer pays up to this."""
    repair_total_minor: Mapped[Minor | None]
    """With tax: what a payer approved the whole of this quote or extra for; None where it did not say."""
    excess_minor: Mapped[Minor | None]
    """The excess (deductible) that the payer takes off; None where it did not say."""
    pays_minor: Mapped[Minor | None]
    """With tax: what this party agreed to pay itself. None: an approval of the work alone, or one kept before this."""
    words: Mapped[Words] = mapped_column(default="")
    signature: Mapped[Words] = mapped_column(default="")
    """SVG path of the drawn signature, or empty."""
    picture_id: Mapped[int | None] = refers("picture.id", index=False)
    at: Mapped[Moment]
    """When it was saved; `said_at` is when it was given, and `on` that moment's day."""
    on: Mapped[Day]
    person_id: Mapped[int | None] = refers("person.id", index=False)
    """Who saved it."""
    said_at: Mapped[Moment]
    number_called: Mapped[Line] = mapped_column(server_default="", default="")
    """The telephone number of an approval by phone; empty for one kept before it was asked."""
    taken_by_id: Mapped[int | None] = refers("person.id", index=False)
    """Who of the shop took that call."""


class ApprovalGroup(Base):
    """Whether one group was accepted or declined in one approval. Append-only."""

    __tablename__ = "approval_group"
    __table_args__ = (UniqueConstraint("approval_id", "group_id"),)

    id: Mapped[Key]
    approval_id: Mapped[int] = refers("approval.id", index=False)
    group_id: Mapped[int] = refers("quote_group.id")
    is_taken: Mapped[bool]


class ApprovalReading(Base):
    """What a payer's approval kept without three figures is said to pay; the newest holds. Append-only."""

    __tablename__ = "approval_reading"

    id: Mapped[Key]
    approval_id: Mapped[int] = refers("approval.id")
    pays_minor: Mapped[Minor]
    at: Mapped[Moment]
    on: Mapped[Day]
    person_id: Mapped[int | None] = refers("person.id", index=False)


class ApprovalWithdrawal(Base):
    """An approval that is taken back: from then on the newest one not withdrawn holds. Append-only, one row each."""

    __tablename__ = "approval_withdrawal"
    __table_args__ = (UniqueConstraint("approval_id"), CheckConstraint("reason <> ''", name="has_reason"))

    id: Mapped[Key]
    approval_id: Mapped[int] = refers("approval.id", index=False)
    reason: Mapped[Line]
    at: Mapped[Moment]
    on: Mapped[Day]
    person_id: Mapped[int | None] = refers("person.id", index=False)


class JobPayer(Base):
    """One payer of a job and the rule for the share; whoever has the rule "rest" pays what is left."""

    __tablename__ = "job_payer"
    __table_args__ = (UniqueConstraint("job_id", "customer_id"),)

    id: Mapped[Key]
    job_id: Mapped[int] = refers("job.id", index=False)
    customer_id: Mapped[int] = refers("customer.id")
    whose_id: Mapped[int] = whose(customer_id)
    rule: Mapped[Kind]
    """excess, excess_and_tax, fixed, lines, rest."""
    amount_minor: Mapped[Minor]
    betterment_minor: Mapped[Minor] = mapped_column(server_default="0", default=0)
    """Without tax: what the repair makes better than it was; borne by this payer, never by an insurer."""
    betterment_code: Mapped[Kind] = mapped_column(server_default="", default="")
    """The kind of tax that falls on it."""
    group_keys: Mapped[Line]
    """The items of this payer's own; they count beside every rule but the rest."""
    reference: Mapped[Line]
    """Claim number or order number of the payer."""
