"""What a shop in the United States says about its sales tax, and the kinds of tax that follow from it.

The rules differ by state and sometimes by city: the shop answers, the program only works out what follows. One job,
labor 638.80, paint 325.15, 8 %:

| labor taxed | paint and parts | labor priced apart | tax |
|---|---|---|---|
| no | to the customer | yes | 26.01 |
| yes | to the customer | yes | 77.12 |
| no | paid when bought | yes or no | 0.00 |
| once a part or paint stays on | to the customer | yes | 77.12 |
| once a part or paint stays on, the labor alone | | yes | 0.00 |
| no | to the customer | no | 77.12 |
| no, the labor alone | to the customer | no | 0.00 |
| yes | paid when bought | yes | 51.10 |
| yes | paid when bought | no | 77.12 |
"""

from dataclasses import dataclass
from datetime import date
from enum import StrEnum

from shopbook.trade.billing import GOODS, LineKind
from shopbook.trade.countries import UsualTax
from shopbook.trade.errors import RuleBroken

SERVICES = frozenset({LineKind.LABOUR, LineKind.SUBLET, LineKind.FEE})
"""What is taxed as labor is: sublet work and fees go with it until the shop says otherwise (our guess)."""


class LabourTaxed(StrEnum):
    """Whether labor carries the tax."""

    NO = "no"
    YES = "yes"
    WITH_GOODS = "with_goods"
    """Yes once a part or paint stays on the car."""


class GoodsTaxed(StrEnum):
    """Who pays the tax on paint and parts."""

    TO_CUSTOMER = "to_customer"
    WHEN_BOUGHT = "when_bought"


@dataclass(frozen=True, slots=True)
class SalesTaxAnswers:
    """The shop's four answers; `place` names the tax on paper and may be empty."""

    rate_thousandths: int
    place: str
    labour: LabourTaxed
    goods: GoodsTaxed
    is_priced_apart: bool


def taxes_of(answers: SalesTaxAnswers, read_on: date) -> tuple[UsualTax, ...]:
    """The kinds of tax that follow: the sales tax, and what is not taxed. RuleBroken for a rate over 100 percent."""
    if not 0 <= answers.rate_thousandths <= 100_000:
        raise RuleBroken("Enter a rate from 0 to 100, for example 8.25.", "rate")
    always, with_goods = kinds_of(answers)
    place = f", {answers.place.strip()}" if answers.place.strip() else ""
    source = "as you answered"
    if not answers.rate_thousandths:
        return (UsualTax("none", "Not taxed", 0, _ordered(SERVICES | GOODS), source, read_on),)
    none = UsualTax("none", "Not taxed", 0, _ordered((SERVICES | GOODS) - always), source, read_on)
    name = f"Sales tax{place}"[:200]
    sales = UsualTax("sales", name, answers.rate_thousandths, _ordered(always), source, read_on, _ordered(with_goods))
    return (sales, none)


def kinds_of(answers: SalesTaxAnswers) -> tuple[frozenset[LineKind], frozenset[LineKind]]:
    """The kinds of line taxed always, and those taxed besides on a bill with something that stays on the car.

    Where labor is not priced apart, everything on a bill that has anything taxed on it is taxed.
    """
    always = GOODS if answers.goods is GoodsTaxed.TO_CUSTOMER else frozenset()
    with_goods: frozenset[LineKind] = frozenset()
    if answers.labour is LabourTaxed.YES:
        always |= SERVICES
    elif answers.labour is LabourTaxed.WITH_GOODS:
        with_goods = SERVICES
    if not answers.is_priced_apart and always >= SERVICES:
        always |= GOODS
    elif not answers.is_priced_apart and (always or with_goods):
        with_goods = SERVICES | GOODS
    return always, with_goods - always


def _ordered(kinds: frozenset[LineKind]) -> tuple[LineKind, ...]:
    return tuple(kind for kind in LineKind if kind in kinds)
