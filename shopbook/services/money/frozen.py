"""What a paper freezes: names, addresses and words as printed, so that nothing changes with the rows behind it."""

from collections.abc import Mapping, Sequence
from datetime import date
from typing import Any

from sqlalchemy.orm import Session

from shopbook.models.jobs import Job
from shopbook.models.money import Approval, QuoteGroup
from shopbook.queries.money.approvals import AgreedQuote
from shopbook.queries.money.billable import AgreedWork
from shopbook.queries.money.heads import get_head
from shopbook.queries.money.quotes import is_main
from shopbook.queries.money.words import Wording
from shopbook.queries.shop.shop_on import ShopOn
from shopbook.trade.agreeing.changed_rates import ChangedTax, changed_taxes
from shopbook.trade.agreeing.words import MEANS_WORDS, ApprovalMeans, Party
from shopbook.trade.billing import Bill, BillLine, LineKind, rate_words
from shopbook.trade.billing.exempt import exempt_on
from shopbook.trade.billing.lines import EXEMPT
from shopbook.trade.car.part_kinds import mark_part
from shopbook.trade.countries import TaxAsks
from shopbook.trade.letters import lower_first
from shopbook.trade.planning.groups import WHOLE_CAR_GROUP
from shopbook.trade.pricing.keys import item_key
from shopbook.trade.settings import SettingName

NO_MARKS: Mapping[int, str] = {}
"""What a paper says of bought parts that it does not mark."""


def freeze_head(session: Session, job: Job) -> dict[str, Any]:
    """The head as it is now, and nothing yet of what a paper says below it."""
    below = {"facts": [], "groups": [], "not_done": [], "payers": [], "notes": [], "care": "", "storage": ""}
    return get_head(session, job) | below


def freeze_groups(
    lines: Sequence[BillLine], work: AgreedWork, said: Wording, marks: Mapping[int, str] = NO_MARKS
) -> list[dict[str, Any]]:
    """The work by item in the order of its lines: labour, everything else, and the words below the title.

    Two items of one name stay two rows. A saving, a discount or a deposit (`whole`) stands in neither column.
    `marks` says of bought parts, by their ids, whether they are new.
    """
    below = {item: words for row in work.quotes for item, words in _below(row, said)}
    groups: dict[tuple[int, str], dict[str, Any]] = {}
    for line in lines:
        title = line.title or line.words
        empty = {"title": title, "below": below.get(line.item, ""), "labour": 0, "other": 0, "whole": 0}
        row = groups.setdefault((line.item, title), empty)
        row[_column(line.kind)] += line.net_minor
        if not line.title or line.item not in below:
            row["below"] = "; ".join(part for part in (row["below"], line.words) if part and part != title)
        row["below"] = _marked(row["below"], line, marks)
    return list(groups.values())


def _marked(below: str, line: BillLine, marks: Mapping[int, str]) -> str:
    return mark_part(below, line.words, marks.get(line.job_part_id or 0, ""))


def freeze_item(title: str, below: str, lines: Sequence[BillLine]) -> dict[str, Any]:
    """One item whose words are known, with the sums of its lines."""
    row: dict[str, Any] = {"title": title, "below": below, "labour": 0, "other": 0, "whole": 0}
    for line in lines:
        row[_column(line.kind)] += line.net_minor
    return row


def _column(kind: str) -> str:
    if kind in {LineKind.SAVING, LineKind.DISCOUNT, LineKind.DEPOSIT}:
        return "whole"
    return "labour" if kind == LineKind.LABOUR else "other"


def _below(row: AgreedQuote, said: Wording) -> list[tuple[int, str]]:
    if is_main(row.quote):
        return [(item_key(group.first_key), group.below) for group in row.taken]
    approvals = "; ".join(_approval_words(approval, said) for approval in row.approvals)
    return [
        (item_key(group.first_key), "; ".join(part for part in (group.below, approvals) if part)) for group in row.taken
    ]


