from __future__ import annotations

import datetime as dt
import re

import pytest
import time_machine
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from django.utils import timezone

from buildlog.supporters.models import Contribution
from tasks.models import Stage, Work

NOW = "2026-03-07 10:00:00+00:00"


def text(answer):
    return answer.content.decode()


class TestTheSwitch:
    def test_off_and_unknown_are_the_same_404(self, client, page, url):
        off = client.get(url(page))
        unknown = client.get("/p/nobody-has-this/")
        assert off.status_code == unknown.status_code == 404
        assert off.content == unknown.content
        assert off.headers == unknown.headers

    def test_on_then_off_again(self, client, page, url, show, take_back):
        show(page)
        assert client.get(url(page)).status_code == 200
        take_back(page)
        assert client.get(url(page)).status_code == 404

    def test_every_address_of_it_is_closed_with_it(
        self, client, page, url, show, take_back, make_photo, make_update
    ):
        photo = make_photo()
        row = make_update(photos=[photo])
        show(photo, row)
        addresses = [
            url(page), url(page, "feed"), url(page, "updates"), url(page, "update", row.pk),
            url(page, "photos"), url(page, "photo", photo.pk),
            url(page, "photo-file", photo.pk, 320),
        ]  # fmt: skip
        for status in (404, 200, 404):
            for address in addresses:
                assert client.get(address).status_code == status, address
            (show if status == 404 else take_back)(page)

    def test_a_new_address_closes_the_old(self, client, as_person, owner, build, open_page, url):
        old = url(open_page)
        as_person(owner).post(reverse("new-address", args=[build.slug]), {"address": "Marlin 26"})
        open_page.refresh_from_db()
        assert open_page.address == "marlin-26"
        assert client.get(old).status_code == 404
        assert client.get("/p/marlin-26/").status_code == 200

    @pytest.mark.parametrize("method", ["post", "put", "delete", "patch"])
    def test_it_only_tells(self, page, open_page, url, method):
        for address in (url(open_page), "/p/unknown/"):
            assert getattr(Client(), method)(address).status_code == 405


