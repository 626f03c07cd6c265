"""The price at the kerb: few answers in, a price from the shop's own list, and whether it covers the drafted plan."""

from collections.abc import Sequence
from dataclasses import dataclass

from shopbook.trade.catalogue.entries import Catalogue
from shopbook.trade.planning.shapes import Damage, PaintChoice, SizeStep, Substrate


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
    """What the shop's list says for one answer: money before tax, working days, man-minutes priced, and the reason."""

    price_minor: int
    days: int
    minutes: int
    reason: str


@dataclass(frozen=True, slots=True)
class Cover:
    """Whether a price carries its plan: what an hour brings after materials beside what it must bring."""

    brings_minor: int
    needed_minor: int
    is_covered: bool
    sentence: str


def kerb_damages(answers: Sequence[KerbAnswer], catalogue: Catalogue) -> tuple[Damage, ...]:
    """The damages that the answers stand for, numbered from 1."""
    raise NotImplementedError


def kerb_price(catalogue: Catalogue, answer: KerbAnswer, hour_minor: int) -> KerbPrice:
    """The list price of one answer, before tax, at the door rate `hour_minor` for an hour."""
    raise NotImplementedError


def cover(price_minor: int, materials_minor: int, minutes: int, needed_hour_minor: int) -> Cover:
    """Whether `price_minor` carries `minutes` of work once materials are paid."""
    raise NotImplementedError