def _approval_words(approval: Approval, said: Wording) -> str:
    whose = "approved" if approval.party == Party.CUSTOMER else "payer approved"
    return f"{whose} {MEANS_WORDS.get(ApprovalMeans(approval.means), approval.means)} {said.moment(approval.said_at)}"


def freeze_left(work: AgreedWork) -> list[str]:
    """What was seen and declined, and not accepted later; of two ways only where none was accepted."""
    later = {(group.key, group.first_key) for row in work.quotes for group in row.taken}
    panels = {key for key, _ in later} - {WHOLE_CAR_GROUP}
    left = [group for row in work.quotes for group in _not_chosen(row)]
    return [group.title for group in left if (group.key, group.first_key) not in later and group.key not in panels]


def _not_chosen(row: AgreedQuote) -> list[QuoteGroup]:
    """The groups left of one quote; of two ways none where one was taken."""
    choices = {group.choice for group in row.taken} - {""}
    return [group for group in row.left if group.choice not in choices]


def tax_notes(bill: Bill, work: AgreedWork, said: Wording) -> list[str]:
    """One sentence for each kind of tax whose rate changed since the approval: "VAT 22 %: +12.67"."""
    approved = {
        line.key: {rate.code: rate for rate in row.priced.rates} for row in work.quotes for line in row.sum.taken.lines
    }
    return [_tax_note(row, said) for row in changed_taxes(bill, approved)]


def _tax_note(row: ChangedTax, said: Wording) -> str:
    now, before = rate_words(row.rate.rate_thousandths), rate_words(row.before_thousandths)
    if row.added_minor is None:
        return f"{row.rate.name} is now {now}, and was {before} when you approved. The total does not change."
    sign = "+" if row.added_minor > 0 else ""
    return f"{row.rate.name} {now}: {sign}{said.plain(row.added_minor)}"


def approval_notes(work: AgreedWork, said: Wording) -> list[str]:
    """Each approval of the customer with day, time, person and the number called, where the country's papers carry it.

    California asks for it on the invoice (16 CCR 3356 (d) and (e), read on 2026-11-30).
    """
    if not said.country.approvals_on_invoice:
        return []
    given = [each for row in work.quotes for each in row.approvals if each.party == Party.CUSTOMER]
    return [_approval_note(each, said) for each in given]


def _approval_note(approval: Approval, said: Wording) -> str:
    means = said.say(MEANS_WORDS.get(ApprovalMeans(approval.means), approval.means))
    number = f", {approval.number_called}" if approval.number_called else ""
    return f"Approved {said.moment(approval.said_at)} by {approval.said_by}: {means}{number}."


def freeze_exempt(job: Job, bill: Bill, day: date, said: Wording) -> dict[str, str]:
    """Why a paper has no tax, where that is the customer's certificate: its kind, number, place and day.

    Common practice in the United States; in Canada the registry number is noted (CRA bulletin B-039).
    """
    exemption = exempt_on(job.customer.exemption, day) if job.customer else None
    if exemption is None or not any(row.rate.code.startswith(EXEMPT) for row in bill.taxes):
        return {}
    named = f"{lower_first(exemption.name)} {exemption.number}, {exemption.state}, {said.day(exemption.from_on)}"
    return {"exempt_note": f"No {said.country.tax_word} charged: {named}."}


def freeze_tax(shop: ShopOn, said: Wording) -> dict[str, Any]:
    """Whether the shop charges tax at all, and what its papers say where it does not."""
    is_registered = said.country.tax_asks is TaxAsks.SALES_TAX or any(tax.rate_thousandths for tax in shop.taxes)
    return {"is_registered": is_registered, "no_tax_note": "" if is_registered else said.country.no_tax_note}


def freeze_words(shop: ShopOn, *, is_painted: bool) -> dict[str, str]:
    """The shop's own words at the foot: care of fresh paint, storage."""
    care = str(shop.settings[SettingName.CARE_WORDS]) if is_painted else ""
    return {"care": care, "storage": str(shop.settings[SettingName.STORAGE_WORDS])}
