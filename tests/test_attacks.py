"""What was found by attacking the program as a whole, and must not come back."""

from __future__ import annotations

import pytest

from buildlog.journal.models import Entry

ELSEWHERE = ["https://evil.example/", "//evil.example", "/\\evil.example", "javascript:alert(1)"]


@pytest.mark.parametrize("back", ["money", "0x10", "\ufffd", "?", *ELSEWHERE])
def test_the_way_back_that_a_form_names_is_an_address_of_this_site_or_not_taken(
    as_person, build, owner, make_task, back
):
    """A bare word is no address: it neither leads to a page of that name nor breaks the answer."""
    client, task = as_person(owner), make_task("1")
    answer = client.post(f"/b/{build.slug}/tasks/{task.pk}/start/", {"back": back})
    assert (answer.status_code, answer.url) == (302, task.get_absolute_url())
    line = {"text": "Cut two.", "key": "k", "next": back}
    answer = client.post(f"/b/{build.slug}/log/quick/", line)
    assert (answer.status_code, answer.url) == (302, f"/b/{build.slug}/log/")


def test_hours_of_somebody_who_is_no_choice_are_refused_and_nothing_typed_is_lost(
    as_person, build, owner
):
    sent = {
        "day": "2026-03-07", "text": "Cut two.", "key": "k",
        "hours-TOTAL_FORMS": "1", "hours-INITIAL_FORMS": "0",
        "hours-0-person": "nobody", "hours-0-hours": "2",
    }  # fmt: skip
    answer = as_person(owner).post(f"/b/{build.slug}/log/new/", sent)
    assert answer.status_code == 422
    assert "Cut two." in answer.content.decode()
    assert not Entry.objects.exists()
