"""A quote put into finished words, once for the screen and the printed paper."""

import json
from collections.abc import Sequence
from datetime import date
from typing import Any

from shopbook.documents.quote import QuotedPart, QuotePaper, YesBox
from shopbook.outside.pictures import picture_path
from shopbook.queries.money.heads import get_head
from shopbook.queries.money.payers import NamedShare
from shopbook.queries.money.quotes import is_main
from shopbook.queries.shop.book import get_units
from shopbook.trade.agreeing import MEANS_WORDS, Means
from shopbook.trade.billing import rate_words
from shopbook.trade.errors import NotFound
from shopbook.trade.payers import PayRule
from shopbook.trade.planning.groups import WHOLE_CAR_GROUP
from shopbook.trade.quote_words import CAUTION_WORDS, MAKERS_FIRST, Hurt, hurt_words, small_first
from shopbook.trade.settings import SettingName
from shopbook.trade.units import Kind
from shopbook.web.money.blueprint import shop_config
from shopbook.web.money.paper_head import head_of
from shopbook.web.money.quote_known import Known
from shopbook.web.parts.act import reader
from shopbook.web.parts.frame import country, day_text, money, whole_moment_text

FIXED = (
    "Each part can be taken or left on its own. The price of a part is fixed: if it takes us longer, that is our "
    "business. Anything found later is shown to you first and needs a yes of its own."
)
ESTIMATED = (
    "Each part can be taken or left on its own. This is an estimate: it will not pass {most}, tax included, without "
    "asking you first. Anything found later is shown to you first and needs a yes of its own."
)
ONE_EXTRA = "Found while working. It is done only once you have said yes to it."
KINDS = {"kerb": "Quote", "quote": "Quote", "extra": "Extra to job"}
ALWAYS_LEFT_OUT = "Damage that shows only once a panel is open or stripped: you are told before anything is done."


def quote_paper(known: Known, *, for_print: bool = False) -> QuotePaper:
    """All that stands on a quote; `for_print` brings the pictures along."""
    quote, here = known.quote, country()
    is_draft = known.given_on is None
    kind = f"Draft {small_first(KINDS[quote.kind])}" if is_draft else KINDS[quote.kind]
    return QuotePaper(
        head=head_of(get_head(reader(), known.job), kind, str(known.job.number), _facts(known)),
        wrong=known.job.wrong if is_main(quote) else "",
        intro=_intro(known),
        sign=here.currency_symbol,
        parts=tuple(_part(known, place, group, for_print) for place, group in enumerate(quote.groups, 1)),
        sum_title="Sum of what was taken" if known.taken is not None else "Sum of all parts",
        tax_word=here.tax_word[:1].upper() + here.tax_word[1:],
        tax_rows=tuple(_tax_row(row) for row in known.sum.taken.taxes),
        tax_last=("Together", plain(known.sum.taken.net_minor), plain(known.sum.taken.tax_minor)),
        gross=plain(known.sum.taken.gross_minor),
        gross_word="With tax, as estimated" if quote.is_estimate else "With tax",
        payers=tuple((_payer_words(row), plain(row.gross_minor)) for row in known.shares)
        if len(known.shares) > 1
        else (),
        terms=_terms(known),
        not_included=(*_lines(quote.not_included), ALWAYS_LEFT_OUT),
        seen=_seen(known),
        cautions=_cautions(known),
        closing=tuple(line for line in (*_lines(quote.words), known.held[SettingName.STORAGE_WORDS]) if line),
        yes=(_owner_box(known), *_payer_boxes(known)),
        is_draft=is_draft,
    )


def plain(minor: int) -> str:
    """An amount without the currency's sign."""
    return money(minor, has_symbol=False)


def long_day(day: date) -> str:
    """A day in full: "Monday 2 November 2026" as the country writes it."""
    return day_text(day, is_long=True, with_weekday=True)


