"""The base of every form: the hidden fields that each act carries, plain words cleaned, errors beside the field."""

import secrets
from collections.abc import Mapping
from typing import Any, TypeVar

from flask import has_request_context, request, session
from werkzeug.datastructures import CombinedMultiDict
from wtforms import Field, Form, HiddenField, IntegerField, SelectField, SelectMultipleField, StringField
from wtforms.fields import SelectChoice  # type: ignore[attr-defined]  # the stubs lag behind
from wtforms.validators import Length
from wtforms.widgets import CheckboxInput, HiddenInput, ListWidget

from shopbook.trade.errors import RuleBroken
from shopbook.web.parts.keys import key_or_none

LONGEST_LINE = 200
LONGEST_WORDS = 4000
LINE = Length(max=LONGEST_LINE, message=f"Enter at most {LONGEST_LINE} characters.")
WORDS = Length(max=LONGEST_WORDS, message=f"Enter at most {LONGEST_WORDS} characters.")
HALVES = {"": "any time", "morning": "morning", "afternoon": "afternoon"}
"""Half-days as a choice beside a day."""


def csrf_token() -> str:
    """The token of this browser's session; made on first use, without a time limit (a form may stay open all day)."""
    if "csrf" not in session:
        session["csrf"] = secrets.token_urlsafe(24)
    return str(session["csrf"])


def make_act_key() -> str:
    """A fresh key for one rendered form."""
    return secrets.token_hex(16)


Cleaned = dict[str, Any]  # what was typed is of as many types as a form has fields, which WTForms types as Any


class FieldSentences:
    """What the library says of a value that is no choice or no number of its field, in a sentence that says what to
    do."""

    _OURS = {
        "Not a valid choice.": "Choose one from the list.",
        "Invalid Choice: could not coerce.": "Choose one from the list.",
        "Invalid choice(s): one or more data inputs could not be coerced.": "Choose from the list.",
        "Not a valid integer value.": "Enter a whole number.",
    }

    def gettext(self, text: str) -> str:
        """Our sentence; the library's own where it is sent with its words by the field."""
        return self._OURS.get(text, text)

    def ngettext(self, text: str, _: str, __: int) -> str:
        """The same of several values: only of choices that a list does not have is there more than one."""
        return "Choose from the list." if "valid choice" in text else text


class WordedForm(Form):
    """A form, or a part of one, of which each field says what to do."""

    class Meta:
        def get_translations(self, form: Form) -> FieldSentences:
            """As WTForms asks for them."""
            return FieldSentences()


class ActForm(WordedForm):
    """A form that acts: a session token against foreign pages, a key against double presses."""

    csrf_token = HiddenField(default=csrf_token)
    act_key = HiddenField(default=make_act_key)

    def __init__(self, *args: Any, **kwargs: Any) -> None:  # what WTForms takes: what was sent, values
        if not args and has_request_context() and request.method == "POST":
            args = (CombinedMultiDict([request.files, request.form]),)
        super().__init__(*args, **kwargs)
        self.offer()

    def offer(self) -> None:
        """Give the fields the choices that come from the book; a form without such fields gives none."""

    def refuse(self, broken: RuleBroken) -> None:
        """Put the sentence of a broken rule beside its field, or above the form when it names none of ours."""
        if broken.field in self._fields:
            field = self._fields[broken.field]
            field.errors = [*field.errors, broken.sentence]
        else:
            self.form_errors.append(broken.sentence)

    def sentences(self) -> list[str]:
        """What was refused, in the order of the fields, for a page that is not drawn anew."""
        return [*self.form_errors, *_flat(list(self.errors.values()))]

    def renew(self) -> None:
        """A fresh act key, so that a corrected form is a new act; what was typed stays."""
        self.act_key.data = make_act_key()

    def clean(self) -> Cleaned:
        """The typed values without the hidden fields; text with its outer white space taken off, absent text empty."""
        return {field.short_name: _plain(field) for field in self if field.short_name not in {"csrf_token", "act_key"}}


def _flat(errors: object) -> list[str]:
    """The sentences of fields, and of the fields within them."""
    inner = errors.values() if isinstance(errors, dict) else errors if isinstance(errors, list | tuple) else None
    return [str(errors)] if inner is None else [sentence for each in inner for sentence in _flat(each)]


def _plain(field: Field) -> object:
    if isinstance(field.data, str):
        return field.data.strip()
    is_text = isinstance(field, StringField | SelectField)
    return "" if is_text and field.data is None else field.data


Key = TypeVar("Key", bound=int | str)
Choices = list[Any]  # the stubs do not know the library's own SelectChoice


def choices(words: Mapping[Key, str]) -> Choices:
    """The choices of a select or radio field, from value to words."""
    return [SelectChoice(value, said) for value, said in words.items()]


def is_touched(*fields: Field) -> bool:
    """Whether any of these fields is filled or was refused, so that the section around them is unfolded."""
    return any(field.data or field.errors for field in fields)


class TicksField(SelectMultipleField):
    """Several of a few choices, each a box to tick; `data` is a list of what was ticked."""

    widget = ListWidget(prefix_label=False)
    option_widget = CheckboxInput()


class KeyField(IntegerField):
    """A whole number that the page itself put into the form; zero for what no number of the book can be."""

    def process_formdata(self, valuelist: list[object]) -> None:
        if valuelist:
            self.data = key_or_none(valuelist[0]) or 0


class RevisedForm(ActForm):
    """A form over something that two people may edit side by side; it carries the revision that it was made from."""

    revision = KeyField(widget=HiddenInput(), default=1)
