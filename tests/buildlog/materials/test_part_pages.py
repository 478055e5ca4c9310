"""Parts: the list, one by one, and several at once."""

from __future__ import annotations

from decimal import Decimal

import pytest
from django.urls import reverse

from buildlog.materials.models import Material, Part
from tests.buildlog.materials.test_material_pages import as_read


@pytest.fixture
def client(as_person, owner):
    return as_person(owner)


@pytest.fixture
def new(ply, make_task):
    make_task("F1", name="Cut frames")
    return {
        "name": "Frame 1, half", "task": "F1", "material": ply.pk, "count": "1 pair",
        "length_mm": "1 m", "width_mm": "380", "thickness_mm": "", "layers": "1",
        "grain": "any",
    }  # fmt: skip


def url(name, *args):
    return reverse(name, args=["tender", *args])


def test_a_part_is_added_as_a_builder_writes_it(client, new):
    client.post(url("part-new"), new)
    part = Part.objects.get()
    assert (part.count, part.mirrored, part.task.code) == (2, True, "F1")
    assert (part.length_mm, part.width_mm) == (1000, 380)


def test_layers_come_from_the_thickness(client, new):
    client.post(url("part-new"), new | {"thickness_mm": "2x9mm", "layers": ""})
    part = Part.objects.get()
    assert (part.layers, part.thickness_mm) == (2, 9)


def test_inches_are_kept_exactly(client, build, new):
    build.length_system = "imperial"
    build.save()
    client.post(url("part-new"), new | {"length_mm": "4'-6 1/2\"", "width_mm": "1 3/64"})
    part = Part.objects.get()
    assert part.length_mm == Decimal("1384.3")
    assert part.width_mm == Decimal("26.590625")
    page = client.get(url("parts")).content.decode()
    assert "4′ 6½″" in page
    edit = url("part-edit", part.pk)
    client.post(edit, as_read(client, edit) | {"notes": "x"})
    part.refresh_from_db()
    assert (part.width_mm, part.notes) == (Decimal("26.590625"), "x")


@pytest.mark.parametrize(("text", "amount"), [("500 g", "0.5"), ("2 packs", "12"), ("2,4", "2.4")])
def test_amounts_are_read_in_what_the_material_is_counted_in(client, build, new, text, amount):
    resin = Material.objects.create(build=build, name="Epoxy", kind="resin", unit="kg", pack=6)
    client.post(url("part-new"), new | {"material": resin.pk, "quantity": text})
    assert Part.objects.get().quantity == Decimal(amount)


def test_second_click_finds_what_the_first_made(client, new):
    assert [client.post(url("part-new"), new).status_code for _ in range(2)] == [302, 302]
    assert Part.objects.count() == 1


@pytest.mark.parametrize(
    ("change", "says"),
    [
        ({"name": ""}, "required"),
        ({"count": "3 (p+s)"}, "come in twos"),
        ({"count": "3", "mirrored": "on"}, "Mirrored pairs come in twos"),
        ({"count": "0"}, "There is at least one of it."),
        ({"count": "some"}, "is not a whole number of pieces"),
        ({"length_mm": '1 3/0"'}, "0 below the line"),
        ({"length_mm": "1,250"}, "may be"),
        ({"thickness_mm": "18"}, "Ply 9 is 9 mm thick: write 2x9 mm."),
        ({"thickness_mm": "6"}, "Leave this empty, or choose another material."),
        ({"thickness_mm": "2x9mm", "layers": "3"}, "The thickness says 2 layers, this box 3."),
        ({"quantity": "2 kg"}, "is no amount of Ply 9"),
        ({"quantity": "0"}, "Nothing is no amount"),
        ({"task": "X"}, "no task “X”"),
        ({"material": ""}, "required"),
        ({"material": "999999"}, "valid choice"),
        ({"scarf_ratio": "1"}, "greater than or equal to 4"),
        ({"allowance_percent": "-1"}, "greater than or equal to 0"),
        ({"layers": "0"}, "greater than or equal to 1"),
    ],
)
def test_bad_entries_say_what_and_keep_what_was_typed(client, new, change, says):
    answer = client.post(url("part-new"), new | {"notes": "mind the knot"} | change)
    page = answer.content.decode()
    assert answer.status_code == 422
    assert says in page
    assert "mind the knot" in page
    assert not Part.objects.exists()


def test_a_sheet_named_in_inches_may_be_a_little_off(client, new):
    assert client.post(url("part-new"), new | {"thickness_mm": '3/8"'}).status_code == 302


def test_another_part_of_the_same_name_in_the_task_is_refused(client, new):
    client.post(url("part-new"), new)
    answer = client.post(url("part-new"), new | {"width_mm": "400"})
    assert answer.status_code == 422
    assert "has a part of this name and material already" in answer.content.decode()


def test_two_tabs_do_not_overwrite_each_other(client, new):
    client.post(url("part-new"), new)
    part = Part.objects.get()
    edit = url("part-edit", part.pk)
    older, newer = as_read(client, edit), as_read(client, edit)
    assert client.post(edit, newer | {"length_mm": "1.1 m"}).status_code == 302
    answer = client.post(edit, older | {"length_mm": "1.2 m"})
    assert answer.status_code == 409
    assert "1.2 m" in answer.content.decode()
    assert "1100 mm" in answer.content.decode()
    part.refresh_from_db()
    assert part.length_mm == 1100


def test_a_form_sent_back_untouched_changes_nothing(client, new):
    client.post(url("part-new"), new | {"thickness_mm": "2x9mm", "scarf_ratio": "8"})
    part = Part.objects.get()
    edit = url("part-edit", part.pk)
    assert client.post(edit, as_read(client, edit)).status_code == 302
    again = Part.objects.get()
    fields = [field.attname for field in Part._meta.concrete_fields]
    assert [getattr(again, name) for name in fields] == [getattr(part, name) for name in fields]


