"""The question about a plate that another car has, as a field of every form on which a plate is typed."""

from wtforms import RadioField
from wtforms.validators import Optional

from shopbook.trade.car.same_car import SAME_CAR_WORDS
from shopbook.web.parts.forms import ActForm, choices


class PlateForm(ActForm):
    """A form on which a car's plate is typed; the question is drawn once it was asked."""

    same_car = RadioField("Same car", [Optional()], choices=choices(SAME_CAR_WORDS), default="")
