"""The forms about the shelf, and the fields that read packs in quarters or an exact amount."""

import re
from collections.abc import Mapping
from fractions import Fraction

from wtforms import BooleanField, FieldList, Form, FormField, HiddenField, IntegerField
from wtforms.fields import RadioField, SelectField, StringField
from wtforms.validators import NumberRange, Optional

from shopbook.queries.shelf.materials import list_materials, list_suppliers
from shopbook.trade.catalogue.kinds import WayUsed
from shopbook.trade.coating.product_ranges import RANGE_FIELDS, TENTHS
from shopbook.trade.errors import RuleBroken
from shopbook.trade.measures.quantities import parse_quantity, quarter_words
from shopbook.trade.measures.units import Kind, Unit
from shopbook.web.parts.act import reader, shop_now, today
from shopbook.web.parts.fields import AmountField, DayField, Needed, QuantityField, TypedField
from shopbook.web.parts.forms import LINE, ActForm, Choices, Cleaned, RevisedForm, choices, is_touched
from shopbook.web.parts.frame import country

WAY_WORDS = {
    WayUsed.MEASURED: "Measured",
    WayUsed.PIECE: "By the piece",
    WayUsed.SHOP_SUPPLIES: "Shop floor",
}
UNIT_WORDS = {Unit.ML: "ml", Unit.G: "g", Unit.PIECE: "pieces"}
CAUSES = ("spilt", "hardened", "out of date", "mixed wrong", "damaged", "other")
_DAYS = [Optional(), NumberRange(1, 10_000, "Type a number of days from 1 to 10,000.")]
_MOST_QUARTERS = 40_000


class PacksField(TypedField[int]):
    """Packs with quarters: "2", "2.5", "2½", "2 1/4"; `data` in quarters of a pack."""

    def read(self, text: str) -> int:
        try:
            quarters = Fraction(parse_quantity(text, Unit.ML, locale=country().locale), 1000) * 4
        except RuleBroken as broken:
            raise RuleBroken("Type packs in figures, such as 2 or 2.5 or 2¼.") from broken
        if not re.fullmatch(r"[\d.,\s¼½¾/]+", text) or quarters.denominator != 1:
            raise RuleBroken("Packs are counted in quarters here: type 2, 2.25, 2.5 or 2.75.")
        if quarters > _MOST_QUARTERS:
            raise RuleBroken("That is more packs than can be meant.")
        return int(quarters)

    def show(self, value: int) -> str:
        return quarter_words(value)


def material_choices(with_none: str = "", names: Mapping[int, str] | None = None) -> Choices:
    """Materials in use for a select; `names` of them by id where they are read already."""
    first = {0: with_none} if with_none else {}
    return choices(first | dict(names or {one.id: one.name for one in list_materials(reader())}))


def supplier_choices(none: str = "Not said") -> Choices:
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
"""What of a product's data sheet is kept as it was typed."""


class MaterialForm(RevisedForm):
    """One kind of thing on the shelf."""

    name = StringField("Name", [Needed("Type a name, such as Clear, medium solids."), LINE])
    role = SelectField("Stands for, in plans", choices=[])
    way = RadioField("How it is used", choices=choices(WAY_WORDS), default=WayUsed.MEASURED)
    unit = RadioField("Measured in", choices=choices(UNIT_WORDS), default=Unit.ML)
    pack = StringField("A pack holds", [Needed("Say how much a pack holds, such as 1 L, 500 ml or 100.")])
    pack_name = StringField("A pack is called", [Needed("Say what a pack is called, such as 1 L or box."), LINE])
    pack_price = AmountField("Price of a pack, before tax")
    order_at = PacksField("Order when so many packs are left", [Needed("Type 0 to order only for jobs.")], default=4)
    supplier_id = SelectField("Bought from", coerce=int, choices=[])
    shelf_place = StringField("Where it stands", [LINE])
    shelf_life_days = IntegerField("Keeps closed, days", _DAYS)
    opened_life_days = IntegerField("Keeps opened, days", _DAYS)
    density_mg_ml = IntegerField("Density, g per L", [Optional(), NumberRange(300, 5000, "From 300 to 5,000.")])
    solids_percent = IntegerField("Volume solids, %", [Optional(), NumberRange(1, 100, "From 1 to 100.")])
    voc_g_l = IntegerField("VOC, g per L", [Optional(), NumberRange(0, 1500, "From 0 to 1,500.")])
    water_percent = IntegerField("Water, % of its volume", [Optional(), NumberRange(0, 100, "From 0 to 100.")])
    exempt_percent = IntegerField(
        "Exempt solvent, % of its volume", [Optional(), NumberRange(0, 100, "From 0 to 100.")]
    )
    lowest_tenths = QuantityField("Coldest air to work it in", kind=Kind.TEMPERATURE)
    highest_tenths = QuantityField("Warmest air to work it in", kind=Kind.TEMPERATURE)
    most_humidity = IntegerField("Most humidity, %", [Optional(), NumberRange(1, 100, "From 1 to 100.")])
    maker = StringField("Maker, as on the sheet", [LINE])
    product_number = StringField("Product number, as on the sheet", [LINE])

    def offer(self) -> None:
        known = shop_now().catalogue.materials
        self.role.choices = choices({"": "Nothing in particular"} | {one.code: one.name for one in known.values()})
        if self.role.data and self.role.data not in known:
            self.role.choices.append((self.role.data, self.role.data))
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
            raise RuleBroken("Water and exempt solvent are at most 100 % together.", "water_percent")
        pack, unit = typed.pop("pack"), Unit(typed["unit"])
        typed["pack_thousandths"] = parse_quantity(pack, unit, locale=country().locale, field="pack")
        typed["pack_price_minor"] = typed.pop("pack_price")
        typed["order_at_quarters"] = typed.pop("order_at")
        typed["supplier_id"] = typed["supplier_id"] or None
        return typed | {"sheet": {name: None if value == "" else value for name, value in sheet.items()}}


