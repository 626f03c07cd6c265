"""The price at the kerb: few answers in, a price from the shop's own list, and whether it covers the drafted plan."""

from collections.abc import Sequence
from dataclasses import dataclass

from shopbook.trade.catalogue.entries import OWN_SOURCE, Catalogue, Panel, PanelPrice
from shopbook.trade.catalogue.kinds import Access, Substrate
from shopbook.trade.catalogue.reading import own_catalogue
from shopbook.trade.errors import RuleBroken
from shopbook.trade.measures.amounts import divide_half_away
from shopbook.trade.planning.shapes import DamageKind, DraftDamage, PaintChoice, SizeStep
from shopbook.trade.planning.small_dents import class_of, dents_tenths
from shopbook.trade.pricing.listed import price_from_hours, whose_figure

CHOICES = (PaintChoice.NO_PAINT, PaintChoice.PAINT, PaintChoice.BLEND)
"""The order of the figures in a price row."""


@dataclass(frozen=True, slots=True)
class KerbAnswer:
    """What is tapped for one panel: a size, or a count of small dents of one class; paint, no paint or blend."""

    panel: str
    size: SizeStep = SizeStep.M
    paint: PaintChoice = PaintChoice.PAINT
    dent_count: int = 0
    dent_class_mm: int = 0
    substrate: Substrate | None = None


@dataclass(frozen=True, slots=True)
class KerbPrice:
    """What the list says for one answer: money before tax, working days, priced minutes, and the reason.

    `is_own` where the shop set the figure, and not where it is our guess from hours.
    """

    price_minor: int
    days: int
    minutes: int
    reason: str
    is_own: bool = False

    @property
    def whose(self) -> str:
        """Who the figure is from: "your list" or "our guess"."""
        return whose_figure(is_own=self.is_own)


@dataclass(frozen=True, slots=True)
class Cover:
    """Whether a price covers its plan: what an hour earns after materials beside the break-even per hour.

    `needed_minor` is None while nobody knows it; nothing is said to be short then.
    """

    brings_minor: int
    needed_minor: int | None
    is_covered: bool


def kerb_damages(answers: Sequence[KerbAnswer], catalogue: Catalogue) -> tuple[DraftDamage, ...]:
    """The damages that the answers stand for, numbered from 1: dents, or scuffs where the panel is plastic.

    What the panel is made of is its usual, unless an answer says otherwise. RuleBroken for a panel not in the list.
    """
    return tuple(_damage(catalogue, number, answer) for number, answer in enumerate(answers, start=1))


def kerb_price(catalogue: Catalogue, answer: KerbAnswer, hour_minor: int) -> KerbPrice:
    """The list price of one answer, before tax, at the door rate `hour_minor` for an hour.

    What the shop typed for this panel wins over the hours in the list. Raises RuleBroken for a panel without a price.
    """
    panel = _panel(catalogue, answer.panel)
    if answer.dent_count:
        return _small_dents(catalogue, panel, answer, hour_minor)
    row = catalogue.prices.get(answer.panel)
    if row is None:
        raise RuleBroken("There is no list price for this panel. Enter one.", "panel")
    place = CHOICES.index(answer.paint)
    tenths = figures_of_size(row, answer.size)[place]
    key = cell_key(answer.size, answer.paint)
    if key in row.set_minor:
        return KerbPrice(row.set_minor[key], row.days[place], tenths * 6, "set in your list", is_own=True)
    is_own = is_own_cell(row, answer.size, answer.paint)
    return KerbPrice(price_from_hours(tenths, hour_minor), row.days[place], tenths * 6, _hours_words(tenths), is_own)


def cell_key(size: SizeStep, paint: PaintChoice) -> str:
    """How a price that the shop typed is kept: "M.paint"."""
    return f"{size}.{paint}"


def is_own_cell(row: PanelPrice, size: SizeStep, paint: PaintChoice) -> bool:
    """Whether the shop set this figure: a price typed for it, or hours that are no longer those we ship."""
    if cell_key(size, paint) in row.set_minor:
        return True
    shipped, place = own_catalogue().prices.get(row.code), CHOICES.index(paint)
    is_shipped = shipped is not None and figures_of_size(shipped, size)[place] == figures_of_size(row, size)[place]
    return row.source == OWN_SOURCE and not row.set_minor and not is_shipped


def cover(price_minor: int, materials_minor: int, minutes: int, needed_hour_minor: int | None) -> Cover:
    """Whether `price_minor` before tax carries `minutes` of work once `materials_minor` are paid.

    RuleBroken where there is no work to carry.
    """
    if minutes <= 0:
        raise RuleBroken("There are no hours to compare the price with.")
    brings = divide_half_away((price_minor - materials_minor) * 60, minutes)
    return Cover(brings, needed_hour_minor, needed_hour_minor is None or brings >= needed_hour_minor)


def _damage(catalogue: Catalogue, number: int, answer: KerbAnswer) -> DraftDamage:
    panel = _panel(catalogue, answer.panel)
    substrate = answer.substrate or panel.substrate
    is_unpainted = answer.paint is PaintChoice.NO_PAINT
    kind = DamageKind.SCUFF if substrate is Substrate.PLASTIC else DamageKind.DENT
    return DraftDamage(
        number,
        answer.panel,
        DamageKind.SMALL_DENTS if answer.dent_count else kind,
        answer.size,
        dent_count=answer.dent_count,
        dent_class_mm=answer.dent_class_mm or (25 if answer.dent_count else 0),
        substrate=substrate,
        is_paint_sound=is_unpainted,
        paint=answer.paint,
    )


def _small_dents(catalogue: Catalogue, panel: Panel, answer: KerbAnswer, hour_minor: int) -> KerbPrice:
    class_mm = answer.dent_class_mm or 25
    factors = {
        "dent_alloy": (answer.substrate or panel.substrate) is Substrate.ALUMINIUM,
        "dent_access": panel.access is not Access.GOOD,
    }
    found = frozenset(code for code, is_there in factors.items() if is_there)
    tenths = dents_tenths(catalogue, panel, class_mm, answer.dent_count, found)
    priced = class_of(catalogue, class_mm)
    up_to = priced.up_to_mm
    reason = f"{answer.dent_count} dents of up to {up_to} mm; {_hours_words(tenths)}"
    price = price_from_hours(tenths, hour_minor)
    return KerbPrice(price, max(1, -(-tenths // 80)), tenths * 6, reason, priced.source == OWN_SOURCE)


def figures_of_size(row: PanelPrice, size: SizeStep) -> tuple[int, ...]:
    """The three figures of a size, in the order of `CHOICES`, in tenths of a door-rate hour."""
    return {SizeStep.S: row.small, SizeStep.M: row.medium, SizeStep.L: row.large}[size]


def _panel(catalogue: Catalogue, code: str) -> Panel:
    if code not in catalogue.panels:
        raise RuleBroken(f"The catalogue has no panel called {code!r}.", "panel")
    return catalogue.panels[code]


def _hours_words(tenths: int) -> str:
    return f"{tenths / 10:.1f} h at the door rate"
