"""The book's country as the shop speaks on a day: panels with their sides in the way that it chose."""

from datetime import date

from sqlalchemy.orm import Session

from shopbook.queries.shop.book import country_of, get_book
from shopbook.queries.shop.rates import setting_on
from shopbook.trade.countries import Country, in_sides
from shopbook.trade.settings import SettingName


def country_on(session: Session, day: date) -> Country:
    """The country's words, dates and money, a car's sides as they are said on that day; NotFound before the first run.

    A way that the country does not know is not followed: a book of the United States says left and right.
    """
    return in_sides(country_of(get_book(session)), setting_on(session, SettingName.CAR_SIDES, day))
