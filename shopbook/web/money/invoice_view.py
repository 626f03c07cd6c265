"""An issued paper, or the preview of one, in finished words: once for the screen and the file."""

from collections.abc import Callable, Sequence
from datetime import date

from shopbook.documents.invoice import DoneRow, InvoicePaper, PayerRow
from shopbook.documents.slip import SlipPaper
from shopbook.queries.money.invoices import PAPER_WORDS, PayerStanding
from shopbook.services.money.issuing import PaperDraft
from shopbook.trade.billing import rate_words
from shopbook.trade.letters import upper_first
from shopbook.web.money.paper_head import Frozen, head_of, plain_of
from shopbook.web.parts.frame import day_text
from shopbook.web.parts.rows import Invoice

KINDS = PAPER_WORDS
NOT_TAX_INVOICE = "This paper is not a tax invoice."
NOT_NUMBERED = "preview"
PREVIEW = "Preview. Not issued yet, and may still change."


def paper_of(invoice: Invoice) -> InvoicePaper:
    """An issued paper as it was frozen, the same on the screen and in its kept file; what was paid later is beside
    it, never on it."""
    shares = [(row.customer_id, row.share_minor) for row in invoice.payers]
    taxes = [(row.name, row.rate_thousandths, row.basis_minor, row.tax_minor) for row in invoice.taxes]
    return _numbered(invoice, invoice.number, invoice.issued_on, taxes, shares)


def paper_to_be(draft: PaperDraft, number: int, day: date) -> InvoicePaper:
    """A paper that would be issued that day with the next number of its series: the very one that is kept then."""
    taxes = [(row.rate.name, row.rate.rate_thousandths, row.basis_minor, row.tax_minor) for row in draft.taxes]
    shares = [(row.customer_id, row.share_minor) for row in draft.shares]
    return _numbered(draft, number, day, taxes, shares)


def _numbered(
    paper: Invoice | PaperDraft,
    number: int,
    day: date,
    taxes: Sequence[tuple[str, int, int, int]],
    shares: Sequence[tuple[int | None, int]],
) -> InvoicePaper:
    frozen = paper.frozen
    facts = [("Date", _long(day)), *((word, value) for word, value in frozen["facts"])]
    mark = "" if frozen["is_tax_invoice"] else NOT_TAX_INVOICE
    reason = f"Reason: {paper.reason}" if paper.reason else ""
    return _paper(frozen, KINDS[paper.kind], _printed(paper.kind, frozen, number), facts, taxes, shares, (mark, reason))


def _printed(kind: str, frozen: Frozen, number: int) -> str:
    """The number as it is printed: an invoice's behind the shop's prefix, a credit note's alone."""
    return str(number) if kind == "credit" else f"{frozen.get('number_prefix', '')}{number}"


def paper_of_draft(draft: PaperDraft) -> InvoicePaper:
    """What would be issued now, marked as not issued."""
    taxes = [(row.rate.name, row.rate.rate_thousandths, row.basis_minor, row.tax_minor) for row in draft.taxes]
    shares = [(row.customer_id, row.share_minor) for row in draft.shares]
    facts = [("Date", "not issued yet"), *((word, value) for word, value in draft.frozen["facts"])]
    return _paper(draft.frozen, "Invoice", NOT_NUMBERED, facts, taxes, shares, (PREVIEW, ""))


def _long(day: date) -> str:
    return day_text(day, is_long=True, with_weekday=True)


def _paper(
    frozen: Frozen,
    kind: str,
    number: str,
    facts: Sequence[tuple[str, str]],
    taxes: Sequence[tuple[str, int, int, int]],
    shares: Sequence[tuple[int | None, int]],
    marks: tuple[str, str],
) -> InvoicePaper:
    plain = plain_of(frozen)
    *rows, rows_last = _done_rows(frozen["groups"], plain)
    net, tax = sum(row[2] for row in taxes), sum(row[3] for row in taxes)
    tax_word = upper_first(frozen["tax_word"])
    paired = zip(frozen["payers"], shares, strict=False)
    payers = [(row["name"], row["words"], share, row["paid"]) for row, (_, share) in paired]
    return InvoicePaper(
        head=head_of(frozen, kind, number, facts),
        mark=marks[0],
        reason=marks[1],
        sign=frozen["sign"],
        labour_word=frozen.get("labour_word", "Labour"),
        heading={"Credit note": "Credited", "Deposit invoice": "Received"}.get(kind, "Work done"),
        rows=tuple(rows),
        rows_last=rows_last,
        not_done=tuple(frozen["not_done"]),
        tax_word=tax_word,
        tax_rows=_tax_rows(frozen, taxes, plain),
        tax_last=("Total", plain(net), plain(tax)),
        sums=(("Before tax", plain(net)), (tax_word, plain(tax))) if _is_taxed(frozen, taxes) else (),
        sums_last=(_sum_words(kind, len(payers)), plain(net + tax)),
        payers=() if kind == "Credit note" else tuple(_payer(row, plain) for row in payers),
        payers_last=_payer(("Total", "", sum(row[2] for row in payers), sum(row[3] for row in payers)), plain),
        notes=_notes(frozen),
        care=frozen["care"],
        closing=_closing(frozen, kind, number),
    )


