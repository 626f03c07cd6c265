"""A payer's account in finished words: once for the page, the file and the message."""

from datetime import date, timedelta

from flask import url_for

from shopbook.documents.statement import AccountLine, OpenLine, StatementPaper
from shopbook.queries.money.heads import get_payer_head
from shopbook.queries.money.payer_account import PayerAccount
from shopbook.trade.billing.account import AccountEntry, OpenPaper, Statement, UnusedCredit
from shopbook.trade.billing.ageing import AgeBand
from shopbook.trade.measures.days import format_day
from shopbook.web.money.account_words import entry_words, job_words, paper_words
from shopbook.web.money.bands import BAND_WORDS
from shopbook.web.money.paper_head import head_of
from shopbook.web.parts import country, day_text, money, reader
from shopbook.web.parts.rows import Customer


def statement_paper(payer: Customer, account: PayerAccount) -> StatementPaper:
    """The statement as it is shown, printed and sent."""
    statement, known = account.statement, get_payer_head(reader(), payer)
    period = f"{_long(statement.first)} to {_long(statement.last)}"
    return StatementPaper(
        head=head_of(known, "Statement", "", (("Period", period),)),
        sign=country().currency_symbol,
        balance=(f"Balance on {_long(statement.last)}", money(statement.closing_minor)),
        pay_now=("Please pay now", money(statement.end.pay_now_minor), why_now(statement)),
        lines=(_forward(statement), *account_lines(account)),
        lines_last=_line("Total", statement.charged_minor, statement.taken_off_minor, statement.closing_minor),
        open_lines=open_lines(statement),
        open_last=OpenLine("Balance", "", "", "", _plain(statement.closing_minor)),
        ages=ages_of(statement),
        notes=_notes(statement),
        pay_to=" ".join(known["pay_to"].split()),
    )


def statement_text(paper: StatementPaper) -> str:
    """The statement as a message: what to pay, the balance, and every open invoice with its day."""
    period = dict(paper.head.facts)["Period"]
    rows = [
        f"{line.what}{f', due {line.due}' if line.due else ''}{f' ({line.late})' if line.late else ''}: {line.owed}"
        for line in paper.open_lines
    ]
    pay, figure, why = paper.pay_now
    said_now = f"{pay}: {figure}{f' ({why})' if why else ''}."
    lines = (f"{paper.head.shop}, statement, {period}.", f"{paper.balance[0]}: {paper.balance[1]}.", said_now)
    return "\n".join(filter(None, (*lines, *rows, paper.pay_to)))


def why_now(statement: Statement) -> str:
    """How what is to pay now comes about; nothing where nothing is overdue."""
    ageing = statement.end.ageing
    if not ageing.overdue_minor or not ageing.on_account_minor:
        return "overdue" if ageing.overdue_minor else "nothing is overdue"
    return f"overdue {money(ageing.overdue_minor)} less unused credit {money(ageing.on_account_minor)}"


def account_lines(account: PayerAccount) -> tuple[AccountLine, ...]:
    """Every line of the span, oldest first."""
    found = []
    for line in account.statement.lines:
        entry, (what, below) = line.entry, entry_words(line.entry, account.names)
        charge, payment = max(0, entry.amount_minor), max(0, -entry.amount_minor)
        found.append(
            _line(what, charge, payment, line.balance_minor, _day(entry.on, account.statement), below, _url(entry))
        )
    return tuple(found)


def open_lines(statement: Statement) -> tuple[OpenLine, ...]:
    """What is still to pay at the end, the share due first at the head, then unused credit."""
    end = statement.end
    return (*(_open(row, statement) for row in end.papers), *(_credit(row, statement) for row in end.credits))


def _open(row: OpenPaper, statement: Statement) -> OpenLine:
    share, late = row.share, row.days_late(statement.last)
    return OpenLine(
        f"{paper_words(share.kind, share.number)}, {_day(share.on, statement)}",
        job_words(share.job_number, share.car),
        _day(share.due_on, statement),
        f"{late} day{'s' if late != 1 else ''} late" if late else "",
        _plain(row.owed_minor),
        url_for("money.invoice", invoice_id=share.place[0]),
    )


def _credit(row: UnusedCredit, statement: Statement) -> OpenLine:
    what = f"Unused credit, receipt {row.money.number}, {_day(row.money.on, statement)}"
    url = url_for("money.payment", payment_id=row.money.id)
    return OpenLine(what, job_words(row.money.job_number, ""), "", "", _plain(-row.free_minor), url)


def _url(entry: AccountEntry) -> str:
    if entry.share is not None:
        return url_for("money.invoice", invoice_id=entry.share.paper_id)
    return url_for("money.payment", payment_id=entry.money.id) if entry.money else ""


def _forward(statement: Statement) -> AccountLine:
    before = statement.first - timedelta(days=1)
    return _line("Balance brought forward", 0, 0, statement.opening_minor, _day(before, statement))


def _line(
    what: str, charge: int, payment: int, balance: int, day: str = "", below: str = "", url: str = ""
) -> AccountLine:
    return AccountLine(
        day,
        what,
        below,
        _plain(charge) if charge else "",
        _plain(payment) if payment else "",
        _plain(balance),
        url,
    )


def ages_of(statement: Statement) -> tuple[tuple[str, str], ...]:
    """Every band with its sum, and the unused credit; nothing where nothing is open."""
    ageing = statement.end.ageing
    if not ageing.owed_minor and not ageing.on_account_minor:
        return ()
    bands = [(BAND_WORDS[band], _plain(ageing.by_band[band])) for band in AgeBand]
    return (*bands, ("credit", _plain(-ageing.on_account_minor)))


def _notes(statement: Statement) -> tuple[str, ...]:
    held = statement.end.security_minor
    return (f"We also hold a security deposit of {money(held)}. It is not part of the balance.",) if held else ()


def _plain(minor: int) -> str:
    return money(minor, has_symbol=False)


def _day(day: date, statement: Statement) -> str:
    """A day in a list; the year of the statement's end goes unsaid, so that it reads the same in any year."""
    return format_day(day, country().date_form, this_year=statement.last.year)


def _long(day: date) -> str:
    return day_text(day, is_long=True)
