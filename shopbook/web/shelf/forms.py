"""The forms about the shelf, and the fields that read packs in quarters or an exact amount."""

import re
from collections.abc import Mapping
from fractions import Fraction

from wtforms import BooleanField, FieldList, FormField, HiddenField, IntegerField
from wtforms.fields import RadioField, SelectField, StringField
from wtforms.validators import NumberRange, Optional

from shopbook.queries.shelf.materials import list_materials, list_suppliers
from shopbook.trade.catalogue.kinds import WayUsed
from shopbook.trade.coating.product_ranges import RANGE_FIELDS, TENTHS
from shopbook.trade.errors import RuleBroken
from shopbook.trade.measures.quantities import parse_quantity, quarter_words
from shopbook.trade.measures.units import Kind, Unit, say_degrees
from shopbook.web.parts.act import reader, shop_now, today
from shopbook.web.parts.fields import AmountField, DayField, Needed, QuantityField, TypedField
from shopbook.web.parts.forms import (
    LINE,
    ActForm,
    Choices,
    Cleaned,
    RevisedForm,
    TicksField,
    WordedForm,
    choices,
    is_touched,
)
from shopbook.web.parts.frame import country

WAY_WORDS = {
    WayUsed.MEASURED: "Measured",
    WayUsed.PIECE: "By the piece",
    WayUsed.SHOP_SUPPLIES: "{Supplies}",
}
UNIT_WORDS = {Unit.ML: "ml", Unit.G: "g", Unit.PIECE: "pieces"}
CAUSES = ("spilled", "hardened", "out of date", "mixed wrong", "damaged", "other")
_DAYS = [Optional(), NumberRange(1, 10_000, "Enter a number of days from 1 to 10,000.")]
_MOST_QUARTERS = 40_000


class PacksField(TypedField[int]):
    """Packs with quarters: "2", "2.5", "2½", "2 1/4"; `data` in quarters of a pack."""

    def read(self, text: str) -> int:
        try:
            quarters = Fraction(parse_quantity(text, Unit.ML, locale=country().locale), 1000) * 4
        except RuleBroken as broken:
            raise RuleBroken("Enter a number of packs, for example 2, 2.5 or 2¼.") from broken
        if not re.fullmatch(r"[\d.,\s¼½¾/]+", text) or quarters.denominator != 1:
            raise RuleBroken("Enter whole or quarter packs, for example 2, 2.25 or 2.5.")
        if quarters > _MOST_QUARTERS:
            raise RuleBroken("Enter no more than 10,000 packs.")
        return int(quarters)

    def show(self, value: int) -> str:
        return quarter_words(value)


def material_choices(with_none: str = "", names: Mapping[int, str] | None = None) -> Choices:
    """Materials in use for a select; `names` of them by id where they are read already."""
    first = {0: with_none} if with_none else {}
    return choices(first | dict(names or {one.id: one.name for one in list_materials(reader())}))


def supplier_choices(none: str = "No supplier") -> Choices:
    """Suppliers in use for a select."""
    return choices({0: none} | {one.id: one.name for one in list_suppliers(reader())})


SHEET_FIELDS = (
    "density_mg_ml",
    "voc_g_l",
    "water_percent",
    "exempt_percent",
    "maker",
    "product_number",
    *RANGE_FIELDS,
)
"""The figures of a data sheet that are saved as typed."""


