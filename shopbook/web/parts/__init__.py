"""What the areas' pages share: the act, the forms' base, signing in, the frame, error pages; here what most ask for."""

from shopbook.services.act import Act
from shopbook.web.parts.act import (
    Answer,
    Done,
    act_by_form,
    act_by_press,
    does,
    now,
    perform,
    reader,
    shop_now,
    today,
    writer,
)
from shopbook.web.parts.forms import ActForm, Choices, Cleaned, choices
from shopbook.web.parts.frame import car_text, clock_text, country, day_text, is_before_tax, measured, money, near_day
from shopbook.web.parts.guards import needs, open_to_all
from shopbook.web.parts.keys import as_key, key_or_none, keys_among
from shopbook.web.parts.leading import safe_path
from shopbook.web.parts.presses import Presses
from shopbook.web.parts.reach import shop_address
from shopbook.web.parts.sections import Where, job_section

__all__ = [
    "Act",
    "ActForm",
    "Answer",
    "Choices",
    "Cleaned",
    "Done",
    "Presses",
    "Where",
    "act_by_form",
    "act_by_press",
    "as_key",
    "car_text",
    "choices",
    "clock_text",
    "country",
    "day_text",
    "does",
    "is_before_tax",
    "job_section",
    "key_or_none",
    "keys_among",
    "measured",
    "money",
    "near_day",
    "needs",
    "now",
    "open_to_all",
    "perform",
    "reader",
    "safe_path",
    "shop_address",
    "shop_now",
    "today",
    "writer",
]