def _tenths(sheet: Cleaned) -> Cleaned:
    """Degrees are typed in thousandths and kept in tenths. RuleBroken where the coldest is not below the warmest."""
    for name in TENTHS:
        if sheet[name] is not None:
            sheet[name] = round(sheet[name] / 100)
            if not -200 <= sheet[name] <= 800:
                raise RuleBroken("That is no temperature in which anybody works a product.", name)
    low, high = (sheet[name] for name in TENTHS)
    if low is not None and high is not None and low >= high:
        raise RuleBroken("The warmest air must be warmer than the coldest.", "highest_tenths")
    return sheet


def figures_of(kept: Cleaned) -> dict[str, object]:
    """The data sheet's figures of a material as the form's fields."""
    solids = kept.get("solids_permille")
    return {
        **{name: kept.get(name) for name in SHEET_FIELDS},
        **{name: None if kept.get(name) is None else kept[name] * 100 for name in TENTHS},
        "solids_percent": None if solids is None else solids // 10,
    }


class DeliveredForm(Form):
    """One line of a delivery."""

    order_line_id = HiddenField()
    material_id = SelectField("Material", coerce=int, choices=[], default=0)
    packs = PacksField("Packs")
    cost = AmountField("Cost of the line, before tax")
    mark = StringField("Lot mark on the can", [LINE])
    expires_on = DayField("Good till")


class DeliveryForm(ActForm):
    """What came, with the supplier's note."""

    supplier_id = SelectField("From", coerce=int, choices=[])
    note_number = StringField("Number of the delivery note", [LINE])
    on = DayField("Came on", [Needed("Say on which day it came.")], default=today)
    freight = AmountField("Carriage, before tax")
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


class CountedForm(Form):
    """What was seen of one material: whole packs, and quarters of the open one."""

    material_id = HiddenField()
    is_as_booked = BooleanField("As the book says")
    packs = PacksField("Packs")
    quarters = RadioField(
        "and of the open one",
        choices=choices({"": "none", "1": "¼", "2": "½", "3": "¾"}),
        default="",
        validators=[Optional()],
    )


class CountForm(ActForm):
    """A look along the shelf; lines left alone are not counted."""

    lines = FieldList(FormField(CountedForm))


class WasteForm(ActForm):
    """What was lost, and why."""

    amount = StringField("How much", [Needed("Say how much is lost.")])
    lot_id = SelectField("From which lot", coerce=int, choices=[], default=0)
    cause = SelectField("Why", choices=choices({word: word for word in CAUSES}), default=CAUSES[0])
    words = StringField("In a word", [LINE])


class SendBackForm(ActForm):
    """Goods go back to whoever sold them."""

    amount = StringField("How much", [Needed("Say how much goes back.")])
    credit = AmountField("Credit, before tax", [Needed("Type what the supplier gives for it; 0 for nothing.")])
    lot_id = SelectField("From which lot", coerce=int, choices=[], default=0)
    reason = StringField("Why", [Needed("Say in a word why it goes back."), LINE])


class DeliveryPriceForm(ActForm):
    """What a line of a delivery really cost."""

    cost = AmountField("It cost in all, carriage included, before tax", [Needed("Type what it cost in all.")])
    reason = StringField("Why", [LINE])


class OrderLineForm(ActForm):
    """How many packs of one line."""

    packs = IntegerField("Packs", [NumberRange(0, 10_000, "Type a number of packs from 0 to 10,000.")])


class SendForm(ActForm):
    """An order has gone out."""

    due_on = DayField("Should come on")


class ChooseSupplierForm(ActForm):
    """Where a draft is to be bought."""

    supplier_id = SelectField("Buy from", coerce=int, choices=[])

    def offer(self) -> None:
        self.supplier_id.choices = supplier_choices("choose")


class SupplierForm(RevisedForm):
    """Who is bought from."""

    name = StringField("Name", [Needed("Type the supplier's name."), LINE])
    phone = StringField("Phone", [LINE])
    mail = StringField("Mail", [LINE])
    lead_days = IntegerField(
        "Days until it comes", [Optional(), NumberRange(0, 365, "Type a number of days from 0 to 365.")], default=1
    )
    is_active = BooleanField("Still bought from", default=True)


class PotForm(ActForm):
    """What is left from one car."""

    name = StringField("What is in it", [Needed("Say what is in the pot, such as harbour blue, base."), LINE])
    colour_code = StringField("Colour code", [LINE])
    amount = StringField("How much", [Needed("Say about how much, such as 120 ml.")])
    expires_on = DayField("Good till")
