from __future__ import annotations

import datetime as dt
from pathlib import Path

import pytest
from django.urls import reverse
from django.utils import timezone

from buildlog.background.jobs import Job, run_open_jobs
from buildlog.files.models import StoredFile
from buildlog.journal.intake import take_in
from buildlog.journal.models import Photo, Rendition
from buildlog.supporters.models import Showing
from tests.buildlog.journal.pictures import a_photo, encoded, noise, upload

JSON = {"accept": "application/json"}


def at(hour: int, day: int = 7) -> dt.datetime:
    return dt.datetime(2026, 2, day, hour, tzinfo=dt.UTC)


class TestUpload:
    @pytest.fixture
    def url(self, build):
        return reverse("photos-add", args=[build.slug])

    def test_many_at_once_are_each_answered_by_name(self, hand, url, as_person, make_task):
        make_task("4.2")
        files = [a_photo("one.jpg", 1), a_photo("again.jpg", 1), upload(b"%PDF-1.7", "bill.jpg")]
        response = as_person(hand).post(url, {"photos": files, "more": "4.2"})

        page = " ".join(response.content.decode().split())
        assert response.status_code == 422
        assert "one.jpg</a></strong> <span>taken in" in page
        assert "again.jpg</a></strong> <span>the same photo is here already" in page
        assert "bill.jpg</strong> <span>refused: It is a PDF document" in page
        assert [t.code for t in Photo.objects.get().tasks.all()] == ["4.2"]

    def test_a_wrong_place_does_not_lose_the_photos(self, hand, url, as_person):
        response = as_person(hand).post(url, {"photos": [a_photo()], "more": "9.9"})
        assert response.status_code == 422
        assert "There is no task 9.9" in response.content.decode()
        assert Photo.objects.count() == 1

    def test_a_season_of_photos_fits_in_one_plain_form(self, hand, url, as_person):
        response = as_person(hand).post(url, {"photos": [a_photo(seed=n % 3) for n in range(110)]})
        assert response.status_code == 200
        assert len(response.context["taken"]) == 110
        assert Photo.objects.count() == 3

    def test_no_file_is_said(self, hand, url, as_person):
        response = as_person(hand).post(url, {})
        assert response.status_code == 422
        assert "Choose at least one" in response.content.decode()

    @pytest.mark.parametrize(
        ("file", "status", "outcome"),
        [(a_photo, 201, "new"), (lambda: upload(encoded(noise())[:900]), 422, "refused")],
    )
    def test_the_script_sends_one_and_gets_one_answer(
        self, hand, url, as_person, file, status, outcome
    ):
        response = as_person(hand).post(url, {"photos": [file()]}, headers=JSON)
        assert response.status_code == status
        assert response.json()["outcome"] == outcome
        assert response.json()["name"] == "IMG_0001.jpg"

    def test_a_resent_photo_is_known_and_no_error(self, hand, url, as_person):
        client = as_person(hand)
        first = client.post(url, {"photos": [a_photo()]}, headers=JSON).json()
        again = client.post(url, {"photos": [a_photo()]}, headers=JSON)
        assert (again.status_code, again.json()["outcome"]) == (200, "known")
        assert again.json()["url"] == first["url"]

    def test_the_script_is_told_of_a_wrong_place_before_anything_is_kept(
        self, hand, url, as_person
    ):
        response = as_person(hand).post(url, {"photos": [a_photo()], "more": "9.9"}, headers=JSON)
        assert response.status_code == 422
        assert "There is no task 9.9" in response.json()["errors"][0]
        assert not Photo.objects.exists()

    def test_it_goes_into_the_entry_of_the_address(self, build, hand, url, as_person, make_entry):
        entry = make_entry()
        as_person(hand).post(f"{url}?entry={entry.pk}", {"photos": [a_photo()]})
        assert Photo.objects.get().entry == entry

    def test_an_entry_of_another_build_is_not_there(self, hand, url, as_person):
        assert as_person(hand).get(f"{url}?entry=999").status_code == 404


