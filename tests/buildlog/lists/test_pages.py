"""The pages: who may, what they say, and that nothing sent is lost or written twice."""

from __future__ import annotations

import datetime as dt
import re

import pytest
import time_machine
from django.core.files.uploadedfile import SimpleUploadedFile
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from buildlog.background.jobs import run_open_jobs
from buildlog.lists import uploads
from buildlog.lists.kinds import KINDS
from buildlog.lists.models import Upload
from tasks.models import Task
from tests.buildlog.lists.conftest import sample

HUB = "/b/tender/lists/"
JOBS = b"nr,job,stage,hours\n1,Cut,Frames,2\n2,Glue,Frames,3\n"


def file(content: bytes, name: str = "jobs.csv") -> SimpleUploadedFile:
    return SimpleUploadedFile(name, content)


def send(client, content: bytes, kind: str = "", name: str = "jobs.csv"):
    return client.post(HUB, {"file": file(content, name), "kind": kind})


def fields(response) -> dict[str, str]:
    """What a browser would send back from the form of a list."""
    return {bound.html_name: bound.value() for bound in response.context["form"]}


def bring(client, url: str, how: str = "all", **said):
    data = fields(client.get(url)) | said
    return client.post(url, data | {"bring": how})


@pytest.fixture
def client(owner, as_person):
    return as_person(owner)


class TestSending:
    def test_leads_to_a_page_that_shows_what_it_would_do(self, client, build):
        response = send(client, JOBS)
        upload = Upload.objects.get()
        assert response.url == f"{HUB}{upload.pk}/"
        page = client.get(response.url).content.decode()
        assert "2 new" in page and "Bring in 2 tasks" in page and not build.tasks.exists()

    def test_twice_is_one_list(self, client):
        assert send(client, JOBS).url == send(client, JOBS).url
        assert Upload.objects.count() == 1

    def test_of_many_names_that_are_new_asks_a_page_at_a_time(self, client, build):
        rows = b"".join(b"P%d,Thing %d,1\n" % (n, n) for n in range(100))
        url = send(client, b"part,material,no\n" + rows).url
        page = client.get(url)
        assert "80 of 100 names" in page.content.decode()
        data = {k: v or "new:equipment" for k, v in fields(page).items() if k.startswith("name_")}
        client.post(url, fields(page) | data | {"do": "look"})
        assert len(client.get(url).context["bringing"].found.open) == 20

    def test_of_what_cannot_be_read_says_why_and_keeps_nothing(self, client):
        response = send(client, b"%PDF-1.7", name="list.pdf")
        assert "The file is a PDF." in response.content.decode() and not Upload.objects.exists()

    def test_of_headings_nobody_knows_asks_what_it_is_a_list_of(self, client):
        assert "do not tell what the list holds" in send(client, b"a,b\n1,2\n").content.decode()
        assert send(client, b"a,b\n1,2\n", kind="tasks").status_code == 302

    @settings(max_examples=50, deadline=None,
              suppress_health_check=[HealthCheck.function_scoped_fixture])  # fmt: skip
    @given(st.binary(max_size=300), st.sampled_from(["", *KINDS]))
    def test_of_any_bytes_never_breaks(self, client, content, kind):
        response = send(client, content, kind)
        assert response.status_code in (200, 302)
        if response.status_code == 302:
            assert client.get(response.url).status_code == 200

    @settings(max_examples=20, deadline=None,
              suppress_health_check=[HealthCheck.function_scoped_fixture])  # fmt: skip
    @given(kind=st.sampled_from(sorted(KINDS)), data=st.data())
    def test_of_any_cells_never_breaks(self, client, kind, data):
        cell = st.text(st.characters(codec="utf-8"), max_size=12) | st.sampled_from(
            ["1", "-1", "2026-03-01", "03/09/2026", "1,250", '1 3/4"', "yes", "EUR", "T1", "=1+1"]
        )
        heads = [column.heading for column in KINDS[kind].columns]
        rows = data.draw(
            st.lists(st.lists(cell, min_size=len(heads), max_size=len(heads)), max_size=4)
        )
        lines = ["\t".join(c.replace("\t", " ") for c in row) for row in [heads, *rows]]
        response = send(client, "\n".join(lines).encode(), kind)
        assert response.status_code in (200, 302)
        if response.status_code == 302:
            assert client.get(response.url).status_code == 200
            assert bring(client, response.url, "others").status_code in (200, 302)


