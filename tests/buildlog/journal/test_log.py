from __future__ import annotations

import datetime as dt

import pytest
import time_machine
from django.urls import reverse
from django.utils import timezone

from buildlog.journal.models import Entry, Photo
from tasks.models import Work
from tests.buildlog.journal.pictures import a_photo, upload

TODAY = "2026-02-14T20:00:00+00:00"


@pytest.fixture(autouse=True)
def a_saturday_evening():
    with time_machine.travel(TODAY, tick=False):
        yield


def form_of(client, url: str) -> dict[str, str]:
    """What the page's form says as it comes, ready to be changed and sent."""
    context = client.get(url).context
    form, hours = context["form"], context["hours"]
    data = {name: form[name].value() for name in form.fields if name != "photos"}
    data |= {f"hours-{name}": str(hours.management_form[name].value())
             for name in ("TOTAL_FORMS", "INITIAL_FORMS")}  # fmt: skip
    for row in hours:
        data |= {row.add_prefix(name): row[name].value() for name in row.fields}
    return {name: value for name, value in data.items() if value is not None}


@pytest.fixture
def new(build):
    return reverse("log-new", args=[build.slug])


@pytest.fixture
def edit_of(build):
    return lambda entry: reverse("log-edit", args=[build.slug, entry.pk])


def test_an_entry_is_written_with_tasks_hours_and_readings(build, owner, new, as_person, make_task):
    make_task("2.1"), make_task("2.2")
    client = as_person(owner)
    data = form_of(client, new) | {
        "text": "Glued the *port* stiffener.", "more": "2.1, 2.2", "air_c": "9,5",
        "surface_c": "-1.5", "humidity": "62", "hours-0-hours": "3 h 30", "hours-0-task": "2.1",
        "hours-1-who": "Ned", "hours-1-hours": "0:45",
    }  # fmt: skip
    response = client.post(new, data)

    entry = Entry.objects.get()
    assert response.status_code == 302
    assert response["Location"] == entry.get_absolute_url()
    assert entry.day == dt.date(2026, 2, 14)
    assert [t.code for t in entry.tasks.all()] == ["2.1", "2.2"]
    assert (str(entry.air_c), str(entry.surface_c)) == ("9.50", "-1.50")
    assert [(w.who, w.minutes) for w in entry.work.all()] == [("Olive", 210), ("Ned", 45)]
    page = client.get(response["Location"])
    assert "<em>port</em>" in page.content.decode()


def test_sending_the_form_twice_makes_one_entry(owner, new, as_person):
    client = as_person(owner)
    data = form_of(client, new) | {"text": "Once.", "hours-0-hours": "2"}
    assert client.post(new, data)["Location"] == client.post(new, data)["Location"]
    assert Entry.objects.count() == Work.objects.count() == 1


@pytest.mark.parametrize(
    ("field", "value", "says"),
    [
        ("day", "2026-02-15", "That day has not come yet"),
        ("day", "yesterday", "valid date"),
        ("more", "9.9", "There is no task 9.9 in this build"),
        ("air_c", "cold", "cold"),
        ("air_c", "200", "90"),
        ("humidity", "101", "100"),
        ("hours-0-hours", "some", "not a number of hours"),
        ("hours-0-hours", "25", "A day has 24 hours"),
        ("hours-0-hours", "0", "Say more than none"),
        ("hours-0-task", "9.9", "There is no task 9.9"),
        ("hours-1-hours", "2", "Whose hours are these?"),
    ],
)
def test_bad_input_is_named_and_what_was_typed_is_kept(owner, new, as_person, field, value, says):
    client = as_person(owner)
    data = form_of(client, new) | {"text": "Typed for an hour.", field: value}
    response = client.post(new, data)

    assert response.status_code == 422
    page = response.content.decode()
    assert says in page
    assert "Typed for an hour." in page
    assert not Entry.objects.exists()


def test_photos_sent_with_a_form_that_fails_are_kept_and_put_in_place_later(
    build, owner, new, as_person
):
    client = as_person(owner)
    data = form_of(client, new) | {"text": "Glued.", "day": "2026-02-15"}
    failed = client.post(new, data | {"photos": [a_photo(), upload(b"%PDF-", "receipt.pdf")]})
    photo = Photo.objects.get()

    page = failed.content.decode()
    assert f'name="kept_photo" value="{photo.pk}"' in page
    assert "receipt.pdf was refused. It is a PDF document" in page
    client.post(new, data | {"day": "2026-02-14", "kept_photo": photo.pk})
    photo.refresh_from_db()
    assert photo.entry == Entry.objects.get()


