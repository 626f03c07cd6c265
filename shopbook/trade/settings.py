"""The shop's settings by name, with what holds until somebody sets them. Each value holds from a day."""

from enum import StrEnum
from typing import Any


class SettingName(StrEnum):
    """One thing that the shop decides for itself."""

    OPENING_HOURS = "opening_hours"
    LUNCH = "lunch"
    STRICT_APPROVAL = "strict_approval"
    ALLOWANCE_PERMILLE = "allowance_permille"
    DEPOSIT_TREATMENT = "deposit_treatment"
    QUOTE_VALID_DAYS = "quote_valid_days"
    PRICES_HOLD_TAX = "prices_hold_tax"
    MATERIALS_RULE = "materials_rule"
    MATERIALS_RULE_DEALER = "materials_rule_dealer"
    MATERIALS_RULE_FLEET = "materials_rule_fleet"
    MATERIALS_RULE_INSURER = "materials_rule_insurer"
    MATERIALS_REFINISH_HOUR_MINOR = "materials_refinish_hour_minor"
    ADDS_CHANGED_TAX = "adds_changed_tax"
    MATERIALS_PER_PAINT_HOUR_MINOR = "materials_per_paint_hour_minor"
    MATERIALS_MARKUP_PERMILLE = "materials_markup_permille"
    MATERIALS_PAINT_LABOUR_PERMILLE = "materials_paint_labour_permille"
    PARTS_MARKUP_PERMILLE = "parts_markup_permille"
    SUBLET_MARKUP_PERMILLE = "sublet_markup_permille"
    SECOND_PANEL_TOUCHING_PERMILLE = "second_panel_touching_permille"
    SECOND_PANEL_APART_PERMILLE = "second_panel_apart_permille"
    MUST_BRING_MINOR = "must_bring_minor"
    PAYMENT_DAYS = "payment_days"
    STORAGE_WORDS = "storage_words"
    CARE_WORDS = "care_words"
    SHOP_TEMPERATURE_TENTHS = "shop_temperature_tenths"
    HAS_LAMP = "has_lamp"
    HAS_BOOTH = "has_booth"
    CASH_ROUNDING_MINOR = "cash_rounding_minor"
    LIST_STEP_MINOR = "list_step_minor"
    """What prices of the list are rounded to when all are raised; none for a minor unit."""
    SIDES_PRICED_APART = "sides_priced_apart"
    """Whether the shop said that left and right have prices of their own, so that it is not asked again."""
    WRITE_OFF_LIMIT_MINOR = "write_off_limit_minor"
    BACKUP_FOLDER = "backup_folder"
    BACKUP_DAYS = "backup_days"
    SHOWS_AIR = "shows_air"
    CAR_SIDES = "car_sides"
    RETURNED_CHEQUE_FEE_MINOR = "returned_cheque_fee_minor"
    CARD_FEES = "card_fees"
    ON_COSTS_PERMILLE = "on_costs_permille"
    TAX_BASIS = "tax_basis"
    SECRET_CHECK = "secret_check"
    """Not decided by anybody: tells whether the secret beside the book is the one that its PINs were kept with."""


DEFAULTS: dict[SettingName, Any] = {
    SettingName.OPENING_HOURS: {str(weekday): ["08:00", "17:00"] for weekday in range(5)},
    SettingName.LUNCH: ["12:00", "12:30"],
    SettingName.STRICT_APPROVAL: False,
    SettingName.ALLOWANCE_PERMILLE: 0,
    SettingName.DEPOSIT_TREATMENT: "held",
    SettingName.QUOTE_VALID_DAYS: 30,
    SettingName.PRICES_HOLD_TAX: False,
    SettingName.ADDS_CHANGED_TAX: False,
    SettingName.MATERIALS_RULE: "refinish_hour",
    SettingName.MATERIALS_RULE_DEALER: "",
    SettingName.MATERIALS_RULE_FLEET: "",
    SettingName.MATERIALS_RULE_INSURER: "refinish_hour",
    SettingName.MATERIALS_REFINISH_HOUR_MINOR: 4200,
    SettingName.MATERIALS_PER_PAINT_HOUR_MINOR: 2800,
    SettingName.MATERIALS_MARKUP_PERMILLE: 400,
    SettingName.MATERIALS_PAINT_LABOUR_PERMILLE: 350,
    SettingName.PARTS_MARKUP_PERMILLE: 250,
    SettingName.SUBLET_MARKUP_PERMILLE: 200,
    SettingName.SECOND_PANEL_TOUCHING_PERMILLE: 400,
    SettingName.SECOND_PANEL_APART_PERMILLE: 200,
    SettingName.MUST_BRING_MINOR: None,
    SettingName.PAYMENT_DAYS: 0,
    SettingName.STORAGE_WORDS: "",
    SettingName.CARE_WORDS: (
        "No brush wash for 2 weeks, no wax or film for 30 days. Rinse bird droppings and fuel off at once with water. "
        "Come back and show us if anything looks wrong."
    ),
    SettingName.SHOP_TEMPERATURE_TENTHS: 200,
    SettingName.HAS_LAMP: False,
    SettingName.HAS_BOOTH: False,
    SettingName.CASH_ROUNDING_MINOR: 0,
    SettingName.LIST_STEP_MINOR: None,
    SettingName.SIDES_PRICED_APART: False,
    SettingName.WRITE_OFF_LIMIT_MINOR: None,
    SettingName.BACKUP_FOLDER: "",
    SettingName.BACKUP_DAYS: 30,
    SettingName.SHOWS_AIR: False,
    SettingName.CAR_SIDES: None,
    SettingName.SECRET_CHECK: "",
    SettingName.RETURNED_CHEQUE_FEE_MINOR: None,
    SettingName.CARD_FEES: {},
    SettingName.ON_COSTS_PERMILLE: 0,
    SettingName.TAX_BASIS: None,
}
"""Opening hours by weekday number (Monday is 0) in the shop's local time; a weekday left out is closed. Figures of
the trade (materials an hour, markups, days) are common practice and the shop's to change. Paint and materials: 40 to 45
dollars a refinish hour, colour included, which is 26 to 30 on all paint hours or 35 to 40 percent of paint labour; the
trade press of the United States gives under 30 to over 50 dollars by market, 18 to 36 in 2011 (search of 2026-11). A
kind of payer without a rule of its own (empty) goes by the shop's. A car's sides are said as is usual in the country
until a shop chooses. The desk writes off up to 5.00 of an invoice until a shop says otherwise. A fee for a returned
cheque is off until the owner sets one. Card fees are by means: thousandths of a percent, and minor units a payment.
On-costs come on top of the cost per hour, which may hold them already: none until the owner says so. The day on which a
sale counts for tax is what the shop told its tax office: no basis is assumed, and until one is set the figures are by
invoice date."""
