"""What an hour sold brought and what it had to bring, without and with the owner's own pay."""

from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction

from shopbook.trade.billing import LineKind
from shopbook.trade.measures.amounts import divide_half_away
from shopbook.trade.results.margin import Costs


@dataclass(frozen=True, slots=True)
class SoldWork:
    """What the jobs invoiced over some days brought, and what they cost from their first day on; minor units.

    `minutes` are the hours sold: planned man-hours of the approved items on these invoices.
    """

    minutes: int = 0
    labour_net_minor: int = 0
    """Sales that are labour, less what was saved or taken off."""
    other_net_minor: int = 0
    """All other sales: materials, colour, parts, sublet work, fees."""
    bought_cost_minor: int = 0
    """Materials, colour, parts, sublet work and the share of shop supplies, at cost."""
    labour_cost_minor: int = 0
    """Labour of those jobs."""
    lost_minor: int = 0
    """What nobody pays for: rework, goodwill, own cars, cancelled jobs, later cost."""
    owner_labour_minor: int = 0
    """What of `labour_cost_minor` and `lost_minor` the owner worked, at the owner's cost."""

    @property
    def brought_minor(self) -> int:
        """Sales less what was bought for them."""
        return self.labour_net_minor + self.other_net_minor - self.bought_cost_minor

    @property
    def paint_and_parts_minor(self) -> int:
        """Gross profit on all that is not labour."""
        return self.other_net_minor - self.bought_cost_minor


LABOUR_KINDS = frozenset({LineKind.LABOUR, LineKind.SAVING, LineKind.DISCOUNT})
"""Kinds of line that are labour sold: what is saved beside another panel and a discount are taken off the hours."""


def sold_work(
    minutes: int, by_kind: Mapping[LineKind, int], costs: Costs, *, lost_minor: int = 0, owner_labour_minor: int = 0
) -> SoldWork:
    """What was sold, of sales by kind of line and the cost of the jobs invoiced. Rework among these costs is lost."""
    labour = sum(net for kind, net in by_kind.items() if kind in LABOUR_KINDS)
    return SoldWork(
        minutes=minutes,
        labour_net_minor=labour,
        other_net_minor=sum(by_kind.values()) - labour,
        bought_cost_minor=costs.total_minor - costs.labour_minor - costs.rework_minor,
        labour_cost_minor=costs.labour_minor,
        lost_minor=lost_minor + costs.rework_minor,
        owner_labour_minor=owner_labour_minor,
    )


@dataclass(frozen=True, slots=True)
class HouseCosts:
    """What the same days cost beside the jobs, in minor units.

    `shelf_minor` is supplies no job carries, waste, count differences, true-ups and price variances; `own_pay_minor`
    the owner's paid hours at the owner's cost, None while nobody said what the owner costs.
    """

    wages_no_job_minor: int = 0
    fixed_minor: int = 0
    card_fees_minor: int = 0
    shelf_minor: int = 0
    own_pay_minor: int | None = None

    @property
    def total_minor(self) -> int:
        """All of it but the owner's own pay."""
        return self.wages_no_job_minor + self.fixed_minor + self.card_fees_minor + self.shelf_minor


@dataclass(frozen=True, slots=True)
class BreakEven:
    """Break-even in whole sums; each figure an hour is such a sum ÷ hours sold, rounded once.

    (brought − break-even) × hours sold = net profit, before rounding, without and with the owner's own pay.
    """

    minutes: int
    brought_sum_minor: int
    burden_minor: int
    """Labour of the jobs, wages no job carries, rework and the like, fixed costs, card fees, losses of the shelf."""
    paint_and_parts_minor: int
    own_pay_minor: int | None
    charged_sum_minor: int
    """Labour sold."""

    @property
    def profit_minor(self) -> int:
        """What is left before the owner's own pay."""
        return self.brought_sum_minor - self.burden_minor

    @property
    def after_pay_minor(self) -> int | None:
        """What is left after it."""
        return None if self.own_pay_minor is None else self.profit_minor - self.own_pay_minor

    @property
    def brought_minor(self) -> int | None:
        """What an hour brought after all that was bought; None without an hour sold, as the figures below."""
        return self._an_hour(self.brought_sum_minor)

    @property
    def hour_minor(self) -> int | None:
        """Break-even per hour sold, without the owner's own pay."""
        return self._an_hour(self.burden_minor)

    @property
    def hour_with_pay_minor(self) -> int | None:
        """Break-even per hour sold, with it."""
        return None if self.own_pay_minor is None else self._an_hour(self.burden_minor + self.own_pay_minor)

    @property
    def rate_minor(self) -> int | None:
        """The labour rate that breaks even with this profit on paint and parts; below zero these carry it all."""
        return self._an_hour(self.burden_minor - self.paint_and_parts_minor)

    @property
    def rate_with_pay_minor(self) -> int | None:
        """The same with the owner's own pay."""
        if self.own_pay_minor is None:
            return None
        return self._an_hour(self.burden_minor + self.own_pay_minor - self.paint_and_parts_minor)

    @property
    def charged_minor(self) -> int | None:
        """What an hour of labour was sold for."""
        return self._an_hour(self.charged_sum_minor)

    def exact(self, sum_minor: int) -> Fraction:
        """A sum by the hour sold, not rounded; ZeroDivisionError without an hour sold."""
        return Fraction(sum_minor * 60, self.minutes)

    def _an_hour(self, sum_minor: int) -> int | None:
        return divide_half_away(sum_minor * 60, self.minutes) if self.minutes > 0 else None


