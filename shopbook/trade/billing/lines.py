"""The lines of a bill and the kinds of tax that they fall under."""

import re
from collections.abc import Iterable
from dataclasses import dataclass, field, replace
from enum import StrEnum

from shopbook.trade.errors import RuleBroken
from shopbook.trade.measures.amounts import divide_half_away

WHOLE_RATE = 100_000
"""A hundred percent in thousandths of a percent."""

EXEMPT = "exempt:"
"""How the code of the kind of tax begins that all lines of a customer with a certificate fall under: "exempt:resale";
see `billing/exempt.py`."""

_RATE_TYPED = re.compile(r"\d{1,3}(?:[.,]\d{1,3})?")


class LineKind(StrEnum):
    """What a line is money for; the month's figures are kept by it, and so is which tax it falls under."""

    LABOUR = "labour"
    MATERIALS = "materials"
    PART = "part"
    COLOUR = "colour"
    SUBLET = "sublet"
    FEE = "fee"
    SAVING = "saving"
    """What another panel saves: a line of its own, taken off."""
    DISCOUNT = "discount"
    DEPOSIT = "deposit"


GOODS = frozenset({LineKind.MATERIALS, LineKind.PART, LineKind.COLOUR})
"""What stays on the car."""


class TaxKind(StrEnum):
    """How the law sees a line; everything but `taxed` has a rate of zero, and the paper says which it is."""

    TAXED = "taxed"
    ZERO = "zero"
    EXEMPT = "exempt"
    OUTSIDE = "outside"


@dataclass(frozen=True, slots=True)
class TaxPart:
    """One of several taxes charged under one code, such as a federal and a provincial one."""

    name: str
    rate_thousandths: int


@dataclass(frozen=True, slots=True)
class TaxRate:
    """A kind of tax: `rate_thousandths` is thousandths of a percent, so 8.875 % is 8875 and 20 % is 20000.

    Where the law has two taxes on one line that are each rounded for themselves, `parts` names them and their rates
    add up to the rate. State and local rates that are added before rounding need no parts.

    `line_kinds` fall under it always, `kinds_with_goods` only on a bill with something that stays on the car; see
    `billing/falls.py`.
    """

    code: str
    name: str
    rate_thousandths: int
    kind: TaxKind = TaxKind.TAXED
    parts: tuple[TaxPart, ...] = ()
    line_kinds: frozenset[LineKind] = frozenset()
    kinds_with_goods: frozenset[LineKind] = frozenset()

    def __post_init__(self) -> None:
        if not 0 <= self.rate_thousandths <= WHOLE_RATE:
            raise RuleBroken("Enter a tax rate from 0 to 100 percent.", "rate")
        if (self.kind is TaxKind.TAXED) != (self.rate_thousandths > 0):
            raise RuleBroken(f"{self.name}: a taxed kind needs a rate above zero, any other kind has none.", "rate")
        if self.parts and sum(part.rate_thousandths for part in self.parts) != self.rate_thousandths:
            raise RuleBroken(f"{self.name}: the rates of its parts do not add up to its rate.", "rate")


@dataclass(frozen=True, slots=True)
class BillLine:
    """One line of money, the same from the price at the car to the row on the invoice.

    `amount_minor` is with or without tax as the whole bill is, `net_minor` what it comes to without tax once it is
    billed. `key` is drawn from the job's counter when the line is first written and stays the line's for ever (zero:
    not drawn yet, or issued before lines had keys); `item` is the key of the item it stands in, `group_key` that item's
    panel (or "car") and `title` its name. `is_whole_bill` marks a discount or a charge on the document as a whole
    rather than on one piece of work; what `is_beyond` passes the approval, and hours then `can_be_cut` down to what
    still fits. `why` says where the price is from.
    """

    kind: LineKind
    words: str
    amount_minor: int
    tax_code: str
    is_whole_bill: bool = False
    net_minor: int = 0
    key: int = 0
    item: int = 0
    group_key: str = ""
    title: str = ""
    skill: str = ""
    minutes: int = 0
    rate_minor: int = 0
    job_part_id: int | None = None
    is_beyond: bool = False
    can_be_cut: bool = False
    why: str = field(default="", compare=False)

    @property
    def titled(self) -> str:
        """Its words behind the title of its item, where it has one: "Right rear door: Paint work"."""
        return f"{self.title}: {self.words}" if self.title else self.words

    def cut_to(self, amount_minor: int) -> "BillLine":
        """The line over a part of its amount, with as large a part of its minutes: 120 of 180 min are 2/3 of 195.00."""
        part = divide_half_away(self.minutes * amount_minor, self.amount_minor) if self.minutes else 0
        return replace(self, amount_minor=amount_minor, minutes=part)

    def at_minutes(self, minutes: int) -> "BillLine":
        """The line over so many minutes at its hourly rate: 90 min at 65.00 are 97.50."""
        return replace(self, minutes=minutes, amount_minor=divide_half_away(minutes * self.rate_minor, 60))


def rate_of(
    code: str,
    name: str,
    rate_thousandths: int,
    line_kinds: Iterable[str] = (),
    kinds_with_goods: Iterable[str] = (),
) -> TaxRate:
    """The kind of tax as a book keeps it: a rate of zero is exempt or outside by its code, else zero-rated."""
    kinds = {
        "exempt": TaxKind.EXEMPT,
        "outside": TaxKind.OUTSIDE,
        "none": TaxKind.OUTSIDE,
    }
    return TaxRate(
        code,
        name,
        rate_thousandths,
        TaxKind.TAXED if rate_thousandths else kinds.get(code.partition(":")[0], TaxKind.ZERO),
        line_kinds=frozenset(map(LineKind, line_kinds)),
        kinds_with_goods=frozenset(map(LineKind, kinds_with_goods)),
    )


def parse_rate(text: str) -> int:
    """A typed percentage ("8.875", "20 %", "13,5") as thousandths of a percent; RuleBroken for anything else."""
    plain = text.replace("%", "").strip()
    if not _RATE_TYPED.fullmatch(plain):
        raise RuleBroken("Enter the rate as a percentage, for example 20 or 8.875.", "rate")
    whole, _, part = plain.replace(",", ".").partition(".")
    rate = int(whole) * 1000 + int((part + "000")[:3])
    if rate > WHOLE_RATE:
        raise RuleBroken("Enter a tax rate from 0 to 100 percent.", "rate")
    return rate


def rate_words(rate_thousandths: int) -> str:
    """Thousandths of a percent for the paper, without idle zeros: 8875 is "8.875 %", 20000 is "20 %"."""
    whole, part = divmod(rate_thousandths, 1000)
    tail = f".{part:03d}".rstrip("0") if part else ""
    return f"{whole}{tail} %"