class TestGallery:
    @pytest.fixture
    def shown(self, build, owner, as_person):
        def names(**asked):
            response = as_person(owner).get(reverse("photos", args=[build.slug]), asked)
            return [photo.caption for photo in response.context["photos"]]

        return names

    @pytest.fixture(autouse=True)
    def photos(self, make_photo, make_task, make_entry, stage):
        task = make_task("5.1")
        make_photo(1, caption="hung", taken_at=at(9), ready=False).tasks.add(task)
        make_photo(2, caption="by stage", taken_at=at(10), ready=False, stage=stage)
        make_photo(3, caption="in entry", taken_at=at(11), ready=False,
                   entry=make_entry(tasks=[task]))  # fmt: skip
        make_photo(4, caption="elsewhere", taken_at=dt.datetime(2026, 1, 31, 23, 30, tzinfo=dt.UTC),
                   ready=False)  # fmt: skip

    def test_all_the_newest_first(self, shown):
        assert shown() == ["in entry", "by stage", "hung", "elsewhere"]

    def test_of_a_task_or_of_its_entries(self, shown):
        assert shown(task="5.1") == ["in entry", "hung"]

    def test_of_a_stage_or_of_its_tasks(self, shown, stage):
        assert shown(stage=stage.pk) == ["in entry", "by stage", "hung"]

    def test_of_a_month_by_the_clock_of_the_build(self, shown):
        assert "elsewhere" in shown(month="2026-02")  # half past midnight on 1 February in Paris

    def test_asked_badly_it_shows_all(self, shown):
        assert len(shown(month="soon", task="99", stage="x")) == 4


def test_pictures_not_made_yet_keep_their_place_and_come_when_made(
    build, owner, as_person, make_photo
):
    photo = make_photo(ready=False)
    client = as_person(owner)
    gallery = client.get(reverse("photos", args=[build.slug])).content.decode()
    assert "being made ready" in gallery
    assert f"{reverse('photos-waiting', args=[build.slug])}?photo={photo.pk}" in gallery

    run_open_jobs()
    url = reverse("photos-waiting", args=[build.slug])
    answer = client.get(url, {"photo": photo.pk}).content.decode()
    assert 'hx-swap-oob="true"' in answer
    assert ".webp" in answer
    assert "hx-get" not in answer


def test_a_picture_that_cannot_be_made_says_why_and_can_be_tried_again(
    build, owner, as_person, make_photo, settings
):
    photo = make_photo(ready=False)
    path = Path(settings.MEDIA_ROOT) / photo.file.path
    data = path.read_bytes()
    path.unlink()
    run_open_jobs()
    client = as_person(owner)
    page = client.get(photo.get_absolute_url()).content.decode()
    assert "is not in its place" in page

    path.write_bytes(data)
    client.post(reverse("photo-again", args=[build.slug, photo.pk]))
    run_open_jobs()
    assert Photo.objects.get().is_ready


def test_a_rendition_is_sent_for_long_and_only_under_its_own_hash(
    build, owner, as_person, make_photo
):
    photo = make_photo()
    made = photo.renditions.get(long_side=320)
    client = as_person(owner)
    response = client.get(reverse("photo-rendition", args=[build.slug, photo.pk, 320, made.sha256]))
    assert b"".join(response.streaming_content)[:4] == b"RIFF"
    assert response["Content-Type"] == "image/webp"
    assert response["Cache-Control"] == "private, max-age=31536000, immutable"
    assert "sandbox" in response["Content-Security-Policy"]
    wrong = reverse("photo-rendition", args=[build.slug, photo.pk, 320, "0" * 64])
    assert client.get(wrong).status_code == 404


def test_an_original_is_saved_never_shown(build, hand, as_person, make_photo):
    photo = make_photo()
    response = as_person(hand).get(reverse("photo-original", args=[build.slug, photo.pk]))
    assert response["Content-Disposition"].startswith("attachment")
    assert len(b"".join(response.streaming_content)) == photo.file.size


