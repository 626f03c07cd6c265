"""The account of a payer from ledger rows alone: what happened, what is open on a day, the statement of a span.

Every row counts from a day of its own, so that a day has the same figure a year later. Amounts are minor units; above
zero the payer owes more.
"""

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta
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


class EntryKind(StrEnum):
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

    what: EntryKind
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
class Standing:
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
    end: Standing

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


def statement_of(rows: AccountRows, first: date, last: date) -> Statement:
    """The statement of these days."""
    dated = replace(rows, sets=dated_sets(rows))
    opening = _standing(dated, first - timedelta(days=1)).balance_minor
    lines, balance = [], opening
    for entry in sorted(_entries(dated), key=lambda one: (one.on, one.at)):
        if first <= entry.on <= last:
            balance += entry.amount_minor
            lines.append(StatementLine(entry, balance))
    return Statement(first, opening, tuple(lines), _standing(dated, last))


def standing_on(rows: AccountRows, day: date) -> Standing:
    """What is open and unused at the end of a day, the share due first at the head."""
    return _standing(replace(rows, sets=dated_sets(rows)), day)


def dated_sets(rows: AccountRows) -> list[SetRow]:
    """What was set against shares, each from the day it counts.

    In the act that took the money (or took it back) it counts from that money's day, though typed in later: 100.00
    of Oct 31 entered on Nov 5 pay their invoice on Oct 31. Never before there is the share, and never before what it
    takes off.
    """
    acts: dict[tuple[int, datetime], date] = {}
    for row in rows.money:
        acts[(row.reverses_id or row.id, row.at)] = row.on
    counted: dict[tuple[int, Place], date] = {}
    found = []
    for row in rows.sets:
        own = row.payment.on if row.payment.at == row.at else row.on
        key = (row.payment.id, row.place)
        day = min(row.on, own, acts.get((row.payment.id, row.at), row.on))
        counted[key] = max(day, row.since, counted.get(key, date.min))
        found.append(replace(row, on=counted[key]))
    return found


def _standing(rows: AccountRows, day: date) -> Standing:
    firsts: dict[Place, ShareRow] = {}
    owed: dict[Place, int] = defaultdict(int)
    for share in rows.shares:
        if share.on <= day:
            firsts.setdefault(share.place, share)
            owed[share.place] += share.amount_minor
    free: dict[int, int] = defaultdict(int)
    for line in rows.money:
        if line.on <= day:
            free[line.id if line.reverses_id is None else line.reverses_id] += line.amount_minor
    for row in rows.sets:
        if row.on <= day:
            free[row.payment.id] -= row.amount_minor
            if row.is_mine:
                owed[row.place] -= row.amount_minor
    papers = [OpenPaper(share, owed[place]) for place, share in firsts.items() if owed[place]]
    own = [UnusedCredit(row, free[row.id]) for row in rows.money if row.is_own and row.on <= day and free[row.id]]
    held = sum(free[row.id] for row in rows.money if row.is_held and row.on <= day)
    in_order = sorted(papers, key=lambda row: (row.share.due_on, row.share.paper_id))
    return Standing(day, tuple(in_order), tuple(own), held)


def _entries(rows: AccountRows) -> Iterable[AccountEntry]:
    own = {row.id for row in rows.money if row.is_own}
    for share in rows.shares:
        what = EntryKind.REST if share.kind == REST_MOVED else EntryKind.PAPER
        yield AccountEntry(what, share.on, share.at, share.amount_minor, share=share)
    for line in rows.money:
        if line.is_own:
            yield AccountEntry(EntryKind.MONEY, line.on, line.at, -line.amount_minor, money=line)
        elif line.reverses_id in own:
            yield AccountEntry(EntryKind.BACK, line.on, line.at, -line.amount_minor, money=line)
    recovered = {(row.reverses_id, row.at) for row in rows.money if row.kind == "recovered"}
    for row in rows.sets:
        # Own money against an own share changes what is open, and not the balance.
        if row.payment.is_own != row.is_mine:
            yield _set_entry(row, is_recovered=(row.payment.id, row.at) in recovered)


def _set_entry(row: SetRow, *, is_recovered: bool) -> AccountEntry:
    if row.payment.is_own:
        what, amount = EntryKind.FOR_OTHER, row.amount_minor
    else:
        is_money = row.payment.kind not in {"rounding", "written_off"}
        what, amount = EntryKind.BY_OTHER if is_money else EntryKind.DIFFERENCE, -row.amount_minor
    return AccountEntry(
        what,
        row.on,
        row.at,
        amount,
        money=row.payment,
        paper=row.paper,
        other_id=row.other_id,
        is_recovered=is_recovered,
    )
