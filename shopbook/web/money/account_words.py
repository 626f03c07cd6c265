"""How a line of a payer's account is said: what it was, and what stands below it."""

from collections.abc import Mapping

from shopbook.queries.money.payers import NOBODY
from shopbook.trade.billing.account import AccountEntry, AccountKind, MoneyRow, ShareRow
from shopbook.trade.billing.pay_means import KIND_WORDS, MEANS_WORDS, PayMeans
from shopbook.trade.letters import lower_first
from shopbook.web.money.invoice_view import KINDS
from shopbook.web.parts.act import shop_now
from shopbook.web.parts.frame import said

TAKEN_BACK = "Write-off taken back"
Said = tuple[str, str]


def entry_words(entry: AccountEntry, names: Mapping[int, str]) -> Said:
    """A line of the account; `names` are of others whose money or share stands in it."""
    if entry.share is not None:
        return _share(entry.share, entry)
    if entry.money is None or entry.what in {AccountKind.MONEY, AccountKind.BACK}:
        return _money(entry.money) if entry.money else ("", "")
    return _set(entry, entry.money, names.get(entry.other_id or 0, NOBODY))


def paper_words(kind: str, number: int) -> str:
    """A paper as a statement names it: an invoice behind the shop's prefix, as it is printed."""
    prefix = "" if kind == "credit" else shop_now().book.number_prefix
    return f"{KINDS.get(kind, KINDS['invoice'])} {prefix}{number}"


def job_words(number: int, car: str) -> str:
    """The job that a line belongs to, with its car where one is known."""
    return f"job {number}, {car}" if car else f"job {number}"


def _share(share: ShareRow, entry: AccountEntry) -> Said:
    job = job_words(share.job_number, share.car)
    if entry.what is not AccountKind.REST:
        return paper_words(share.kind, share.number), job
    words = "Moved here from another payer" if entry.amount_minor > 0 else "Moved to another payer"
    return words, f"{lower_first(paper_words('invoice', share.number))}, {job}"


def _money(row: MoneyRow) -> Said:
    """Money in or back: its kind and receipt, by what means, its reference."""
    number = f", receipt {row.number}" if row.kind != "rounding" else ""
    means = said(MEANS_WORDS[PayMeans(row.means)]).lower() if row.means in MEANS_WORDS else ""
    return f"{said(KIND_WORDS[row.kind])}{number}", ", ".join(filter(None, (means, row.reference)))


def _set(entry: AccountEntry, row: MoneyRow, other: str) -> Said:
    kind, number = entry.paper
    paper = lower_first(paper_words(kind, number))
    if entry.what is AccountKind.DIFFERENCE:
        return _difference(entry, row), paper
    words = f"Paid by {other}" if entry.what is AccountKind.BY_OTHER else f"Used for {other}"
    return words, f"receipt {row.number}, {paper}"


def _difference(entry: AccountEntry, row: MoneyRow) -> str:
    """A rounding or a write-off, and what took one back."""
    if row.kind == "written_off" and entry.amount_minor > 0:
        return KIND_WORDS["recovered"] if entry.is_recovered else TAKEN_BACK
    return KIND_WORDS[row.kind]
