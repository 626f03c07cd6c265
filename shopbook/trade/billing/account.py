"""The account of a payer from ledger rows alone: what happened, what is open on a day, the statement of a span.

Every row counts from a day of its own, so that a day has the same figure a year later. Amounts are minor units; above
zero the payer owes more.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime
from enum import StrEnum

from shopbook.trade.billing.ageing import Ageing, OwedRow, owed_by_age

REST_MOVED = "moved"
"""Words of the two rows by which what was still to pay moved from one payer to another."""

Place = tuple[int, int | None]
"""A paper, and the payer of a share of it as the paper names it."""


@dataclass(frozen=True, slots=True)
class ShareRow:
    """What a paper put on one payer: its share, a credit note (below zero) of that share, or a rest that moved."""

    place: Place
    """Of a credit note, the place that it takes back of."""
    on: date
    at: datetime
    due_on: date
    amount_minor: int
    paper_id: int
    kind: str
    """Of the paper; `REST_MOVED` for a rest."""
    number: int
    job_number: int
    car: str = ""


@dataclass(frozen=True, slots=True)
class MoneyRow:
    """One line of money; `reverses_id` is the line that it takes back of.

    `is_own` is the payer's own that came in to be spent, `is_held` its own that is held as a security.
    """

    id: int
    kind: str
    number: int
    on: date
    at: datetime
    amount_minor: int
    means: str = ""
    reference: str = ""
    reverses_id: int | None = None
    is_own: bool = False
    is_held: bool = False
    job_number: int = 0


@dataclass(frozen=True, slots=True)
class SetRow:
    """What of a line of money was set against a share, below zero where it was taken off again.

    `is_own` and `is_mine` say whether money and share are this payer's; `other_id` whose the other one is.
    """

    payment: MoneyRow
    place: Place
    on: date
    at: datetime
    amount_minor: int
    is_mine: bool
    paper: tuple[str, int] = ("invoice", 0)
    """Kind and number."""
    since: date = date.min
    """Since when there is that share."""
    other_id: int | None = None


class AccountKind(StrEnum):
    """What an entry of the account is."""

    PAPER = "paper"
    REST = "rest"
    MONEY = "money"
    BACK = "back"
    DIFFERENCE = "difference"
    BY_OTHER = "by_other"
    FOR_OTHER = "for_other"


@dataclass(frozen=True, slots=True)
class AccountEntry:
    """One line of the account: by what (`share`, `money`) and by how much the balance changed."""

    what: AccountKind
    on: date
    at: datetime
    amount_minor: int
    share: ShareRow | None = None
    money: MoneyRow | None = None
    paper: tuple[str, int] = ("", 0)
    other_id: int | None = None
    is_recovered: bool = False
    """Of a write-off that is taken back: whether money came after all."""


@dataclass(frozen=True, slots=True)
class OpenPaper:
    """What is still to pay of one share on a day."""

    share: ShareRow
    owed_minor: int

    def days_late(self, day: date) -> int:
        """Days past the due day; zero until then."""
        return max(0, (day - self.share.due_on).days)


@dataclass(frozen=True, slots=True)
class UnusedCredit:
    """Money of the payer that is set against nothing on a day."""

    money: MoneyRow
    free_minor: int


@dataclass(frozen=True, slots=True)
class AccountRows:
    """The ledger rows of one payer, each kind in the order it was written."""

    shares: Sequence[ShareRow]
    money: Sequence[MoneyRow]
    sets: Sequence[SetRow]


@dataclass(frozen=True, slots=True)
class AccountStanding:
    """How a payer stands at the end of a day.

    The balance is what is open less unused credit; to pay now is what is overdue less unused credit, never below zero.
    1046 for 1,545.41 is overdue, 1066 and 1067 (1,412.13 and 949.56) are not due, 480.00 is unused: the balance is
    3,427.10, to pay now 1,065.41.
    """

    day: date
    papers: tuple[OpenPaper, ...]
    credits: tuple[UnusedCredit, ...]
    security_minor: int = 0
    """Held for the payer, and no part of the balance."""

    @property
    def ageing(self) -> Ageing:
        """What is open by days late, and the unused credit."""
        owed = [OwedRow("", row.share.due_on, row.owed_minor) for row in self.papers]
        return owed_by_age([*owed, *(OwedRow("", row.money.on, -row.free_minor) for row in self.credits)], self.day)

    @property
    def balance_minor(self) -> int:
        return self.ageing.total_minor

    @property
    def pay_now_minor(self) -> int:
        return max(0, self.ageing.overdue_minor - self.ageing.on_account_minor)


@dataclass(frozen=True, slots=True)
class StatementLine:
    """An entry, and the balance after it."""

    entry: AccountEntry
    balance_minor: int


@dataclass(frozen=True, slots=True)
class Statement:
    """The account over a span, both days included: opening balance, each entry with the balance after it, the end.

    Opening 2,425.41; paid 1,360.00: 1,065.41; invoices of 1,412.13 and 949.56: 2,477.54 and 3,427.10.
    """

    first: date
    opening_minor: int
    lines: tuple[StatementLine, ...]
    end: AccountStanding

    @property
    def last(self) -> date:
        return self.end.day

    @property
    def charged_minor(self) -> int:
        """What was put on the account."""
        return sum(max(0, line.entry.amount_minor) for line in self.lines)

    @property
    def taken_off_minor(self) -> int:
        """Payments and credits, above zero."""
        return -sum(min(0, line.entry.amount_minor) for line in self.lines)

    @property
    def closing_minor(self) -> int:
        """The opening balance with every entry; it is the balance of what is open at the end."""
        return self.opening_minor + self.charged_minor - self.taken_off_minor
