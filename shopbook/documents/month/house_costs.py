"""What the shop costs beside its jobs, what is left, and what an hour had to bring, in words."""

from collections.abc import Callable, Sequence
from typing import Protocol

from shopbook.documents.month.section import Section, SectionRow
from shopbook.trade.billing.pay_means import MEANS_WORDS, PayMeans
from shopbook.trade.floor.hours import to_tenths
from shopbook.trade.measures.amounts import divide_half_away
from shopbook.trade.results.break_even import BreakEven, PaintHours
from shopbook.trade.results.card_fees import MeansFees
from shopbook.trade.results.paid_hours import Wages

FIXED_NAMED = 3
"""So many fixed costs are named in their row; the others are "other"."""


class Says(Protocol):
    """How the month is written: amounts in rows (`money`) and in sentences (`sum_of`), our words in the country's."""

    @property
    def money(self) -> Callable[[int], str]: ...
    @property
    def sum_of(self) -> Callable[[int], str]: ...
    @property
    def say(self) -> Callable[[str], str]: ...


def house_rows(
    wages: Wages, fixed: Sequence[tuple[str, int]], fees: Sequence[MeansFees], says: Says
) -> list[SectionRow]:
    """What is taken off gross profit beside rework and the shelf: wages no job carries, fixed costs, card fees."""
    money = says.money
    paid = f"{money(wages.paid.total_minor)} paid, {money(wages.on_jobs_minor)} on jobs"
    if wages.paid.on_costs_minor:
        paid += f" · on-costs {money(wages.paid.on_costs_minor)}"
    return [
        SectionRow("wages", "Wages no job carries", (money(-wages.no_job_minor),), f"{paid}{_too_many(wages)}"),
        SectionRow("fixed", _names(fixed), (money(-sum(minor for _, minor in fixed)),), _count(len(fixed))),
        *(_fee(one, says) for one in fees),
    ]


def _too_many(wages: Wages) -> str:
    """Below zero, more was clocked than paid for: the hours of somebody are wrong."""
    return " · more than was paid: check paid hours" if wages.no_job_minor < 0 else ""


def _names(fixed: Sequence[tuple[str, int]]) -> str:
    named = [name for name, _ in fixed[:FIXED_NAMED]]
    if not named:
        return "Fixed costs"
    return ", ".join([*named, *(["other"] if len(fixed) > FIXED_NAMED else [])])


def _count(count: int) -> str:
    return f"{count} fixed cost{'' if count == 1 else 's'}" if count else "none entered"


def _fee(fees: MeansFees, says: Says) -> SectionRow:
    """The share is that of all fees: 244.40 of 9,400.00 is 2.6 %."""
    word = says.say(MEANS_WORDS.get(PayMeans(fees.means), fees.means))
    tenths = divide_half_away(fees.fee_minor * 1000, fees.taken_minor) if fees.taken_minor else 0
    below = f"{tenths // 10}.{tenths % 10} % of {says.money(fees.taken_minor)}" if tenths >= 0 else ""
    return SectionRow(f"fee_{fees.means}", f"{word} fees", (says.money(-fees.fee_minor),), below)


def left_rows(even: BreakEven, wages: Wages, owner_labour_minor: int, says: Says) -> list[SectionRow]:
    """What is left: the owner's hours that jobs carry are added back, then the owner's pay is taken off once."""
    money, whose = says.money, owners_words(wages)
    rows = []
    if owner_labour_minor:
        rows.append(SectionRow("owner_hours", f"{whose} hours on jobs, added back", (money(owner_labour_minor),)))
    rows.append(SectionRow("net_profit", "Net profit before tax", (money(even.profit_minor),)))
    if even.own_pay_minor is None or even.after_pay_minor is None:
        return rows
    hours = f"{to_tenths(wages.own_minutes)}"
    if wages.own_minutes:
        hours += f" at {money(divide_half_away(even.own_pay_minor * 60, wages.own_minutes))}"
    own = SectionRow("own_pay", f"{whose} own pay", (money(-even.own_pay_minor),), hours)
    return [*rows, own, SectionRow("after_pay", "After it", (money(even.after_pay_minor),))]


def owners_words(wages: Wages) -> str:
    """Whose pay it is: "Noor’s", of several "The owners’"."""
    names = [one.name for one in wages.owners]
    return f"{names[0]}’s" if len(names) == 1 else "The owners’"


def break_even_section(even: BreakEven, wages: Wages, paint: PaintHours | None, says: Says) -> Section:
    """Hours paid and sold, what an hour brought and had to bring, and the rate that breaks even."""
    return Section(
        "break_even",
        "Break-even",
        tuple([*_hours(even, wages), *_an_hour(even, wages, says), *_paint(paint, says)]),
        note=rate_sentence(even, says),
    )


def _hours(even: BreakEven, wages: Wages) -> list[SectionRow]:
    count = len([one for one in wages.staff if one.paid.minutes])
    people = "1 person" if count == 1 else f"{count} people"
    return [
        SectionRow("paid", f"Paid, {people}", (to_tenths(wages.paid.minutes),)),
        SectionRow("hours_sold", "Hours sold", (to_tenths(even.minutes),)),
    ]


def _an_hour(even: BreakEven, wages: Wages, says: Says) -> list[SectionRow]:
    def figure(minor: int | None) -> tuple[str]:
        return ("–" if minor is None else says.sum_of(minor),)

    rows = [
        SectionRow("brought", "An hour brought", figure(even.brought_minor)),
        SectionRow("break_even_hour", "Break-even per hour sold", figure(even.hour_minor)),
    ]
    if even.own_pay_minor is None:
        return rows
    with_pay = f"with {owners_words(wages)} own pay".replace("with The", "with the")
    return [*rows, SectionRow("break_even_with_pay", with_pay, figure(even.hour_with_pay_minor))]


def _paint(paint: PaintHours | None, says: Says) -> list[SectionRow]:
    """ "17.21 of 42.00": what an hour's materials cost of what was billed for it."""
    if paint is None or paint.cost_minor is None or paint.billed_minor is None:
        return []
    hour = "refinish hour" if paint.by_refinish else "paint hour"
    figure = f"{says.sum_of(paint.cost_minor)} of {says.sum_of(paint.billed_minor)}"
    below = says.say("shelf, mixed paint and {supplies} of the jobs invoiced, of what was billed")
    return [SectionRow("materials_hour", f"Materials per {hour}", (figure,), below)]


def rate_sentence(even: BreakEven, says: Says) -> str:
    """The labour rate that breaks even; empty without an hour sold."""
    if even.rate_minor is None or even.charged_minor is None:
        return ""
    charged = f"you charge {says.sum_of(even.charged_minor)}."
    if even.rate_minor <= 0:
        return f"Your profit on paint and parts alone breaks even; {charged}"
    word = "profit" if even.paint_and_parts_minor >= 0 else "loss"
    rate = says.say(
        f"With your {word} on paint and parts, a {{labour}} rate of {says.sum_of(even.rate_minor)} breaks even"
    )
    with_pay = even.rate_with_pay_minor
    own = "" if with_pay is None else f" ({says.sum_of(with_pay)} with your own pay)"
    return f"{rate}{own}; {charged}"
