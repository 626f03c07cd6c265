"""How the money's papers and sentences are worded in this book: sign and decimals, long days, moments."""

from dataclasses import dataclass
from datetime import date, datetime

from sqlalchemy.orm import Session

from shopbook.models.shop import Book
from shopbook.queries.shop.book import country_of, get_book
from shopbook.trade.countries import Country
from shopbook.trade.measures.days import format_day, format_moment


@dataclass(frozen=True, slots=True)
class Wording:
    """The book and its country, and what they make of an amount, a day and a moment."""

    book: Book
    country: Country

    def money(self, minor: int) -> str:
        """With the currency's sign."""
        return self.country.money(minor)

    def plain(self, minor: int) -> str:
        """Without the sign, for a column that has it in its head."""
        return self.country.money(minor, has_symbol=False)

    def invoice_number(self, number: int) -> str:
        """An invoice's number as papers print it, behind the shop's prefix: "2026-1042"."""
        return f"{self.book.number_prefix}{number}"

    def say(self, sentence: str) -> str:
        """A sentence of ours in the words of the country."""
        return self.country.say(sentence)

    def day(self, day: date, *, with_weekday: bool = False) -> str:
        """A day with its month in letters."""
        return format_day(day, self.country.date_form, is_long=True, with_weekday=with_weekday)

    def moment(self, moment: datetime) -> str:
        """Day and time at the shop."""
        return format_moment(moment, self.book.zone, self.country.date_form, self.country.clock_form)


def get_wording(session: Session) -> Wording:
    """The wording of this book."""
    return wording_of(get_book(session))


def wording_of(book: Book) -> Wording:
    """The same, of the book's row."""
    return Wording(book, country_of(book))
