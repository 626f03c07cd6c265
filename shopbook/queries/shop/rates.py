"""Rates and settings as they hold on a day: one `..._on` query per kind."""

import json
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date, datetime
from functools import lru_cache
from typing import Any, NamedTuple

from sqlalchemy import Text, bindparam, select, type_coerce
from sqlalchemy.orm import Session

from shopbook.models.shop import CatalogueEntry, DatedTaxRate, LabourRate, Setting
from shopbook.queries.shop.book import country_code_of
from shopbook.trade.catalogue.entries import Catalogue
from shopbook.trade.catalogue.reading import EditedRow, overlay, own_catalogue
from shopbook.trade.customer_kinds import CustomerKind
from shopbook.trade.pricing import MaterialsRates, MaterialsRule
from shopbook.trade.pricing.materials import ANYBODY
from shopbook.trade.settings import DEFAULTS, SettingName

RULE_OF_PAYER = {
    ANYBODY: SettingName.MATERIALS_RULE,
    CustomerKind.DEALER: SettingName.MATERIALS_RULE_DEALER,
    CustomerKind.FLEET: SettingName.MATERIALS_RULE_FLEET,
    CustomerKind.INSURER: SettingName.MATERIALS_RULE_INSURER,
}
"""Where the rule for paint and materials of each kind of payer is kept."""
FROM_THE_FIRST = date(2000, 1, 1)
"""The day from which a new book's figures hold: early enough that a car already in the shop can be dated back."""

_SETTINGS = select(Setting.name, Setting.value, Setting.from_on, Setting.at).order_by(Setting.from_on, Setting.id)
_LABOUR = (
    select(LabourRate.skill, LabourRate.payer_kind, LabourRate.rate_minor)
    .where(LabourRate.from_on <= bindparam("day"))
    .order_by(LabourRate.from_on, LabourRate.id)
)
_EDITS = (
    # The body as the text that it is kept in: only what can be compared by a key is worked out once.
    select(CatalogueEntry.kind, CatalogueEntry.code, CatalogueEntry.from_on, type_coerce(CatalogueEntry.body, Text))
    .where(CatalogueEntry.from_on <= bindparam("day"))
    .order_by(CatalogueEntry.from_on, CatalogueEntry.id)
)


class SettingLine(NamedTuple):
    """One line of a setting: its value holds from a day. `at` is when it was set."""

    name: str
    value: Any
    from_on: date
    at: datetime


@dataclass(frozen=True, slots=True)
class LaterChange:
    """One thing that changes on a later day."""

    from_on: date
    kind: str
    what: str


def settings_on(session: Session, day: date) -> dict[SettingName, Any]:
    """Every setting as it holds on a day: the default, overlaid by the latest line; one statement."""
    return settings_among(list_setting_lines(session), day)


def list_setting_lines(session: Session) -> list[SettingLine]:
    """Every line of every setting, of whatever day, in the order in which a later one wins; one statement."""
    return [SettingLine(*line) for line in session.execute(_SETTINGS)]


def settings_among(lines: Iterable[SettingLine], day: date) -> dict[SettingName, Any]:
    """Every setting as it holds on a day, of lines that are read already; no statement."""
    held = {line.name: line.value for line in lines if line.from_on <= day}
    return DEFAULTS | {SettingName(name): value for name, value in held.items()}


def setting_on(session: Session, name: SettingName, day: date) -> Any:
    """One setting as it holds on a day; its default when nobody set it. Whoever asks for a second reads them all."""
    return settings_on(session, day)[name]


def materials_rates(held: Mapping[SettingName, Any]) -> MaterialsRates:
    """How paint and materials are charged, of settings that are read already; no statement."""
    return MaterialsRates(
        rules={payer: MaterialsRule(held[name]) for payer, name in RULE_OF_PAYER.items() if held[name]},
        refinish_hour_minor=held[SettingName.MATERIALS_REFINISH_HOUR_MINOR],
        paint_hour_minor=held[SettingName.MATERIALS_PER_PAINT_HOUR_MINOR],
        markup_permille=held[SettingName.MATERIALS_MARKUP_PERMILLE],
        paint_labour_permille=held[SettingName.MATERIALS_PAINT_LABOUR_PERMILLE],
    )


def labour_rates_on(session: Session, day: date) -> dict[tuple[str, str], int]:
    """Minor units an hour by (skill, payer kind) on a day; payer kind "any" is the fallback."""
    lines = session.execute(_LABOUR, {"day": day})
    return {(skill, payer_kind): rate for skill, payer_kind, rate in lines}


def tax_rates_on(session: Session, day: date) -> list[DatedTaxRate]:
    """The kinds of tax that hold on a day, the latest line of each code, by code."""
    lines = session.scalars(
        select(DatedTaxRate).where(DatedTaxRate.from_on <= day).order_by(DatedTaxRate.from_on, DatedTaxRate.id)
    )
    latest = {line.code: line for line in lines}
    return [latest[code] for code in sorted(latest)]


def catalogue_edits_on(session: Session, day: date) -> list[CatalogueEntry]:
    """What the book keeps of the catalogue on a day, oldest first, so that the last of a code wins."""
    return list(
        session.scalars(
            select(CatalogueEntry)
            .where(CatalogueEntry.from_on <= day)
            .order_by(CatalogueEntry.from_on, CatalogueEntry.id)
        )
    )


def catalogue_on(session: Session, day: date) -> Catalogue:
    """The catalogue as it holds on a day: the program's file in the words of the book's country, overlaid by what the
    book keeps instead, which is never reworded.

    One statement, and worked out once for the same rows.
    """
    edits = session.execute(_EDITS, {"day": day})
    return _overlaid(country_code_of(session), tuple(tuple(edit) for edit in edits))


@lru_cache(maxsize=16)
def _overlaid(country: str, edits: tuple[tuple[str, str, date, str], ...]) -> Catalogue:
    own = own_catalogue(country)
    if not edits:
        return own
    rows = [EditedRow(kind, code, from_on, json.loads(body) if body else None) for kind, code, from_on, body in edits]
    return overlay(own, rows, max(row.from_on for row in rows))


def list_later_changes(session: Session, day: date) -> list[LaterChange]:
    """What has been set already for days after this one, by day: settings, labour, taxes, standards."""
    found = [
        *(
            LaterChange(line.from_on, "setting", line.name)
            for line in session.scalars(select(Setting).where(Setting.from_on > day))
        ),
        *(
            LaterChange(line.from_on, "labour", line.skill)
            for line in session.scalars(select(LabourRate).where(LabourRate.from_on > day))
        ),
        *(
            LaterChange(line.from_on, "tax", line.name)
            for line in session.scalars(select(DatedTaxRate).where(DatedTaxRate.from_on > day))
        ),
        *(
            LaterChange(line.from_on, line.kind, line.code)
            for line in session.scalars(select(CatalogueEntry).where(CatalogueEntry.from_on > day))
        ),
    ]
    return sorted(set(found), key=lambda change: (change.from_on, change.kind, change.what))
