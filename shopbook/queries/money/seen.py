"""Every word of a quote's paper, from the book as it is now: what a draft shows, and what is kept once it is given."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta
from typing import Any

from shopbook.models.jobs import Damage, Job, Picture, Stage
from shopbook.models.money import Quote, QuoteGroup
from shopbook.queries.jobs.coats import job_coats
from shopbook.queries.jobs.damage import hurt_of, list_damages, list_pictures
from shopbook.queries.jobs.plans import list_stages
from shopbook.queries.money.heads import get_head
from shopbook.queries.money.part_marks import read_part_marks
from shopbook.queries.money.payers import NamedPayer, NamedShare, share_bill
from shopbook.queries.money.pricing import bill_rates
from shopbook.queries.money.quotes import is_main, priced_from_rows
from shopbook.queries.money.words import Wording
from shopbook.queries.shop.shop_on import ShopOn
from shopbook.trade.agreeing.quote_words import CAUTION_WORDS, MAKERS_FIRST, hurt_words
from shopbook.trade.billing.exempt import rates_for
from shopbook.trade.billing.payers import PayRule
from shopbook.trade.car.part_kinds import mark_part
from shopbook.trade.errors import RuleBroken
from shopbook.trade.measures.units import Kind
from shopbook.trade.planning.groups import WHOLE_CAR_GROUP, group_key
from shopbook.trade.planning.shapes import Coat
from shopbook.trade.pricing import PricedQuote
from shopbook.trade.pricing.given import Given, SeenCoats, SeenItem, SeenWords
from shopbook.trade.settings import SettingName

FIXED = (
    "You can accept each item on its own. Prices are fixed even if the work takes longer. If we find anything else we "
    "will ask you first."
)
ESTIMATED = (
    "You can accept each item on its own. This price is not fixed, but it will not go above {most}, tax included, "
    "unless you approve it. If we find anything else we will ask you first."
)
ONE_EXTRA = "We found this while working. We will do it only if you approve it."
ALWAYS_LEFT_OUT = "Damage that shows only once a panel is opened or stripped. We will ask you before we repair it."
_GROUND = frozenset({Coat.METAL, Coat.PLASTIC, Coat.OLD})


@dataclass(frozen=True, slots=True)
class Surroundings:
    """What of the book a quote is said with: the shop (on any day), the job, who pays for it, and all its quotes."""

    shop: ShopOn
    job: Job
    payers: Sequence[NamedPayer]
    quotes: Sequence[Quote]


def as_given_on(around: Surroundings, quote: Quote, day: date | None) -> Given:
    """A quote that is not given yet as it is given on a day (None: as a draft), with its groups and lines loaded."""
    on = day or quote.made_on
    priced = priced_from_rows(quote, rates_for(bill_rates(around.shop.on(on).taxes), quote.exemption, on))
    until = quote.valid_until_on or (valid_until(around.shop.on(day), quote) if day else None)
    return Given(
        priced=priced,
        discount_why=quote.discount_why,
        deposit_minor=quote.deposit_minor,
        valid_until_on=until.isoformat() if until else "",
        words=see_words(around, quote, priced, day, until),
    )


def valid_until(shop: ShopOn, quote: Quote) -> date:
    """Until when a quote holds that is given on the shop's day: as typed for it, else by the shop's habit."""
    return quote.valid_until_on or shop.day + timedelta(days=shop.settings[SettingName.QUOTE_VALID_DAYS])


def see_words(
    around: Surroundings, quote: Quote, priced: PricedQuote, given_on: date | None, until: date | None
) -> SeenWords:
    """What stands on its paper beside the figures, in the words of the book as they are now."""
    job, shop = around.job, around.shop.on(given_on or quote.made_on)
    said, work = Wording(shop.book, shop.country), _Work(around, quote)
    items = tuple(work.item(place, group, said) for place, group in enumerate(quote.groups, 1))
    words = SeenWords(
        head=get_head(shop.session, job) | {"called": said.say(_called(quote)), "clear": said.say("{clear}")},
        plate=job.vehicle.plate if job.vehicle else "",
        facts=_facts(quote, given_on, until, said),
        wrong=job.wrong,
        intro=ESTIMATED if quote.is_estimate else FIXED,
        days=_days(job, said),
        valid_until=said.day(until, with_weekday=True) if until else "",
        not_included=(*_lines(quote.not_included), ALWAYS_LEFT_OUT),
        seen=work.left(said),
        cautions=tuple(said.say(caution) for caution in work.cautions()),
        closing=(*_lines(quote.words), *filter(None, [str(shop.settings[SettingName.STORAGE_WORDS])])),
        items=items,
        panel_names={panel: said.country.panel(panel) for item in items for panel in item.panels},
        payers=_payers(around.payers, priced, said),
        sides=shop.country.sides,
    )
    if is_main(quote):
        return words
    return replace(words, wrong="", intro=ONE_EXTRA, days=_days_of_extra(quote, said), seen=())


def _called(quote: Quote) -> str:
    """What a quote calls itself: "Quotation" where its price is fixed, "Estimate" where not, "Additional work, job"."""
    if quote.kind == "extra":
        return "{Extra}, job"
    return "{Estimate}" if quote.is_estimate else "{Quotation}"


def _facts(quote: Quote, given_on: date | None, until: date | None, said: Wording) -> tuple[tuple[str, str], ...]:
    since = ("Date", given_on) if given_on else ("Drafted", quote.made_on)
    rows = [("Version", str(quote.version)), (since[0], said.day(since[1], with_weekday=True))]
    return (*rows, ("Valid until", said.day(until, with_weekday=True))) if until else tuple(rows)


def _lines(text: str) -> list[str]:
    return [line.strip() for line in text.splitlines() if line.strip()]


def _days_of_extra(quote: Quote, said: Wording) -> str:
    """An extra has days of its own and says none of the job's."""
    rows = []
    if more := sum(group.working_days_tenths or 0 for group in quote.groups):
        rows.append(f"This adds about {_day_words(more)}.")
    if quote.promise_on:
        rows.append(said.say(f"New day for {{pickup_of_car}}: {said.day(quote.promise_on, with_weekday=True)}."))
    return " ".join(rows)