def _intro(known: Known) -> str:
    if not is_main(known.quote):
        return ONE_EXTRA
    return ESTIMATED.format(most=money(known.sum.most_minor)) if known.quote.is_estimate else FIXED


def _lines(text: str) -> list[str]:
    return [line.strip() for line in text.splitlines() if line.strip()]


def _facts(known: Known) -> tuple[tuple[str, str], ...]:
    drafted = ("Drafted", long_day(known.quote.made_on))
    rows = [("Version", str(known.quote.version)), ("Given", long_day(known.given_on)) if known.given_on else drafted]
    return (*rows, ("Holds until", long_day(known.valid_until_on))) if known.valid_until_on else tuple(rows)


def _part(known: Known, place: int, group: Any, for_print: bool) -> QuotedPart:
    # What is bought for the whole car shows no panel that another part shows.
    is_beside = group.key == WHOLE_CAR_GROUP and len(known.quote.groups) > 1
    panels = () if is_beside else known.panels[group.id]
    own: set[int | None] = {damage.id for damage in known.damages if damage.panel in panels}
    if place == 1:
        own.add(None)
    pictures = [picture for picture in known.pictures if picture.damage_id in own]
    has_twin = any(
        other.choice == group.choice for other in known.quote.groups if other.id != group.id and group.choice
    )
    state = "open" if known.taken is None else "taken" if group.id in known.taken else "left"
    return QuotedPart(
        number=place,
        title=group.title,
        below=group.below,
        price=plain(known.prices[group.id]),
        state=state,
        aside="One of two ways of doing it: one of them is taken." if has_twin else "",
        panels=panels,
        coats=tuple(known.coats[panel] for panel in panels if panel in known.coats),
        pictures=tuple(body for picture in pictures[:2] if (body := _read(picture))) if for_print else (),
        picture_count=len(pictures),
    )


def _read(picture: Any) -> bytes:
    """A picture's small form; nothing when its file is gone, for the price must still be printed."""
    try:
        return picture_path(shop_config().pictures_folder, picture.thumbnail_sha256).read_bytes()
    except NotFound:
        return b""


def _tax_row(row: Any) -> tuple[str, str, str]:
    name = f"{row.rate.name}, {rate_words(row.rate.rate_thousandths)}" if row.rate.rate_thousandths else row.rate.name
    return name, plain(row.basis_minor), plain(row.tax_minor)


def _payer_words(row: NamedShare) -> str:
    payer = row.payer
    name = payer.name if payer.customer else "The owner"
    if row.gross_minor == 0:
        return str(name)
    if payer.rule is PayRule.EXCESS:
        return f"{name}, the first {money(payer.amount_minor)}"
    if payer.rule is PayRule.EXCESS_AND_TAX:
        return f"{name}, the first {money(payer.amount_minor)} and the tax"
    return f"{name}, {payer.reference}" if payer.reference else name


def _terms(known: Known) -> tuple[str, ...]:
    quote = known.quote
    discount = f": {quote.discount_why}" if quote.discount_why else ""
    taken_off = known.sum.taken.allowances_minor
    rows = [
        f"Discount{discount}: {money(taken_off)}, already taken off above." if taken_off else "",
        f"Deposit asked{_of_whom(known)}: {money(quote.deposit_minor)}; it comes off what is to pay."
        if quote.deposit_minor
        else "",
        _days(known.job),
    ]
    return tuple(row for row in rows if row)


def _of_whom(known: Known) -> str:
    """Where more than one pays, the customer's name."""
    names = [row.payer.name for row in known.shares if row.payer.is_customer]
    return f" of {names[0]}" if names and len(known.shares) > 1 else ""