def _is_taxed(frozen: Frozen, taxes: Sequence[tuple[str, int, int, int]]) -> bool:
    """Whether a paper has lines of tax: none where the shop is not registered. Papers of before always have them."""
    return any(tax for _, _, _, tax in taxes) or bool(frozen.get("is_registered", True))


def _tax_rows(
    frozen: Frozen, taxes: Sequence[tuple[str, int, int, int]], plain: Callable[[int], str]
) -> tuple[tuple[str, str, str], ...]:
    rows = taxes if _is_taxed(frozen, taxes) else ()
    return tuple((_rate(name, rate), plain(basis), plain(amount)) for name, rate, basis, amount in rows)


def _notes(frozen: Frozen) -> tuple[str, ...]:
    """Why there is no tax: the shop is without, or the customer has a certificate; then what the paper noted."""
    return tuple(note for note in (frozen.get("no_tax_note"), frozen.get("exempt_note"), *frozen["notes"]) if note)


def _done_rows(groups: Sequence[Frozen], plain: Callable[[int], str]) -> list[DoneRow]:
    """A row for each item, then the total; labour has a column where any item has some."""
    has_labour = any(row["labour"] for row in groups)
    rows = []
    for row in groups:
        is_split, whole = has_labour and not row.get("whole"), row.get("whole", 0)
        labour, other = (plain(row[name]) if is_split else "" for name in ("labour", "other"))
        rows.append(DoneRow(row["title"], row["below"], labour, other, plain(row["labour"] + row["other"] + whole)))
    sums = [sum(row.get(name, 0) for row in groups) for name in ("labour", "other", "whole")]
    return [*rows, DoneRow("Total", "", plain(sums[0]), plain(sums[1]), plain(sum(sums)))]


def _rate(name: str, rate: int) -> str:
    return f"{name}, {rate_words(rate)}" if rate else name


def _sum_words(kind: str, payers: int) -> str:
    """Where more than one pays, the total is not due from anyone: who pays what is below it."""
    if kind == "Credit note":
        return "Total credited"
    return "Total" if payers > 1 else "Total due"


def _payer(row: tuple[str, str, int, int], plain: Callable[[int], str]) -> PayerRow:
    name, words, share, paid = row
    return PayerRow(name, words, plain(share), plain(paid), plain(share - paid))


def _closing(frozen: Frozen, kind: str, number: str) -> tuple[str, ...]:
    if kind == "Credit note":
        return ()
    is_paid_to = frozen["pay_to"] and number != NOT_NUMBERED
    pay_to = f"{frozen['pay_to']} Please include invoice number {number}." if is_paid_to else ""
    return tuple(line for line in (frozen["storage"], pay_to) if line)


def receipt_of(number: int, kept: Frozen) -> SlipPaper:
    """The receipt of one payment as it was kept: what it was taken for, and what was on account."""
    plain = plain_of(kept["head"])
    return SlipPaper(
        head=head_of(kept["head"], kept["kind"], str(number), [(word, value) for word, value in kept["facts"]]),
        sign=kept["head"]["sign"],
        rows=tuple((words, plain(minor)) for words, minor in (*kept["rows"], kept["last"])),
        notes=tuple(kept["notes"]),
    )


def request_of(invoice: Invoice, row: PayerStanding, name: str, to_lines: Sequence[str] = ()) -> SlipPaper:
    """A request to one payer for its share: no tax figures, since only the customer gets the tax invoice."""
    frozen = invoice.frozen
    plain = plain_of(frozen)
    number = _printed(invoice.kind, frozen, invoice.number)
    pay_to = f"{frozen['pay_to']} Please include invoice number {number}." if frozen["pay_to"] else ""
    facts = [("Date", _long(invoice.issued_on)), ("Due", _long(row.due_on)), ("Customer", frozen["to"])]
    known = {**frozen, "to": name, "to_lines": to_lines}
    return SlipPaper(
        head=head_of(known, "Request to pay, invoice", number, facts),
        sign=frozen["sign"],
        rows=(
            (f"{name}: share of the repair", plain(row.share_minor)),
            ("Paid so far", plain(row.paid_minor)),
            *([("No longer asked for", plain(row.written_off_minor))] if row.written_off_minor else []),
            (f"{name}: still to pay", plain(row.owed_minor)),
        ),
        notes=tuple(
            line for line in ("This is not a tax invoice. The customer receives the tax invoice.", pay_to) if line
        ),
    )