def test_form_of_a_part_shows_what_it_needs_and_weighs(client, new):
    client.post(url("part-new"), new | {"count": "2", "length_mm": "1250", "width_mm": "610"})
    page = client.get(url("part-edit", Part.objects.get().pk)).content.decode()
    assert "0.5 sheets" in page  # 1.525 m² of 3.05, as in the takeoff's own example
    assert "≈ 6.18 kg" in page  # 1.525 x 0.009 x 450


def test_adding_from_a_task_fills_the_task_in_and_goes_back_there(client, new, build):
    task = build.tasks.get()
    page = client.get(url("part-new"), {"task": task.pk}).content.decode()
    assert 'value="F1 Cut frames"' in page
    back = url("task", task.pk)
    assert client.post(url("part-new"), new | {"back": back}).url == back
    elsewhere = new | {"name": "Other", "back": "https://elsewhere.example/"}
    assert client.post(url("part-new"), elsewhere).url == url("parts")


def test_a_part_is_deleted(client, new):
    client.post(url("part-new"), new)
    part = Part.objects.get()
    assert "1 pair" in client.get(url("part-delete", part.pk)).content.decode()
    client.post(url("part-delete", part.pk))
    assert not Part.objects.exists()


def test_the_list_is_cut_down_by_stage_task_material_and_words(
    client, build, ply, screws, make_task, make_part
):
    first, second = make_task("1"), make_task("2")
    make_part("Side", ply, first)
    make_part("Screws for the side", screws, second, count=40)
    make_part("Spare", ply, None)

    def found(**asked):
        return [row.part.name for row in client.get(url("parts"), asked).context["rows"]]

    assert len(found()) == 3
    assert found(task=first.pk) == ["Side"]
    assert found(task="none") == ["Spare"]
    assert sorted(found(stage=first.stage_id)) == ["Screws for the side", "Side"]
    assert sorted(found(material=ply.pk)) == ["Side", "Spare"]
    assert sorted(found(words="side")) == ["Screws for the side", "Side"]
    assert found(words="side screws") == ["Screws for the side"]
    assert found(words="2") == ["Screws for the side"]
    assert found(stage="x", task="9" * 30) == []


def test_the_list_says_which_parts_cannot_be_reckoned(client, ply, make_part):
    make_part("Bare", ply)
    assert "Bare: its length and width are needed" in client.get(url("parts")).content.decode()


def lines(task="F1", **cells):
    data = {"task": task, "form-TOTAL_FORMS": "6", "form-INITIAL_FORMS": "0"}
    data |= {f"form-{n}-count": "1" for n in range(6)}
    return data | {f"form-{name.replace('_', '-', 1)}": value for name, value in cells.items()}


def two(ply):
    return {"0_name": "Frame 1", "0_material": ply.pk, "0_count": "1 pair", "0_length_mm": "980",
            "0_width_mm": "280", "0_thickness_mm": "2x9mm", "3_name": "Floor 1",
            "3_material": ply.pk, "3_length_mm": "600", "3_width_mm": "180"}  # fmt: skip


def test_several_parts_are_added_at_once_and_empty_lines_left_out(client, new, ply):
    answer = client.post(url("parts-new"), lines(**two(ply)))
    assert answer.status_code == 302
    frame, floor = Part.objects.order_by("pk")
    assert (frame.name, frame.count, frame.mirrored, frame.layers) == ("Frame 1", 2, True, 2)
    assert (floor.name, floor.count, floor.task.code) == ("Floor 1", 1, "F1")


def test_several_parts_sent_twice_are_added_once(client, new, ply):
    for _ in range(2):
        assert client.post(url("parts-new"), lines(**two(ply))).status_code == 302
    assert Part.objects.count() == 2


def test_one_bad_line_keeps_all_back_and_is_named(client, new, ply):
    cells = two(ply) | {"3_length_mm": "long"}
    answer = client.post(url("parts-new"), lines(**cells))
    page = answer.content.decode()
    assert answer.status_code == 422
    assert "Line 4, length" in page
    assert "Floor 1" in page
    assert not Part.objects.exists()


def test_the_same_part_on_two_lines_is_refused(client, new, ply):
    cells = two(ply) | {"3_name": "Frame 1"}
    answer = client.post(url("parts-new"), lines(**cells))
    assert "Line 1 has that part of that material already." in answer.content.decode()
    assert not Part.objects.exists()


def test_a_task_that_is_not_there_keeps_the_lines(client, new, ply):
    answer = client.post(url("parts-new"), lines(task="Z9", **two(ply)))
    page = answer.content.decode()
    assert answer.status_code == 422
    assert "no task “Z9”" in page
    assert "Floor 1" in page


def test_more_lines_keep_what_was_typed(client, new, ply):
    answer = client.post(url("parts-new"), lines(**two(ply)) | {"more": "yes"})
    assert answer.status_code == 200
    assert answer.context["rows"].total_form_count() == 12
    assert "Floor 1" in answer.content.decode()
    assert not Part.objects.exists()


def test_lists_take_the_same_queries_whatever_the_rows(
    same_queries, owner, build, ply, make_task, make_part
):
    def add(n):
        make_part("Side", ply, make_task(str(n)), length_mm=240, width_mm=120)

    same_queries(owner, url("parts"), add)


@pytest.mark.parametrize("name", ["part-new", "parts-new"])
def test_forms_take_the_same_queries_whatever_the_rows(same_queries, owner, build, make_task, name):
    def add(n):
        Material.objects.create(build=build, name=f"Ply {n}", kind="sheet", unit="sheet")
        make_task(str(n))

    same_queries(owner, url(name), add)
