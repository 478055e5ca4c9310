from __future__ import annotations

import pytest
from django.urls import reverse

from buildlog.journal.models import Entry
from buildlog.materials.models import Part
from tasks import acts

from .conftest import FRIDAY


@pytest.fixture
def sheet(build, owner, as_person):
    def get(task, query=""):
        response = as_person(owner).get(reverse("task", args=[build.slug, task.pk]) + query)
        return response.content.decode()

    return get


def test_it_has_the_facts_the_material_and_the_log(
    sheet, build, owner, make_task, glue_for, epoxy, in_stock
):
    task = make_task("7", 3, name="Glue the stem")
    glue_for(task)
    in_stock(epoxy, "1")
    entry = Entry.objects.create(build=build, day=FRIDAY, text="Clamped dry.", author=owner)
    entry.tasks.add(task)
    page = sheet(task)
    for words in ("Glue the stem", "Early start", "in the shed", "Epoxy", "Clamped dry."):
        assert words in page


def test_what_is_short_is_said(sheet, make_task, glue_for):
    task = make_task("7")
    glue_for(task, "0.5")
    assert "short of 0.5 kg" in sheet(task)


def test_it_offers_the_last_act_to_undo(sheet, owner, make_task):
    task = make_task("7")
    act = acts.start(task, owner, FRIDAY)
    assert reverse("undo-act", args=["tender", act.pk]) in sheet(task)


def test_a_task_that_is_not_there(as_person, owner, build):
    assert as_person(owner).get(reverse("task", args=[build.slug, 999])).status_code == 404


def test_many_parts_come_in_pages(sheet, build, make_task, epoxy):
    task = make_task("7")
    Part.objects.bulk_create(
        Part(build=build, name=f"Part {n:03}", task=task, material=epoxy, quantity=1)
        for n in range(60)
    )
    assert "Part 055" not in sheet(task)
    assert "Part 055" in sheet(task, "?parts=2")


def test_queries_do_not_grow_with_rows(build, owner, as_person, queries_of, make_task, epoxy, link):
    task = make_task("7")
    url = reverse("task", args=[build.slug, task.pk])

    def grow(start, count):
        for number in range(start, start + count):
            Part.objects.create(
                build=build, name=f"Part {number}", task=task, material=epoxy, quantity=1
            )
            entry = Entry.objects.create(build=build, day=FRIDAY, text="x", author=owner)
            entry.tasks.add(task)
            link(make_task(f"b{number}"), task)
            link(task, make_task(f"a{number}"))

    grow(0, 3)
    few = queries_of(as_person(owner), url)
    grow(3, 27)
    many = queries_of(as_person(owner), url)
    assert len(many) == len(few), "\n".join(many)
