"""Claims about the macros for forms, presses, lists and papers: every field is tied to its words, text stays text."""

from types import SimpleNamespace

import pytest
from werkzeug.datastructures import MultiDict
from wtforms import BooleanField, FieldList, Form, FormField, HiddenField, RadioField, StringField
from wtforms.fields import SelectChoice
from wtforms.validators import InputRequired

from tests.web.rendering import find, make_environment, make_macro, parse


class LineForm(Form):
    """One repeated row of a form."""

    grams = StringField("Grams", [InputRequired("Enter the grams.")])


class PriceForm(Form):
    """A form with the three hidden fields and one field of each kind that has a macro."""

    csrf_token = HiddenField(default="token")
    act_key = HiddenField(default="once-7")
    revision = HiddenField(default="3")
    who = StringField("Name or phone", [InputRequired("Enter a name, a phone or a plate.")])
    size = RadioField("Size", choices=[SelectChoice("s", "S"), SelectChoice("m", "M")])
    is_taken = BooleanField("Taken")
    price = StringField("Price", default="520.00")
    clear = StringField("Clear mixed, ml", default="480")
    signature = HiddenField()
    lines = FieldList(FormField(LineForm), min_entries=1)


def make_refused_form(**typed: str) -> PriceForm:
    form = PriceForm(MultiDict({"lines-0-grams": "", **typed}))
    assert not form.validate()
    return form


@pytest.mark.parametrize("macro", ["field", "select", "textarea", "checkbox", "bare_input"])
def test_a_field_error_is_tied_to_its_input(macro: str) -> None:
    form = make_refused_form()
    text = make_macro("forms", macro)(form.who, hint="one is enough")
    if macro == "bare_input":
        text += make_macro("forms", "field_error")(form.who)
    page = parse(text)
    (control,) = [c for tag in ("input", "textarea", "select") for c in find(page, tag)]
    assert control.get("aria-invalid") == "true"
    described = control.get("aria-describedby", "").split()
    assert described == ["who-hint", "who-error"]
    assert "Enter a name, a phone or a plate." in page.get_element_by_id("who-error").text_content()


def test_an_amount_and_a_mix_tie_their_errors_too() -> None:
    form = make_refused_form()
    form.price.errors = ["Enter an amount, for example 120."]
    form.clear.errors = ["Enter the millilitres."]
    signs = [make_macro("forms", "money")(form.price, "$", "your list says 520", wide=wide) for wide in (False, True)]
    for page in map(parse, [*signs, make_macro("forms", "stepper")(form.clear, "clear", hint="both panels")]):
        (control,) = find(page, "input")
        ids = control.get("aria-describedby", "").split()
        assert len(ids) == 2
        assert all(page.get_element_by_id(each).text_content().strip() for each in ids)


def test_a_strip_of_choices_is_one_named_group_tied_to_its_error() -> None:
    page = parse(make_macro("forms", "pick")(make_refused_form().size))
    (group,) = find(page, "fieldset")
    assert find(group, "legend")[0].text_content() == "Size"
    assert group.get("aria-invalid") == "true"
    assert page.get_element_by_id(group.get("aria-describedby")).text_content().strip()


def test_a_field_without_fault_says_nothing_of_one() -> None:
    page = parse(make_macro("forms", "field")(PriceForm().who))
    (control,) = find(page, "input")
    assert "aria-invalid" not in control.attrib
    assert "aria-describedby" not in control.attrib


def test_every_control_of_a_form_has_a_label() -> None:
    form = PriceForm()
    made = [make_macro("forms", name)(form[f]) for name, f in [("field", "who"), ("checkbox", "is_taken")]]
    made += [make_macro("forms", "pick")(form.size), make_macro("forms", "money")(form.price, "$")]
    made.append(make_macro("forms", "stepper")(form.clear, "clear"))
    for page in map(parse, made):
        for control in find(page, "input"):
            labelled = {label.get("for") for label in find(page, "label", for_=True)}
            inside = any(ancestor.tag == "label" for ancestor in control.iterancestors())
            assert inside or control.get("id") in labelled


def test_the_summary_takes_the_focus_and_leads_to_every_faulty_field() -> None:
    form = make_refused_form()
    page = parse(make_macro("forms", "error_summary")(form))
    (summary,) = find(page, role="alert")
    assert "autofocus" in summary.attrib
    assert summary.get("tabindex") == "-1"
    leads = {link.get("href") for link in find(page, "a")}
    assert leads == {"#who", "#size-0", "#lines-0-grams"}


def test_a_form_without_faults_has_no_summary() -> None:
    form = PriceForm(MultiDict({"who": "Ines", "size": "s", "lines-0-grams": "5"}))
    assert form.validate()
    assert str(make_macro("forms", "error_summary")(form)) == ""


