from __future__ import annotations

import re

import pytest
from django.urls import reverse


def labels(page: str) -> list[str]:
    around = re.search(r'<ul class="way-around">(.*?)</ul>', page, re.S)
    return re.findall(r">([A-Z]\w+)</a>", around[1]) if around else []


@pytest.mark.parametrize(
    ("who", "shut"),
    [
        ("owner", set()),
        ("planner", {"Supporters"}),
        ("hand", {"Money", "Supporters"}),
        ("onlooker", {"Money", "Supporters"}),
    ],
)
def test_only_sheets_one_may_open_stand_in_the_way_around(request, as_person, build, who, shut):
    client = as_person(request.getfixturevalue(who))
    page = client.get(reverse("bench", args=[build.slug])).content.decode()
    everything = ["Bench", "Plan", "Materials", "Money", "Log", "Photos", "Supporters", "Lists"]
    assert labels(page) == [name for name in everything if name not in shut]


@pytest.mark.parametrize("who", ["owner", "planner", "hand", "onlooker"])
def test_every_way_leads_to_a_page_that_opens(request, as_person, build, who):
    client = as_person(request.getfixturevalue(who))
    page = client.get(reverse("bench", args=[build.slug])).content.decode()
    around = re.search(r'<ul class="way-around">(.*?)</ul>', page, re.S)[1]
    urls = re.findall(r'href="([^"]+)"', around)
    assert urls
    assert {url: client.get(url).status_code for url in urls} == dict.fromkeys(urls, 200)


@pytest.mark.parametrize(
    ("name", "way", "marked"),
    [("bench", "bench", "page"), ("plan", "plan", "page"), ("plan-network", "plan", "true"),
     ("stages", "plan", "true"), ("purchases", "materials", "true")],
)  # fmt: skip
def test_the_sheet_one_is_on_is_marked(as_person, owner, build, name, way, marked):
    page = as_person(owner).get(reverse(name, args=[build.slug])).content.decode()
    url = reverse(way, args=[build.slug])
    assert f'<a href="{url}" aria-current="{marked}">' in page
    around = re.search(r'<ul class="way-around">(.*?)</ul>', page, re.S)[1]
    assert around.count("aria-current") == 1


def test_the_stamp_says_build_sheet_day_and_revision(as_person, owner, build):
    page = as_person(owner).get(reverse("bench", args=[build.slug])).content.decode()
    stamp = re.search(r'<dl class="stamp">(.*?)</dl>', page, re.S)[1]
    for words in ("Tender", "Bench", "Fri 13 Nov 2026", "Revision", "Olive"):
        assert words in stamp


def test_the_day_is_that_of_the_build(as_person, owner, build, friday):
    friday.shift(6 * 3600)  # past midnight in Paris, still Friday in UTC minus an hour
    build.time_zone = "America/Los_Angeles"
    build.save()
    page = as_person(owner).get(reverse("bench", args=[build.slug])).content.decode()
    assert "Fri 13 Nov 2026" in page


def test_a_name_with_marks_in_it_is_shown_as_it_is(as_person, owner, build):
    build.name = '<b>"Boat"</b>'
    build.save()
    page = as_person(owner).get(reverse("bench", args=[build.slug])).content.decode()
    assert "<b>" not in page
    assert "&lt;b&gt;" in page
