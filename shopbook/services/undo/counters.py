"""The counter line of each ledger: what makes as if a line had never been written, while both stay to be read."""

from collections.abc import Callable, Mapping, Sequence
from typing import Any, TypeVar

from sqlalchemy import ColumnElement, select
from sqlalchemy.orm import InstrumentedAttribute, Session

from shopbook.models.base import Base
from shopbook.models.floor import Attendance, ClockEntry, ClockShare, Mix, MixTakenBack
from shopbook.models.jobs import Job, Picture, PictureStrike, PlanVersion
from shopbook.models.shelf import Material, Movement
from shopbook.models.shop import CatalogueEntry, DatedTaxRate, LabourRate, Setting
from shopbook.queries.floor.entries import is_taken_back
from shopbook.queries.shop.book import country_code_of
from shopbook.services.act import Act
from shopbook.services.jobs.history import keep_version
from shopbook.services.jobs.pictures import note_strike
from shopbook.services.postings import (
    post_clock,
    refuse_closed,
    reverse_clock,
    stock_of,
    take_stock_back,
)
from shopbook.trade.catalogue.entries import EntryKind
from shopbook.trade.catalogue.figures import kept_of
from shopbook.trade.catalogue.reading import TABLES, own_catalogue
from shopbook.trade.errors import Conflict
from shopbook.trade.settings import DEFAULTS, SettingName
from shopbook.trade.stock.average_cost import is_sound
from shopbook.trade.stock.movements import UNDONE

CHANGED = "Someone changed this since."
Dated = TypeVar("Dated", Setting, LabourRate, DatedTaxRate, CatalogueEntry)
Same = InstrumentedAttribute[Any]  # of whatever type the column is


def undo_movements(act: Act, ids: Sequence[int]) -> None:
    """What left the shelf is back at what it cost then. Conflict where what has moved since leaves no sound stock."""
    lines = act.session.scalars(select(Movement).where(Movement.id.in_(ids)).order_by(Movement.id.desc())).all()
    for line in lines:
        take_stock_back(act, line)
    for key in {line.material_id for line in lines}:
        if not is_sound(stock_of(act.session.get_one(Material, key))):
            raise Conflict(CHANGED)


def undo_clock_entries(act: Act, ids: Sequence[int]) -> None:
    """A clocked stretch is reversed; one that was reversed by the act is written again as it was."""
    entries = act.session.scalars(select(ClockEntry).where(ClockEntry.id.in_(ids)).order_by(ClockEntry.id.desc()))
    for entry in entries.all():
        if entry.reverses_id is not None:
            _write_again(act, act.session.get_one(ClockEntry, entry.reverses_id))
        elif is_taken_back(act.session, entry.id):
            raise Conflict(CHANGED)
        else:
            reverse_clock(act, entry, UNDONE)


def _write_again(act: Act, entry: ClockEntry) -> None:
    shares = act.session.scalars(select(ClockShare).where(ClockShare.entry_id == entry.id).order_by(ClockShare.id))
    again = _copy(entry, at=act.moment, reason=UNDONE, by_person_id=act.actor.person_id)
    post_clock(act.session, again, [_copy(share, entry_id=None) for share in shares.all()])


def undo_attendance(act: Act, ids: Sequence[int]) -> None:
    """Who was here when is as before on that day. Conflict where the day was written again since."""
    days: dict[tuple[int, Any], Attendance] = {}
    for line in act.session.scalars(select(Attendance).where(Attendance.id.in_(ids)).order_by(Attendance.id)):
        days.setdefault((line.person_id, line.on), line)
    for line in days.values():
        refuse_closed(act.session, line.on)
        same = (Attendance.person_id == line.person_id, Attendance.on == line.on)
        _refuse_later(act.session, Attendance.id, ids, same)
        before = act.session.scalar(
            select(Attendance).where(*same, Attendance.id < line.id).order_by(Attendance.id.desc())
        )
        back = _copy(line, at=act.moment, by_person_id=act.actor.person_id, reason=UNDONE)
        back.came_at, back.went_at = (before.came_at, before.went_at) if before else (None, None)
        act.session.add(back)


def undo_mixes(act: Act, ids: Sequence[int]) -> None:
    """The mix does not count: it was never in a cup."""
    for mix in act.session.scalars(select(Mix).where(Mix.id.in_(ids))):
        act.session.add(MixTakenBack(mix_id=mix.id, at=act.moment, on=mix.on, person_id=act.actor.person_id))


def undo_pictures(act: Act, ids: Sequence[int]) -> None:
    """The picture is removed, its file stays. Conflict where it was removed or restored since."""
    _refuse_struck_since(act.session, ids, 0)
    for picture in act.session.scalars(select(Picture).where(Picture.id.in_(ids))).all():
        note_strike(act, picture, is_struck=True)


