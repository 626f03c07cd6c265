"""Where the cars of the board stand: places with what they hold, who fits in, and which of them hold too many."""

from collections.abc import Iterable, Mapping, Sequence
from collections.abc import Set as AbstractSet
from dataclasses import dataclass

from shopbook.trade.diary.board import Slot


@dataclass(frozen=True, slots=True)
class PlaceRoom:
    """A place of the shop: how many cars it holds (None: any number), and whether it is where cars are sprayed."""

    id: int
    name: str
    capacity: int | None
    is_spray_bay: bool = False


def fit_in(
    rooms: Sequence[PlaceRoom],
    standing: Mapping[int, tuple[int, AbstractSet[Slot]]],
    comers: Mapping[int, AbstractSet[Slot]],
) -> dict[int, int | None]:
    """A place for each car that has none yet, by the order in which they are given; None where no place is free.

    `standing` are cars by job id with place and half-days, `comers` those without a place. A car goes to the first
    place that has room over every half-day of its stay; the spray bay is offered last, so that it stays free to spray.
    """
    taken = {room.id: [slots for place, slots in standing.values() if place == room.id] for room in rooms}
    offered = sorted(rooms, key=lambda room: room.is_spray_bay)
    found: dict[int, int | None] = {}
    for car, slots in comers.items():
        room = next((room for room in offered if _has_room(room, taken[room.id], slots)), None)
        found[car] = room.id if room else None
        if room:
            taken[room.id].append(slots)
    return found


def _has_room(room: PlaceRoom, taken: Sequence[AbstractSet[Slot]], slots: AbstractSet[Slot]) -> bool:
    return room.capacity is None or all(count < room.capacity for count in _counts(taken, slots).values())


def _counts(taken: Iterable[AbstractSet[Slot]], slots: Iterable[Slot]) -> dict[Slot, int]:
    stays = list(taken)
    return {slot: sum(slot in one for one in stays) for slot in slots}


def crowded(room: PlaceRoom, taken: Iterable[AbstractSet[Slot]], slots: Sequence[Slot]) -> dict[Slot, int]:
    """The half-days on which a place would hold more cars than it can, with how many stand there."""
    if room.capacity is None:
        return {}
    return {slot: count for slot, count in _counts(taken, slots).items() if count > room.capacity}


def is_full(room: PlaceRoom, taken: Iterable[AbstractSet[Slot]], slots: Sequence[Slot]) -> bool:
    """Whether no further car fits in on any of these half-days."""
    if room.capacity is None:
        return False
    return all(count >= room.capacity for count in _counts(taken, slots).values())
