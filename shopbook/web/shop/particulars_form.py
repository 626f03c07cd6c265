"""Forms for what is printed on every paper, and for the last numbers used."""

from wtforms import BooleanField, Field, SelectField, StringField, TextAreaField

from shopbook.trade.billing.number_series import SERIES_WORDS
from shopbook.trade.measures.units import Kind, Unit
from shopbook.web.parts.fields import Needed, SelectChoice
from shopbook.web.parts.forms import LINE, WORDS, ActForm, RevisedForm, choices
from shopbook.web.shop.setting_forms import whole

PAPER_WORDS = {"letter": "Letter", "a4": "A4"}
UNITS_CHOSEN = {
    Kind.VOLUME: "Volumes in",
    Kind.MASS: "Weights in",
    Kind.AREA: "Areas in",
    Kind.LENGTH: "Lengths in",
    Kind.FILM: "Film thickness in",
    Kind.TEMPERATURE: "Temperatures in",
    Kind.PRESSURE: "Air pressure in",
    Kind.DISTANCE: "Distances in",
}


class ParticularsForm(RevisedForm):
    """The shop's name, address and paper, and the units it reads."""

    shop_name = StringField("Shop name", [Needed("Enter the shop's name."), LINE])
    address = TextAreaField("Address", [WORDS])
    phone = StringField("Phone", [LINE])
    mail = StringField("Email", [LINE])
    tax_number = StringField("Tax number", [LINE])
    registration_number = StringField("Repair registration number", [LINE])
    """Asked where the country's states register shops."""
    pay_to = TextAreaField(
        "How to pay", [WORDS], description="Bank details and payment terms, printed under each invoice."
    )
    paper_size = SelectField("Paper size", choices=choices(PAPER_WORDS))
    is_tax_invoice = BooleanField("Our invoices are tax invoices")
    zone = StringField(
        "Time zone", [Needed("Enter a time zone, for example Europe/London."), LINE], render_kw={"list": "zones"}
    )

    @property
    def unit_fields(self) -> list[Field]:
        """One choice for each kind of unit, in the order of `UNITS_CHOSEN`."""
        return [self[kind.value] for kind in UNITS_CHOSEN]


for _kind, _words in UNITS_CHOSEN.items():
    _units = [SelectChoice(unit.value, unit.value) for unit in Unit if unit.kind is _kind]
    setattr(ParticularsForm, _kind.value, SelectField(_words, choices=_units))


class NumbersForm(ActForm):
    """The last number of each series that the shop used before."""


for _series, _words in SERIES_WORDS.items():
    setattr(NumbersForm, _series.value, whole(f"{_words}: last number used", 0, 99_999_999))