def undo_picture_strikes(act: Act, ids: Sequence[int]) -> None:
    """A removed picture is shown again, a restored one is removed. Conflict where that was done since."""
    for line in act.session.scalars(select(PictureStrike).where(PictureStrike.id.in_(ids))).all():
        _refuse_struck_since(act.session, [line.picture_id], line.id)
        note_strike(act, act.session.get_one(Picture, line.picture_id), is_struck=not line.is_struck)


def _refuse_struck_since(session: Session, picture_ids: Sequence[int], since: int) -> None:
    later = select(PictureStrike.id).where(PictureStrike.picture_id.in_(picture_ids), PictureStrike.id > since)
    if session.scalar(later.limit(1)) is not None:
        raise Conflict(CHANGED)


def undo_plan_versions(act: Act, ids: Sequence[int]) -> None:
    """The plan as it stands again is one more version; called last, once the stages are as before."""
    jobs = act.session.scalars(select(PlanVersion.job_id).where(PlanVersion.id.in_(ids)).distinct())
    for key in jobs.all():
        keep_version(act, act.session.get_one(Job, key), UNDONE.capitalize())


def undo_settings(act: Act, ids: Sequence[int]) -> None:
    """The value of before holds from the same day, the default where there was none."""
    for line, before in _dated(act, Setting, ids, (Setting.name,)):
        value = before.value if before is not None else DEFAULTS[SettingName(line.name)]
        act.session.add(_copy(line, value=value, at=act.moment, person_id=act.actor.person_id))


def undo_labour_rates(act: Act, ids: Sequence[int]) -> None:
    """The rate of before is charged from the same day. Conflict where there was none."""
    for line, before in _dated(act, LabourRate, ids, (LabourRate.skill, LabourRate.payer_kind)):
        act.session.add(_copy(_there(before), from_on=line.from_on, at=act.moment))


def undo_tax_rates(act: Act, ids: Sequence[int]) -> None:
    """The tax of before applies from the same day. Conflict where there was none."""
    for line, before in _dated(act, DatedTaxRate, ids, (DatedTaxRate.code,)):
        act.session.add(_copy(_there(before), from_on=line.from_on, at=act.moment))


def undo_catalogue_entries(act: Act, ids: Sequence[int]) -> None:
    """The figures of before hold from the same day: the shop's own, else those that the program came with."""
    own = own_catalogue(country_code_of(act.session))
    for line, before in _dated(act, CatalogueEntry, ids, (CatalogueEntry.kind, CatalogueEntry.code)):
        shipped = getattr(own, TABLES[EntryKind(line.kind)]).get(line.code)
        body = before.body if before is not None else kept_of(shipped) if shipped is not None else None
        act.session.add(_copy(line, body=body, at=act.moment, person_id=act.actor.person_id))


def _dated(act: Act, model: type[Dated], ids: Sequence[int], same: Sequence[Same]) -> list[tuple[Dated, Dated | None]]:
    """Each line with the one that held on its day before it. Conflict where another was written since."""
    found = []
    for line in act.session.scalars(select(model).where(model.id.in_(ids)).order_by(model.id)).all():
        refuse_closed(act.session, line.from_on)
        alike = [column == getattr(line, column.key) for column in same]
        _refuse_later(act.session, model.id, ids, alike)
        asked = select(model).where(*alike, model.id.not_in(ids), model.from_on <= line.from_on)
        found.append((line, act.session.scalar(asked.order_by(model.from_on.desc(), model.id.desc()).limit(1))))
    return found


def _there(before: Dated | None) -> Dated:
    if before is None:
        raise Conflict("There was none before this. Set it again.")
    return before


def _refuse_later(session: Session, key: Same, ids: Sequence[int], same: Sequence[ColumnElement[bool]]) -> None:
    if session.scalar(select(key).where(*same, key > max(ids)).limit(1)) is not None:
        raise Conflict(CHANGED)


Line = TypeVar("Line", bound=Base)


def _copy(line: Line, **other: Any) -> Line:  # values of whatever type a column has
    """A new row like this one, but for its key and what is given."""
    values = {column.key: getattr(line, column.key) for column in line.__table__.columns if column.key != "id"}
    return type(line)(**(values | other))


COUNTERS: Mapping[str, Callable[[Act, Sequence[int]], None]] = {
    "movement": undo_movements,
    "clock_entry": undo_clock_entries,
    "attendance": undo_attendance,
    "mix": undo_mixes,
    "picture": undo_pictures,
    "picture_strike": undo_picture_strikes,
    "setting": undo_settings,
    "labour_rate": undo_labour_rates,
    "tax_rate": undo_tax_rates,
    "catalogue_entry": undo_catalogue_entries,
}
"""By ledger; shares and parts go with their entry or mix, lines of a count with its movements. Versions of a plan come
last: `undo_plan_versions`."""
