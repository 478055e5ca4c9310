"""Friday night: what to do next, in order, with the reason."""

from __future__ import annotations


def test_the_bench_says_what_to_do_in_order_and_why(scene, page):
    page.goto(scene.url())
    assert page.locator("h1").count() == 1
    jobs = page.locator("ol.jobs > li.job")
    assert jobs.locator("h3").all_inner_texts()[0] == "Plane the stringers"
    assert set(jobs.locator("h3").all_inner_texts()) == {
        "Plane the stringers",
        "Build the berth",
        "Varnish the spars",
    }
