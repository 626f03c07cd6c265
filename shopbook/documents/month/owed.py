"""What was owed at the end of a day by age, and what was held for customers, in words."""

from collections.abc import Callable, Iterable

from shopbook.documents.month.figures import BAND_WORDS
from shopbook.documents.month.section import Section, SectionRow
from shopbook.trade.billing.ageing import AgeBand, Ageing


def sections(owed: Ageing, day: str, money: Callable[[int], str], say: Callable[[str], str] = str) -> tuple[Section]:
    """One section: each age, the credits of customers taken off, and what is left; `day` as the shop writes it."""
    rows = [SectionRow(band.value, BAND_WORDS[band], (money(amount),)) for band, amount in owed.by_band.items()]
    rows.append(SectionRow("on_account", "Customer credits", (money(-owed.on_account_minor),)))
    return (
        Section(
            code="owed",
            title=f"{say('{Ageing}')}, {day}",
            rows=tuple(rows),
            total=SectionRow("total", "Total", (money(owed.total_minor),)),
            heads=("Days past due", "Owed"),
            note="As of the end of that day. Security deposits are not included.",
        ),
    )


def by_payer(payers: Iterable[tuple[str, Ageing]], money: Callable[[int], str]) -> Section:
    """One row a payer, the most overdue first: each age, credits taken off, and the total."""
    rows = [
        SectionRow(str(place), name, (*_sums(own, money), money(own.total_minor)))
        for place, (name, own) in enumerate(payers)
    ]
    return Section(
        code="owed_payers",
        title="By payer",
        rows=tuple(rows),
        heads=("Payer", *(BAND_WORDS[band] for band in AgeBand), "Credits", "Total"),
    )


def _sums(own: Ageing, money: Callable[[int], str]) -> tuple[str, ...]:
    """Zero is left empty."""
    figures = (*(own.by_band[band] for band in AgeBand), -own.on_account_minor)
    return tuple(money(figure) if figure else "" for figure in figures)