class TestWhatIsOnIt:
    def test_updates_shown_and_no_others(self, client, open_page, url, make_update, show):
        show(make_update("Told"))
        make_update("Untold")
        body = text(client.get(url(open_page)))
        assert "Told" in body
        assert "They <strong>lie</strong> fair." in body
        assert "Untold" not in body

    def test_photos_shown_with_their_copies(self, client, open_page, url, make_photo, show):
        shown, hidden = make_photo("Stem, dry fit"), make_photo("PRIVATE caption")
        show(shown)
        body = text(client.get(url(open_page)))
        assert 'alt="Stem, dry fit"' in body
        for side in (320, 800, 1600):
            assert f"{url(open_page, 'photo-file', shown.pk, side)} {side}w" in body
        assert f"/photos/{hidden.pk}/" not in body
        assert "PRIVATE" not in body

    def test_a_photo_without_copies_waits(self, client, open_page, url, make_photo, show):
        photo = make_photo("Soon", copies=())
        show(photo)
        assert "Soon" not in text(client.get(url(open_page)))
        assert client.get(url(open_page, "photo", photo.pk)).status_code == 404

    def test_thanks_only_those_who_agreed_as_they_wish(
        self, client, open_page, url, make_supporter
    ):
        make_supporter("Zora Zander")
        make_supporter("Ann Private", shown_as="A. P.", email="ann@mail.example", notes="PRIVATE")
        make_supporter("Ben Nobody", agreed=False, shown_as="Benny")
        make_supporter("  Cleo  ", shown_as="   ")
        body = text(client.get(url(open_page)))
        names = re.search(r'<ul class="names">(.*?)</ul>', body, re.DOTALL)[1]
        assert re.findall(r"<li>\s*(.*?)\s*</li>", names) == ["Cleo", "A. P.", "Zora Zander"]
        for word in ("Ann Private", "Ben", "ann@mail", "PRIVATE"):
            assert word not in body

    def test_no_amount_ever(self, client, open_page, url, make_supporter):
        row = make_supporter("Zora")
        Contribution.objects.create(supporter=row, day=dt.date(2026, 1, 2), amount=4711)
        assert "4711" not in text(client.get(url(open_page)))
        assert "4,711" not in text(client.get(url(open_page)))

    @time_machine.travel(NOW, tick=False)
    def test_progress_by_stage(self, client, build, open_page, url, make_task):
        past = timezone.now() - dt.timedelta(days=2)
        make_task("1", 3, started_at=past, finished_at=past, name="Loft her")
        make_task("2", 1, name="Set up frames")
        sole = Stage.objects.create(build=build, name="Cockpit", order=2)
        make_task("3", 4, stage=sole, name="Sole")
        body = text(client.get(url(open_page)))
        assert re.search(r"Frames</span>\s*<span class=\"far\">75 %", body)
        assert re.search(r"Cockpit</span>\s*<span class=\"far\">to come", body)
        assert "The boat, 38 % done" in body  # 3 of 8 hours
        for name in ("Loft her", "Set up frames", "Sole"):
            assert name in body

    def test_task_names_only_as_ticked(self, client, build, open_page, url, make_task):
        make_task("1", name="PRIVATE task", notes="PRIVATE")
        open_page.shows_task_names = False
        open_page.save()
        body = text(client.get(url(open_page)))
        assert "Frames" in body
        assert "PRIVATE" not in body
        open_page.shows_tasks = False
        open_page.save()
        body = text(client.get(url(open_page)))
        assert "Frames" not in body
        assert "<svg" not in body

    def test_hours_only_as_ticked(self, client, build, open_page, url, hand):
        Work.objects.create(build=build, person=hand, who="Hanna", day=NOW[:10], minutes=605)
        body = text(client.get(url(open_page)))
        assert "<strong>10</strong> hours" in body
        assert "Hanna" not in body
        open_page.shows_hours = False
        open_page.save()
        assert "hours" not in text(client.get(url(open_page)))

    def test_names_only_as_ticked(self, client, open_page, url, make_supporter):
        make_supporter("Zora")
        open_page.shows_names = False
        open_page.save()
        assert "Zora" not in text(client.get(url(open_page)))

    def test_nobody_of_the_crew_is_named(self, client, open_page, url, owner, make_update, show):
        show(make_update())
        for name in ("page", "feed", "updates"):
            body = text(client.get(url(open_page, name)))
            assert owner.name not in body
            assert owner.username not in body

    def test_text_cannot_break_out(self, client, open_page, url, make_update, make_photo, show):
        evil = '"><script>alert(1)</script>'
        photo = make_photo(evil)
        show(make_update(evil, text=evil, photos=[photo]), photo)
        open_page.intro = open_page.signed_as = evil
        open_page.save()
        for name in ("page", "updates", "photos"):
            assert "<script" not in text(client.get(url(open_page, name)))

    def test_older_updates_have_pages_of_their_own(self, client, open_page, url, make_update, show):
        rows = [make_update(f"Number {n}", day=dt.date(2026, 1, n)) for n in range(1, 7)]
        show(*rows)
        body = text(client.get(url(open_page)))
        assert "Number 6" in body
        assert "Number 3" not in body
        listed = text(client.get(url(open_page, "updates")))
        assert url(open_page, "update", rows[0].pk) in listed
        assert "Number 1" in text(client.get(url(open_page, "update", rows[0].pk)))

    def test_an_update_not_shown_is_not_there(self, client, open_page, url, make_update):
        assert client.get(url(open_page, "update", make_update().pk)).status_code == 404


class TestPhotoFiles:
    def test_a_shown_copy_is_served(self, client, open_page, url, make_photo, show):
        photo = make_photo()
        show(photo)
        answer = client.get(url(open_page, "photo-file", photo.pk, 320))
        assert answer.status_code == 200
        assert answer["Content-Type"] == "image/webp"
        assert b"".join(answer.streaming_content).startswith(b"RIFF")

    def test_others_are_not(self, client, open_page, url, make_photo, make_update, stranger, show):
        hidden, waiting = make_photo(), make_photo(copies=())
        in_draft = make_photo()
        make_update(photos=[in_draft])
        show(waiting)
        for pk in (hidden.pk, waiting.pk, in_draft.pk, 10**9):
            assert client.get(url(open_page, "photo-file", pk, 320)).status_code == 404

    def test_no_other_size_and_no_original(self, client, open_page, url, make_photo, show):
        photo = make_photo()
        show(photo)
        assert client.get(url(open_page, "photo-file", photo.pk, 4000)).status_code == 404

    def test_a_photo_of_another_build_is_not(
        self, client, open_page, url, make_photo, show, stranger
    ):
        photo = make_photo()
        show(photo)
        photo.build = stranger.crew_of.get().build
        photo.save()
        assert client.get(url(open_page, "photo-file", photo.pk, 320)).status_code == 404

    def test_taking_back_takes_effect_at_once_even_for_who_has_a_copy(
        self, client, open_page, url, make_photo, show, take_back
    ):
        photo = make_photo()
        show(photo)
        address = url(open_page, "photo-file", photo.pk, 320)
        tag = client.get(address)["ETag"]
        again = client.get(address, headers={"if-none-match": tag})
        assert (again.status_code, again.content) == (304, b"")
        take_back(photo)
        assert client.get(address, headers={"if-none-match": tag}).status_code == 404

    def test_a_lost_file_is_404(self, client, open_page, url, make_photo, show):
        photo = make_photo()
        show(photo)
        photo.renditions.update(path="renditions/gone.webp")
        assert client.get(url(open_page, "photo-file", photo.pk, 320)).status_code == 404


