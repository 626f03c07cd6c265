"""A customer who is charged no tax because of a certificate: what is kept of it, and what its bills stand under.

The certificate belongs to the customer and holds from its day until the day it runs out, if it has one. What counts is
the day of supply; for an estimate the day it is given. A bill of that day stands under one kind of tax of its own, at
zero, whole: repair 638.80, paint 325.15 at 8 % are 963.95 and 26.01 tax; with a resale certificate 963.95 exempt and
0.00. The month's tax shows the 963.95 apart. A deposit that was taxed before is credited with the invoice, and its
money pays it: 250.00 + 50.00 taken, work of 1,000.00: a credit note of 300.00, then 700.00 to pay. Common practice:
the seller keeps the certificate and names it on the invoice. Who is exempt from a part of the tax only (in Canada a
reseller from the provincial one) needs a kind of tax that the shop sets itself.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any

from shopbook.trade.billing.falls import NOT_SET
from shopbook.trade.billing.lines import EXEMPT, TaxKind, TaxRate
from shopbook.trade.errors import RuleBroken
from shopbook.trade.letters import lower_first


@dataclass(frozen=True, slots=True)
class ExemptionKind:
    """A kind of certificate that a country's shops are handed, by its code and name; where it was read and when."""

    code: str
    name: str
    source: str
    read_on: date


@dataclass(frozen=True, slots=True)
class Exemption:
    """A certificate as it is kept with the customer: `name` is the kind's, `state` where it was issued; `picture` and
    `thumbnail` are the hashes of its photo, empty without one."""

    kind: str
    name: str
    number: str
    state: str
    from_on: date
    until_on: date | None = None
    picture: str = ""
    thumbnail: str = ""

    def holds_on(self, day: date) -> bool:
        """Whether it frees what is supplied that day; both its own day and its last are in it."""
        return self.from_on <= day and (self.until_on is None or day <= self.until_on)

    @property
    def rate(self) -> TaxRate:
        """The kind of tax that a bill stands under because of it."""
        return TaxRate(f"{EXEMPT}{self.kind}", f"Exempt, {lower_first(self.name)}", 0, TaxKind.EXEMPT)


def check_exemption(
    kind: ExemptionKind | None, number: str, state: str, from_on: date | None, until_on: date | None
) -> Exemption | None:
    """What was typed of a certificate; None where no kind is chosen.

    RuleBroken (exempt_number, exempt_state, exempt_from, exempt_until) for one that the paper could not name.
    """
    if kind is None:
        return None
    if not number.strip():
        raise RuleBroken("Enter the number on the certificate. The invoice names it.", "exempt_number")
    if not state.strip():
        raise RuleBroken("Enter where it was issued, for example Texas.", "exempt_state")
    if from_on is None:
        raise RuleBroken("Enter the day on the certificate.", "exempt_from")
    if until_on is not None and until_on < from_on:
        raise RuleBroken(
            "This is before the day of the certificate. Enter a later day, or leave it empty.", "exempt_until"
        )
    return Exemption(kind.code, kind.name, number.strip(), state.strip(), from_on, until_on)


def exemption_to_json(exemption: Exemption | None) -> dict[str, Any]:
    """As it is kept; empty for none."""
    if exemption is None:
        return {}
    until = exemption.until_on.isoformat() if exemption.until_on else ""
    words = {name: getattr(exemption, name) for name in ("kind", "name", "number", "state")}
    photo = {name: getattr(exemption, name) for name in ("picture", "thumbnail") if exemption.picture}
    return words | {"from": exemption.from_on.isoformat(), "until": until} | photo


def exemption_from_json(kept: Mapping[str, Any] | None) -> Exemption | None:
    """A certificate as it was kept; None where there is none."""
    if not kept:
        return None
    until = date.fromisoformat(kept["until"]) if kept["until"] else None
    kind, name, number, state = (str(kept[key]) for key in ("kind", "name", "number", "state"))
    photo = (str(kept.get("picture", "")), str(kept.get("thumbnail", "")))
    return Exemption(kind, name, number, state, date.fromisoformat(kept["from"]), until, *photo)


def exempt_on(kept: Mapping[str, Any] | None, day: date) -> Exemption | None:
    """The certificate of a customer that holds on a day, as it is kept; None without one."""
    found = exemption_from_json(kept)
    return found if found is not None and found.holds_on(day) else None


def rates_for(rates: Sequence[TaxRate], kept: Mapping[str, Any] | None, day: date) -> list[TaxRate]:
    """The kinds of tax of a bill of a customer on a day: the shop's, and the one of its certificate where one holds.

    Before the shop has set its tax nothing is added: then nobody is charged any.
    """
    exemption = exempt_on(kept, day)
    if exemption is None or list(rates) == [NOT_SET]:
        return list(rates)
    return [*(rate for rate in rates if not rate.code.startswith(EXEMPT)), exemption.rate]
