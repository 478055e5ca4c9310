"""A build goes with all that belongs to it, and only when its owner has typed its name."""

from __future__ import annotations

import pytest
from django.apps import apps
from django.urls import reverse

from buildlog.demo.load import load
from tasks.models import Build


def rows_of(build: Build) -> dict[str, int]:
    return {
        model._meta.label: model._default_manager.filter(build=build.pk).count()
        for model in apps.get_models()
        if any(
            field.related_model is Build and field.name == "build" for field in model._meta.fields
        )
    }


@pytest.mark.django_db(transaction=True)
def test_a_whole_build_goes_with_its_files(as_person, stranger, a_data_folder):
    build, _ = load(stranger)
    full = rows_of(build)
    assert sum(full.values()) > 500
    files = a_data_folder / "files"
    assert any(path.is_file() for path in files.rglob("*"))
    client = as_person(stranger)
    address = reverse("delete-build", args=[build.slug])
    assert "85 tasks" in client.get(address).text
    refused = client.post(address, {"name": "Tender"})
    assert refused.status_code == 422 and "Nothing is deleted" in refused.text
    assert rows_of(build) == full
    assert client.post(address, {"name": " marram "}).status_code == 302
    assert {label: count for label, count in rows_of(build).items() if count} == {}
    assert not Build.objects.filter(pk=build.pk).exists()
    assert not any(path.is_file() for path in files.rglob("*"))
    assert client.post(address, {"name": "marram"}).status_code == 404


def test_only_the_owner_may(build, as_person, planner, hand, stranger):
    address = reverse("delete-build", args=[build.slug])
    for person, status in ((planner, 403), (hand, 403), (stranger, 404)):
        client = as_person(person)
        assert client.get(address).status_code == status
        assert client.post(address, {"name": build.name}).status_code == status
    assert Build.objects.filter(pk=build.pk).exists()