def _days(job: Any) -> str:
    said = []
    if job.drop_off_on:
        said.append(f"Drop-off {long_day(job.drop_off_on)}{', ' + job.drop_off_half if job.drop_off_half else ''}.")
    if job.promise_on:
        half = f", {job.promise_half}" if job.promise_half else ""
        said.append(f"Planned for collection {long_day(job.promise_on)}{half}.")
    if job.working_days and not job.promise_on:
        whole, part = divmod(job.working_days, 10)
        said.append(f"About {whole}{f'.{part}' if part else ''} working days in the shop.")
    return " ".join(said)


def _seen(known: Known) -> tuple[str, ...]:
    """Damage that is not on this quote: left by the owner, or there before."""
    if not is_main(known.quote):
        return ()
    quoted = {group.key for group in known.quote.groups}
    unit = get_units(reader()).shown(Kind.LENGTH)
    left = [
        f"{_panel_words(damage)}: {hurt_words(_hurt(damage), unit)}. Not repaired, at the owner’s wish."
        for damage in known.damages
        if damage.left_at is not None and damage.panel not in quoted
    ]
    return (*left, *(f"There before: {line}" for line in _lines(known.job.was_there)))


def _panel_words(damage: Any) -> str:
    words = damage.panel_words or country().panel(damage.panel)
    return words[:1].upper() + words[1:]


def _hurt(damage: Any) -> Hurt:
    return Hurt(**{name: getattr(damage, name) for name in Hurt.__slots__})


def _cautions(known: Known) -> tuple[str, ...]:
    """What an owner must know of: work that only qualified people may do. Everyday protection is the shop's own."""
    keys = {group.key for group in known.quote.groups}
    bearing = [stage for stage in known.stages if is_main(known.quote) or stage.quote_group_key in keys]
    codes = {code for stage in bearing for code in json.loads(stage.cautions or "[]")}
    told = [words for code, words in CAUTION_WORDS.items() if code in codes]
    return (*told, MAKERS_FIRST) if told else ()


def _numbers(places: Sequence[int]) -> str:
    said = [str(place) for place in places]
    if len(said) == 1:
        return f"part {said[0]}"
    return f"parts {', '.join(said[:-1])} and {said[-1]}"


def _owner_box(known: Known) -> YesBox:
    row = known.owner_yes
    if row is None:
        return YesBox("From the car’s owner", "do the parts ticked above.")
    places = [place for place, group in enumerate(known.quote.groups, 1) if group.id in (known.taken or ())]
    sentence = "do it." if len(known.quote.groups) == 1 else f"do {_numbers(places)}."
    by = f"{row.said_by}, {whole_moment_text(row.at)}, {MEANS_WORDS[Means(row.means)]}"
    return YesBox("From the car’s owner", sentence, by, row.signature, row.said_by)


def _payer_boxes(known: Known) -> list[YesBox]:
    """One box for each payer besides the customer, with what it pays; one without a name where nobody is named."""
    if not (known.has_other_payer or known.payer_yeses):
        return []
    others = [row for row in known.shares if not row.payer.is_customer]
    if not others:
        last = known.payer_yeses[-1] if known.payer_yeses else None
        return [_payer_box("the payer", f"up to {money(known.sum.taken.gross_minor)}, tax included.", last)]
    return [_box_of(known, row, is_alone=len(others) == 1) for row in others]


def _box_of(known: Known, row: NamedShare, *, is_alone: bool) -> YesBox:
    given = [yes for yes in known.payer_yeses if is_alone or yes.customer_id == row.payer.customer_id]
    asked = f"pays {money(row.gross_minor)}, tax included."
    return _payer_box(row.payer.name, asked, given[-1] if given else None)


def _payer_box(name: str, asked: str, row: Any) -> YesBox:
    if row is None:
        return YesBox(f"From {name}", asked)
    words = f", {row.words}" if row.words else ""
    by = f"{row.said_by}, {whole_moment_text(row.at)}, {MEANS_WORDS[Means(row.means)]}{words}"
    return YesBox(f"From {name}", f"up to {money(row.amount_minor or 0)}.", by, row.signature, row.said_by)
