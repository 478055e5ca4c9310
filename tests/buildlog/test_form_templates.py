"""What our templates make of every form of the project."""

from __future__ import annotations

import re

from django import forms
from django.forms.renderers import DjangoTemplates


class Sample(forms.Form):
    name = forms.CharField(label="name of the part", help_text="As on the plan.")
    note = forms.CharField(required=False, widget=forms.Textarea)
    mirrored = forms.BooleanField(required=False, label="a mirrored pair")
    grain = forms.ChoiceField(choices=[("a", "along"), ("b", "across")], widget=forms.RadioSelect)
    key = forms.CharField(widget=forms.HiddenInput)

    def clean(self):
        raise forms.ValidationError("These do not go together.")


def html(data=None, **more) -> str:
    return str(Sample(data, **more))


def test_every_box_has_a_label_that_belongs_to_it():
    page = html()
    for pk in re.findall(r'<(?:input|textarea)[^>]*type="(?!hidden|radio)[^>]*id="(id_\w+)"', page):
        assert f'for="{pk}"' in page


def test_a_hint_is_tied_to_its_box():
    page = html()
    assert 'id="id_name_helptext"' in page
    assert 'aria-describedby="id_name_helptext"' in page


def test_what_may_be_left_out_says_so_and_a_tick_does_not():
    page = html()
    assert page.count("(optional)") == 1


def test_choices_stand_in_a_fieldset_with_a_legend():
    assert re.search(r"<fieldset[^>]*>\s*<legend>Grain", html())


def test_errors_are_told_on_top_with_a_link_and_again_at_the_box():
    page = html({"name": "", "grain": "a", "key": "k"})
    assert 'role="alert"' in page
    assert "These do not go together." in page
    assert '<a href="#id_name">Name of the part</a>: This field is required.' in page
    assert 'id="id_name_error"' in page
    assert re.search(r'<input[^>]*name="name"[^>]*aria-invalid="true"', page)


def test_a_link_to_a_group_of_choices_finds_it():
    page = html({"name": "x", "key": "k"})
    target = re.search(r'<a href="#([\w-]+)">Grain', page)[1]
    assert f'id="{target}"' in page


def test_an_error_in_a_hidden_box_is_told_too():
    page = html({"name": "x", "grain": "a"})
    assert "(Hidden field key)" in page


def test_what_was_typed_is_kept_and_escaped():
    page = html({"name": '"><script>', "grain": "z", "key": "k"})
    assert "<script>" not in page
    assert 'value="&quot;&gt;&lt;script&gt;"' in page


def test_hidden_boxes_have_no_label():
    assert html().count('name="key"') == 1
    assert 'for="id_key"' not in html()


def test_a_select_is_written_as_django_writes_it():
    class Option(forms.Select):
        def create_option(self, name, value, label, selected, index, **more):
            option = super().create_option(name, value, label, selected, index, **more)
            if value == 2:
                option["attrs"] |= {"disabled": True, "title": 'A "b" & c'}
            return option

    choices = [("", "Choose…"), ("Sheet", [(1, "Ply <9>"), (2, "Ply 12")]), (1_000_000, "Oak")]
    widget = Option(attrs={"required": True}, choices=choices)
    ours = widget.render("material", 2, {"id": "m"})
    theirs = widget.render("material", 2, {"id": "m"}, renderer=DjangoTemplates())
    assert " ".join(ours.split()) == " ".join(theirs.split())
    assert 'value="1000000"' in ours
