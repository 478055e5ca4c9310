"""Several people at one link in the same moment, against the program as it really runs."""

from __future__ import annotations

import http.cookiejar
import re
import sys
import threading
import urllib.error
import urllib.parse
import urllib.request

import pytest

from tests.served import ask, manage, served

pytestmark = [
    pytest.mark.served,
    pytest.mark.skipif(not sys.platform.startswith("linux"), reason="reads /proc"),
]

AT_ONCE = 8
PASSWORD = "six planks and a keel"


class Browser:
    """Fetches a page, then sends its form; redirects are not followed."""

    def __init__(self) -> None:
        class Stay(urllib.request.HTTPRedirectHandler):
            def redirect_request(self, *args: object) -> None:
                return None

        cookies = urllib.request.HTTPCookieProcessor(http.cookiejar.CookieJar())
        self.opener = urllib.request.build_opener(cookies, Stay)

    def ask(self, url: str, data: dict[str, str] | None = None) -> tuple[int, str]:
        body = urllib.parse.urlencode(data).encode() if data else None
        try:
            with self.opener.open(url, body, timeout=30) as answer:
                return answer.status, answer.read().decode()
        except urllib.error.HTTPError as error:
            with error:
                return error.code, error.read().decode()

    def look(self, url: str) -> None:
        status, page = self.ask(url)
        assert status == 200
        self.token = re.search(r'name="csrfmiddlewaretoken" value="(\w+)"', page)[1]

    def send(self, url: str, **data: str) -> int:
        return self.ask(url, data | {"csrfmiddlewaretoken": self.token})[0]


def all_at_once(url: str, name: str) -> list[int]:
    """All look at the page first, so that each believes the link is open; then all click."""
    browsers = [Browser() for _ in range(AT_ONCE)]
    for browser in browsers:
        browser.look(url)
    gate = threading.Barrier(AT_ONCE)
    answers: list[int] = []

    def click(number: int) -> None:
        gate.wait()
        username = f"{name}{number}"
        status = browsers[number].send(
            url, name=username, username=username, password1=PASSWORD, password2=PASSWORD
        )
        answers.append(status)

    threads = [threading.Thread(target=click, args=[number]) for number in range(AT_ONCE)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    return sorted(answers)


@pytest.fixture(scope="module")
def run(tmp_path_factory):
    with served(tmp_path_factory.mktemp("races") / "data") as running:
        yield running


def test_one_account_from_the_first_link_and_one_place_from_an_invitation(run):
    link = re.search(r"http://\S+/first/\S+", run.said())[0]
    answers = all_at_once(link, "first")
    assert answers == [302] + [404] * (AT_ONCE - 1)
    assert ask(run.folder, "select count(*) from tasks_person") == [(1,)]

    made = manage(
        run.folder, "shell", "-v0", "-c",
        "import datetime as dt\n"
        "from django.utils import timezone\n"
        "from buildlog.door.crew import invite\n"
        "from tasks.models import Build, Crew, Person\n"
        "build = Build.objects.create(name='Tender', slug='tender')\n"
        "owner = Person.objects.get()\n"
        "Crew.objects.create(build=build, person=owner, role='owner')\n"
        "until = timezone.now() + dt.timedelta(days=1)\n"
        "print(invite(build, owner, role='hand', sees_money=False, note='', until=until)[1])",
    )  # fmt: skip
    token = made.stdout.strip().splitlines()[-1]
    answers = all_at_once(f"{run.address}join/{token}/", "second")
    assert answers == [302] + [404] * (AT_ONCE - 1)
    assert ask(run.folder, "select count(*) from tasks_person") == [(2,)]
    assert ask(run.folder, "select count(*) from tasks_crew") == [(2,)]