def test_a_hand_is_asked_for_their_own_hours_only(hand, new, as_person):
    client = as_person(hand)
    data = form_of(client, new)
    assert "hours-0-person" not in data
    client.post(new, data | {"hours-0-hours": "2", "hours-0-person": "1", "hours-0-who": "Olive"})
    assert Work.objects.get().person == hand


def test_an_edit_changes_only_what_was_touched(owner, make_entry, edit_of, as_person, hours_of):
    entry = make_entry(hours=[hours_of(owner, 90)], key="k")
    work = Work.objects.get()
    client = as_person(owner)
    client.post(edit_of(entry), form_of(client, edit_of(entry)) | {"text": "Planed twice."})

    entry.refresh_from_db()
    assert (entry.text, entry.version) == ("Planed twice.", 1)
    assert list(Work.objects.all()) == [work]


def test_of_two_windows_the_later_save_is_refused_with_both_texts(
    owner, make_entry, edit_of, as_person
):
    entry = make_entry("As it was.")
    client = as_person(owner)
    one, two = form_of(client, edit_of(entry)), form_of(client, edit_of(entry))
    client.post(edit_of(entry), one | {"text": "From the first window."})
    refused = client.post(edit_of(entry), two | {"text": "From the second window."})

    page = refused.content.decode()
    assert refused.status_code == 409
    assert "From the first window." in page
    assert "From the second window." in page
    entry.refresh_from_db()
    assert entry.text == "From the first window."

    form = refused.context["form"]
    again = two | {"text": "Both.", "version": form["version"].value()}
    assert client.post(edit_of(entry), again).status_code == 302
    entry.refresh_from_db()
    assert entry.text == "Both."


def test_a_double_click_on_an_edit_is_no_conflict(owner, make_entry, edit_of, as_person):
    entry = make_entry("As it was.")
    client = as_person(owner)
    data = form_of(client, edit_of(entry)) | {"text": "Once.", "hours-0-who": "Ned",
                                              "hours-0-hours": "1"}  # fmt: skip
    assert [client.post(edit_of(entry), data).status_code for _ in range(2)] == [302, 302]
    assert Work.objects.count() == 1


def test_hours_removed_in_another_window_are_said_and_kept_as_typed(
    owner, make_entry, edit_of, as_person, hours_of
):
    entry = make_entry(hours=[hours_of(owner, 90)])
    client = as_person(owner)
    data = form_of(client, edit_of(entry)) | {"hours-0-hours": "2"}
    Work.objects.all().delete()
    response = client.post(edit_of(entry), data)

    assert response.status_code == 409
    assert "Some of these hours were removed meanwhile." in response.content.decode()
    form = response.context["form"], response.context["hours"][0]
    assert form[1]["work"].value() == ""
    assert form[1]["hours"].value() == "2"


def test_hours_of_others_are_shown_to_a_hand_but_not_asked_for(
    build, hand, owner, make_entry, edit_of, as_person
):
    entry = make_entry(person=hand)
    entry.work.add(
        Work.objects.create(build=build, person=owner, who="Olive", day=entry.day, minutes=60)
    )
    response = as_person(hand).get(edit_of(entry))
    assert "Already here, not yours to change: Olive 1 h." in response.content.decode()
    assert response.context["hours"].initial_form_count() == 0


def test_deleting_asks_first_and_says_what_stays(build, owner, make_entry, as_person, hours_of):
    entry = make_entry(hours=[hours_of(owner, 90)])
    url = reverse("log-delete", args=[build.slug, entry.pk])
    client = as_person(owner)
    assert "1 h 30 logged with it" in client.get(url).content.decode()
    client.post(url, {"hours": "delete"})
    assert not Entry.objects.exists()
    assert not Work.objects.exists()