def test_a_form_carries_its_three_hidden_fields_without_ids() -> None:
    page = parse(make_macro("forms", "act_fields")(PriceForm()))
    assert {f.get("name"): f.get("value") for f in find(page, "input", type="hidden")} == {
        "csrf_token": "token",
        "act_key": "once-7",
        "revision": "3",
    }
    assert not find(page, id=True)


def test_plain_values_do_for_a_press_and_a_missing_revision_is_left_out() -> None:
    act = SimpleNamespace(csrf_token="token", act_key="once-8", revision=None)
    page = parse(make_macro("press", "press")("/jobs/1/yes", "Said yes", act, hidden={"group": 2}, about="1042"))
    names = [f.get("name") for f in find(page, "input")]
    assert names == ["csrf_token", "act_key", "group"]
    assert find(page, "button", type="submit")[0].get("aria-label") == "Said yes: 1042"


def test_typed_markup_stays_text() -> None:
    form = PriceForm(MultiDict({"who": '"><b>x'}))
    assert "<b>" not in make_macro("forms", "field")(form.who)
    assert make_macro("lists", "line")("<i>x", "<i>y", late="<i>z").count("<i>") == 0
    form.signature.data = '"/><script>'
    assert "<script" not in make_macro("forms", "sign_pad")(form.signature)


def test_keys_of_a_mix_stay_away_until_they_work() -> None:
    page = parse(make_macro("forms", "stepper")(PriceForm().clear, "clear"))
    assert all("hidden" in key.attrib for key in find(page, "button"))
    assert [key.get("aria-label") for key in find(page, "button")] == ["less clear", "more clear"]


def test_a_list_with_presses_keeps_its_title_beside_them() -> None:
    source = (
        '{% from "macros/lists.html" import line %}{% call line("1042", "key 7", late="late") %}<b>go</b>{% endcall %}'
    )
    page = parse(make_environment().from_string(source).render())
    assert find(find(page, class_="acts")[0], "b")[0].text == "go"
    assert find(page, class_="late-ink")[0].text == "late"


def test_a_table_that_stacks_keeps_its_heads_and_names_each_figure() -> None:
    source = """{% from "macros/lists.html" import stack, cell %}
    {% call stack([("Job", false), ("Margin", true), ("", false)]) %}<tr>{{ cell("1042") }}
    {{ cell("12.00", label="Margin", is_figure=true) }}{{ cell("good") }}</tr>{% endcall %}"""
    page = parse(make_environment().from_string(source).render())
    assert len(find(page, "th")) == len(find(page, "td")) == 3
    assert find(page, "td", class_="num")[0].get("data-label") == "Margin"
    assert all(head.text_content().strip() for head in find(page, "th"))


def test_totals_stand_in_a_row_of_their_own_under_named_columns() -> None:
    rows = [[("Ines Okafor", "due on pickup"), "250.00", "100.00", "150.00"]]
    page = parse(make_macro("papers", "payers")(rows, ["Total", "826.16", "100.00", "726.16"]))
    assert [cell.text for cell in find(find(page, "tr", class_="total")[0], "td")] == ["826.16", "100.00", "726.16"]
    assert find(page, "td")[2].get("data-label") == "Still to pay"


def test_a_yes_that_is_not_given_yet_leaves_a_line_to_sign_on() -> None:
    given = parse(
        make_macro("papers", "approval")("From the owner", "do part 1.", "Ines, Monday", "M1 1L2 2", "Ines Okafor")
    )
    assert find(given, "svg")[0].get("aria-label") == "Signed by Ines Okafor"
    open_yet = parse(make_macro("papers", "approval")("From the payer", "up to $785.04."))
    assert find(open_yet, "svg")[0].get("aria-label") == "Signature line"


def test_the_rest_of_a_list_stands_under_one_line_that_says_how_many_and_their_sum() -> None:
    template = make_environment().from_string(
        '{% from "macros/lists.html" import rest %}'
        '{% call rest(count, "invoice", total) %}<ul class="rows"><li>1042</li></ul>{% endcall %}'
    )
    page = parse(template.render(count=3, total="$1,230.00"))
    (fold,) = find(page, "details", class_="rest")
    assert "open" not in fold.attrib
    assert find(fold, "summary")[0].text_content() == "3 more invoices, $1,230.00"
    assert find(fold, "li")[0].text_content() == "1042"
    assert find(parse(template.render(count=1, total="")), "summary")[0].text_content() == "1 more invoice"
    assert find(parse(template.render(count=0, total="")), "details") == []