class MaterialForm(RevisedForm):
    """One kind of thing on the shelf."""

    name = StringField("Name", [Needed("Enter a name, for example {clear}, medium solids."), LINE])
    role = SelectField("Used in job plans as", choices=[])
    way = RadioField("How it is used", choices=choices(WAY_WORDS), default=WayUsed.MEASURED)
    unit = RadioField("Measured in", choices=choices(UNIT_WORDS), default=Unit.ML)
    pack = StringField("Pack size", [Needed("Enter the pack size, for example 1 L, 500 ml or 100.")])
    pack_name = StringField("Name of a pack", [Needed("Enter what you call a pack, for example 1 L or box."), LINE])
    pack_price = AmountField("Pack price, before tax")
    order_at = PacksField(
        "Order when this many packs are left", [Needed("Enter packs, or 0 to order only for jobs.")], default=4
    )
    supplier_id = SelectField("Supplier", coerce=int, choices=[])
    shelf_place = StringField("Shelf place", [LINE])
    shelf_life_days = IntegerField("Shelf life unopened, days", _DAYS)
    opened_life_days = IntegerField("Shelf life opened, days", _DAYS)
    density_mg_ml = IntegerField(
        "Density, g per L", [Optional(), NumberRange(300, 5000, "Enter a density from 300 to 5,000.")]
    )
    solids_percent = IntegerField(
        "Volume solids, %", [Optional(), NumberRange(1, 100, "Enter a percentage from 1 to 100.")]
    )
    voc_g_l = IntegerField("VOC, g per L", [Optional(), NumberRange(0, 1500, "Enter VOC from 0 to 1,500.")])
    water_percent = IntegerField(
        "Water, % by volume", [Optional(), NumberRange(0, 100, "Enter a percentage from 0 to 100.")]
    )
    exempt_percent = IntegerField(
        "Exempt solvent, % by volume", [Optional(), NumberRange(0, 100, "Enter a percentage from 0 to 100.")]
    )
    lowest_tenths = QuantityField("Lowest air temperature", kind=Kind.TEMPERATURE)
    highest_tenths = QuantityField("Highest air temperature", kind=Kind.TEMPERATURE)
    most_humidity = IntegerField(
        "Highest humidity, %", [Optional(), NumberRange(1, 100, "Enter a percentage from 1 to 100.")]
    )
    maker = StringField("Manufacturer", [LINE])
    product_number = StringField("Product number", [LINE])

    def offer(self) -> None:
        known = shop_now().catalogue.materials
        self.role.choices = choices({"": "Nothing in particular"} | {one.code: one.name for one in known.values()})
        kept = self.role.object_data
        if kept and kept not in known:
            self.role.choices.append((kept, kept))
        self.supplier_id.choices = supplier_choices()

    @property
    def shows_sheet(self) -> bool:
        """Whether any figure of the data sheet is there or was refused; zero degrees is a figure too."""
        degrees = (self.lowest_tenths, self.highest_tenths)
        typed = (self.most_humidity, self.maker, self.density_mg_ml, self.solids_percent, self.voc_g_l)
        refused = (*degrees, self.water_percent, self.exempt_percent)
        is_given = any(field.data is not None for field in degrees) or is_touched(*typed)
        return is_given or any(field.errors for field in refused)

    def values(self) -> Cleaned:
        """What the services take; an emptied figure of the sheet is None, for it is not known any more.

        RuleBroken for a pack that cannot be read in the chosen unit, or a range that holds nothing.
        """
        typed = self.clean()
        solids = typed.pop("solids_percent")
        sheet = {"solids_permille": solids * 10 if solids is not None else None}
        sheet |= _tenths({name: typed.pop(name) for name in SHEET_FIELDS})
        if (sheet["water_percent"] or 0) + (sheet["exempt_percent"] or 0) > 100:
            raise RuleBroken("Water and exempt solvent cannot total more than 100 %.", "water_percent")
        pack, unit = typed.pop("pack"), Unit(typed["unit"])
        typed["pack_thousandths"] = parse_quantity(pack, unit, locale=country().locale, field="pack")
        typed["pack_price_minor"] = typed.pop("pack_price")
        typed["order_at_quarters"] = typed.pop("order_at")
        typed["supplier_id"] = typed["supplier_id"] or None
        return typed | {"sheet": {name: None if value == "" else value for name, value in sheet.items()}}


def _tenths(sheet: Cleaned) -> Cleaned:
    """Degrees are typed in thousandths and stored in tenths. RuleBroken where the lowest is not below the highest."""
    for name in TENTHS:
        if sheet[name] is not None:
            sheet[name] = round(sheet[name] / 100)
            if not -200 <= sheet[name] <= 800:
                raise RuleBroken(f"Enter a temperature from {say_degrees(-20)} to {say_degrees(80)}.", name)
    low, high = (sheet[name] for name in TENTHS)
    if low is not None and high is not None and low >= high:
        raise RuleBroken("The highest temperature must be above the lowest.", "highest_tenths")
    return sheet


def figures_of(kept: Cleaned) -> dict[str, object]:
    """The data sheet's figures of a material as the form's fields."""
    solids = kept.get("solids_permille")
    return {
        **{name: kept.get(name) for name in SHEET_FIELDS},
        **{name: None if kept.get(name) is None else kept[name] * 100 for name in TENTHS},
        "solids_percent": None if solids is None else solids // 10,
    }