def _days(job: Job, said: Wording) -> str:
    """When the car comes and goes."""
    rows = []
    if job.drop_off_on:
        half = f", {job.drop_off_half}" if job.drop_off_half else ""
        rows.append(f"Drop-off {said.day(job.drop_off_on, with_weekday=True)}{half}.")
    if job.promise_on:
        half = f", {job.promise_half}" if job.promise_half else ""
        rows.append(said.say(f"{{Pickup_of_car}} {said.day(job.promise_on, with_weekday=True)}{half}."))
    elif job.working_days:
        rows.append(f"About {_day_words(job.working_days)} in the shop.")
    return " ".join(rows)


def _day_words(tenths: int) -> str:
    whole, part = divmod(tenths, 10)
    return f"{whole}{f'.{part}' if part else ''} working {'day' if tenths == 10 else 'days'}"


def _payers(payers: Sequence[NamedPayer], priced: PricedQuote, said: Wording) -> tuple[tuple[str, int], ...]:
    """Who pays what of the whole; empty for one payer, or where the payers' rules ask for more than it comes to."""
    try:
        shares = share_bill(payers, priced.sum().taken)
    except RuleBroken:
        return ()
    return tuple((payer_words(row, said), row.gross_minor) for row in shares) if len(shares) > 1 else ()


def payer_words(row: NamedShare, said: Wording) -> str:
    """One payer of a quote in words, with the rule for the share; one who pays nothing is only named."""
    payer = row.payer
    name = payer.name_on_papers if payer.customer else "Customer"
    if row.gross_minor == 0:
        return str(name)
    if payer.rule is PayRule.EXCESS:
        return f"{name}, {said.say('{excess}')} {said.money(payer.amount_minor)}"
    if payer.rule is PayRule.EXCESS_AND_TAX:
        return f"{name}, {said.say('{excess}')} {said.money(payer.amount_minor)} and the tax"
    return f"{name}, {payer.reference}" if payer.reference else name