class TestBringingIn:
    def test_writes_it_and_says_what_changed(self, client, build):
        url = send(client, JOBS).url
        page = client.get(bring(client, url).url).content.decode()
        assert build.tasks.count() == 2
        assert "jobs.csv is in" in page and re.search(r"<dt>new</dt><dd>2</dd>", page)

    def test_twice_writes_it_once(self, client, build):
        url = send(client, JOBS).url
        data = fields(client.get(url)) | {"bring": "all"}
        assert client.post(url, data).status_code == 302
        assert client.post(url, data).status_code == 200
        assert build.tasks.count() == 2

    def test_refuses_all_while_a_row_has_a_fault(self, client, build):
        url = send(client, sample("messy/jobs.csv")).url
        page = client.get(url).content.decode()
        for row, column in ((10, "best"), (12, "Nr"), (13, "Hours (guess)")):
            assert re.search(rf"Row {row}</th><td[^>]*>{re.escape(column)}</td>", page)
        response = bring(client, url, "all")
        assert "Nothing was brought in" in client.get(response.url).content.decode()
        assert not build.tasks.exists()

    def test_leaves_rows_out_only_when_told(self, client, build):
        url = send(client, sample("messy/jobs.csv")).url
        page = client.get(bring(client, url, "others").url).content.decode()
        assert build.tasks.count() == 7 and "<dt>left out</dt><dd>3</dd>" in page

    def test_shows_again_what_was_said_before_it_writes(self, client, build):
        url = send(client, b"nr,job,zone,hours\n1,Cut,Frames,2\n").url
        response = bring(client, url, column_2="stage")
        assert response.status_code == 302 and not build.tasks.exists()
        assert fields(client.get(url))["column_2"] == "stage"
        bring(client, url)
        assert build.tasks.get().stage.name == "Frames"

    def test_asks_for_the_order_of_day_and_month(self, client, build):
        url = send(client, sample("messy/spent.csv"), name="spent.csv").url
        page = client.get(url).content.decode()
        assert "3 September 2026" in page and "9 March 2026" in page
        assert (
            "Nothing was brought in"
            in client.get(bring(client, url, "others").url).content.decode()
        )
        bring(client, url, "others", order="dmy")
        bring(client, url, "others")
        assert build.purchases.count() == 3

    def test_takes_a_corrected_file_in_its_place(self, client, build):
        url = send(client, b"nr,job,hours\n1,Cut,-2\n").url
        response = client.post(f"{url}corrected/", {"corrected": file(b"nr,job,hours\n1,Cut,2\n")})
        assert response.url == url
        bring(client, url)
        assert build.tasks.get().likely_minutes == 120

    def test_keeps_the_file_when_a_corrected_one_cannot_be_read(self, client):
        url = send(client, JOBS).url
        client.post(f"{url}corrected/", {"corrected": file(b"%PDF")})
        assert bytes(Upload.objects.get().content) == JOBS

    def test_stops_when_the_build_has_changed_since_it_was_shown(self, client, build, owner):
        upload = uploads.take(build, owner, file(JOBS), None, KINDS.values())
        seen = uploads.look_at(upload, owner)
        Task.objects.create(
            build=build, stage=build.stages.create(name="Frames"), code="1", name="Cut"
        )
        with pytest.raises(uploads.CannotBring, match="has changed since"):
            uploads.bring_in(upload, owner, seen)

    def test_of_a_long_list_is_done_by_a_worker_once(self, client, build, monkeypatch):
        monkeypatch.setattr(uploads, "MANY_OTHERS", 1)
        url = send(client, JOBS).url
        bring(client, url)
        assert not build.tasks.exists()
        assert "behind the scenes" in client.get(url).content.decode()
        bring_again = client.post(url, {"bring": "all"})
        assert bring_again.status_code == 200
        run_open_jobs()
        assert build.tasks.count() == 2
        assert "jobs.csv is in" in client.get(url).content.decode()
        assert client.get(url, headers={"HX-Request": "true"}).headers["HX-Redirect"] == url

    def test_remembers_what_was_said_of_the_last_list_like_it(self, client, build):
        url = send(client, b"nr,job,zone,hours\n1,Cut,Frames,2\n").url
        bring(client, url, column_2="stage")
        bring(client, url)
        url = send(client, b"nr,job,zone,hours\n2,Glue,Deck,2\n").url
        assert fields(client.get(url))["column_2"] == "stage"

    def test_a_list_read_in_a_way_that_fails_can_be_read_as_found_again(self, client):
        url = send(client, "nr,job\n1,Café\n".encode("cp1252")).url
        client.post(url, fields(client.get(url)) | {"encoding": "utf-8", "do": "look"})
        assert "cannot be read so" in client.get(url).content.decode()
        client.post(url)
        assert "Café" in client.get(url).content.decode()


