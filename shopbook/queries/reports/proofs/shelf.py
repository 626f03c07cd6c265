"""The shelf: its four running figures, deliveries and corrected prices, and mixes, each against the movements."""

from collections import defaultdict
from collections.abc import Iterator
from itertools import accumulate, groupby

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from shopbook.models.floor import Mix, MixPart, MixShare, MixTakenBack
from shopbook.models.shelf import DeliveryLine, DeliveryPrice, Material, Movement
from shopbook.queries.reports.proofs.faults import Claim, Fault, fault_of, sums_by_first
from shopbook.trade.catalogue.kinds import WayUsed
from shopbook.trade.stock.average_cost import prove
from shopbook.trade.stock.movements import EMPTY, MovementKind, Posting, Stock
from shopbook.trade.stock.replaying import Replay, Written

_AT_ONCE = 1000


def _stock_closes(session: Session) -> Iterator[Fault | None]:
    """Stock on hand and value are what the sums of the movements leave."""
    sums = defaultdict(list)
    lines = session.execute(
        select(
            Movement.material_id,
            Movement.kind,
            func.sum(Movement.quantity_thousandths),
            func.sum(Movement.value_minor),
        ).group_by(Movement.material_id, Movement.kind)
    )
    for material_id, kind, quantity, value in lines:
        sums[material_id].append(Posting(MovementKind(kind), int(quantity), int(value)))
    for material in session.scalars(select(Material).order_by(Material.id)):
        proof = prove(sums[material.id], Stock(material.on_hand_thousandths, material.value_minor))
        said = (
            f"{material.name}: the stock figures differ from the movements by "
            f"{proof.quantity_gap_thousandths} thousandths and {proof.gap_minor} minor units"
        )
        yield fault_of("material", material.id, said, holds=proof.is_sound)


def _prices_follow(session: Session) -> Iterator[Fault | None]:
    """Every movement walked through as it was written: what left within the book left at that moment's average, and
    the price that stands for what is used beyond the book is that of the last delivery or corrected price."""
    kept = {key: (name, value, quantity) for key, name, value, quantity in session.execute(_BASES)}
    rows = session.execute(_MOVEMENTS, execution_options={"yield_per": _AT_ONCE})
    for material_id, lines in groupby(rows, key=lambda row: row.material_id):
        replay = Replay()
        for line in lines:
            wanted = replay.take(
                Written(
                    MovementKind(line.kind),
                    line.quantity_thousandths,
                    line.value_minor,
                    delivered_thousandths=line.delivered or 0,
                    is_undoing=line.returns_id is not None,
                )
            )
            if wanted is None or wanted == line.value_minor:
                yield None
            else:
                said = f"Movement {line.id} was valued at {line.value_minor} instead of {wanted}"
                yield Fault("movement", str(line.id), said)
        yield _wrong_basis(material_id, kept.pop(material_id), replay.end())
    for material_id, own in kept.items():
        yield _wrong_basis(material_id, own, EMPTY)


_BASES = select(Material.id, Material.name, Material.basis_value_minor, Material.basis_quantity_thousandths)
_MOVEMENTS = (
    select(
        Movement.id,
        Movement.material_id,
        Movement.kind,
        Movement.quantity_thousandths,
        Movement.value_minor,
        Movement.returns_id,
        DeliveryLine.quantity_thousandths.label("delivered"),
    )
    .outerjoin(DeliveryLine, DeliveryLine.id == Movement.delivery_line_id)
    .order_by(Movement.material_id, Movement.id)
)


def _wrong_basis(material_id: int, kept: tuple[str, int, int], stock: Stock) -> Fault | None:
    name, value, quantity = kept
    said = f"{name}: the newest price is kept as {value} for {quantity}, the movements make it {stock.basis}"
    basis = (stock.basis_value_minor, stock.basis_quantity_thousandths)
    return fault_of("material", material_id, said, holds=basis == (value, quantity))