class DeliveredForm(WordedForm):
    """One line of a delivery."""

    order_line_id = HiddenField()
    material_id = SelectField("Material", coerce=int, choices=[], default=0)
    packs = PacksField("Packs")
    cost = AmountField("Line cost, before tax")
    mark = StringField("Batch number", [LINE])
    expires_on = DayField("Use-by date")


class DeliveryForm(ActForm):
    """What came, with the supplier's note."""

    supplier_id = SelectField("Supplier", coerce=int, choices=[])
    note_number = StringField("{Delivery_note} number", [LINE])
    on = DayField("Delivered on", [Needed("Enter the day it came.")], default=today)
    freight = AmountField("Delivery charge, before tax")
    lines = FieldList(FormField(DeliveredForm), min_entries=1, max_entries=60)

    def __init__(self, *, materials: Mapping[int, str], data: Mapping[str, object] | None = None) -> None:
        self.materials = materials
        super().__init__(data=data)

    def offer(self) -> None:
        """Give every line its materials to choose from."""
        self.supplier_id.choices = supplier_choices()
        offered = material_choices("choose", self.materials)
        for entry in self.lines:
            entry.form.material_id.choices = offered


class CountedForm(WordedForm):
    """What was seen of one material: whole packs, and quarters of the open one."""

    material_id = HiddenField()
    is_as_booked = BooleanField("As the book says")
    packs = PacksField("Packs")
    quarters = RadioField(
        "Open pack",
        choices=choices({"": "none", "1": "¼", "2": "½", "3": "¾"}),
        default="",
        validators=[Optional()],
    )


class CountForm(ActForm):
    """A stock count; lines left alone are not counted."""

    lines = FieldList(FormField(CountedForm))
    racks = TicksField("All of this rack is right", validate_choice=False, choices=[])  # but for lines that say other


class WasteForm(ActForm):
    """What was lost, and why."""

    amount = StringField("How much", [Needed("Enter how much was lost, for example 250 ml or 1 pack.")])
    lot_id = SelectField("From which batch", coerce=int, choices=[], default=0)
    cause = SelectField("Reason", choices=choices({word: word for word in CAUSES}), default=CAUSES[0])
    words = StringField("Note", [LINE])


class SendBackForm(ActForm):
    """Goods go back to whoever sold them."""

    amount = StringField("How much", [Needed("Enter how much goes back, for example 500 ml or 1 pack.")])
    credit = AmountField("Credit, before tax", [Needed("Enter the credit from the supplier, or 0 for none.")])
    lot_id = SelectField("From which batch", coerce=int, choices=[], default=0)
    reason = StringField("Reason", [Needed("Enter a reason, for example wrong product."), LINE])


class DeliveryPriceForm(ActForm):
    """What a line of a delivery really cost."""

    cost = AmountField(
        "Total cost with delivery, before tax", [Needed("Enter the total cost, for example 120 or 120.50.")]
    )
    reason = StringField("Reason", [LINE])


class OrderLineForm(ActForm):
    """How many packs of one line."""

    packs = IntegerField("Packs", [NumberRange(0, 10_000, "Enter a number of packs from 0 to 10,000.")])


class SendForm(ActForm):
    """An order has gone out."""

    due_on = DayField("Due on")


class ChooseSupplierForm(ActForm):
    """Where a draft is to be bought."""

    supplier_id = SelectField("Supplier", coerce=int, choices=[])

    def offer(self) -> None:
        self.supplier_id.choices = supplier_choices("choose")


class SupplierForm(RevisedForm):
    """Who is bought from."""

    name = StringField("Name", [Needed("Enter the supplier’s name."), LINE])
    phone = StringField("Phone", [LINE])
    mail = StringField("Email", [LINE])
    lead_days = IntegerField(
        "Usual delivery, days", [Optional(), NumberRange(0, 365, "Enter a number of days from 0 to 365.")], default=1
    )
    is_active = BooleanField("Still in use", default=True)


class PotForm(ActForm):
    """What is left from one car."""

    name = StringField("What is in it", [Needed("Enter what is in the pot, for example dark blue base."), LINE])
    colour_code = StringField("{Colour} code", [LINE])
    amount = StringField("How much", [Needed("Enter about how much, for example 120 ml.")])
    expires_on = DayField("Use-by date")