class TestKeeping:
    def test_a_list_waits_until_it_is_brought_in_or_thrown_away(self, client):
        url = send(client, JOBS).url
        assert "jobs.csv" in client.get(HUB).content.decode()
        assert client.post(f"{url}away/").url == HUB
        assert not Upload.objects.exists()

    def test_a_list_nobody_touches_for_a_month_goes(self, client):
        send(client, JOBS)
        with time_machine.travel(dt.datetime.now(dt.UTC) + dt.timedelta(days=31)):
            send(client, JOBS, name="other.csv")
        assert [upload.name for upload in Upload.objects.all()] == ["other.csv"]

    def test_the_file_goes_once_it_is_in(self, client):
        bring(client, send(client, JOBS).url)
        assert bytes(Upload.objects.get().content) == b""


class TestWhoMay:
    def test_strangers_find_nothing(self, stranger, as_person, build, owner):
        client = as_person(stranger)
        upload = uploads.take(build, owner, file(JOBS), None, KINDS.values())
        for url in (HUB, f"{HUB}{upload.pk}/", f"{HUB}out/tasks.csv", f"{HUB}out/all.xlsx"):
            assert client.get(url).status_code == 404
        for url in (
            f"{HUB}{upload.pk}/",
            f"{HUB}{upload.pk}/away/",
            f"{HUB}{upload.pk}/corrected/",
        ):
            assert client.post(url).status_code == 404

    @pytest.mark.parametrize("role", ["hand", "onlooker"])
    def test_those_who_may_not_plan_bring_nothing_in(self, role, request, as_person, build, owner):
        client = as_person(request.getfixturevalue(role))
        upload = uploads.take(build, owner, file(JOBS), None, KINDS.values())
        page = client.get(HUB).content.decode()
        assert "Look at it" not in page and "Purchases" not in page and "Tasks" in page
        send(client, JOBS)
        assert Upload.objects.count() == 1
        assert client.get(f"{HUB}{upload.pk}/").status_code == 403
        assert client.post(f"{HUB}{upload.pk}/", {"bring": "all"}).status_code == 403
        assert client.post(f"{HUB}{upload.pk}/away/").status_code == 403
        assert client.get(f"{HUB}out/purchases.csv").status_code == 403
        assert client.get(f"{HUB}out/supporters.csv").status_code == 403

    def test_prices_go_out_only_to_those_who_may_see_money(
        self, build, owner, hand, as_person, bring_csv
    ):
        bring_csv("materials", b"material,kind,price\nPly,sheet,94.50\n")
        assert b"94.5" in as_person(owner).get(f"{HUB}out/materials.csv").content
        out = as_person(hand).get(f"{HUB}out/materials.csv").content
        assert b"94.5" not in out and b"price" not in out

    def test_a_planner_may_not_bring_in_supporters(self, planner, as_person):
        response = send(as_person(planner), b"name,email,since\nAnna,a@example.org,2026-01-01\n")
        assert "may not bring in supporters" in response.content.decode()

    def test_lists_of_another_build_are_not_there(self, stranger, as_person, build, owner):
        upload = uploads.take(build, owner, file(JOBS), None, KINDS.values())
        assert as_person(stranger).get(f"/b/other/lists/{upload.pk}/").status_code == 404


