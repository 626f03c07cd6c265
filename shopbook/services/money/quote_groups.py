"""The groups that a quote begins with: at prices said at the kerb, from the plan, or for an extra."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from sqlalchemy.orm import Session

from shopbook.models.jobs import Job
from shopbook.models.money import Quote, QuoteGroup, QuoteLine
from shopbook.queries.jobs.parts import list_parts
from shopbook.queries.money.kerb import lines_by_habit
from shopbook.queries.money.planned import SKILL_WORDS, PlannedGroup, PlannedLine, is_colour_inside, planned_groups
from shopbook.queries.money.pricing import quote_rates_on
from shopbook.queries.shop.book import country_of, get_book, get_units
from shopbook.trade.amounts import share_out
from shopbook.trade.catalogue.kinds import Skill
from shopbook.trade.countries import Country
from shopbook.trade.errors import RuleBroken
from shopbook.trade.planning.groups import WHOLE_CAR_GROUP
from shopbook.trade.pricing import QuoteRates, price_labour, price_materials, typed_hours
from shopbook.trade.purposes import StagePurpose
from shopbook.trade.quote_words import Hurt, group_words
from shopbook.trade.units import Kind, Unit

LARGEST_MINOR = 10**11


@dataclass(frozen=True, slots=True)
class KerbPrice:
    """What was said for one panel; `is_painted` tells which kinds of line the price is for while there is no plan."""

    panel: str
    title: str
    below: str
    price_minor: int
    is_painted: bool = True


def write_kerb_groups(
    session: Session, job: Job, quote: Quote, prices: Sequence[KerbPrice], working_days_tenths: int | None
) -> None:
    """One group a panel at the price said; its words and lines are the drafted work's, scaled to the price."""
    unit = get_units(session).shown(Kind.LENGTH)
    planned = {group.key: group for group in _planned_if_priced(session, job, quote)}
    rates = quote_rates_on(session, quote.made_on)
    for position, price in enumerate(prices, 1):
        check_amount(price.price_minor, "price")
        below = _below(planned[price.panel], unit) if price.panel in planned else price.below
        group = _add_group(session, quote, price.panel, position, price.title, below)
        group.price_minor, group.working_days_tenths = price.price_minor, working_days_tenths
        lines = (
            planned[price.panel].lines if price.panel in planned else lines_by_habit(rates, is_painted=price.is_painted)
        )
        amounts = share_out(price.price_minor, [each.line.amount_minor for each in lines])
        for each, amount in zip(lines, amounts, strict=True):
            _add_line(session, group, each, amount)
    session.flush()


def _planned_if_priced(session: Session, job: Job, quote: Quote) -> list[PlannedGroup]:
    """A price at the kerb is never refused because a rate is missing: the plan then tells nothing of its kinds."""
    try:
        return planned_groups(session, job, quote.made_on)
    except RuleBroken:
        return []


def write_planned_groups(session: Session, job: Job, quote: Quote) -> int:
    """A group for each hurt panel, and one for what was bought for the whole car; answers how many."""
    book = get_book(session)
    country = country_of(book)
    unit = get_units(session).shown(Kind.LENGTH)
    groups = planned_groups(session, job, quote.made_on)
    _take_colour_inside(session, job, quote)
    for position, planned in enumerate(groups, 1):
        group = _add_group(session, quote, planned.key, position, _title(planned, country), _below(planned, unit))
        for each in planned.lines:
            _add_line(session, group, each, each.line.amount_minor)
    session.flush()
    return len(groups)


def _take_colour_inside(session: Session, job: Job, quote: Quote) -> None:
    """Colour that the payer's materials hold asks for nothing of its own, whatever it was written down at before."""
    if quote_rates_on(session, quote.made_on).materials.rule(job.payer_kind).holds_colour:
        for part in list_parts(session, job.id):
            part.price_minor = 0 if is_colour_inside(part) else part.price_minor


def _title(planned: PlannedGroup, country: Country) -> str:
    if planned.key == WHOLE_CAR_GROUP:
        return "For the whole car"
    words = next((damage.panel_words for damage in planned.damages if damage.panel_words), country.panel(planned.key))
    return words[:1].upper() + words[1:]


def _below(planned: PlannedGroup, unit: Unit) -> str:
    """What is hurt and what is done about it, or what was bought."""
    stages = [(stage.code, stage.name) for stage in planned.stages]
    words = group_words([_hurt(damage) for damage in planned.damages], stages, unit)
    return words or ", ".join(part.name for part in planned.parts)


def _hurt(damage: object) -> Hurt:
    return Hurt(**{name: getattr(damage, name) for name in Hurt.__slots__})


def write_extra_group(
    session: Session,
    job: Job,
    quote: Quote,
    key: str,
    title: str,
    below: str,
    price_minor: int | None,
    minutes: Mapping[str, int],
    panel: str,
    *,
    may_wait: bool = False,
) -> None:
    """The one group of an extra: the stages that carry its key, and hours typed; a price typed stands over them.

    One that `may_wait` has a line at nought until the desk prices it; any other without something to price is a
    RuleBroken.
    """
    planned = planned_groups(session, job, quote.made_on, only_purpose=StagePurpose.EXTRA, only_keys={key})
    rates = quote_rates_on(session, quote.made_on)
    known = [line for group in planned for line in group.lines] + _by_hours(minutes, job.payer_kind, rates)
    if price_minor is not None:
        check_amount(price_minor, "price")
    elif not known and not may_wait:
        raise RuleBroken("Type a price for it, or the hours it takes.", "price")
    lines = known or lines_by_habit(rates, is_painted=False)
    group = _add_group(session, quote, key, 1, title, below)
    group.price_minor = price_minor
    worked_out = [line.line.amount_minor for line in lines]
    amounts = worked_out if known and price_minor is None else share_out(price_minor or 0, worked_out)
    for line, amount in zip(lines, amounts, strict=True):
        _add_line(session, group, line, amount)
    session.flush()


def _by_hours(minutes: Mapping[str, int], payer_kind: str, rates: QuoteRates) -> list[PlannedLine]:
    given = {skill: each for skill, each in minutes.items() if each}
    lines = [
        PlannedLine(price_labour(SKILL_WORDS.get(skill, skill), skill, each, payer_kind, rates))
        for skill, each in given.items()
    ]
    materials = price_materials("Materials", typed_hours(given.get(Skill.PAINT, 0)), payer_kind, rates)
    return lines + ([PlannedLine(materials)] if materials else [])


def check_amount(minor: int, field: str) -> None:
    """RuleBroken for an amount below nought or too large to be meant."""
    if not 0 <= minor <= LARGEST_MINOR:
        raise RuleBroken("Type an amount that is not below nought and can be meant.", field)


def _add_group(session: Session, quote: Quote, key: str, position: int, title: str, below: str) -> QuoteGroup:
    group = QuoteGroup(
        quote_id=quote.id,
        position=position,
        key=key,
        choice="",
        title=title[:200],
        below=below,
        price_minor=None,
        working_days_tenths=None,
    )
    session.add(group)
    session.flush()
    return group


def _add_line(session: Session, group: QuoteGroup, planned: PlannedLine, amount_minor: int) -> None:
    line = planned.line
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
            job_part_id=planned.job_part_id,
            is_touched=False,
        )
    )