class TestFinding:
    @pytest.fixture
    def log(self, build, as_person, owner):
        def texts(**asked):
            page = as_person(owner).get(reverse("log", args=[build.slug]), asked).context["page"]
            return [entry.text for entry in page]

        return texts

    @pytest.fixture(autouse=True)
    def entries(self, make_entry, make_task, hand, hours_of, planner):
        one, two = make_task("1"), make_task("2")
        make_entry("Frame seven cut.", "2026-01-10", tasks=[one])
        make_entry("Stiffener glued.", "2026-02-01", tasks=[two], person=hand)
        make_entry("Frame eight glued.", "2026-02-14", hours=[hours_of(hand, 60)], tasks=[one, two])

    def test_all_the_newest_day_first(self, log):
        assert log() == ["Frame eight glued.", "Stiffener glued.", "Frame seven cut."]

    def test_by_task(self, log):
        assert log(task="2") == ["Frame eight glued.", "Stiffener glued."]

    def test_by_stage_each_entry_once(self, log, stage):
        assert len(log(stage=stage.pk)) == 3

    def test_by_person_written_or_worked(self, log, hand):
        assert log(person=hand.pk) == ["Frame eight glued.", "Stiffener glued."]

    def test_by_month(self, log):
        assert log(month="2026-01") == ["Frame seven cut."]

    def test_by_words_all_of_which_must_be_there(self, log):
        assert log(words="glued FRAME") == ["Frame eight glued."]

    def test_a_percent_sign_is_no_wildcard(self, log):
        assert log(words="%") == []

    @pytest.mark.parametrize(
        "asked", [{"task": "99"}, {"month": "2031-01"}, {"stage": "x"}, {"person": "0"}]
    )
    def test_asked_badly_it_says_so_and_shows_all(self, log, asked):
        assert len(log(**asked)) == 3


class TestQuickLine:
    @pytest.fixture
    def url(self, build):
        return reverse("log-quick", args=[build.slug])

    def test_a_line_is_todays_and_goes_to_the_running_clocks_task(
        self, build, hand, url, as_person, make_task
    ):
        task = make_task("3")
        Work.objects.create(build=build, task=task, person=hand, who="Hanna",
                            day=dt.date(2026, 2, 14), started_at=timezone.now())  # fmt: skip
        response = as_person(hand).post(url, {"text": "Ran out of clamps.", "key": "q1"})

        entry = Entry.objects.get()
        assert response["Location"] == reverse("log", args=[build.slug])
        assert (entry.author, entry.day) == (hand, dt.date(2026, 2, 14))
        assert list(entry.tasks.all()) == [task]

    def test_the_day_is_that_of_the_build_not_of_the_server(self, hand, url, as_person):
        with time_machine.travel("2026-02-14T23:30:00+00:00", tick=False):
            as_person(hand).post(url, {"text": "Past midnight in Paris.", "key": "q2"})
        assert Entry.objects.get().day == dt.date(2026, 2, 15)

    def test_a_double_click_is_one_line(self, hand, url, as_person):
        client = as_person(hand)
        for _ in range(2):
            client.post(url, {"text": "Once.", "key": "q3"})
        assert Entry.objects.count() == 1

    def test_it_goes_on_where_it_came_from_but_nowhere_else(self, build, hand, url, as_person):
        client = as_person(hand)
        bench = reverse("bench", args=[build.slug])
        assert client.post(url, {"text": "a", "next": bench})["Location"] == bench
        outside = client.post(url, {"text": "b", "next": "https://example.org/"})
        assert outside["Location"] == reverse("log", args=[build.slug])

    def test_the_script_gets_its_answer_in_json(self, hand, url, as_person):
        headers = {"accept": "application/json, text/html;q=0.5"}
        response = as_person(hand).post(url, {"text": "a", "key": "q4"}, headers=headers)
        assert response.status_code == 201
        assert response.json()["url"].endswith("/log/")

    def test_an_empty_line_is_refused(self, hand, url, as_person):
        assert as_person(hand).post(url, {"text": "  "}).status_code == 422
        assert not Entry.objects.exists()

    def test_undo_is_offered_and_takes_the_line_back(self, build, hand, url, as_person):
        client = as_person(hand)
        page = client.post(url, {"text": "Oops.", "key": "q5"}, follow=True).content.decode()
        undo = reverse("log-delete", args=[build.slug, Entry.objects.get().pk])
        assert f'action="{undo}"' in page
        client.post(undo)
        assert not Entry.objects.exists()
