"""A price from a look: the shop's list for what was tapped, the plan behind it, and whether the price bears it."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime

from sqlalchemy.orm import Session

from shopbook.queries.jobs.catalogue import catalogue_on
from shopbook.queries.jobs.planning import conditions_on
from shopbook.queries.shop.days import day_of
from shopbook.queries.shop.opening import opening_hours_on
from shopbook.queries.shop.rates import labour_rates_on, materials_rates, setting_on, settings_on
from shopbook.trade.amounts import divide_half_away
from shopbook.trade.catalogue.entries import Catalogue
from shopbook.trade.catalogue.kinds import Skill
from shopbook.trade.customer_kinds import CustomerKind
from shopbook.trade.errors import RuleBroken
from shopbook.trade.planning.draft_materials import PaintRates, draft_materials
from shopbook.trade.planning.drafting import draft_plan
from shopbook.trade.planning.kerb import Cover, KerbAnswer, KerbPrice, cover, hour_must_bring, kerb_damages, kerb_price
from shopbook.trade.planning.shapes import Car, Draft, PaintChoice
from shopbook.trade.pricing.lines import hour_of
from shopbook.trade.pricing.listed import KerbRow, add_up_kerb
from shopbook.trade.settings import SettingName


@dataclass(frozen=True, slots=True)
class KerbLine:
    """One panel's price: as the list has it alone, as it is beside the other panels, and as it was typed or not."""

    answer: KerbAnswer
    listed: KerbPrice | None
    beside_minor: int | None
    typed_minor: int | None
    trouble: str = ""

    @property
    def price_minor(self) -> int | None:
        """What the panel comes to: as typed, else as the list has it beside the others."""
        return self.beside_minor if self.typed_minor is None else self.typed_minor

    @property
    def is_painted(self) -> bool:
        """Whether paint is what the price is for: not small dents, and not a panel without paint."""
        return self.answer.paint is not PaintChoice.NO_PAINT and not self.answer.dent_count


@dataclass(frozen=True, slots=True)
class KerbSum:
    """All panels together, before tax or with it as the shop types its prices."""

    lines: Sequence[KerbLine]
    price_minor: int
    days: int
    draft: Draft | None
    cover: Cover | None
    back_on: date | None
    trouble: str = ""


def work_out_kerb(
    session: Session,
    now: datetime,
    answers: Sequence[KerbAnswer],
    typed: Mapping[str, int],
    days: int | None = None,
    net_permille: int = 1000,
) -> KerbSum:
    """The prices for what was tapped (`typed` by panel wins over the list), the plan behind them and what it bears.

    `net_permille` is what of the price is left before tax, where the shop's prices hold it.
    """
    day = day_of(session, now)
    catalogue, charged = catalogue_on(session, day), paint_rates(session, day, CustomerKind.PRIVATE)
    lines = _lines(catalogue, answers, typed, charged.door_rate_minor)
    price = sum(line.price_minor or 0 for line in lines)
    draft, trouble = _draft(session, day, catalogue, answers)
    usual_days = max((line.listed.days for line in lines if line.listed), default=1 if lines else 0)
    whole_days = days if days is not None else usual_days
    net = divide_half_away(price * net_permille, 1000)
    return KerbSum(
        lines=lines,
        price_minor=price,
        days=whole_days,
        draft=draft,
        cover=_cover(session, day, catalogue, draft, net, charged) if price else None,
        back_on=_back_on(session, day, whole_days) if lines else None,
        trouble=trouble,
    )


def door_rate(session: Session, day: date) -> int:
    """What an hour of body work is sold for to a private person, in minor units; nought until somebody said."""
    return hour_of(labour_rates_on(session, day), Skill.BODY, CustomerKind.PRIVATE)


def paint_rates(session: Session, day: date, payer_kind: str) -> PaintRates:
    """How a payer is charged for paint and materials on a day, for plans that no quote was written for; two
    statements."""
    held, labour = settings_on(session, day), labour_rates_on(session, day)
    door = hour_of(labour, Skill.BODY, CustomerKind.PRIVATE)
    return PaintRates(
        materials=materials_rates(held),
        payer_kind=payer_kind,
        paint_rate_minor=hour_of(labour, Skill.PAINT, payer_kind) or door,
        door_rate_minor=door,
        colour_markup_permille=held[SettingName.PARTS_MARKUP_PERMILLE],
    )


def _lines(catalogue: Catalogue, answers: Sequence[KerbAnswer], typed: Mapping[str, int], hour: int) -> list[KerbLine]:
    listed: list[tuple[KerbPrice | None, str]] = []
    for answer in answers:
        try:
            listed.append((kerb_price(catalogue, answer, hour), ""))
        except RuleBroken as broken:
            listed.append((None, broken.sentence))
    prices = [price for price, _ in listed]
    # What the list says of a panel must not follow what was typed for it: the page tells the two apart by it.
    amounts, plain = (_beside(answers, prices, each) for each in (typed, {}))
    return [
        KerbLine(
            answer,
            price,
            (own if answer.panel in typed else amount) if price else None,
            typed.get(answer.panel),
            trouble,
        )
        for answer, (price, trouble), amount, own in zip(answers, listed, amounts, plain, strict=True)
    ]


def _beside(
    answers: Sequence[KerbAnswer], prices: Sequence[KerbPrice | None], typed: Mapping[str, int]
) -> Sequence[int]:
    """Each panel's amount beside the others, where those in `typed` count as typed."""
    rows = [
        KerbRow(
            price_minor=typed.get(answer.panel, price.price_minor if price else 0),
            is_painted=answer.paint is not PaintChoice.NO_PAINT and not answer.dent_count,
            is_typed=answer.panel in typed,
        )
        for answer, price in zip(answers, prices, strict=True)
    ]
    amounts, _ = add_up_kerb(rows)
    return amounts


def _draft(
    session: Session, day: date, catalogue: Catalogue, answers: Sequence[KerbAnswer]
) -> tuple[Draft | None, str]:
    if not answers:
        return None, ""
    try:
        damages = kerb_damages(answers, catalogue)
        return draft_plan(catalogue, Car(), damages, conditions_on(session, day)), ""
    except RuleBroken as broken:
        return None, broken.sentence


def _cover(
    session: Session, day: date, catalogue: Catalogue, draft: Draft | None, net_minor: int, charged: PaintRates
) -> Cover | None:
    """Materials as a private payer is charged for them, packs by our guess: at the kerb nobody weighs the shelf."""
    if draft is None or draft.minutes <= 0:
        return None
    materials = draft_materials(draft, catalogue, charged)
    needed = hour_must_bring(setting_on(session, SettingName.MUST_BRING_MINOR, day), charged.door_rate_minor)
    return cover(net_minor, materials, draft.minutes, needed)


def _back_on(session: Session, day: date, days: int) -> date | None:
    """The day it could go back if it came on the next day the shop opens; None for a shop that never opens."""
    hours = opening_hours_on(session, day)
    ahead = (date.fromordinal(day.toordinal() + each) for each in range(1, 400))
    working = [each for each in ahead if hours.is_working_day(each)]
    return working[days - 1] if 0 < days <= len(working) else None
