"""The shop's list as a sheet to type in: panels of both sides as one row, each price beside what its hours make it."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from shopbook.trade.catalogue.entries import OWN_SOURCE, PanelPrice
from shopbook.trade.catalogue.reading import entry_body
from shopbook.trade.planning.kerb import CHOICES, cell_key, figures_of_size, is_own_cell
from shopbook.trade.planning.shapes import PaintChoice, SizeStep
from shopbook.trade.pricing.listed import price_from_hours, raised

Cell = tuple[SizeStep, PaintChoice]
CELLS: tuple[Cell, ...] = tuple((size, paint) for size in SizeStep for paint in CHOICES)
SIDES = ("left", "right")


@dataclass(frozen=True, slots=True)
class GridRow:
    """One row of the sheet: the panels that it prices, both sides of a pair where all of their prices are equal.

    `name` is the panel without its side where it stands for both, else the panel's code.
    """

    name: str
    codes: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class ListedPrice:
    """One figure of the list, before or with tax as the shop types it: what is asked, what its hours make it, whose
    figure it is."""

    minor: int
    hours_minor: int
    is_own: bool

    @property
    def is_under(self) -> bool:
        """Whether the price is below what its hours make it."""
        return self.minor < self.hours_minor


def listed(price: PanelPrice, hour_minor: int, cell: Cell) -> ListedPrice:
    """One figure at `hour_minor` for an hour: the shop's own where it typed one, else what the hours make it."""
    size, paint = cell
    from_hours = price_from_hours(figures_of_size(price, size)[CHOICES.index(paint)], hour_minor)
    return ListedPrice(price.set_minor.get(cell_key(*cell), from_hours), from_hours, is_own_cell(price, *cell))


def all_listed(price: PanelPrice, hour_minor: int) -> dict[Cell, ListedPrice]:
    """All nine figures of a panel."""
    return {cell: listed(price, hour_minor, cell) for cell in CELLS}


def grid_rows(prices: Mapping[str, PanelPrice], hour_minor: int) -> list[GridRow]:
    """The rows of the sheet in the order of the list.

    A left panel and its right one are one row, unless one of their nine prices differs: then both stand.
    """
    apart = apart_pairs(prices, hour_minor)
    rows: dict[str, tuple[str, ...]] = {}
    for code in prices:
        name = pair_name(code)
        if name and name not in apart and all(f"{side}_{name}" in prices for side in SIDES):
            rows.setdefault(name, tuple(f"{side}_{name}" for side in SIDES))
        else:
            rows[code] = (code,)
    return [GridRow(name, codes) for name, codes in rows.items()]


def pair_name(code: str) -> str:
    """A panel's name without its side: "front_door" of "left_front_door"; "" for one that has no side."""
    side, _, name = code.partition("_")
    return name if side in SIDES else ""


def apart_pairs(prices: Mapping[str, PanelPrice], hour_minor: int) -> list[str]:
    """The pairs whose left and right prices differ in at least one figure, in the order of the list."""
    names = dict.fromkeys(filter(None, map(pair_name, prices)))
    return [name for name in names if _differs(prices, name, hour_minor)]


def _differs(prices: Mapping[str, PanelPrice], name: str, hour_minor: int) -> bool:
    left, right = (prices.get(f"{side}_{name}") for side in SIDES)
    if left is None or right is None:
        return False
    return [each.minor for each in all_listed(left, hour_minor).values()] != [
        each.minor for each in all_listed(right, hour_minor).values()
    ]


Changes = dict[tuple[str, Cell], int | None]
"""New prices by panel code and figure; None lets the hours make the price again."""


def raised_list(prices: Mapping[str, PanelPrice], hour_minor: int, by_permille: int, step_minor: int) -> Changes:
    """Every price of the list raised and rounded; only those that come out other than they are.

    At +5 % and a step of 5.00: 137.00 becomes 145.00 (143.85). A price left empty stands at what the hours make it,
    and that is raised and is the shop's own from then on; 0.00 stays 0.00; left and right apart are each raised from
    their own price: 137.00 and 150.00 become 145.00 and 160.00 (157.50, half away from zero). A price so small that
    the step swallows the rise stays: 10.00 becomes 10.50, which rounds to 10.00.
    """
    found: Changes = {}
    for code, price in prices.items():
        for cell, held in all_listed(price, hour_minor).items():
            new = raised(held.minor, by_permille, step_minor)
            if new != held.minor:
                found[code, cell] = new
    return found


def joined_list(prices: Mapping[str, PanelPrice], hour_minor: int, side: str) -> Changes:
    """The pairs that stand apart, both sides at the prices of one of them."""
    found: Changes = {}
    other = SIDES[1 - SIDES.index(side)]
    for name in apart_pairs(prices, hour_minor):
        wanted, held = (all_listed(prices[f"{each}_{name}"], hour_minor) for each in (side, other))
        for cell in CELLS:
            if wanted[cell].minor != held[cell].minor:
                found[f"{other}_{name}", cell] = _joined(wanted[cell], held[cell])
    return found


def _joined(wanted: ListedPrice, held: ListedPrice) -> int | None:
    # A price that nobody typed goes on following the rate of an hour.
    is_guess = not wanted.is_own and wanted.minor == held.hours_minor
    return None if is_guess else wanted.minor


def changed_bodies(prices: Mapping[str, PanelPrice], changes: Changes) -> dict[str, dict[str, object]]:
    """The whole entries, by panel, in which these prices are the shop's own; unchanged panels are left out."""
    return {code: _body(prices[code], changes) for code in dict.fromkeys(code for code, _ in changes)}


def _body(price: PanelPrice, changes: Changes) -> dict[str, object]:
    own: dict[str, int | None] = dict(price.set_minor)
    own |= {cell_key(*cell): minor for (code, cell), minor in changes.items() if code == price.code}
    kept = {key: minor for key, minor in own.items() if minor is not None}
    return entry_body(price) | {"set_minor": kept, "sure": 100, "source": OWN_SOURCE}


def count_own(cells: Iterable[ListedPrice]) -> int:
    """How many of these figures the shop set itself."""
    return sum(each.is_own for each in cells)
