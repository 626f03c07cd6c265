"""A price from a look: the shop's list for what was tapped, the plan behind it, and whether the price bears it."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date

from shopbook.models.shelf import Material
from shopbook.queries.jobs.listed import paint_rates, painted_items, saving_terms_on
from shopbook.queries.jobs.planning import conditions_of
from shopbook.queries.shelf.materials import list_planned_materials, ranges_of
from shopbook.queries.shop.shop_on import ShopOn
from shopbook.trade.catalogue.entries import Catalogue
from shopbook.trade.customer_kinds import CustomerKind
from shopbook.trade.errors import RuleBroken
from shopbook.trade.measures.amounts import divide_half_away
from shopbook.trade.planning.draft_materials import PaintRates, draft_materials
from shopbook.trade.planning.drafting import draft_plan
from shopbook.trade.planning.kerb import Cover, KerbAnswer, KerbPrice, cover, kerb_damages, kerb_price
from shopbook.trade.planning.shapes import Car, Conditions, DraftPlan, PaintChoice
from shopbook.trade.pricing import PaintedItem, SavingTerms, further_savings


@dataclass(frozen=True, slots=True)
class KerbLine:
    """One panel's price: as the list has it, whatever else is tapped, and as it was typed or not."""

    answer: KerbAnswer
    listed: KerbPrice | None
    typed_minor: int | None
    trouble: str = ""

    @property
    def price_minor(self) -> int | None:
        """What the panel comes to: as typed, else as the list has it; what it saves beside another is no part of it."""
        return self.list_minor if self.typed_minor is None else self.typed_minor

    @property
    def list_minor(self) -> int | None:
        """The list's own figure."""
        return self.listed.price_minor if self.listed else None

    @property
    def is_painted(self) -> bool:
        """Whether paint is what the price is for: not small dents, and not a panel without paint."""
        return self.answer.paint is not PaintChoice.NO_PAINT and not self.answer.dent_count


@dataclass(frozen=True, slots=True)
class KerbSum:
    """The total of all panels, less what extra ones save, before tax or with it as the shop types its prices."""

    lines: Sequence[KerbLine]
    price_minor: int
    days: int
    draft: DraftPlan | None
    cover: Cover | None
    back_on: date | None
    trouble: str = ""
    painted: Mapping[str, PaintedItem] = field(default_factory=dict)
    """The painted panels, each with the paint work of a plan for it alone."""
    terms: SavingTerms = field(default_factory=SavingTerms)
    materials: Sequence[Material] = ()
    """What the shelf has for roles of a plan, read once."""


def work_out_kerb(
    shop: ShopOn,
    answers: Sequence[KerbAnswer],
    typed: Mapping[str, int],
    days: int | None = None,
    net_permille: int = 1000,
    needed_minor: int | None = None,
) -> KerbSum:
    """The prices for what was tapped (`typed` by panel wins over the list), the plan behind them and what it bears.

    `net_permille` is what of the price is left before tax, where the shop's prices hold it; `needed_minor` what an hour
    must bring after materials, None while nobody knows.
    """
    catalogue, charged = shop.catalogue, paint_rates(shop, CustomerKind.PRIVATE)
    materials = list_planned_materials(shop.session, ()) if answers else []
    conditions = conditions_of(shop.settings, ranges_of(materials))
    lines = _lines(catalogue, answers, typed, charged.door_rate_minor)
    painted, terms = _painted(catalogue, conditions, lines), saving_terms_on(shop, CustomerKind.PRIVATE)
    saved = sum(saving.amount_minor for saving in further_savings(list(painted.values()), terms))
    price = sum(line.price_minor or 0 for line in lines) - saved
    draft, trouble = _draft(catalogue, conditions, answers)
    whole_days = _usual_days(lines) if days is None else days
    net = divide_half_away(price * net_permille, 1000)
    return KerbSum(
        lines=lines,
        price_minor=price,
        days=whole_days,
        draft=draft,
        cover=_cover(shop, draft, net, charged, needed_minor) if price else None,
        back_on=_back_on(shop, whole_days) if lines else None,
        trouble=trouble,
        painted=painted,
        terms=terms,
        materials=materials,
    )


def _usual_days(lines: Sequence[KerbLine]) -> int:
    return max((line.listed.days for line in lines if line.listed), default=1 if lines else 0)


def _lines(catalogue: Catalogue, answers: Sequence[KerbAnswer], typed: Mapping[str, int], hour: int) -> list[KerbLine]:
    found = []
    for answer in answers:
        listed, trouble = None, ""
        try:
            listed = kerb_price(catalogue, answer, hour)
        except RuleBroken as broken:
            trouble = broken.sentence
        found.append(KerbLine(answer, listed, typed.get(answer.panel), trouble))
    return found


def _painted(catalogue: Catalogue, conditions: Conditions, lines: Sequence[KerbLine]) -> dict[str, PaintedItem]:
    """The painted panels that have a price; one whose price was typed saves nothing beside another."""
    try:
        damages = kerb_damages([line.answer for line in lines if line.price_minor], catalogue)
    except RuleBroken:
        return {}
    listed = {line.answer.panel for line in lines if line.typed_minor is None}
    items = painted_items(catalogue, conditions, damages)
    return {panel: replace(item, may_save=panel in listed) for panel, item in items.items()}


def _draft(catalogue: Catalogue, conditions: Conditions, answers: Sequence[KerbAnswer]) -> tuple[DraftPlan | None, str]:
    if not answers:
        return None, ""
    try:
        damages = kerb_damages(answers, catalogue)
        return draft_plan(catalogue, Car(), damages, conditions), ""
    except RuleBroken as broken:
        return None, broken.sentence


def _cover(
    shop: ShopOn, draft: DraftPlan | None, net_minor: int, charged: PaintRates, needed_minor: int | None
) -> Cover | None:
    """Materials as a private payer is charged for them, packs by our guess: at the car nobody weighs the shelf."""
    if draft is None or draft.minutes <= 0:
        return None
    materials = draft_materials(draft, shop.catalogue, charged)
    return cover(net_minor, materials, draft.minutes, needed_minor)


def _back_on(shop: ShopOn, days: int) -> date | None:
    """The day it could go back if it came on the next day the shop opens; None for a shop that never opens."""
    hours = shop.opening
    ahead = (date.fromordinal(shop.day.toordinal() + each) for each in range(1, 400))
    working = [each for each in ahead if hours.is_working_day(each)]
    return working[days - 1] if 0 < days <= len(working) else None
