"""How a payer stands on a day and the statement of a span, worked out from the rows of its account."""

from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace
from datetime import date, timedelta

from shopbook.trade.billing.account import (
    REST_MOVED,
    AccountEntry,
    AccountKind,
    AccountRows,
    AccountStanding,
    MoneyRow,
    OpenPaper,
    Place,
    SetRow,
    ShareRow,
    Statement,
    StatementLine,
    UnusedCredit,
)


def statement_of(rows: AccountRows, first: date, last: date) -> Statement:
    """The statement of these days."""
    dated = replace(rows, sets=dated_sets(rows))
    opening = _standing(dated, first - timedelta(days=1)).balance_minor
    lines, balance = [], opening
    for entry in _entries(dated):
        if first <= entry.on <= last:
            balance += entry.amount_minor
            lines.append(StatementLine(entry, balance))
    return Statement(first, opening, tuple(lines), _standing(dated, last))


def standing_on(rows: AccountRows, day: date) -> AccountStanding:
    """What is open and unused at the end of a day, the share due first at the head."""
    return _standing(replace(rows, sets=dated_sets(rows)), day)


def dated_sets(rows: AccountRows) -> list[SetRow]:
    """What was set against shares, each from the day it counts.

    In the act that took the money (or took it back) it counts from that money's day, though typed in later: 100.00
    of Oct 31 entered on Nov 5 pay their invoice on Oct 31. Never before there is the share, and never before what it
    takes off.
    """
    acts = {(line.reverses_id or line.id, line.at): line.on for line in rows.money}
    counted: dict[tuple[int, Place], date] = {}
    found = []
    for row in rows.sets:
        key = (row.payment.id, row.place)
        own = row.payment.on if row.payment.at == row.at else row.on
        day = min(row.on, own, acts.get((row.payment.id, row.at), row.on))
        counted[key] = max(day, row.since, counted.get(key, date.min))
        found.append(replace(row, on=counted[key]))
    return found


def _standing(rows: AccountRows, day: date) -> AccountStanding:
    known = _until(rows, day)
    free = _free(known)
    return AccountStanding(
        day,
        _open_papers(known),
        tuple(UnusedCredit(line, free[line.id]) for line in known.money if line.is_own and free[line.id]),
        sum(free[line.id] for line in known.money if line.is_held),
    )


def _until(rows: AccountRows, day: date) -> AccountRows:
    """The rows that count on a day."""
    return AccountRows(
        [share for share in rows.shares if share.on <= day],
        [line for line in rows.money if line.on <= day],
        [row for row in rows.sets if row.on <= day],
    )


def _free(rows: AccountRows) -> dict[int, int]:
    """What of each line of money is set against nothing and was not taken back."""
    free: dict[int, int] = defaultdict(int)
    for line in rows.money:
        free[line.id if line.reverses_id is None else line.reverses_id] += line.amount_minor
    for row in rows.sets:
        free[row.payment.id] -= row.amount_minor
    return free


def _open_papers(rows: AccountRows) -> tuple[OpenPaper, ...]:
    firsts: dict[Place, ShareRow] = {}
    owed: dict[Place, int] = defaultdict(int)
    for share in rows.shares:
        firsts.setdefault(share.place, share)
        owed[share.place] += share.amount_minor
    for row in rows.sets:
        if row.is_mine:
            owed[row.place] -= row.amount_minor
    papers = [OpenPaper(share, owed[place]) for place, share in firsts.items() if owed[place]]
    return tuple(sorted(papers, key=lambda row: (row.share.due_on, row.share.paper_id)))


def _entries(rows: AccountRows) -> list[AccountEntry]:
    """By day, and of a day in the order of its acts."""
    entries = [*_share_entries(rows.shares), *_money_entries(rows.money), *_set_entries(rows)]
    return sorted(entries, key=lambda one: (one.on, one.at))


def _share_entries(shares: Iterable[ShareRow]) -> Iterator[AccountEntry]:
    for share in shares:
        what = AccountKind.REST if share.kind == REST_MOVED else AccountKind.PAPER
        yield AccountEntry(what, share.on, share.at, share.amount_minor, share=share)


def _money_entries(money: Sequence[MoneyRow]) -> Iterator[AccountEntry]:
    own = {line.id for line in money if line.is_own}
    for line in money:
        if line.is_own:
            yield AccountEntry(AccountKind.MONEY, line.on, line.at, -line.amount_minor, money=line)
        elif line.reverses_id in own:
            yield AccountEntry(AccountKind.BACK, line.on, line.at, -line.amount_minor, money=line)


def _set_entries(rows: AccountRows) -> Iterator[AccountEntry]:
    """Own money against an own share changes what is open, and not the balance: it is no entry."""
    recovered = {(line.reverses_id, line.at) for line in rows.money if line.kind == "recovered"}
    for row in rows.sets:
        if row.payment.is_own != row.is_mine:
            yield _set_entry(row, is_recovered=(row.payment.id, row.at) in recovered)


def _set_entry(row: SetRow, *, is_recovered: bool) -> AccountEntry:
    if row.payment.is_own:
        what, amount = AccountKind.FOR_OTHER, row.amount_minor
    else:
        is_money = row.payment.kind not in {"rounding", "written_off"}
        what, amount = AccountKind.BY_OTHER if is_money else AccountKind.DIFFERENCE, -row.amount_minor
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
