"""The groups that a quote begins with: at prices said at the kerb, from the plan, or for an extra."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from sqlalchemy import select
from sqlalchemy.orm import Session

from shopbook.models.jobs import Job
from shopbook.models.money import Quote, QuoteGroup, QuoteLine
from shopbook.queries.jobs.damage import hurt_of, list_damages
from shopbook.queries.jobs.listed import list_prices, painted_items, saving_terms_on
from shopbook.queries.jobs.parts import list_parts
from shopbook.queries.jobs.planning import conditions_of, draft_damage
from shopbook.queries.money.kerb import lines_by_habit
from shopbook.queries.money.planned import SKILL_WORDS, PlannedGroup, is_colour_inside, planned_groups
from shopbook.queries.money.pricing import extra_tax_codes, quote_rates_on
from shopbook.queries.shelf.materials import list_ranges
from shopbook.queries.shop.book import get_units
from shopbook.queries.shop.country import country_on
from shopbook.queries.shop.shop_on import ShopOn
from shopbook.services.jobs.line_keys import draw_keys
from shopbook.trade.agreeing.quote_words import group_words
from shopbook.trade.billing import BillLine, LineKind
from shopbook.trade.catalogue.kinds import Skill
from shopbook.trade.countries import Country
from shopbook.trade.errors import RuleBroken
from shopbook.trade.letters import upper_first
from shopbook.trade.measures.amounts import share_out
from shopbook.trade.measures.units import Kind, UnitSystem
from shopbook.trade.planning.groups import WHOLE_CAR_GROUP
from shopbook.trade.planning.shapes import DraftDamage
from shopbook.trade.pricing import QuoteRates, price_labour, price_materials, typed_hours
from shopbook.trade.pricing.keys import ITEM_KEYS
from shopbook.trade.purposes import StagePurpose

LARGEST_MINOR = 10**11


@dataclass(frozen=True, slots=True)
class SaidPrice:
    """What was said for one panel; `is_painted` tells which kinds of line the price is for while there is no plan.

    `is_listed`: it is the list's figure, not one typed over it.
    """

    panel: str
    title: str
    below: str
    price_minor: int
    is_painted: bool = True
    is_listed: bool = False


def write_kerb_groups(
    session: Session, job: Job, quote: Quote, prices: Sequence[SaidPrice], working_days_tenths: int | None
) -> None:
    """One group a panel at the price said; its words and lines are the drafted work's, scaled to the price."""
    units, country = get_units(session), country_on(session, quote.made_on)
    planned = {group.key: group for group in _planned_if_priced(session, job, quote)}
    rates = quote_rates_on(session, quote.made_on)
    keys = LineKeys(job)
    for position, price in enumerate(prices, 1):
        check_amount(price.price_minor, "price")
        below = _below(planned[price.panel], units, country) if price.panel in planned else price.below
        group = _add_group(session, quote, price.panel, position, price.title, below, keys)
        group.price_minor, group.working_days_tenths = price.price_minor, working_days_tenths
        group.list_minor = price.price_minor if price.is_listed else None
        lines = (
            planned[price.panel].lines if price.panel in planned else lines_by_habit(rates, is_painted=price.is_painted)
        )
        amounts = share_out(price.price_minor, [each.amount_minor for each in lines])
        for each, amount in zip(lines, amounts, strict=True):
            _add_line(session, group, each, amount, keys)
    _freeze_savings(session, job, quote)
    session.flush()


def _freeze_savings(session: Session, job: Job, quote: Quote) -> None:
    """What each painted panel would save beside another, at the rate and shares of the day, kept with the quote."""
    # Groups just written are asked for below, with the paint hours of the plan as it stands now.
    session.flush()
    shop = ShopOn(session, quote.made_on)
    terms = saving_terms_on(shop, job.payer_kind)
    quote.saving_rate_minor = terms.rate_minor
    quote.saving_touching_permille, quote.saving_apart_permille = terms.touching_permille, terms.apart_permille
    conditions = conditions_of(shop.settings, list_ranges(session))
    painted = painted_items(shop.catalogue, conditions, quoted_damages(session, job))
    for group in session.scalars(select(QuoteGroup).where(QuoteGroup.quote_id == quote.id)):
        item = painted.get(group.key)
        if item is not None:
            group.paint_minutes, group.panel_place = item.minutes, item.place
            group.touches = ",".join(sorted(item.touches))


