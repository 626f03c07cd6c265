"""Settings, rates, taxes and catalogue edits apply from a day on; what applied before stays as it was."""

import re
from collections.abc import Mapping
from datetime import date
from typing import Any

from shopbook.models.shop import CatalogueEntry, DatedTaxRate, LabourRate, Setting
from shopbook.queries.shop.book import country_code_of
from shopbook.queries.shop.rates import catalogue_on, labour_rates_on, settings_on, tax_rates_on
from shopbook.services.act import Act
from shopbook.services.postings import refuse_closed, write_log
from shopbook.trade.billing import LineKind, rate_of
from shopbook.trade.catalogue.entries import EntryKind
from shopbook.trade.catalogue.figures import without_our_words, words_of
from shopbook.trade.catalogue.reading import TABLES, EditedRow, entry_body, overlay, own_catalogue, read_entry
from shopbook.trade.cautions import refuse_lost
from shopbook.trade.errors import RuleBroken
from shopbook.trade.settings import SettingName


def set_settings(act: Act, values: Mapping[SettingName, Any], from_on: date) -> list[SettingName]:
    """Let these settings hold from a day; answers those that really changed. RuleBroken into a closed month."""
    refuse_closed(act.session, from_on, field="from_on")
    held = settings_on(act.session, from_on)
    changed = [name for name, value in values.items() if held[name] != value]
    for name in changed:
        line = {"from_on": from_on, "at": act.moment, "person_id": act.actor.person_id}
        act.session.add(Setting(name=name, value=values[name], **line))
    if changed:
        words = ", ".join(name.replace("_", " ") for name in changed)
        write_log(act, "set_settings", "setting", None, f"Set from {from_on.isoformat()}: {words}")
    return changed


def set_labour_rates(act: Act, rates: Mapping[tuple[str, str], int], from_on: date) -> None:
    """Let hours of a skill be sold to a kind of payer at these rates (minor units an hour) from a day."""
    refuse_closed(act.session, from_on, field="from_on")
    held = labour_rates_on(act.session, from_on)
    lines = []
    for (skill, payer_kind), rate in rates.items():
        if rate < 0:
            raise RuleBroken("Enter a rate of zero or more.", f"{skill}_{payer_kind}")
        if held.get((skill, payer_kind)) != rate:
            kind = {"skill": skill, "payer_kind": payer_kind}
            lines.append(LabourRate(**kind, rate_minor=rate, from_on=from_on, at=act.moment))
    act.session.add_all(lines)
    if lines:
        write_log(act, "set_labour", "labour_rate", None, f"Set hourly rates from {from_on.isoformat()}")


def set_tax_rate(
    act: Act,
    *,
    code: str = "",
    name: str,
    rate_thousandths: int,
    from_on: date,
) -> str:
    """A kind of tax from a day, thereby confirmed; an empty code makes a new kind. Answers its code.

    It keeps the line kinds that it falls on. RuleBroken for an empty name or a rate outside 0 to 100 percent.
    """
    refuse_closed(act.session, from_on, field="from_on")
    if not name.strip():
        raise RuleBroken("Enter the name of this tax as it is printed.", "name")
    held = {tax.code: tax for tax in tax_rates_on(act.session, from_on)}
    known = code or _free_code(name, held)
    rate_of(known, name, rate_thousandths)
    _write_tax(act, _typed(held.get(known), known, name.strip(), rate_thousandths), from_on)
    write_log(act, "set_tax", "tax_rate", None, f"Set the tax {known} from {from_on.isoformat()}")
    return known


def _free_code(name: str, held: Mapping[str, DatedTaxRate]) -> str:
    plain = re.sub(r"[^a-z0-9]+", "_", name.lower()).strip("_")[:24] or "tax"
    return next(code for code in (plain, *(f"{plain}_{place}" for place in range(2, 999))) if code not in held)


def _copy(held: DatedTaxRate) -> DatedTaxRate:
    """A kind of tax as it is held, for a line from another day."""
    kept = ("code", "name", "rate_thousandths", "line_kinds", "kinds_with_goods", "source", "read_on")
    return DatedTaxRate(**{name: getattr(held, name) for name in kept})


