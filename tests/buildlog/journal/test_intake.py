from __future__ import annotations

import datetime as dt
from pathlib import Path

import pytest
import time_machine
from django.core.files.uploadedfile import SimpleUploadedFile

from buildlog.background.jobs import Job, run_open_jobs
from buildlog.files.models import StoredFile
from buildlog.files.store import open_original
from buildlog.journal import intake, jobs
from buildlog.journal.intake import Outcome, Place, take_in
from buildlog.journal.models import Entry, Photo, Rendition
from tests.buildlog.journal.pictures import a_photo, encoded, noise, quarters, upload


def trace_of(settings) -> list[Path]:
    return [path for path in Path(settings.MEDIA_ROOT).rglob("*") if path.is_file()]


def test_a_photo_is_kept_untouched_and_its_sizes_asked_for(build, hand):
    file = a_photo(taken="2026:02:03 14:05:06")
    data = file.read()
    file.seek(0)
    taken = take_in(build, hand, file)

    assert taken.outcome == Outcome.NEW
    photo = Photo.objects.get()
    assert photo == taken.photo
    assert photo.person == hand
    with open_original(photo.file) as original:
        assert original.read() == data
    assert Job.objects.get().args == {"photo": photo.pk}


def test_a_camera_without_an_offset_kept_the_time_of_the_build(build, hand):
    photo = take_in(build, hand, a_photo(taken="2026:02:03 14:05:06")).photo
    assert photo.taken_at == dt.datetime(2026, 2, 3, 13, 5, 6, tzinfo=dt.UTC)  # Paris in winter
    assert photo.taken_from == Photo.TakenFrom.CAMERA
    assert photo.camera_at == photo.taken_at


def test_an_offset_of_the_camera_is_believed(build, hand):
    photo = take_in(build, hand, a_photo(taken="2026:02:03 14:05:06", offset="-05:00")).photo
    assert photo.taken_at == dt.datetime(2026, 2, 3, 19, 5, 6, tzinfo=dt.UTC)


@time_machine.travel("2026-03-01T10:00:00+00:00", tick=False)
def test_without_a_camera_time_it_is_the_time_it_came_in(build, hand):
    photo = take_in(build, hand, a_photo()).photo
    assert photo.taken_at == dt.datetime(2026, 3, 1, 10, tzinfo=dt.UTC)
    assert photo.taken_from == Photo.TakenFrom.UPLOAD
    assert photo.camera_at is None


def test_the_same_photo_again_is_recognised_and_only_placed(build, hand, make_task, stage):
    first = take_in(build, hand, a_photo("one.jpg"))
    entry = Entry.objects.create(build=build, day="2026-02-03")
    task = make_task("1")
    again = take_in(build, hand, a_photo("two.jpg"), Place(stage, (task,), entry))

    assert again.outcome == Outcome.KNOWN
    assert again.photo == first.photo
    photo = Photo.objects.get()
    assert (photo.stage, photo.entry, list(photo.tasks.all())) == (stage, entry, [task])


def test_a_known_photo_keeps_the_stage_and_entry_it_had(build, hand, stage):
    entry = Entry.objects.create(build=build, day="2026-02-03")
    take_in(build, hand, a_photo(), Place(entry=entry))
    take_in(
        build, hand, a_photo(), Place(entry=Entry.objects.create(build=build, day="2026-02-04"))
    )
    assert Photo.objects.get().entry == entry


REFUSED = [
    ("empty.jpg", b"", "empty"),
    ("receipt.jpg", b"%PDF-1.7 renamed", "It is a PDF document"),
    ("drawing.jpg", b'<svg xmlns="http://www.w3.org/2000/svg"/>', "It is an SVG drawing"),
    ("page.jpg", b"<!doctype html><script>alert(1)</script>", "It is a web page"),
    ("moving.png", encoded(quarters(), "GIF"), "It is a GIF picture"),
    ("cut.jpg", encoded(noise())[:3000], "cut short"),
    ("head-only.jpg", b"\xff\xd8\xff\xe0 and nothing more", "damaged"),
]


@pytest.mark.parametrize(("name", "data", "reason"), REFUSED)
def test_what_is_no_good_picture_is_refused_by_name_and_leaves_no_trace(
    build, hand, settings, name, data, reason
):
    taken = take_in(build, hand, SimpleUploadedFile(name, data, content_type="image/jpeg"))

    assert taken.outcome == Outcome.REFUSED
    assert taken.name == name
    assert reason in taken.reason
    assert trace_of(settings) == []
    assert not StoredFile.objects.exists()
    assert not Photo.objects.exists()
    assert not Job.objects.exists()


def test_a_photo_over_the_limit_is_refused(build, hand, settings):
    settings.PHOTO_MAX_BYTES = 1024
    taken = take_in(build, hand, upload(encoded(noise())))
    assert "larger than 0.000976562 MB" in taken.reason
    assert trace_of(settings) == []


@pytest.mark.django_db(transaction=True)
def test_a_row_that_fails_takes_original_and_job_with_it(build, hand, settings, monkeypatch):
    def fails(*args):
        raise RuntimeError("no more space")

    monkeypatch.setattr(intake, "ask_for_renditions", fails)
    with pytest.raises(RuntimeError, match="no more space"):
        take_in(build, hand, a_photo())
    assert trace_of(settings) == []
    assert not StoredFile.objects.exists()


def test_the_job_makes_three_renditions_that_are_where_they_say(build, hand, settings):
    photo = take_in(build, hand, a_photo()).photo
    run_open_jobs()

    renditions = list(photo.renditions.all())
    assert [r.long_side for r in renditions] == [320, 800, 1600]
    for rendition in renditions:
        path = Path(settings.MEDIA_ROOT) / rendition.path
        assert path.stat().st_size == rendition.size
    assert Job.objects.get().state == Job.State.DONE


def test_running_the_job_again_makes_nothing_new(build, hand):
    photo = take_in(build, hand, a_photo()).photo
    run_open_jobs()
    before = list(Rendition.objects.values())
    intake.ask_for_renditions(photo)
    run_open_jobs()
    assert list(Rendition.objects.values()) == before


def test_a_lost_original_ends_the_job_with_a_reason(build, hand, settings):
    photo = take_in(build, hand, a_photo("keel.jpg")).photo
    (Path(settings.MEDIA_ROOT) / photo.file.path).unlink()
    run_open_jobs()
    job = Job.objects.get()
    assert job.state == Job.State.FAILED
    assert "The original of “keel.jpg” is not in its place." in job.error


def test_a_photo_deleted_before_its_job_is_no_error(build, hand):
    take_in(build, hand, a_photo()).photo.delete()
    run_open_jobs()
    assert Job.objects.get().state == Job.State.DONE


def test_a_photo_turned_while_it_is_made_does_not_keep_the_old_way(build, hand, settings):
    photo = take_in(build, hand, a_photo()).photo
    job = Job.objects.take(photo.made_at + dt.timedelta(minutes=1))
    stale = Photo.objects.get(pk=photo.pk)
    Photo.objects.filter(pk=photo.pk).update(turned=1)
    made = next(
        iter(jobs.make_renditions(Path(settings.MEDIA_ROOT) / photo.file.path, "image/jpeg"))
    )
    jobs.keep_rendition(job, stale, made)

    assert not Rendition.objects.exists()
    assert list((Path(settings.MEDIA_ROOT) / "renditions").rglob("*.webp")) == []