def quoted_damages(session: Session, job: Job) -> list[DraftDamage]:
    """The damage that a quote is for, as the trade takes it: what the customer left is passed over."""
    return [draft_damage(row) for row in list_damages(session, job.id) if row.left_at is None]


def _planned_if_priced(session: Session, job: Job, quote: Quote) -> list[PlannedGroup]:
    """A price at the kerb is never refused because a rate is missing: the plan then tells nothing of its kinds."""
    try:
        return planned_groups(session, job, quote.made_on)
    except RuleBroken:
        return []


def write_planned_groups(session: Session, job: Job, quote: Quote, before: Quote | None = None) -> int:
    """A group for each hurt panel, and one for what was bought for the whole car; answers how many.

    What stood on the version `before` keeps its keys: it is the same line, whatever its words or price are now.
    """
    country = country_on(session, quote.made_on)
    units = get_units(session)
    groups, keys = planned_groups(session, job, quote.made_on), LineKeys(job, before)
    listed = _listed(session, job, quote, groups)
    _leave_out_colour(groups, listed)
    _take_colour_inside(session, job, quote)
    for position, planned in enumerate(groups, 1):
        title, below = _title(planned, country), _below(planned, units, country)
        group = _add_group(session, quote, planned.key, position, title, below, keys)
        for each in planned.lines:
            _add_line(session, group, each, each.amount_minor, keys)
        group.list_minor = group.price_minor = listed.get(planned.key)
    _freeze_savings(session, job, quote)
    session.flush()
    return len(groups)


def _listed(session: Session, job: Job, quote: Quote, groups: Sequence[PlannedGroup]) -> dict[str, int]:
    """The list's figure by item; where something bought stands in an item, the list knows nothing of it."""
    found = list_prices(session, quote.made_on, quoted_damages(session, job), job.payer_kind)
    known = {LineKind.LABOUR, LineKind.MATERIALS, LineKind.COLOUR}
    plain = {group.key for group in groups if all(line.kind in known for line in group.lines)}
    return {panel: price for panel, price in found.items() if panel in plain}


def _leave_out_colour(groups: list[PlannedGroup], listed: Mapping[str, int]) -> None:
    """The list's price of a painted panel holds its colour: where it prices all of them, colour is no line beside."""
    painted = {group.key for group in groups if group.minutes.get(Skill.PAINT)}
    for group in groups if painted and painted <= set(listed) else ():
        group.lines = [line for line in group.lines if line.kind is not LineKind.COLOUR]
    groups[:] = [group for group in groups if group.lines]


def _take_colour_inside(session: Session, job: Job, quote: Quote) -> None:
    """Colour that the payer's materials hold asks for nothing of its own, whatever it was written down at before."""
    if quote_rates_on(session, quote.made_on).materials.rule(job.payer_kind).holds_colour:
        for part in list_parts(session, job.id):
            part.price_minor = 0 if is_colour_inside(part) else part.price_minor


def _title(planned: PlannedGroup, country: Country) -> str:
    if planned.key == WHOLE_CAR_GROUP:
        return "For the whole car"
    words = next((damage.panel_words for damage in planned.damages if damage.panel_words), country.panel(planned.key))
    return upper_first(words)


def _below(planned: PlannedGroup, units: UnitSystem, country: Country) -> str:
    """The damage and what is done about it, or what was bought."""
    stages = [(stage.code, stage.name) for stage in planned.stages]
    hurts = [hurt_of(damage) for damage in planned.damages]
    words = group_words(hurts, stages, country.say, units.shown(Kind.LENGTH), units.locale)
    return words or ", ".join(part.name for part in planned.parts)


def _want_price(price_minor: int | None, *, may_be_none: bool) -> None:
    if price_minor is not None:
        check_amount(price_minor, "price")
    elif not may_be_none:
        raise RuleBroken("Enter a price, or the hours it takes.", "price")


