"""What may be billed of jobs: groups the customer accepted, actual hours of estimates, parts nobody quoted."""

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date
from typing import Any

from sqlalchemy import select
from sqlalchemy.orm import Session

from shopbook.models.jobs import JobPart
from shopbook.models.money import Quote, QuoteGroup
from shopbook.queries.jobs.whole import WholeJob
from shopbook.queries.money.approvals import AgreedQuote, Approvals, read_approvals
from shopbook.queries.money.done_work import done_minutes, list_timed_stages, not_agreed
from shopbook.queries.money.pricing import bill_rates, tax_codes
from shopbook.queries.money.quotes import is_main
from shopbook.queries.shop.shop_on import ShopOn
from shopbook.trade.agreeing.changed_rates import at_nets, is_changed, room_at
from shopbook.trade.billing import NOT_SET, BillLine, LineKind, TaxRate, make_bill
from shopbook.trade.billing.billable import Billable, bill_within, judged, with_tax_inside
from shopbook.trade.billing.exempt import rates_for
from shopbook.trade.billing.further import Asked
from shopbook.trade.measures.amounts import share_out
from shopbook.trade.planning.groups import WHOLE_CAR_GROUP
from shopbook.trade.pricing import Allowance
from shopbook.trade.pricing.keys import beyond_key, item_key
from shopbook.trade.settings import SettingName


@dataclass(frozen=True, slots=True)
class AgreedWork:
    """All of one job that bears on its bill. `not_agreed` names work that was done without approval."""

    job_id: int
    quotes: tuple[AgreedQuote, ...] = ()
    loose_parts: tuple[JobPart, ...] = ()
    done_minutes: dict[str, int] = field(default_factory=dict)
    """Clocked minutes of the plan by skill, where every agreed stage of that skill is finished."""
    not_agreed: tuple[tuple[str, int], ...] = ()


@dataclass(frozen=True, slots=True)
class BillingDay:
    """The kinds of tax and the shop's allowance as they hold on the day of supply.

    `adds_changed_tax`: where a price was approved with tax in it and the rate has changed since, the change is added
    to the price; otherwise the shop bears it (or keeps it).
    """

    on: date
    rates: tuple[TaxRate, ...]
    code_of_kind: dict[str, str]
    allowance: Allowance
    unconfirmed: tuple[str, ...]
    """The kinds of tax that are still our guess; the one without a code while the shop has set none."""
    adds_changed_tax: bool = False

    def of_quote(self, quote: Quote) -> "BillingDay":
        """The same for the customer of a quote: exempt where a certificate holds on that day."""
        return replace(self, rates=tuple(rates_for(self.rates, quote.exemption, self.on)))

    def of(self, work: "AgreedWork") -> "BillingDay":
        """The same for the customer of this work."""
        return self.of_quote(work.quotes[0].quote) if work.quotes else self


def billing_day(session: Session, day: date) -> BillingDay:
    """What a bill needs to know of its day; a fixed number of statements."""
    return billing_of(ShopOn(session, day))


def billing_of(shop: ShopOn) -> BillingDay:
    """The same, of the shop as it stands on that day."""
    held, taxes = shop.settings, shop.taxes
    return BillingDay(
        on=shop.day,
        rates=tuple(bill_rates(taxes)),
        code_of_kind={kind.value: code for kind, code in tax_codes(taxes).items()},
        allowance=Allowance(permille=held[SettingName.ALLOWANCE_PERMILLE]),
        unconfirmed=tuple(tax.code for tax in taxes if not tax.is_confirmed) if taxes else (NOT_SET.code,),
        adds_changed_tax=bool(held[SettingName.ADDS_CHANGED_TAX]),
    )


def agreed_work(session: Session, job_ids: Iterable[int], approvals: Approvals | None = None) -> dict[int, AgreedWork]:
    """What was agreed and done on several jobs, by job id; a fixed number of statements, fewer with their approvals."""
    ids = sorted(set(job_ids))
    agreed = (approvals or read_approvals(session, ids)).agreed
    parts = _parts(session, ids)
    stages, used = list_timed_stages(session, ids)
    return {job_id: _work(job_id, agreed[job_id], parts[job_id], stages[job_id], used) for job_id in ids}