class TestHeaders:
    @pytest.fixture
    def answers(self, client, open_page, url, make_photo, make_update, show):
        photo = make_photo()
        row = make_update(photos=[photo])
        show(photo, row)
        names = [
            ("page",), ("feed",), ("updates",), ("update", row.pk), ("photos",),
            ("photo", photo.pk), ("photo-file", photo.pk, 320),
        ]  # fmt: skip
        return lambda: [client.get(url(open_page, *name)) for name in names]

    def test_no_cookie_no_referrer_and_asked_for_again(self, answers):
        for answer in answers():
            assert not answer.cookies
            assert answer["Referrer-Policy"] == "no-referrer"
            assert answer["Cache-Control"] == "no-cache, must-revalidate"
            assert answer["ETag"]

    def test_unguessable_is_kept_out_of_search(self, answers, open_page):
        for answer in answers():
            assert answer["X-Robots-Tag"] == "noindex, nofollow"
        open_page.unguessable = False
        open_page.save()
        for answer in answers():
            assert "X-Robots-Tag" not in answer

    def test_nothing_changed_costs_nothing(self, client, open_page, url, make_update, show):
        show(make_update())
        for name in ("page", "feed"):
            address = url(open_page, name)
            tag = client.get(address)["ETag"]
            again = client.get(address, headers={"if-none-match": tag})
            assert (again.status_code, again.content) == (304, b"")
            assert again["Cache-Control"] == "no-cache, must-revalidate"

    def test_a_date_alone_never_says_unchanged(self, client, open_page, url, make_update, show):
        """A deleted row leaves no date behind."""
        row = make_update()
        show(row)
        since = client.get(url(open_page, "feed"))["Last-Modified"]
        row.delete()
        answer = client.get(url(open_page, "feed"), headers={"if-modified-since": since})
        assert answer.status_code == 200
        assert "Ribbands" not in text(answer)

    def test_no_link_leads_to_another_site_or_into_the_build(
        self, client, open_page, url, make_update, show
    ):
        show(make_update())
        for address in re.findall(r'(?:href|src)="([^"]+)"', text(client.get(url(open_page)))):
            assert address.startswith((f"/p/{open_page.address}/", "/static/", "#")), address


class TestPreview:
    def test_shows_what_outsiders_would_see(
        self, client, as_person, owner, build, page, url, make_photo, make_update, show,
        make_supporter,
    ):  # fmt: skip
        photo = make_photo("Stem")
        show(photo, make_update("Told", photos=[photo]))
        make_update("Untold")
        make_supporter("Zora")
        preview = text(as_person(owner).get(reverse("preview:page", args=[build.slug])))
        assert client.get(url(page)).status_code == 404
        show(page)
        public = text(client.get(url(page)))

        def main(body):
            body = re.search(r"<main.*</main>", body, re.DOTALL)[0]
            return body.replace(f"/b/{build.slug}/supporters/page/preview/", f"/p/{page.address}/")

        assert main(preview) == main(public)

    def test_its_photos_can_be_seen_while_the_page_is_off(
        self, as_person, owner, build, page, make_photo, show
    ):
        shown, hidden = make_photo(), make_photo()
        show(shown)
        client = as_person(owner)
        for photo, status in ((shown, 200), (hidden, 404)):
            address = reverse("preview:photo-file", args=[build.slug, photo.pk, 320])
            answer = client.get(address)
            assert answer.status_code == status
        assert client.get(reverse("preview:feed", args=[build.slug])).status_code == 200

    def test_it_is_kept_nowhere(self, as_person, owner, build, page):
        answer = as_person(owner).get(reverse("preview:page", args=[build.slug]))
        assert answer["Cache-Control"] == "private, no-store"

    def test_it_is_the_owners_alone(self, as_person, planner, stranger, build, page):
        address = reverse("preview:page", args=[build.slug])
        assert as_person(planner).get(address).status_code == 403
        assert as_person(stranger).get(address).status_code == 404
        assert Client().get(address).status_code == 302


def test_query_counts_do_not_grow(
    client, build, open_page, url, make_update, make_photo, make_supporter, make_task, show
):
    counts = []
    for start, end in ((0, 3), (3, 30)):
        for n in range(start, end):
            photo = make_photo(f"p{n}")
            show(photo, make_update(f"u{n}", photos=[photo, make_photo()]))
            make_supporter(f"s{n}")
            make_task(f"t{n}")
        build.touch_plan()
        row = build.updates.first()
        found = []
        for name in (("page",), ("feed",), ("updates",), ("update", row.pk), ("photos",)):
            client.get(url(open_page, *name))
            with CaptureQueriesContext(connection) as queries:
                client.get(url(open_page, *name))
            found.append(len(queries))
        counts.append(found)
    assert counts[0] == counts[1]