def _typed(held: DatedTaxRate | None, code: str, name: str, rate_thousandths: int) -> DatedTaxRate:
    """A kind of tax with a name and rate that the shop typed: of another rate than before the source is the shop."""
    tax = _copy(held) if held else DatedTaxRate(code=code)
    if tax.rate_thousandths != rate_thousandths:
        tax.source, tax.read_on = "", None
    tax.name, tax.rate_thousandths = name, rate_thousandths
    return tax


def _write_tax(act: Act, tax: DatedTaxRate, from_on: date) -> None:
    """A line of a kind of tax that the shop has said is right."""
    tax.is_confirmed, tax.from_on, tax.at = True, from_on, act.moment
    act.session.add(tax)


def _kinds_under(code: str, codes: Mapping[LineKind, str]) -> list[LineKind]:
    return [kind for kind, under in codes.items() if under == code]


def set_tax_kinds(
    act: Act,
    codes: Mapping[LineKind, str],
    from_on: date,
    with_goods: Mapping[LineKind, str] | None = None,
) -> None:
    """Set which tax applies to each kind of line from a day on; exactly one each, all confirmed.

    `with_goods` names the tax of kinds that fall under it only beside something that stays on the car.
    """
    refuse_closed(act.session, from_on, field="from_on")
    held = tax_rates_on(act.session, from_on)
    beside = with_goods or {}
    known = {tax.code for tax in held}
    for kind, code in (*codes.items(), *beside.items()):
        if code not in known:
            raise RuleBroken("Choose one of the taxes above.", kind)
    for tax in held:
        kinds, of_goods = _kinds_under(tax.code, codes), _kinds_under(tax.code, beside)
        if (kinds, of_goods) != (tax.line_kinds, tax.kinds_with_goods) or not tax.is_confirmed:
            changed = _copy(tax)
            changed.line_kinds, changed.kinds_with_goods = kinds, of_goods
            _write_tax(act, changed, from_on)
    write_log(act, "set_tax", "tax_rate", None, f"Set what each tax applies to, from {from_on.isoformat()}")


def confirm_taxes(act: Act, on: date) -> None:
    """The shop confirms the guessed taxes of a day, for as long as they have applied.

    So work that was finished before the confirming can be billed; no rate changes by it.
    """
    guessed = [tax for tax in tax_rates_on(act.session, on) if not tax.is_confirmed]
    for tax in guessed:
        _write_tax(act, _copy(tax), tax.from_on)
    if guessed:
        write_log(act, "confirm_taxes", "tax_rate", None, "Confirmed the tax rates")


def set_standard(act: Act, kind: str, code: str, body: Mapping[str, Any], from_on: date) -> None:
    """Put the shop's own figures in place of a catalogue entry from a day on; an agreed plan never changes.

    RuleBroken when the entry cannot be read, would leave another pointing at nothing, or would take out a caution.
    """
    words = f"Changed the standard {kind} {code} from {from_on.isoformat()}"
    set_standards(act, {(kind, code): body}, from_on, words)


def set_standards(act: Act, bodies: Mapping[tuple[str, str], Mapping[str, Any]], from_on: date, words: str) -> None:
    """Several entries by (kind, code) in one act with one line in the log; all or none, else as `set_standard`."""
    refuse_closed(act.session, from_on, field="from_on")
    wholes = {key: _whole(*key, body) for key, body in bodies.items()}
    rows = [EditedRow(kind, code, from_on, whole) for (kind, code), whole in wholes.items()]
    overlay(catalogue_on(act.session, from_on), rows, from_on)
    shipped = own_catalogue(country_code_of(act.session))
    for (kind, code), whole in wholes.items():
        ours = getattr(shipped, TABLES[EntryKind(kind)]).get(code)
        act.session.add(
            CatalogueEntry(
                kind=kind,
                code=code,
                body=without_our_words(whole, words_of(ours) if ours else {}),
                from_on=from_on,
                at=act.moment,
                person_id=act.actor.person_id,
            )
        )
    write_log(act, "set_standard", "catalogue_entry", None, words)


def _whole(kind: str, code: str, body: Mapping[str, Any]) -> dict[str, Any]:
    if kind == EntryKind.CAUTION:
        raise RuleBroken("You cannot change our warnings. Add your own to a stage.")
    whole = entry_body(read_entry(kind, code, body))
    if kind == EntryKind.STAGE:
        refuse_lost(code, whole["cautions"])
    return whole
