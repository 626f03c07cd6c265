"""The tax of a span in words: sales taxed by rate, not taxed by kind, what came late of closed months."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import date

from shopbook.documents.month.figures import KIND_WORDS
from shopbook.documents.month.section import Section, SectionRow
from shopbook.trade.billing import LineKind, rate_words
from shopbook.trade.results.month import TaxRow
from shopbook.trade.results.tax_basis import BASIS_WORDS, TaxBasis
from shopbook.trade.results.tax_span import LateTax, SpanTax

PAPER_WORDS = {"invoice": "Invoice", "deposit": "Deposit invoice", "credit": "Credit note", "fee": "Invoice"}
NOTES = {
    TaxBasis.SUPPLY: "A sale counts when the work is done, or when it is paid if that is earlier.",
    TaxBasis.INVOICE: "A sale counts on the day of its invoice.",
    TaxBasis.RECEIVED: "A sale counts when the customer pays, each payment at the rates of its invoice.",
}
MOVES = "An invoice within {} days after the work counts on its own day."
ASKED = "Until you set your basis, a sale counts on the day of its invoice."
CHANGED = "Your basis changed in this span. Each sale stays on the basis of the day of its invoice."
PURCHASES = "Tax on your purchases is not included."


@dataclass(frozen=True, slots=True)
class TaxWording:
    """How this shop writes: an amount in minor units, a day, a sentence in its country's words; its word for tax."""

    money: Callable[[int], str]
    day: Callable[[date], str]
    say: Callable[[str], str] = str
    tax_word: str = "tax"
    invoice_days: int = 0


def basis_words(bases: Sequence[TaxBasis]) -> str:
    """The basis for a heading: "by date of supply"; where it changed in the span, one after the other."""
    return ", then ".join(BASIS_WORDS[basis] for basis in bases) or BASIS_WORDS[TaxBasis.INVOICE]


def sections(tax: SpanTax, said: TaxWording) -> tuple[Section, ...]:
    """One section, its heading naming the basis: "VAT by date of supply"."""
    word = said.tax_word[:1].upper() + said.tax_word[1:]
    rows = [_taxed(row, said) for row in tax.taxed]
    rows += [_untaxed(row, said) for row in tax.untaxed]
    rows += [_late(row, said) for row in tax.late]
    if tax.held_minor:
        rows.append(_held(tax.held_minor, said))
    total = SectionRow("total", "Total", (said.money(tax.basis_minor), said.money(tax.tax_minor)))
    return (
        Section(
            code="tax",
            title=f"{word} {basis_words(tax.bases)}",
            rows=tuple(rows),
            total=total,
            heads=("", "Sales before tax", "Tax"),
            note=" ".join(_notes(tax, said)),
            about="" if tax.is_answered else "basis not set",
        ),
    )


def _taxed(row: TaxRow, said: TaxWording) -> SectionRow:
    label = f"{row.name}, {rate_words(row.rate_thousandths)}"
    return SectionRow(f"{row.code}.{row.rate_thousandths}", label, _pair(row, said))


def _untaxed(row: TaxRow, said: TaxWording) -> SectionRow:
    kind = said.say(KIND_WORDS[LineKind(row.line_kind)]) if row.line_kind else ""
    code = f"{row.code}.{row.line_kind}" if kind else row.code
    return SectionRow(code, f"{row.name}: {kind}" if kind else row.name, _pair(row, said))


def _pair(row: TaxRow | LateTax, said: TaxWording) -> tuple[str, str]:
    return said.money(row.basis_minor), said.money(row.tax_minor)


def _late(row: LateTax, said: TaxWording) -> SectionRow:
    """ "Invoice 12, November 28, 2026", below it that its month is closed."""
    label = f"{PAPER_WORDS[row.kind]} {row.number}, {said.day(row.on)}"
    return SectionRow(f"late.{row.kind}.{row.number}", label, _pair(row, said), "Its month was closed already.")


def _held(held_minor: int, said: TaxWording) -> SectionRow:
    below = f"{said.money(held_minor)} is held for customers. What was on no invoice yet counts once it is."
    return SectionRow("held", "Money held", (said.money(0), said.money(0)), below)


def _notes(tax: SpanTax, said: TaxWording) -> list[str]:
    notes = [NOTES[basis] for basis in tax.bases] if tax.is_answered else [ASKED]
    notes = [CHANGED] if len(tax.bases) > 1 else notes
    if TaxBasis.SUPPLY in tax.bases and said.invoice_days:
        notes.append(MOVES.format(said.invoice_days))
    return [*notes, PURCHASES]