def work_of(whole: WholeJob, agreed: Sequence[AgreedQuote]) -> AgreedWork:
    """The same of one job that is read already, with what is approved of it."""
    parts = [part for part in whole.standing_parts if part.price_minor > 0]
    return _work(whole.job.id, agreed, parts, whole.stages, whole.used_minutes)


def _work(
    job_id: int,
    agreed: Sequence[AgreedQuote],
    parts: Sequence[JobPart],
    stages: Sequence[Any],
    used: Mapping[int, int],
) -> AgreedWork:
    timed = [(stage, used.get(stage.id, 0)) for stage in stages]
    return AgreedWork(
        job_id=job_id,
        quotes=tuple(agreed),
        loose_parts=tuple(_loose(parts, agreed)),
        done_minutes=done_minutes(timed),
        not_agreed=tuple(not_agreed(timed)),
    )


def _parts(session: Session, ids: list[int]) -> dict[int, list[JobPart]]:
    found: dict[int, list[JobPart]] = defaultdict(list)
    asked = select(JobPart).where(JobPart.job_id.in_(ids), JobPart.struck_at.is_(None), JobPart.price_minor > 0)
    for part in session.scalars(asked.order_by(JobPart.id)):
        found[part.job_id].append(part)
    return found


def _loose(parts: Sequence[JobPart], quotes: Sequence[AgreedQuote]) -> list[JobPart]:
    """Parts that no agreed item covers."""
    if not quotes:
        return []
    groups = [group for row in quotes for group in row.groups]
    return [part for part in parts if not any(_covers(group, part) for group in groups)]


def _covers(group: QuoteGroup, part: JobPart) -> bool:
    """A line of the item stands for the part, or its price holds it: one set by hand the parts of its item, one for the
    whole car all, the list's of a painted panel its colour."""
    if any(line.line_key == part.line_key for line in group.lines):
        return True
    if group.price_minor is not None and group.key == WHOLE_CAR_GROUP:
        return True
    if group.list_minor is None:
        return group.price_minor is not None and group.key == part.quote_group_key
    return bool(group.paint_minutes) and part.kind == LineKind.COLOUR


def bill_agreed(work: AgreedWork, day: BillingDay) -> Billable:
    """The bill over one job's agreed work as it would be issued on that day, and what is held; no statement of its own.

    RuleBroken where a quoted kind of tax is not known any more or a discount passes the sum.
    """
    asked, day = asked_of(work, day), day.of(work)
    return bill_within(
        asked.lines, asked.agreed_minor, day.rates, includes_tax=asked.includes_tax, allowance=day.allowance
    )


def asked_of(work: AgreedWork, day: BillingDay) -> Asked:
    """All that one job asks for as it would be billed on that day, and what was agreed; no statement of its own.

    A discount comes off the quote that it was given on, under that quote's kinds of tax, so that each approval holds.
    The limit is what was approved, at the day's kinds of tax: a changed rate never passes it.
    """
    day = day.of(work)
    includes_tax = any(row.quote.has_tax_inside for row in work.quotes) and not _adds_tax(work, day)
    quoted: list[BillLine] = []
    asked: list[BillLine] = []
    discounts: list[BillLine] = []
    room = 0
    for row in work.quotes:
        own, off, now = _lines_of(row, work, day, includes_tax=includes_tax)
        room += room_at(row.sum, [*own, *off], day.rates, includes_tax=includes_tax)
        quoted += [*own, *off]
        asked += now
        discounts += off
    most = make_bill(quoted, day.rates, includes_tax=includes_tax).gross_minor + room
    asked += [*_loose_lines(work, day, includes_tax), *discounts]
    return Asked(tuple(judged(asked, day.rates)), most, includes_tax)