def write_extra_group(
    session: Session,
    job: Job,
    quote: Quote,
    key: str,
    title: str,
    below: str,
    price_minor: int | None,
    minutes: Mapping[str, int],
    *,
    may_wait: bool = False,
) -> QuoteGroup:
    """The one group of an extra: the stages that carry its key, and hours typed; a price typed stands over them.

    One that `may_wait` has a line at zero until the desk prices it; any other without something to price is a
    RuleBroken.
    """
    planned = planned_groups(session, job, quote.made_on, only_purpose=StagePurpose.EXTRA, only_keys={key})
    rates = quote_rates_on(session, quote.made_on)
    known = [line for group in planned for line in group.lines] + _by_hours(minutes, job.payer_kind, rates)
    _want_price(price_minor, may_be_none=bool(known) or may_wait)
    lines = known or lines_by_habit(rates, is_painted=False)
    keys = LineKeys(job)
    group = _add_group(session, quote, key, 1, title, below, keys)
    group.price_minor = price_minor
    amounts = [line.amount_minor for line in lines]
    if price_minor is not None or not known:
        amounts = share_out(price_minor or 0, amounts)
    codes = extra_tax_codes(session, job.id, quote.made_on)
    for line, amount in zip(lines, amounts, strict=True):
        taxed = replace(line, tax_code=codes.get(line.kind, line.tax_code))
        _add_line(session, group, taxed, amount, keys)
    session.flush()
    return group


def _by_hours(minutes: Mapping[str, int], payer_kind: str, rates: QuoteRates) -> list[BillLine]:
    given = {skill: each for skill, each in minutes.items() if each}
    lines = [
        price_labour(SKILL_WORDS.get(skill, skill), skill, each, payer_kind, rates) for skill, each in given.items()
    ]
    materials = price_materials("Materials", typed_hours(given.get(Skill.PAINT, 0)), payer_kind, rates)
    return lines + ([materials] if materials else [])


def check_amount(minor: int, field: str) -> None:
    """RuleBroken for an amount below zero or too large to be meant."""
    if not 0 <= minor <= LARGEST_MINOR:
        raise RuleBroken("That amount is below zero or too large. Enter one like 120 or 120.50.", field)


class LineKeys:
    """Which key each line of a new version has: that of the same line on the version before, else a new one.

    A line is the same where its item, kind, skill and bought part are; a second one of that sort is a line of its own.
    """

    def __init__(self, job: Job, before: Quote | None = None) -> None:
        self._job = job
        self._items: dict[str, int] = {}
        self._lines: dict[tuple[str, str, str, int | None], list[int]] = {}
        for group in before.groups if before else ():
            self._items.setdefault(group.key, group.first_key)
            for line in group.lines if self._items[group.key] == group.first_key else ():
                self._lines.setdefault((group.key, line.kind, line.skill, line.job_part_id), []).append(line.line_key)

    def of_item(self, group_key: str) -> int:
        """The first of the item's own keys."""
        return self._items.pop(group_key, 0) or draw_keys(self._job, ITEM_KEYS)

    def of_line(self, group_key: str, line: BillLine) -> int:
        """The line's key; what was bought for the job brings its own."""
        same = self._lines.get((group_key, line.kind, line.skill, line.job_part_id), [])
        return line.key or (same.pop(0) if same else draw_keys(self._job))


def _add_group(
    session: Session, quote: Quote, key: str, position: int, title: str, below: str, keys: LineKeys
) -> QuoteGroup:
    group = QuoteGroup(
        quote_id=quote.id,
        position=position,
        key=key,
        title=title[:200],
        below=below,
        first_key=keys.of_item(key),
    )
    session.add(group)
    session.flush()
    return group


def _add_line(session: Session, group: QuoteGroup, line: BillLine, amount_minor: int, keys: LineKeys) -> None:
    session.add(
        QuoteLine(
            group_id=group.id,
            kind=line.kind,
            skill=line.skill,
            words=line.words[:200],
            minutes=line.minutes,
            rate_minor=line.rate_minor,
            amount_minor=amount_minor,
            tax_code=line.tax_code,
            job_part_id=line.job_part_id,
            line_key=keys.of_line(group.key, line),
        )
    )
