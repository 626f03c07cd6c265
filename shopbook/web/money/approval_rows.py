"""The rows of the approvals on a job's page: what was asked of whom, how it stands, and what each payer pays."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime

from shopbook.queries.money.payers import NamedPayer
from shopbook.trade.agreeing.words import Party
from shopbook.web.parts.act import shop_now
from shopbook.web.parts.frame import day_text
from shopbook.web.parts.rows import Approval, Quote

MEANS_SHORT = {
    "signed": "signed",
    "typed": "name typed",
    "in_person": "in person",
    "phone": "by phone",
    "text": "by text",
    "mail": "by email",
}
NOBODY_ELSE: Mapping[int, str] = {}


@dataclass(frozen=True, slots=True)
class ApprovalRow:
    """One line: whose approval of which quote, to what amount, drawn as a tag of that kind.

    `total_minor` and `excess_minor` are the repair total that a payer approved and the excess that it takes off.
    """

    what: str
    whose: str
    amount_minor: int | None
    quote_id: int
    tag: str
    tag_words: str
    total_minor: int | None = None
    excess_minor: int | None = None
    verb: str = "pays"
    """What the amount is: what it pays, or, of an approval kept without three figures, what it approved."""
    approval_id: int | None = None
    recorded_under: str = ""
    """The customer it was recorded under, where the job is another one's by now."""


def approval_rows(
    quotes: Sequence[Quote],
    approvals: Sequence[Approval],
    payers: Sequence[NamedPayer] = (),
    names: Mapping[int, str] = NOBODY_ELSE,
    *,
    wants_payer: bool,
) -> list[ApprovalRow]:
    """For each quote that stands and was given, the customer's row, and one of each payer besides.

    `names` are those of customers who had the job before, by id.
    """
    others = _others(payers)
    found = []
    for quote in sorted(quotes, key=lambda each: each.version):
        own = [row for row in approvals if row.quote_id == quote.id]
        if quote.given_at is not None and (quote.replaced_at is None or own):
            is_asked = wants_payer or any(row.party == Party.PAYER for row in own)
            found += _under(_rows_of(quote, own, others if is_asked else ()), own, names)
    return found


def _under(rows: Sequence[ApprovalRow], own: Sequence[Approval], names: Mapping[int, str]) -> list[ApprovalRow]:
    whose = {
        approval.id: names.get(approval.customer_id or 0, "") for approval in own if approval.party == Party.CUSTOMER
    }
    return [replace(row, recorded_under=whose.get(row.approval_id or 0, "")) for row in rows]


def _others(payers: Sequence[NamedPayer]) -> list[tuple[int | None, str]]:
    """Whoever pays besides the customer, by id and name; one without a name where nobody is named."""
    named: list[tuple[int | None, str]] = [(each.customer_id, each.name) for each in payers if not each.is_customer]
    return named or [(None, "Payer")]


def _rows_of(quote: Quote, own: Sequence[Approval], others: Sequence[tuple[int | None, str]]) -> list[ApprovalRow]:
    customers = [row for row in own if row.party == Party.CUSTOMER]
    paying = [row for row in own if row.party == Party.PAYER]
    payers = [_row(quote, name, _of(paying, key, others), quote.asked_payer_at) for key, name in others]
    return [_row(quote, "Customer", customers, quote.asked_customer_at), *payers]


def _of(
    paying: Sequence[Approval], customer_id: int | None, others: Sequence[tuple[int | None, str]]
) -> list[Approval]:
    """The approvals of one payer; of the only one all of them."""
    return [row for row in paying if len(others) == 1 or row.whose_id == customer_id]


def _row(quote: Quote, whose: str, said: Sequence[Approval], asked_at: datetime | None) -> ApprovalRow:
    title = quote.groups[0].title if quote.groups else ""
    what = (f"Extra work: {title}" if title else "Extra work") if quote.kind == "extra" else "The work"
    if said:
        last = said[-1]
        amount = last.amount_minor if last.party == Party.PAYER else last.pays_minor
        tag_words = f"{day_text(last.on)}, {MEANS_SHORT.get(last.means, last.means)}"
        figures = (last.repair_total_minor, last.excess_minor)
        verb = "approved" if last.pays_minor is None else "pays"
        return ApprovalRow(what, whose, amount, quote.id, "good", tag_words, *figures, verb, last.id)
    if whose != "Customer" and quote.payer_declined_at is not None:
        day = day_text(shop_now().day_of(quote.payer_declined_at))
        return ApprovalRow(what, whose, None, quote.id, "late", f"declined {day}")
    if asked_at is None:
        return ApprovalRow(what, whose, None, quote.id, "warn", "not asked yet")
    return ApprovalRow(what, whose, None, quote.id, "late", f"asked {day_text(shop_now().day_of(asked_at))}")
