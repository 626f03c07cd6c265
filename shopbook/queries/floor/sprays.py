"""Spray records: of one colour, of one stage."""

from sqlalchemy import select
from sqlalchemy.orm import Session

from shopbook.models.floor import SprayRecord
from shopbook.trade.air.spray_record import Spraying
from shopbook.trade.coating.paints import Paint


def plain_code(colour_code: str) -> str:
    """A colour code as records keep and find it: capitals, no spaces."""
    return "".join(colour_code.split()).upper()


def list_colour_records(session: Session, colour_code: str, limit: int = 50) -> list[Spraying]:
    """What was sprayed in a colour, newest first; codes are compared without case and spaces."""
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
    return [as_sprayed(row) for row in rows]


def list_stage_records(session: Session, stage_id: int) -> list[SprayRecord]:
    """The records of one stage, oldest first."""
    session.flush()
    return list(session.scalars(select(SprayRecord).where(SprayRecord.stage_id == stage_id).order_by(SprayRecord.id)))


def as_sprayed(row: SprayRecord) -> Spraying:
    """A saved row as the trade calculates with it."""
    gun = row.gun
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
    )


def last_variant(session: Session, colour_code: str) -> str:
    """The variant that a colour was last sprayed in; "" where nobody wrote one down."""
    wanted = plain_code(colour_code)
    if not wanted:
        return ""
    asked = select(SprayRecord.variant).where(SprayRecord.colour_code == wanted, SprayRecord.variant != "")
    return session.scalars(asked.order_by(SprayRecord.on.desc(), SprayRecord.id.desc()).limit(1)).first() or ""