class TestOnePhoto:
    @pytest.fixture
    def send(self, owner, as_person):
        """Send the photo's form as it stands in one window, with changes."""

        def open_window(photo):
            client = as_person(owner)
            form = client.get(photo.get_absolute_url()).context["form"]
            data = {}
            for field in form:
                with timezone.override(photo.build.zone):  # as the page was rendered
                    value = field.value()
                data[field.html_name] = "" if value is None else value
                if field.field.show_hidden_initial:
                    data[field.html_initial_name] = data[field.html_name]
            data.setdefault("near", [])
            return lambda **more: client.post(photo.get_absolute_url(), data | more)

        return open_window

    def test_its_words_and_place_are_changed(self, make_photo, make_task, stage, send):
        photo = make_photo()
        make_task("6.1")
        assert send(photo)(caption="Keel bolts", more="6.1", stage=stage.pk).status_code == 302
        photo.refresh_from_db()
        assert (photo.caption, photo.stage) == ("Keel bolts", stage)
        assert [t.code for t in photo.tasks.all()] == ["6.1"]

    def test_two_windows_changing_different_things_lose_neither(self, make_photo, send, stage):
        photo = make_photo()
        one, two = send(photo), send(photo)
        one(caption="From one")
        two(stage=stage.pk)
        photo.refresh_from_db()
        assert (photo.caption, photo.stage) == ("From one", stage)

    def test_a_corrected_time_is_the_builders_and_the_camera_is_remembered(self, build, hand, send):
        photo = take_in(build, hand, a_photo(taken="2026:02:03 14:05:06")).photo
        send(photo)(taken_at="2026-02-03T15:05:06")
        photo.refresh_from_db()
        assert photo.taken_at == dt.datetime(2026, 2, 3, 14, 5, 6, tzinfo=dt.UTC)
        assert photo.taken_from == Photo.TakenFrom.BUILDER
        assert photo.camera_at == dt.datetime(2026, 2, 3, 13, 5, 6, tzinfo=dt.UTC)
        send(photo)(taken_at="2026-02-03T14:05:06")
        photo.refresh_from_db()
        assert photo.taken_from == Photo.TakenFrom.CAMERA

    @pytest.mark.parametrize("hour", ["00:30", "01:30"])
    def test_saving_untouched_keeps_a_time_in_the_hour_told_twice(self, make_photo, send, hour):
        moment = dt.datetime.fromisoformat(f"2026-10-25T{hour}:00+00:00")  # both are 02:30 in Paris
        photo = make_photo(taken_at=moment)
        assert send(photo)(caption="x").status_code == 302
        photo.refresh_from_db()
        assert photo.taken_at == moment

    @pytest.mark.parametrize("moment", ["soon", "2026-02-31T10:00", "0001-01-01T00:00", ""])
    def test_a_time_that_is_none_is_refused_and_the_words_kept(self, make_photo, send, moment):
        response = send(make_photo())(taken_at=moment, caption="Typed")
        assert response.status_code == 422
        assert "Typed" in response.content.decode()

    def test_it_knows_its_neighbours(self, build, owner, as_person, make_photo):
        photos = [make_photo(n, taken_at=at(9 + n), ready=False) for n in range(3)]
        context = as_person(owner).get(photos[1].get_absolute_url()).context
        assert (context["earlier"], context["later"]) == (photos[0], photos[2])

    def test_turning_makes_its_pictures_anew(self, build, owner, as_person, make_photo):
        photo = make_photo()
        before = photo.renditions.get(long_side=320)
        as_person(owner).post(reverse("photo-turn", args=[build.slug, photo.pk]), {"way": "left"})
        run_open_jobs()
        photo.refresh_from_db()
        after = photo.renditions.get(long_side=320)
        assert photo.turned == 3
        assert (photo.width, photo.height) == (60, 80)
        assert (after.width, after.height) == (before.height, before.width)


class TestDeleting:
    def test_nothing_of_it_is_left(
        self, build, owner, as_person, make_photo, settings, django_capture_on_commit_callbacks
    ):
        photo = make_photo()
        with django_capture_on_commit_callbacks(execute=True):
            as_person(owner).post(reverse("photo-delete", args=[build.slug, photo.pk]))
        assert not Photo.objects.exists()
        assert not StoredFile.objects.exists()
        assert not Rendition.objects.exists()
        assert [p for p in Path(settings.MEDIA_ROOT).rglob("*") if p.is_file()] == []

    def test_one_that_is_shown_is_taken_back_first(self, build, owner, as_person, make_photo):
        photo = make_photo()
        Showing.objects.create(build=build, photo=photo, shown=True, by=owner, at=at(9))
        url = reverse("photo-delete", args=[build.slug, photo.pk])
        client = as_person(owner)
        assert "It is taken back first." in client.get(url).content.decode()
        client.post(url)
        assert not Photo.objects.exists()

    def test_one_that_is_shown_is_not_a_planners_to_delete(
        self, build, owner, planner, as_person, make_photo
    ):
        photo = make_photo()
        Showing.objects.create(build=build, photo=photo, shown=True, by=owner, at=at(9))
        client = as_person(planner)
        response = client.post(reverse("photo-delete", args=[build.slug, photo.pk]), follow=True)
        assert "Ask the owner to take it back" in response.content.decode()
        assert Photo.objects.exists()


