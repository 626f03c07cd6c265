"""The first run: three answers become a book with usual taxes, rates, places and materials, all marked as guesses."""

import secrets
from dataclasses import dataclass
from datetime import datetime

from sqlalchemy.orm import Session

from shopbook.models.shelf import Material
from shopbook.models.shop import Book, CatalogueEntry, LabourRate, NumberCounter, Person, Place, Setting
from shopbook.queries.shop.book import find_book
from shopbook.queries.shop.rates import FROM_THE_FIRST
from shopbook.services.act import Act
from shopbook.services.postings import write_log
from shopbook.services.shop.people import add_person
from shopbook.services.shop.taxes import tax_row
from shopbook.trade.billing.deposits import DepositRule
from shopbook.trade.billing.number_series import Series
from shopbook.trade.catalogue.entries import EntryKind, KnownMaterial
from shopbook.trade.catalogue.figures import kept_of
from shopbook.trade.catalogue.kinds import Skill
from shopbook.trade.catalogue.reading import own_catalogue
from shopbook.trade.catalogue.releases import own_release
from shopbook.trade.countries import Country, in_currency, known_country, zone_in
from shopbook.trade.errors import Conflict, RuleBroken
from shopbook.trade.measures.amounts import divide_half_away
from shopbook.trade.measures.currencies import cash_step_minor, check_currency
from shopbook.trade.permissions import Role
from shopbook.trade.settings import DEFAULTS, SettingName


@dataclass(frozen=True, slots=True)
class FirstAnswers:
    """What the one-time page asks. `zone` is empty where the country has one only, `currency` for its usual one; the
    hash was made before."""

    country: str
    shop_name: str
    hour_minor: int
    owner_name: str
    password_hash: str
    zone: str = ""
    currency: str = ""
    base: str = ""
    """water or solvent; empty for the country's usual one."""
    is_demo: bool = False


def start_book(act: Act, answers: FirstAnswers) -> Person:
    """Start the book and its owner, who is desk and technician too; answers the owner.

    Conflict when the book has been started before; RuleBroken for a shop without a name, an hour sold for nothing, a
    zone that is not named or not the country's, or a currency that cannot be one.
    """
    if find_book(act.session) is not None:
        raise Conflict("This book is already open. Sign in instead.")
    usual = known_country(answers.country)
    country = in_currency(usual, check_currency(answers.currency)) if answers.currency else usual
    _check(answers, country)
    act.session.add(_book(answers, country, act.moment))
    # The book's one row first: what follows asks it for the zone, and so for the day.
    act.session.flush()
    _write_settings(act.session, country, act.moment, by_hour=None if country is usual else answers.hour_minor)
    _write_rates(act.session, country, answers.hour_minor, act.moment)
    _write_base(act.session, country, answers.base, act.moment)
    for name, is_bay in (("Bay 1", True), ("Bay 2", True), (country.word("Yard"), False)):
        act.session.add(Place(name=name, is_bay=is_bay))
    act.session.add_all(NumberCounter(series=series) for series in Series)
    materials = own_catalogue(country.code).materials.values()
    act.session.add_all(_material(known) for known in materials if not known.is_bought_for_job)
    owner = add_person(act, name=answers.owner_name, roles=Role, skills=Skill, password_hash=answers.password_hash)
    write_log(act, "start_book", "book", 1, "Started the book")
    return owner


def _check(answers: FirstAnswers, country: Country) -> None:
    if not answers.shop_name.strip():
        raise RuleBroken("Enter the shop's name. It is printed on every paper.", "shop_name")
    if answers.hour_minor <= 0:
        raise RuleBroken("Enter an hourly rate above zero, for example 65.", "hour")


def _book(answers: FirstAnswers, country: Country, now: datetime) -> Book:
    return Book(
        id=1,
        book_key=secrets.token_hex(16),
        country=country.code,
        currency=country.currency,
        currency_places=country.currency_places,
        zone=zone_in(country, answers.zone),
        shop_name=" ".join(answers.shop_name.split()),
        paper_size=country.paper_size,
        units=dict(country.units),
        is_demo=answers.is_demo,
        is_tax_invoice=not country.invoice_note,
        catalogue_version=own_release(),
        started_at=now,
    )


def _write_settings(session: Session, country: Country, now: datetime, by_hour: int | None) -> None:
    """Every setting as a line, so that a later version's default never changes a book that was begun with this one.

    `by_hour` is given where our usual amounts are of another currency: they are guessed from the rate of an hour.
    """
    step = cash_step_minor(country.currency)
    decided: dict[SettingName, object] = {
        SettingName.DEPOSIT_TREATMENT: DepositRule(country.deposit_treatment),
        SettingName.CASH_ROUNDING_MINOR: step if step > 1 else 0,
        SettingName.CAR_SIDES: country.usual_sides,
        SettingName.MATERIALS_RULE: country.materials_rule,
    }
    if by_hour is not None:
        decided[SettingName.MATERIALS_REFINISH_HOUR_MINOR] = divide_half_away(by_hour * 2, 3)
        decided[SettingName.MATERIALS_PER_PAINT_HOUR_MINOR] = divide_half_away(by_hour * 4, 9)
    for name, value in (DEFAULTS | decided).items():
        session.add(Setting(name=name, value=value, from_on=FROM_THE_FIRST, at=now))


def _write_base(session: Session, country: Country, asked: str, now: datetime) -> None:
    """A shop that sprays waterborne base does so from its first day; the shipped figure is solvent-borne."""
    if not (asked == "water" if asked else country.is_base_water):
        return
    body = kept_of(own_catalogue().numbers[BASE]) | {"value": 1}
    session.add(CatalogueEntry(kind=EntryKind.NUMBER, code=BASE, body=body, from_on=FROM_THE_FIRST, at=now))


BASE = "base_is_water"


def _write_rates(session: Session, country: Country, hour_minor: int, now: datetime) -> None:
    for skill in Skill:
        rate = LabourRate(skill=skill, payer_kind="any", rate_minor=hour_minor, from_on=FROM_THE_FIRST, at=now)
        session.add(rate)
    for tax in country.usual_taxes:
        session.add(tax_row(tax, now, is_confirmed=False))


def _material(known: KnownMaterial) -> Material:
    sheet = {"density_mg_ml": known.density_mg_ml, "solids_permille": known.solids_permille}
    return Material(
        name=known.name,
        role=known.code,
        unit=known.unit,
        way=known.way,
        pack_thousandths=known.pack_thousandths,
        pack_name=known.pack_name,
        pack_price_minor=known.price_minor,
        order_at_quarters=known.order_when_quarters,
        shelf_life_days=known.shelf_days,
        opened_life_days=known.opened_days,
        sheet={name: value for name, value in sheet.items() if value is not None},
        is_guess=True,
    )
