"""What the shop's list says of damages, and what their panels save beside one another."""

from collections.abc import Mapping, Sequence
from datetime import date

from sqlalchemy.orm import Session

from shopbook.queries.shop.rates import catalogue_on, labour_rates_on, materials_rates
from shopbook.queries.shop.shop_on import ShopOn
from shopbook.trade.catalogue.entries import Catalogue
from shopbook.trade.catalogue.kinds import Skill
from shopbook.trade.customer_kinds import CustomerKind
from shopbook.trade.errors import RuleBroken
from shopbook.trade.planning.draft_materials import PaintRates
from shopbook.trade.planning.drafting import draft_plan
from shopbook.trade.planning.list_price import list_price
from shopbook.trade.planning.shapes import Car, Conditions, DraftDamage, PaintChoice
from shopbook.trade.planning.work import touching as panels_touching
from shopbook.trade.pricing import PaintedItem, SavingTerms
from shopbook.trade.pricing.lines import hour_of
from shopbook.trade.settings import SettingName


def paint_rates(shop: ShopOn, payer_kind: str) -> PaintRates:
    """How a payer is charged for paint and materials on the shop's day, for plans that no quote was written for."""
    held, labour = shop.settings, shop.labour
    door = hour_of(labour, Skill.BODY, CustomerKind.PRIVATE)
    return PaintRates(
        materials=materials_rates(held),
        payer_kind=payer_kind,
        paint_rate_minor=hour_of(labour, Skill.PAINT, payer_kind) or door,
        door_rate_minor=door,
        colour_markup_permille=held[SettingName.PARTS_MARKUP_PERMILLE],
    )


def list_prices(session: Session, day: date, damages: Sequence[DraftDamage], payer_kind: str) -> dict[str, int]:
    """The list's figure by panel, in minor units as the shop types its prices; panels priced by the plan left out."""
    catalogue, labour = catalogue_on(session, day), labour_rates_on(session, day)
    by_panel: dict[str, list[DraftDamage]] = {}
    for damage in damages:
        by_panel.setdefault(damage.panel, []).append(damage)
    door = hour_of(labour, Skill.BODY, CustomerKind.PRIVATE)
    answers = {
        panel: list_price(catalogue, own, door, payer_kind=payer_kind, labour_minor=labour)
        for panel, own in by_panel.items()
    }
    return {panel: answer.price.price_minor for panel, answer in answers.items() if answer.price}


def painted_items(
    catalogue: Catalogue, conditions: Conditions, damages: Sequence[DraftDamage]
) -> dict[str, PaintedItem]:
    """The painted panels with the paint minutes of a plan for each alone, so that no other panel bears on it."""
    by_panel: dict[str, list[DraftDamage]] = {}
    for damage in damages:
        by_panel.setdefault(damage.panel, []).append(damage)
    found = {}
    for panel, own in by_panel.items():
        minutes = _paint_minutes(catalogue, own, conditions)
        if minutes and any(damage.paint is not PaintChoice.NO_PAINT and not damage.dent_count for damage in own):
            place = list(catalogue.panels).index(panel)
            found[panel] = PaintedItem(panel, minutes, touching(catalogue)[panel], place=place)
    return found


def _paint_minutes(catalogue: Catalogue, damages: Sequence[DraftDamage], conditions: Conditions) -> int:
    try:
        return draft_plan(catalogue, Car(), tuple(damages), conditions).minutes_by_skill.get(Skill.PAINT, 0)
    except RuleBroken:
        return 0


def touching(catalogue: Catalogue) -> Mapping[str, frozenset[str]]:
    """The panels that each panel touches: those named as its neighbours, and those that name it as theirs."""
    return {code: frozenset(panels_touching(catalogue, code)) for code in catalogue.panels}


def saving_terms_on(shop: ShopOn, payer_kind: str) -> SavingTerms:
    """What an extra painted panel saves on the shop's day: the payer's rate of a paint hour and the two shares."""
    held, rate = shop.settings, hour_of(shop.labour, Skill.PAINT, payer_kind)
    return SavingTerms(
        rate,
        held[SettingName.SECOND_PANEL_TOUCHING_PERMILLE],
        held[SettingName.SECOND_PANEL_APART_PERMILLE],
    )
