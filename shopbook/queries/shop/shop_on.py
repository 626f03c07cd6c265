"""The shop as it stands on a day, each thing of it read once: what a page is loaded with and hands down."""

from collections.abc import Mapping
from datetime import date, datetime
from functools import cached_property
from typing import Any
from zoneinfo import ZoneInfo

from sqlalchemy.orm import Session

from shopbook.models.shop import Book, DatedCost, DatedTaxRate, Person, Place
from shopbook.queries.shop.book import closed_reasons, country_of, get_book, list_places, units_of
from shopbook.queries.shop.house_costs import list_fixed_costs, list_paid_weeks, list_person_costs
from shopbook.queries.shop.opening import opening_hours_of
from shopbook.queries.shop.people import list_staff
from shopbook.queries.shop.rates import (
    SettingLine,
    catalogue_on,
    labour_rates_on,
    list_setting_lines,
    settings_among,
    tax_rates_on,
)
from shopbook.trade.catalogue.entries import Catalogue
from shopbook.trade.countries import Country, in_sides
from shopbook.trade.diary.opening import OpeningHours
from shopbook.trade.measures.units import UnitSystem
from shopbook.trade.permissions import Actor, Role
from shopbook.trade.results.paid_hours import PaidWeek
from shopbook.trade.settings import SettingName


class ShopOn:
    """What holds on one day. Each thing is read when it is first asked for, and never again by the same reading.

    The edge makes one a request (`web/parts/act.py: shop_now`) and passes it on; a query without one makes its own.
    It lives as long as the snapshot that it was read from: a write begins with a new one.
    """

    def __init__(self, session: Session, day: date) -> None:
        self.session = session
        self.day = day
        self._days = {day: self}

    def on(self, day: date) -> "ShopOn":
        """The shop on another day, of the same reading."""
        if day not in self._days:
            other = ShopOn(self.session, day)
            other._days = self._days
            self._days[day] = other
        return self._days[day]

    @cached_property
    def book(self) -> Book:
        """The book's row; NotFound before the first run."""
        return get_book(self.session)

    @cached_property
    def zone(self) -> ZoneInfo:
        """The shop's time zone."""
        return ZoneInfo(self.book.zone)

    @cached_property
    def units(self) -> UnitSystem:
        """The units that the shop types and reads."""
        return units_of(self.book)

    @cached_property
    def settings(self) -> Mapping[SettingName, Any]:
        """Every setting."""
        return settings_among(self.setting_lines, self.day)

    @cached_property
    def country(self) -> Country:
        """The country's words, dates and money, a car's sides as the shop says them."""
        return in_sides(country_of(self.book), self.settings[SettingName.CAR_SIDES])

    @cached_property
    def labour(self) -> Mapping[tuple[str, str], int]:
        """Minor units an hour by (skill, payer kind)."""
        return labour_rates_on(self.session, self.day)

    @cached_property
    def taxes(self) -> list[DatedTaxRate]:
        """The kinds of tax, by code."""
        return tax_rates_on(self.session, self.day)

    @cached_property
    def catalogue(self) -> Catalogue:
        """The catalogue with what the book keeps instead."""
        return catalogue_on(self.session, self.day)

    @cached_property
    def opening(self) -> OpeningHours:
        """When the shop is open, with the closed days around."""
        return opening_hours_of(self.book.zone, self.settings, frozenset(self.closed))

    @cached_property
    def closed(self) -> Mapping[date, str]:
        """Every closed day with the reason, whatever the day: also the hours of other days are reckoned with them."""
        return closed_reasons(self.session) if self._first is self else self._first.closed

    @cached_property
    def setting_lines(self) -> list[SettingLine]:
        """Every line of every setting, of whatever day, in the order in which a later one wins."""
        return list_setting_lines(self.session) if self._first is self else self._first.setting_lines

    @cached_property
    def person_costs(self) -> Mapping[int, list[tuple[date, int]]]:
        """(from day, cost of an hour) by person, of whatever day, in the order in which a later one wins."""
        return list_person_costs(self.session) if self._first is self else self._first.person_costs

    @cached_property
    def paid_weeks(self) -> Mapping[int, list[PaidWeek]]:
        """How each person is paid, by person, of whatever day."""
        return list_paid_weeks(self.session) if self._first is self else self._first.paid_weeks

    @cached_property
    def fixed_costs(self) -> list[DatedCost]:
        """Every fixed cost, also ended and removed ones."""
        return list_fixed_costs(self.session) if self._first is self else self._first.fixed_costs

    @cached_property
    def places(self) -> list[Place]:
        """Bays and yard places in use; they hold from no day."""
        return list_places(self.session) if self._first is self else self._first.places

    @cached_property
    def staff(self) -> list[tuple[Person, Actor]]:
        """All people by name with roles and skills, also those who left; they hold from no day."""
        return list_staff(self.session) if self._first is self else self._first.staff

    @cached_property
    def everybody(self) -> list[Person]:
        """All people by name, also those who left."""
        return [person for person, _ in self.staff]

    @cached_property
    def people(self) -> list[Person]:
        """Those who work here, by name."""
        return [person for person in self.everybody if person.is_active]

    @cached_property
    def owners(self) -> frozenset[int]:
        """Everybody who has the role of an owner, also those who left."""
        return frozenset(person.id for person, actor in self.staff if Role.OWNER in actor.roles)

    @cached_property
    def actors(self) -> list[Actor]:
        """Those who work here, with roles and skills."""
        return [actor for person, actor in self.staff if person.is_active]

    @cached_property
    def place_names(self) -> dict[int, str]:
        """The name of each place in use, by id."""
        return {place.id: place.name for place in self.places}

    @cached_property
    def person_names(self) -> dict[int, str]:
        """Everybody's name, by id."""
        return {person.id: person.name for person in self.everybody}

    def day_of(self, moment: datetime) -> date:
        """The shop's local day of a moment."""
        return moment.astimezone(self.zone).date()

    @property
    def _first(self) -> "ShopOn":
        return next(iter(self._days.values()))


def shop_at(session: Session, moment: datetime) -> ShopOn:
    """The shop on the day of a moment."""
    return ShopOn(session, moment.astimezone(ZoneInfo(get_book(session).zone)).date())