def break_even(sold: SoldWork, house: HouseCosts) -> BreakEven:
    """Break-even of the days of `sold` and `house`.

    270.3 h sold; technicians 11,792.00, fixed 4,695.70, supplies 353.65, card fees 244.40: 17,085.75, an hour 63.21,
    and 93.16 with own pay of 8,096.00. Labour sold 21,083.40, gross profit on paint 1,013.15 and parts 829.50:
    22,926.05, an hour 84.82. Left 5,840.30, after own pay −2,255.70. Less paint and parts a rate of 56.39 breaks even
    (86.35 with own pay) where 78.00 is charged.

    A job carries the owner's hours at the owner's cost: without own pay they are taken out of the burden (20.0 h at
    46.00 add 920.00 to what is left), and with it the owner's paid hours count once (168 h × 46.00: 7,728.00).
    """
    labour = sold.labour_cost_minor + sold.lost_minor - sold.owner_labour_minor
    return BreakEven(
        minutes=sold.minutes,
        brought_sum_minor=sold.brought_minor,
        burden_minor=labour + house.total_minor,
        paint_and_parts_minor=sold.paint_and_parts_minor,
        own_pay_minor=house.own_pay_minor,
        charged_sum_minor=sold.labour_net_minor,
    )


@dataclass(frozen=True, slots=True)
class HourNeeded:
    """What an hour must bring after materials, or in a sentence what is missing to know it."""

    hour_minor: int | None
    missing: str = ""


def hour_needed(said_minor: int | None, mean: BreakEven | None, unknown: tuple[str, ...]) -> HourNeeded:
    """What an hour must bring: the figure that the owner typed, else break-even with the owner's own pay over the last
    three full months, their costs ÷ their hours sold.

    Costs of 12,000.00, 14,000.00 and 4,000.00 over 150.0, 175.0 and 50.0 h: 80.00. `unknown` are the owners of whom
    nobody knows what they cost.
    """
    if said_minor is not None:
        return HourNeeded(said_minor)
    if unknown or mean is None or mean.own_pay_minor is None:
        return HourNeeded(None, f"Enter what {_names(unknown)} cost{'' if len(unknown) > 1 else 's'} to see this.")
    if mean.hour_with_pay_minor is None:
        return HourNeeded(
            None, "Enter your break-even per hour in Settings to see this until a full month is invoiced."
        )
    return HourNeeded(mean.hour_with_pay_minor)


def _names(people: tuple[str, ...]) -> str:
    return " and ".join([", ".join(people[:-1]), people[-1]] if len(people) > 1 else people) or "your own hour"


@dataclass(frozen=True, slots=True)
class PaintHours:
    """What paint and materials of the jobs invoiced cost per hour that the shop bills them by, beside what was billed.

    1,210.40 of the shelf, 638.00 of colour and 182.51 of shop supplies, 2,030.91, over 118.0 h are 17.21; billed
    42.00. Minor units and minutes.
    """

    minutes: int
    shelf_minor: int
    colour_minor: int
    supplies_minor: int
    billed_sum_minor: int
    """Sales of materials and colour on these invoices."""
    by_refinish: bool = True
    """Whether the shop bills by the refinish hour; else all paint hours count."""

    @property
    def cost_sum_minor(self) -> int:
        """Shelf, colour and supplies."""
        return self.shelf_minor + self.colour_minor + self.supplies_minor

    @property
    def cost_minor(self) -> int | None:
        """What an hour cost; None without such an hour."""
        return divide_half_away(self.cost_sum_minor * 60, self.minutes) if self.minutes > 0 else None

    @property
    def billed_minor(self) -> int | None:
        """What an hour was billed at."""
        return divide_half_away(self.billed_sum_minor * 60, self.minutes) if self.minutes > 0 else None