class _Work:
    """The plan, the damage and the pictures of one job as far as they bear on one quote; read once."""

    def __init__(self, around: Surroundings, quote: Quote) -> None:
        job, session = around.job, around.shop.session
        self._quote, self._job = quote, job
        self._stages, self._damages = list_stages(session, job.id), list_damages(session, job.id)
        self._pictures = list_pictures(session, job.id, "damage")
        self._catalogue = around.shop.on(quote.made_on).catalogue
        lines = [line for group in quote.groups for line in group.lines]
        self._marks = read_part_marks(session, (line.job_part_id for line in lines), around.shop.country)
        self._units = around.shop.units
        self._by_key = _panels_by_key(self._stages, self._damages, self._catalogue)
        self._quoted = set() if is_main(quote) else _panels_quoted(around.quotes, quote)

    def item(self, place: int, group: QuoteGroup, said: Wording) -> SeenItem:
        # What is bought for the whole car shows no panel that another item shows.
        is_beside = group.key == WHOLE_CAR_GROUP and len(self._quote.groups) > 1
        panels = () if is_beside else tuple(self._by_key.get(group.key, ()))
        pictures = self._own_pictures(place, panels)
        return SeenItem(
            below=self._below(group),
            panels=panels,
            coats=tuple(self._coats(panels, said)),
            pictures=tuple(picture.thumbnail_sha256 for picture in pictures),
        )

    def _below(self, group: QuoteGroup) -> str:
        """What is done, each bought part marked where the country's papers mark them."""
        below = group.below
        for line in group.lines:
            below = mark_part(below, line.words, self._marks.get(line.job_part_id or 0, ""))
        return below

    def _own_pictures(self, place: int, panels: Sequence[str]) -> list[Picture]:
        """A quote shows the damage of its panels; an extra what belongs to it, and the damage that only it mends."""
        new = set(panels) - self._quoted
        own: set[int | None] = {damage.id for damage in self._damages if damage.panel in new}
        if is_main(self._quote) and place == 1:
            own.add(None)
        return [
            row
            for row in self._pictures
            if row.quote_id == self._quote.id or (row.quote_id is None and row.damage_id in own)
        ]

    def _coats(self, panels: Sequence[str], said: Wording) -> list[SeenCoats]:
        """What the work will lay on each panel; the old paint goes where the work begins on bare metal."""
        colour = self._job.colour_hex
        found = {}
        for sign in job_coats(self._stages, self._damages, self._catalogue, self._quote.made_at, colour):
            if due := tuple(coat for coat in sign.coats if coat not in _GROUND):
                kept = _GROUND - {Coat.OLD} if {Coat.FILLER, Coat.PRIMER} & set(due) else _GROUND
                ground = tuple(coat for coat in sign.on if coat in kept)
                found[sign.panel] = SeenCoats(said.country.panel(sign.panel), ground, due, colour)
        return [found[panel] for panel in panels if panel in found]

    def left(self, said: Wording) -> tuple[str, ...]:
        """Damage that is not on this quote: declined by the customer, or there before."""
        quoted = {group.key for group in self._quote.groups}
        left = []
        for damage in self._damages:
            if damage.left_at is not None and damage.panel not in quoted:
                words = damage.panel_words or said.country.panel(damage.panel)
                hurt = hurt_words(hurt_of(damage), said.say, self._units.shown(Kind.LENGTH), self._units.locale)
                left.append(f"{words[:1].upper()}{words[1:]}: {hurt}. Not repaired, at your request.")
        return (*left, *(f"Already there: {line}" for line in _lines(self._job.was_there)))

    def cautions(self) -> tuple[str, ...]:
        """Work that only qualified people may do. Everyday protection is the shop's own."""
        keys = {group.key for group in self._quote.groups}
        bearing = [stage for stage in self._stages if is_main(self._quote) or stage.quote_group_key in keys]
        codes = {code for stage in bearing for code in stage.cautions}
        told = [words for code, words in CAUTION_WORDS.items() if code in codes]
        return (*told, MAKERS_FIRST) if told else ()


def _panels_quoted(quotes: Iterable[Quote], extra: Quote) -> set[str]:
    """The panels of the job's main quotes that were given before an extra."""
    rows = [quote for quote in quotes if is_main(quote) and quote.given_at is not None]
    return {group.key for quote in rows if quote.version < extra.version for group in quote.groups}


def _panels_by_key(stages: Sequence[Stage], damages: Sequence[Damage], catalogue: Any) -> dict[str, list[str]]:
    """The panels that each item works on, its own first."""
    hurt = list(dict.fromkeys(damage.panel for damage in damages))
    worked = dict.fromkeys(panel for stage in stages for panel in stage.panel_names)
    found: dict[str, list[str]] = {}
    for panel in dict.fromkeys([*hurt, *worked]):
        key = panel if panel in hurt else group_key([panel], hurt, catalogue)
        found.setdefault(key, []).append(panel)
    for stage in stages:
        if stage.quote_group_key not in found and stage.panel_names:
            found[stage.quote_group_key] = list(stage.panel_names)
    return found