def _adds_tax(work: AgreedWork, day: BillingDay) -> bool:
    """Whether a price approved with tax in it is billed by its net, since a rate changed and the shop adds it."""
    return day.adds_changed_tax and any(
        row.quote.has_tax_inside and is_changed(row.sum.taken, day.rates) for row in work.quotes
    )


def _lines_of(
    row: AgreedQuote, work: AgreedWork, day: BillingDay, *, includes_tax: bool
) -> tuple[list[BillLine], list[BillLine], list[BillLine]]:
    """What was approved of a quote, its discount, and the lines as they are asked for now, as the whole bill is."""
    own = [_named(line, row.quote) for line in row.sum.taken.lines if not line.is_whole_bill]
    off = row.discounts
    now = _by_hours(row, own, work.done_minutes)
    if includes_tax and not row.quote.has_tax_inside:
        own, off, now = (with_tax_inside(lines, day.rates) for lines in (own, off, now))
    elif row.quote.has_tax_inside and not includes_tax:
        own, now = at_nets(own, off, row.priced.rates), at_nets(now, off, row.priced.rates)
        off = [replace(line, amount_minor=line.net_minor) for line in off]
    return own, off, now


def _named(line: BillLine, quote: Quote) -> BillLine:
    """An extra's line says so in its title, since the bill holds the lines of several quotes."""
    return line if is_main(quote) else replace(line, title=f"Extra work · {line.title}")


def _by_hours(row: AgreedQuote, lines: Sequence[BillLine], done: Mapping[str, int]) -> list[BillLine]:
    """The lines as they are asked for now: an estimate by the hours that it took in the end.

    Fewer hours make the lines smaller; more stand beyond what was agreed, as a line of their own for each skill. An
    item whose price was typed stays as it is.
    """
    if not (row.quote.is_estimate and is_main(row.quote)):
        return list(lines)
    found = list(lines)
    for skill, places in _timed_by_skill(row, lines).items():
        minutes = [lines[place].minutes for place in places]
        beyond = done.get(skill, sum(minutes)) - sum(minutes)
        if beyond > 0:
            found.append(_beyond(row.quote, lines[places[0]], beyond))
        for place, left in zip(places, share_out(done[skill], minutes) if beyond < 0 else (), strict=False):
            found[place] = lines[place].at_minutes(left)
    return found


def _timed_by_skill(row: AgreedQuote, lines: Sequence[BillLine]) -> dict[str, list[int]]:
    """Places of the lines that are charged by the hour, by skill, but for items whose price was typed."""
    typed = {item_key(group.first_key) for group in row.taken if group.price_minor is not None}
    found: dict[str, list[int]] = defaultdict(list)
    for place, line in enumerate(lines):
        if _is_timed(line) and line.item not in typed:
            found[line.skill].append(place)
    return found


def _beyond(quote: Quote, timed: BillLine, minutes: int) -> BillLine:
    key = beyond_key(quote.first_key, timed.skill)
    words = f"Hours above the estimate, {timed.skill}"
    return BillLine(
        LineKind.LABOUR,
        words,
        timed.at_minutes(minutes).amount_minor,
        timed.tax_code,
        key=key,
        item=key,
        title="Above the estimate",
        skill=timed.skill,
        minutes=minutes,
        is_beyond=True,
        can_be_cut=True,
    )


def _is_timed(line: BillLine) -> bool:
    return line.kind == LineKind.LABOUR and line.minutes > 0 and line.rate_minor > 0


def _loose_lines(work: AgreedWork, day: BillingDay, includes_tax: bool) -> list[BillLine]:
    lines = [
        BillLine(
            LineKind(part.kind),
            part.name,
            part.price_minor,
            day.code_of_kind.get(part.kind, ""),
            key=part.line_key,
            item=part.line_key,
            group_key=part.quote_group_key,
            title="Not on the estimate",
            job_part_id=part.id,
            is_beyond=True,
        )
        for part in work.loose_parts
    ]
    return with_tax_inside(lines, day.rates) if includes_tax else lines