class TestSeveral:
    @pytest.fixture
    def photos(self, make_photo):
        return [make_photo(n, taken_at=at(9 + n), ready=False) for n in range(3)]

    @pytest.fixture
    def chosen(self, photos):
        return ",".join(str(photo.pk) for photo in photos[:2])

    def test_a_wrong_clock_is_corrected_for_all_and_undone(
        self, build, owner, as_person, photos, chosen
    ):
        client = as_person(owner)
        data = {"photos": chosen, "first_at": at(9).isoformat(), "really_at": "2026-02-08T11:00"}
        page = client.post(reverse("photos-shift", args=[build.slug]), data, follow=True)
        assert "2 photos were moved by 1 day 1 h later." in page.content.decode()
        times = list(Photo.objects.order_by("pk").values_list("taken_at", flat=True))
        assert times == [at(10, 8), at(11, 8), at(11)]

        [message] = page.context["messages"]
        client.post(message.extra_tags.removeprefix("undo="))
        times = list(Photo.objects.order_by("pk").values_list("taken_at", flat=True))
        assert times == [at(9), at(10), at(11)]

    def test_a_double_click_moves_them_once(self, build, owner, as_person, photos, chosen):
        client = as_person(owner)
        data = {"photos": chosen, "first_at": at(9).isoformat(), "really_at": "2026-02-07T11:00"}
        for _ in range(2):
            page = client.post(reverse("photos-shift", args=[build.slug]), data, follow=True)
        assert "changed meanwhile, so nothing was moved" in page.content.decode()
        assert Photo.objects.order_by("pk").first().taken_at == at(10)

    def test_the_same_time_is_no_correction(self, build, owner, as_person, photos, chosen):
        data = {"photos": chosen, "first_at": at(9).isoformat(), "really_at": "2026-02-07T10:00"}
        response = as_person(owner).post(reverse("photos-shift", args=[build.slug]), data)
        assert response.status_code == 422
        assert "That is the time it has already." in response.content.decode()

    def test_they_are_hung_on_a_task_together(
        self, build, owner, as_person, photos, chosen, make_task, stage
    ):
        task = make_task("7.1")
        data = {"photos": chosen, "more": "7.1", "stage": stage.pk}
        as_person(owner).post(reverse("photos-place", args=[build.slug]), data)
        assert set(task.photos.all()) == set(photos[:2])
        assert Photo.objects.filter(stage=stage).count() == 2

    def test_others_photos_stay_as_they_are_for_a_hand(
        self, build, hand, as_person, photos, chosen, make_photo, make_task
    ):
        own = make_photo(8, person=hand, ready=False)
        make_task("7.1")
        client = as_person(hand)
        url = reverse("photos-chosen", args=[build.slug])
        asked = {"photo": [own.pk, photos[0].pk]}
        assert "1 photo to change" in client.get(url, asked).content.decode()
        data = {"photos": f"{own.pk},{chosen}", "more": "7.1"}
        client.post(reverse("photos-place", args=[build.slug]), data)
        assert [p.pk for p in Photo.objects.filter(tasks__code="7.1")] == [own.pk]

    def test_photos_of_another_build_are_never_among_them(
        self, stranger, as_person, photos, chosen
    ):
        data = {"photos": chosen, "first_at": at(9).isoformat(), "really_at": "2026-02-07T12:00"}
        as_person(stranger).post(reverse("photos-shift", args=["other"]), data)
        assert Photo.objects.order_by("pk").first().taken_at == at(9)

    def test_none_chosen_leads_back(self, build, owner, as_person, photos):
        response = as_person(owner).get(reverse("photos-chosen", args=[build.slug]), follow=True)
        assert "Choose at least one photo" in response.content.decode()

    def test_all_that_fit_the_filter_may_be_chosen(self, build, owner, as_person, photos):
        url = reverse("photos-chosen", args=[build.slug])
        page = as_person(owner).get(url, {"all": "yes", "month": "2026-02"}).content.decode()
        assert "3 photos to change" in page

    @pytest.mark.parametrize("query", ["", "seconds=x&first_at=y", "seconds=1&photos=1"])
    def test_an_undo_that_is_none_is_said(self, build, owner, as_person, query):
        url = reverse("photos-shift-back", args=[build.slug])
        response = as_person(owner).post(f"{url}?{query}", follow=True)
        assert response.status_code == 200
        assert Job.objects.count() == 0
