"""What an approval on this page is for: the items that are ticked, and the total that the server works out for them."""

from collections.abc import Collection
from dataclasses import dataclass

from flask import request

from shopbook.queries.money.quotes import keys_of, with_whole_car
from shopbook.trade.billing import BillLine
from shopbook.trade.errors import RuleBroken
from shopbook.trade.pricing import QuoteSum
from shopbook.web.money.forms import ApprovalForm
from shopbook.web.money.quote_known import Known

CHANGED = "The total has changed with what is ticked. Tell the customer the new total, then save the approval."


@dataclass(frozen=True, slots=True)
class Ticked:
    """The sum of what is ticked, or why there is none; `shown` says both in one line, and comes back with the form."""

    sum: QuoteSum | None
    trouble: str
    shown: str
    missed: tuple[BillLine, ...] = ()
    """What would be saved if everything were ticked, and is not."""


def sum_ticked(known: Known, group_ids: Collection[int]) -> Ticked:
    """The total of these items of a quote; those of the whole car go with any."""
    if not group_ids:
        return Ticked(None, "Tick what may be done to see the total.", "")
    try:
        found = known.given.priced.sum(keys_of(with_whole_car(known.quote, group_ids)))
    except RuleBroken as broken:
        return Ticked(None, broken.sentence, "")
    taken = {line.key for line in found.taken.savings}
    missed = tuple(line for line in known.given.priced.sum().taken.savings if line.key not in taken)
    return Ticked(found, "", f"{found.most_minor} {' '.join(found.taken_keys)}", missed)


def refuse_other_total(ticked: Ticked, form: ApprovalForm) -> None:
    """Without script a tick changes the total only at the next answer. RuleBroken where another one was shown."""
    if request.form.get("shown", ticked.shown) != ticked.shown:
        form.signature.data = ""
        raise RuleBroken(CHANGED, "groups")
