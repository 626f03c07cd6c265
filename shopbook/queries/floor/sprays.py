"""Spray records: of one colour, of one stage, and the mix just poured that the next one begins with."""

from collections.abc import Sequence
from dataclasses import dataclass

from sqlalchemy import select
from sqlalchemy.orm import Session

from shopbook.models.floor import ColourCard, MixPart, MixShare, SprayRecord
from shopbook.models.jobs import Stage
from shopbook.models.shelf import Lot, Movement
from shopbook.queries.floor.mixes import counts_still
from shopbook.trade.air.spray_record import Spraying
from shopbook.trade.coating.colour_cards import CardVerdict, verdict_of
from shopbook.trade.coating.paints import BASES, Paint


def plain_code(colour_code: str) -> str:
    """A colour code as records keep and find it: capitals, no spaces."""
    return "".join(colour_code.split()).upper()


def list_colour_records(
    session: Session, colour_code: str, limit: int = 50, cards: Sequence[ColourCard] = ()
) -> list[Spraying]:
    """What was sprayed in a colour, newest first; codes are compared without case and spaces.

    `cards` are the spray-out cards of the colour, which say what the colour of a record's job looked like on the car.
    """
    wanted = plain_code(colour_code)
    if not wanted:
        return []
    session.flush()
    rows = session.scalars(
        select(SprayRecord)
        .where(SprayRecord.colour_code == wanted)
        .order_by(SprayRecord.on.desc(), SprayRecord.id.desc())
        .limit(limit)
    )
    return [as_sprayed(row, cards) for row in rows]


def list_stage_records(session: Session, stage_id: int) -> list[SprayRecord]:
    """The records of one stage, oldest first."""
    session.flush()
    return list(session.scalars(select(SprayRecord).where(SprayRecord.stage_id == stage_id).order_by(SprayRecord.id)))


def as_sprayed(row: SprayRecord, cards: Sequence[ColourCard] = ()) -> Spraying:
    """A saved row as the trade calculates with it."""
    gun = row.gun
    of_job = [card for card in cards if card.job_id == row.job_id]
    return Spraying(
        on=row.on,
        colour_code=row.colour_code,
        paint=Paint(row.product),
        coats=int(gun.get("coats", 1)),
        tip_mm=gun.get("tip_mm"),
        inlet_bar=gun.get("inlet_bar"),
        distance_cm=gun.get("distance_cm"),
        overlap_percent=gun.get("overlap_percent"),
        temperature_c=None if row.temperature_tenths is None else row.temperature_tenths / 10,
        humidity_percent=row.humidity_percent,
        lots=tuple(row.lots),
        note=row.note,
        variant=row.variant,
        verdict=verdict_of(of_job, row.variant) if row.product in BASES else CardVerdict.NOT_YET,
    )


@dataclass(frozen=True, slots=True)
class PouredMix:
    """A mix that was poured for a stage: its code in the plan, and the batch numbers that it was drawn from."""

    mix_id: int
    code: str
    lots: tuple[str, ...]


def list_poured(session: Session, stage: Stage) -> list[PouredMix]:
    """What was poured for a stage (uses loaded), the newest first, taken-back mixes left out; two statements."""
    session.flush()
    codes = {use.role: use.mix for use in stage.uses if use.mix}
    rows = session.execute(
        select(MixShare.mix_id, MixPart.role)
        .join(MixPart, MixPart.mix_id == MixShare.mix_id)
        .where(MixShare.stage_id == stage.id, counts_still(MixShare.mix_id))
        .order_by(MixShare.mix_id.desc(), MixPart.id)
    )
    found: dict[int, str] = {}
    for mix_id, role in rows:
        found[mix_id] = found.get(mix_id) or codes.get(role, "")
    drawn = session.execute(
        select(Movement.mix_id, Lot.mark)
        .join(Lot, Lot.id == Movement.lot_id)
        .where(Movement.mix_id.in_(list(found)), Lot.mark != "")
        .order_by(Movement.id)
    )
    lots: dict[int | None, dict[str, None]] = {}
    for drawn_for, mark in drawn:
        lots.setdefault(drawn_for, {})[mark] = None
    return [PouredMix(mix_id, code, tuple(lots.get(mix_id, ()))) for mix_id, code in found.items()]


def last_variant(session: Session, colour_code: str) -> str:
    """The variant that a colour was last sprayed in; "" where nobody wrote one down."""
    wanted = plain_code(colour_code)
    if not wanted:
        return ""
    asked = select(SprayRecord.variant).where(SprayRecord.colour_code == wanted, SprayRecord.variant != "")
    return session.scalars(asked.order_by(SprayRecord.on.desc(), SprayRecord.id.desc()).limit(1)).first() or ""
