"""What a paper freezes: names, addresses and words as printed, so that nothing changes with the rows behind it."""

from collections.abc import Sequence
from datetime import date
from typing import Any

from sqlalchemy.orm import Session

from shopbook.models.customers import Customer, Vehicle
from shopbook.models.jobs import Job
from shopbook.models.money import Agreement
from shopbook.queries.money.billable import AgreedWork, TakenQuote
from shopbook.queries.money.quotes import is_main
from shopbook.queries.money.words import Wording
from shopbook.queries.shop.rates import setting_on
from shopbook.services.money.issuing import PaperLine
from shopbook.trade.agreeing import MEANS_WORDS, Means, Party
from shopbook.trade.billing import LineKind
from shopbook.trade.settings import SettingName


def freeze_frame(said: Wording, job: Job) -> dict[str, Any]:
    """Shop, customer, car and the form of amounts and paper; every paper begins with it."""
    book, country = said.book, said.country
    tax_number = [f"{country.tax_number_word} {book.tax_number}"] if book.tax_number else []
    contact = [part for part in (_one_line(book.address), book.phone) if part]
    return {
        "shop": book.shop_name,
        "shop_lines": [" · ".join(contact), *([book.mail] if book.mail else []), *tax_number],
        "to": _name(job.customer),
        "to_lines": _customer_lines(job.customer, country.tax_number_word),
        "car": _car(job.vehicle),
        "car_lines": _car_lines(job),
        "car_hex": job.vehicle.colour_hex if job.vehicle else "",
        "job": job.number,
        "sign": country.currency_symbol,
        "places": country.currency_places,
        "paper_size": book.paper_size,
        "tax_word": country.tax_word,
        "is_tax_invoice": book.is_tax_invoice,
        "pay_to": book.pay_to,
        "facts": [],
        "groups": [],
        "not_done": [],
        "payers": [],
        "notes": [],
        "care": "",
        "storage": "",
    }


def _one_line(text: str) -> str:
    return ", ".join(part.strip() for part in text.splitlines() if part.strip())


def _name(customer: Customer | None) -> str:
    return (customer.name or customer.phone) if customer else "Whom it concerns"


def _customer_lines(customer: Customer | None, tax_number_word: str) -> list[str]:
    if customer is None:
        return []
    number = f"{tax_number_word} {customer.tax_number}" if customer.tax_number else ""
    return [part for part in (*customer.address.splitlines(), customer.phone if customer.name else "", number) if part]


def _car(car: Vehicle | None) -> str:
    if car is None:
        return ""
    what = " ".join(str(part) for part in (car.year, car.description or "car") if part)
    return f"{what}, {car.colour_name}" if car.colour_name else what


def _car_lines(job: Job) -> list[str]:
    car = job.vehicle
    if car is None:
        return []
    marks = [f"plate {car.plate}" if car.plate else "", f"frame no. ends {car.vin[-6:]}" if car.vin else ""]
    return [part for part in (" · ".join(mark for mark in marks if mark), _odometer(job)) if part]


def _odometer(job: Job) -> str:
    return f"odometer {job.odometer:,}" if job.odometer is not None else ""


def freeze_groups(lines: Sequence[PaperLine], work: AgreedWork, said: Wording) -> list[dict[str, Any]]:
    """The work by group in the order of its lines: labour, everything else, and the words below the title.

    A discount or a deposit comes off all of it (`whole`) and stands in neither column.
    """
    below = {title: words for row in work.quotes for title, words in _below(row, said)}
    groups: dict[str, dict[str, Any]] = {}
    for line in lines:
        title = line.title or line.words
        row = groups.setdefault(
            title, {"title": title, "below": below.get(title, ""), "labour": 0, "other": 0, "whole": 0}
        )
        row[_column(line.kind)] += line.net_minor
        if not line.title or title not in below:
            row["below"] = "; ".join(part for part in (row["below"], line.words) if part and part != title)
    return list(groups.values())


def _column(kind: str) -> str:
    if kind in {LineKind.DISCOUNT, LineKind.DEPOSIT}:
        return "whole"
    return "labour" if kind == LineKind.LABOUR else "other"


def _below(row: TakenQuote, said: Wording) -> list[tuple[str, str]]:
    if is_main(row.quote):
        return [(group.title, group.below) for group in row.taken]
    yeses = "; ".join(_yes_words(yes, said) for yes in row.yeses)
    return [(f"Extra · {group.title}", "; ".join(part for part in (group.below, yeses) if part)) for group in row.taken]


def _yes_words(yes: Agreement, said: Wording) -> str:
    whose = "yes" if yes.party == Party.OWNER else "payer’s yes"
    return f"{whose} {MEANS_WORDS.get(Means(yes.means), yes.means)} {said.moment(yes.at)}"


def freeze_left(work: AgreedWork) -> list[str]:
    """What was seen and left at the owner's wish; of two ways of one thing only where none was taken."""
    left = []
    for row in work.quotes:
        choices = {group.choice for group in row.taken if group.choice}
        left += [group.title for group in row.left if group.choice not in choices or not group.choice]
    return left


def freeze_words(session: Session, day: date, *, is_painted: bool) -> dict[str, str]:
    """The shop's own words at the foot: care of fresh paint, storage."""
    care = str(setting_on(session, SettingName.CARE_WORDS, day)) if is_painted else ""
    return {"care": care, "storage": str(setting_on(session, SettingName.STORAGE_WORDS, day))}
