from __future__ import annotations

import pytest
from django.urls import reverse

from tasks.models import Stage


def names() -> list[str]:
    return [stage.name for stage in Stage.objects.all()]


def test_a_stage_is_added_last(build, stage, by_planner):
    by_planner.post(reverse("stages", args=[build.slug]), {"name": "  Turning   over "})
    assert names() == ["Frames", "Turning over"]


@pytest.mark.parametrize(
    ("name", "said"),
    [("Frames", "There is a stage of that name already."), (" ", "This field is required.")],
)
def test_a_stage_that_cannot_be_is_refused(build, stage, by_planner, name, said):
    answer = by_planner.post(reverse("stages", args=[build.slug]), {"name": name})
    assert answer.status_code == 422
    assert said in answer.text
    assert names() == ["Frames"]


def test_a_stage_is_renamed_and_a_stale_name_refused(build, stage, by_planner, fields):
    address = reverse("edit-stage", args=[build.slug, stage.pk])
    sent = fields(by_planner.get(address))
    assert by_planner.post(address, sent | {"name": "Ribs"}).status_code == 302
    refused = by_planner.post(address, sent | {"name": "Bulkheads"})
    assert refused.status_code == 409
    assert "Bulkheads" in refused.text and "Ribs" in refused.text
    assert names() == ["Ribs"]


def test_stages_change_places(build, stage, by_planner):
    Stage.objects.create(build=build, name="Lofting", order=1)
    last = Stage.objects.create(build=build, name="Planking", order=1)
    move = reverse("move-stage", args=[build.slug, last.pk])
    by_planner.post(move, {"way": "up"})
    assert names() == ["Frames", "Planking", "Lofting"]
    by_planner.post(move, {"way": "down"})
    by_planner.post(move, {"way": "down"})
    assert names() == ["Frames", "Lofting", "Planking"]


def test_an_empty_stage_is_deleted_and_a_double_click_does_no_harm(build, stage, by_planner):
    address = reverse("delete-stage", args=[build.slug, stage.pk])
    by_planner.post(address)
    assert by_planner.post(address).status_code == 302
    assert names() == []


def test_a_stage_with_tasks_is_kept_and_the_page_says_why(build, make_task, stage, by_planner):
    make_task("1")
    address = reverse("delete-stage", args=[build.slug, stage.pk])
    answer = by_planner.post(address, follow=True)
    assert "Frames cannot be deleted: one task belongs to it." in answer.text
    assert names() == ["Frames"]


@pytest.mark.parametrize("count", [3, 30])
def test_the_page_asks_no_more_of_more_stages(
    build, make_task, by_planner, count, django_assert_num_queries
):
    for number in range(count):
        made = Stage.objects.create(build=build, name=f"Stage {number}", order=number)
        make_task(str(number), stage=made)
    with django_assert_num_queries(4):
        by_planner.get(reverse("stages", args=[build.slug]))