def _deliveries_moved(session: Session) -> Iterator[Fault | None]:
    """A delivered line came in with its quantity and cost, and each corrected price moved the difference.

    500 ml at 20.00, later 22.00: movements +500 ml 20.00 and 0 ml +2.00. A line from before prices were lines of their
    own carries the corrected cost itself.
    """
    received: dict[int | None, tuple[int, int]] = {}
    corrections: dict[int | None, list[int]] = defaultdict(list)
    moved = (Movement.delivery_line_id, Movement.kind, Movement.quantity_thousandths, Movement.value_minor)
    asked = select(*moved).where(Movement.delivery_line_id.is_not(None), Movement.returns_id.is_(None))
    for line_id, kind, quantity, value in session.execute(asked.order_by(Movement.id)):
        if kind == MovementKind.RECEIVED:
            so_far = received.get(line_id, (0, 0))
            received[line_id] = so_far[0] + quantity, so_far[1] + value
        elif kind == MovementKind.PRICE_CORRECTED:
            corrections[line_id].append(value)
    newest = select(DeliveryPrice.delivery_line_id, DeliveryPrice.cost_minor).order_by(DeliveryPrice.id)
    prices = {key: cost for key, cost in session.execute(newest)}
    lines = select(DeliveryLine.id, DeliveryLine.quantity_thousandths, DeliveryLine.cost_minor)
    for key, quantity, cost in session.execute(lines.order_by(DeliveryLine.id)):
        came, value = received.get(key, (0, 0))
        costs = list(accumulate(corrections[key], initial=value))
        is_taken_in = quantity == came and cost in costs
        said = f"Delivery line {key} says {quantity} for {cost}, its movements {came} for {costs[-1]}"
        yield fault_of("delivery_line", key, said, holds=is_taken_in and prices.get(key, cost) == costs[-1])


def _mixes_add_up(session: Session) -> Iterator[Fault | None]:
    """A mix is the sum of its parts, and of what stages took and what was left; its parts left the shelf, no more.

    Parts of 100 and 50, 120 used and 30 left: 150. Shop supplies leave the shelf when their pack is opened, and one
    taken back left nothing.
    """
    parts = sums_by_first(session, select(MixPart.mix_id, func.sum(MixPart.amount_thousandths)))
    shares = sums_by_first(session, select(MixShare.mix_id, func.sum(MixShare.amount_thousandths)))
    for key, total, left in session.execute(select(Mix.id, Mix.total_thousandths, Mix.left_thousandths)):
        found = (parts.get(key, 0), shares.get(key, 0) + left)
        said = f"Mix {key} has {total}, its parts {found[0]}, what was used and left {found[1]}"
        yield fault_of("mix", key, said, holds=found == (total, total))
    yield from _mixes_left_the_shelf(session)


def _mixes_left_the_shelf(session: Session) -> Iterator[Fault | None]:
    moved: dict[tuple[int | None, int | None], int] = {
        (mix_id, material_id): -int(quantity)
        for mix_id, material_id, quantity in session.execute(
            select(Movement.mix_id, Movement.material_id, func.sum(Movement.quantity_thousandths))
            .where(Movement.mix_id.is_not(None))
            .group_by(Movement.mix_id, Movement.material_id)
        )
    }
    asked = (
        select(MixPart.mix_id, MixPart.material_id, Material.way, MixTakenBack.id, func.sum(MixPart.amount_thousandths))
        .join(Material, Material.id == MixPart.material_id)
        .outerjoin(MixTakenBack, MixTakenBack.mix_id == MixPart.mix_id)
        .group_by(MixPart.mix_id, MixPart.material_id, Material.way, MixTakenBack.id)
    )
    for mix_id, material_id, way, taken_back_id, amount in session.execute(asked.order_by(MixPart.mix_id)):
        left = moved.pop((mix_id, material_id), 0)
        wanted = 0 if taken_back_id is not None else int(amount)
        holds = left == wanted or (way == WayUsed.SHOP_SUPPLIES and left == 0)
        said = f"Mix {mix_id} took {left} of material {material_id} from the shelf instead of {wanted}"
        yield fault_of("mix", mix_id, said, holds=holds)
    for (other_id, strange_id), left in moved.items():
        yield Fault(
            "mix", str(other_id), f"Mix {other_id} took {left} of material {strange_id}, which is no part of it"
        )


CLAIMS = (
    Claim(
        "stock", "stock on hand is the sum of movements, and value in equals value left plus value out", _stock_closes
    ),
    Claim("average_cost", "stock used was valued at the average cost of that moment", _prices_follow),
    Claim("deliveries", "a delivery is what its movements brought in, at its newest price", _deliveries_moved),
    Claim("mixes", "a mix is the sum of its parts and its shares, and left the shelf once", _mixes_add_up),
)
