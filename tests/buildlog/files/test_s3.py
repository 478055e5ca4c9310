"""The same with the files in an S3-like store (`moto` stands in for one, within the process)."""

from __future__ import annotations

import datetime as dt

import boto3
import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import TestCase
from django.urls import reverse
from moto import mock_aws

from buildlog.background.jobs import run_open_jobs
from buildlog.demo.pictures import photo
from buildlog.files.store import open_original
from buildlog.journal.intake import Outcome, take_in
from buildlog.journal.models import Photo
from buildlog.keep import verify

BUCKET = "boat"
NOON = dt.datetime(2026, 3, 7, 12, tzinfo=dt.UTC)


@pytest.fixture(autouse=True)
def bucket(settings, monkeypatch):
    """A bucket, and the settings that `BUILDLOG_S3_BUCKET` and its fellows make."""
    monkeypatch.setenv("AWS_ACCESS_KEY_ID", "testing")
    monkeypatch.setenv("AWS_SECRET_ACCESS_KEY", "testing")
    with mock_aws():
        client = boto3.client("s3", region_name="us-east-1")
        client.create_bucket(Bucket=BUCKET)
        options = settings.S3 | {"bucket_name": BUCKET, "region_name": "us-east-1"}
        settings.STORAGES = settings.STORAGES | {
            "default": {"BACKEND": "storages.backends.s3.S3Storage", "OPTIONS": options}
        }
        yield client
        client.close()


@pytest.fixture
def data() -> bytes:
    return photo("frames", 0.5, 1, NOON)


@pytest.fixture
def taken(build, owner, data) -> Photo:
    with TestCase.captureOnCommitCallbacks(execute=True):
        sent = take_in(build, owner, SimpleUploadedFile("frame.jpg", data, "image/jpeg"))
    run_open_jobs()
    return Photo.objects.get(pk=sent.photo.pk)


def keys(client) -> set[str]:
    return {row["Key"] for row in client.list_objects_v2(Bucket=BUCKET).get("Contents", ())}


def test_photo_is_kept_there_with_its_renditions_and_shown(bucket, as_person, owner, taken, data):
    assert taken.file.path in keys(bucket)
    assert {rendition.path for rendition in taken.renditions.all()} < keys(bucket)
    with open_original(taken.file) as kept:
        assert kept.read() == data
    client = as_person(owner)
    original = client.get(reverse("photo-original", args=["tender", taken.pk]))
    assert b"".join(original.streaming_content) == data


def test_same_photo_again_is_known_and_a_bad_one_leaves_nothing(bucket, build, owner, taken, data):
    before = keys(bucket)
    again = take_in(build, owner, SimpleUploadedFile("again.jpg", data, "image/jpeg"))
    assert again.outcome == Outcome.KNOWN
    bad = take_in(build, owner, SimpleUploadedFile("bad.jpg", data[:500], "image/jpeg"))
    assert bad.outcome == Outcome.REFUSED
    assert keys(bucket) == before


def test_what_is_missing_or_changed_is_found(bucket, taken):
    assert verify.verify(NOON).fine
    bucket.put_object(Bucket=BUCKET, Key=taken.file.path, Body=b"something else")
    assert [kept.path for kept in verify.verify(NOON).changed] == [taken.file.path]
    bucket.delete_object(Bucket=BUCKET, Key=taken.file.path)
    assert [kept.path for kept in verify.verify(NOON).missing] == [taken.file.path]


def test_deleted_photo_leaves_the_bucket(bucket, as_person, owner, taken):
    with TestCase.captureOnCommitCallbacks(execute=True):
        as_person(owner).post(reverse("photo-delete", args=["tender", taken.pk]))
    assert not Photo.objects.exists()
    assert keys(bucket) == set()