@pytest.fixture
def bring_csv(build, owner):
    def bring_csv(kind: str, content: bytes) -> None:
        upload = uploads.take(build, owner, file(content), KINDS[kind], KINDS.values())
        uploads.bring_in(upload, owner)

    return bring_csv


class TestTakingOut:
    def test_gives_a_file_to_keep(self, client, bring_csv):
        bring_csv("tasks", JOBS)
        response = client.get(f"{HUB}out/tasks.csv")
        assert response.headers["Content-Disposition"] == 'attachment; filename="tender-tasks.csv"'
        assert response.content.startswith(b"\xef\xbb\xbfid,stage,task,low h,likely h,high h,hands")

    @pytest.mark.parametrize("kind", KINDS)
    @pytest.mark.parametrize("form", ["csv", "xlsx"])
    def test_of_an_empty_list_gives_its_headings(self, client, kind, form):
        assert client.get(f"{HUB}out/{kind}.{form}").status_code == 200

    def test_of_what_is_no_list_is_not_found(self, client):
        assert client.get(f"{HUB}out/boats.csv").status_code == 404
        assert client.get(f"{HUB}out/all.csv").status_code == 404

    @pytest.mark.parametrize("kind", KINDS)
    def test_takes_the_same_few_queries_for_any_number_of_rows(
        self, client, build, bring_csv, django_assert_num_queries, kind
    ):
        for rows in (3, 30):
            bring_csv(
                "materials",
                b"material,kind\n" + b"".join(b"Ply %d,sheet\n" % n for n in range(rows)),
            )
            bring_csv(
                "tasks", b"id,task,likely h\n" + b"".join(b"%d,Cut,2\n" % n for n in range(rows))
            )
            bring_csv(
                "links",
                b"first,then\n" + b"".join(b"%d,%d\n" % (n, n + 1) for n in range(rows - 1)),
            )
            bring_csv(
                "parts",
                b"part,task,material\n" + b"".join(b"P%d,%d,Ply 1\n" % (n, n) for n in range(rows)),
            )
            bring_csv(
                "stock", b"material,counted\n" + b"".join(b"Ply %d,2\n" % n for n in range(rows))
            )
            bring_csv(
                "purchases",
                b"date,where,what,net,receipt\n"
                + b"".join(b"2026-01-01,S%d,Ply 1,2,%d\n" % (n, n) for n in range(rows)),
            )
            bring_csv(
                "log",
                b"date,task,hours,text\n"
                + b"".join(b"2026-01-01,%d,2,x%d\n" % (n, n) for n in range(rows)),
            )
            bring_csv(
                "supporters",
                b"name,given on,given\n" + b"".join(b"A%d,2026-01-01,2\n" % n for n in range(rows)),
            )
            with django_assert_num_queries(self.most[kind]):
                client.get(f"{HUB}out/{kind}.csv")

    # Session, person and place in the crew are three of them.
    most = {
        "materials": 5, "tasks": 4, "links": 4, "parts": 4, "purchases": 4, "stock": 4,
        "log": 8, "supporters": 5,
    }  # fmt: skip


@pytest.mark.parametrize("rows", [3, 30])
def test_the_page_of_a_list_takes_the_same_few_queries(client, django_assert_max_num_queries, rows):
    url = send(
        client, b"nr,job,hours\n" + b"".join(b"%d,Cut %d,2\n" % (n, n) for n in range(rows))
    ).url
    with django_assert_max_num_queries(8):
        client.get(url)


@pytest.mark.parametrize("lists", [3, 18])
def test_the_hub_takes_the_same_few_queries(client, django_assert_max_num_queries, lists):
    for number in range(lists):
        send(client, JOBS, name=f"{number}.csv")
    with django_assert_max_num_queries(6):
        client.get(HUB)
