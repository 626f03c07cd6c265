"""What a quote said when it was given: items, kinds of tax, sums and words, kept as one text and never priced again."""

import json
from collections.abc import Mapping
from dataclasses import asdict, dataclass, field
from typing import Any

from shopbook.trade.billing import BillLine, LineKind, TaxKind, TaxPart, TaxRate
from shopbook.trade.car.sides import Side, Sides
from shopbook.trade.pricing.priced import PricedQuote
from shopbook.trade.pricing.quotes import PricedGroup
from shopbook.trade.pricing.savings import PaintedItem, SavingTerms

FORM = 1
"""The number of the form that a content is written in. A form is never changed: a new one takes the next number."""


@dataclass(frozen=True, slots=True)
class SeenCoats:
    """The coats on one panel as the paper drew them: what is there, what the work lays on it, the car's colour."""

    panel: str
    on: tuple[str, ...]
    due: tuple[str, ...]
    hex: str = ""


@dataclass(frozen=True, slots=True)
class SeenItem:
    """What was said below an item's title, which panels it was drawn on, its pictures by their thumbnail's hash."""

    below: str = ""
    panels: tuple[str, ...] = ()
    coats: tuple[SeenCoats, ...] = ()
    pictures: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class SeenWords:
    """Every word of the paper but its amounts.

    `head` is what `queries.money.heads.get_head` answered; `{most}` in `intro` stands for what an estimate will not
    pass. `payers` are (who, with tax in minor units) for the whole quote, empty for one payer.
    """

    head: Mapping[str, Any]
    plate: str
    facts: tuple[tuple[str, str], ...]
    wrong: str
    intro: str
    days: str
    valid_until: str
    not_included: tuple[str, ...]
    seen: tuple[str, ...]
    cautions: tuple[str, ...]
    closing: tuple[str, ...]
    items: tuple[SeenItem, ...]
    panel_names: Mapping[str, str]
    """What each panel that an item works on was called, by its code."""
    payers: tuple[tuple[str, int], ...] = ()
    sides: Sides | None = None
    """How the drawn car named its sides; None on rows from before it did."""


@dataclass(frozen=True, slots=True)
class Given:
    """A quote as it was given. `words` is None for one that an upgrade reconstructed: only its figures are known."""

    priced: PricedQuote
    discount_why: str = ""
    deposit_minor: int = 0
    valid_until_on: str = ""
    """As an ISO day; empty where none was said."""
    words: SeenWords | None = field(default=None)

    def to_json(self) -> str:
        """The content of a row: equal quotes make equal text."""
        whole = self.priced.sum()
        sums = {
            "net_minor": whole.taken.net_minor,
            "tax_minor": whole.taken.tax_minor,
            "gross_minor": whole.taken.gross_minor,
            "most_minor": whole.most_minor,
            "lines": [_line(line) for line in whole.taken.lines],
            "taxes": [
                {
                    "code": row.rate.code,
                    "name": row.rate.name,
                    "rate_thousandths": row.rate.rate_thousandths,
                    "basis_minor": row.basis_minor,
                    "tax_minor": row.tax_minor,
                }
                for row in whole.taken.taxes
            ],
        }
        return json.dumps({"form": FORM, **asdict(self), "sums": sums}, ensure_ascii=False, default=sorted)


def _line(line: BillLine) -> dict[str, Any]:
    return {name: value for name, value in asdict(line).items() if name not in {"is_beyond", "can_be_cut", "why"}}


def given_from_json(content: str) -> Given:
    """The quote that a row keeps. ValueError for a form that this program does not know."""
    return given_of(json.loads(content))


def given_of(kept: Mapping[str, Any]) -> Given:
    """The same of a row that is read as JSON already."""
    if kept["form"] != FORM:
        raise ValueError(f"a given quote in form {kept['form']} is from a newer program")
    words = kept["words"]
    return Given(
        priced=_priced(kept["priced"]),
        discount_why=kept["discount_why"],
        deposit_minor=kept["deposit_minor"],
        valid_until_on=kept["valid_until_on"],
        words=_words(words) if words else None,
    )


def _priced(kept: Mapping[str, Any]) -> PricedQuote:
    nested = {
        "groups": tuple(_group(row) for row in kept["groups"]),
        "rates": tuple(_rate(row) for row in kept["rates"]),
        "savings": SavingTerms(**kept["savings"]),
    }
    return PricedQuote(**{**kept, **nested})


def _group(kept: Mapping[str, Any]) -> PricedGroup:
    painted = kept["painted"]
    nested = {
        "lines": tuple(BillLine(**{**row, "kind": LineKind(row["kind"])}) for row in kept["lines"]),
        "painted": PaintedItem(**{**painted, "touches": frozenset(painted["touches"])}) if painted else None,
    }
    return PricedGroup(**{**kept, **nested})


def _rate(kept: Mapping[str, Any]) -> TaxRate:
    parts = tuple(TaxPart(**row) for row in kept["parts"])
    kinds = {name: frozenset(map(LineKind, kept.get(name, ()))) for name in ("line_kinds", "kinds_with_goods")}
    return TaxRate(**{**kept, **kinds, "kind": TaxKind(kept["kind"]), "parts": parts})


def _words(kept: Mapping[str, Any]) -> SeenWords:
    plain = {name: tuple(kept[name]) for name in ("not_included", "seen", "cautions", "closing")}
    sides = kept.get("sides")
    nested = {
        "facts": tuple((word, value) for word, value in kept["facts"]),
        "payers": tuple((who, minor) for who, minor in kept["payers"]),
        "items": tuple(_item(row) for row in kept["items"]),
        "sides": Sides(Side(**sides["left"]), Side(**sides["right"])) if sides else None,
    }
    return SeenWords(**{**kept, **plain, **nested})


def _item(kept: Mapping[str, Any]) -> SeenItem:
    coats = tuple(SeenCoats(row["panel"], tuple(row["on"]), tuple(row["due"]), row["hex"]) for row in kept["coats"])
    return SeenItem(kept["below"], tuple(kept["panels"]), coats, tuple(kept["pictures"]))
