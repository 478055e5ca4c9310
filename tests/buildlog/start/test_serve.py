"""`manage.py serve` as a builder meets it: starts, says where, stops whole, starts once."""

from __future__ import annotations

import os
import re
import signal
import socket
import stat
import urllib.error
import urllib.request

import pytest

from tests.served import Served, alive, manage, served, wait_for

pytestmark = pytest.mark.served


def get(address: str) -> tuple[int, str]:
    try:
        with urllib.request.urlopen(address, timeout=10) as answer:
            return answer.status, answer.read().decode()
    except urllib.error.HTTPError as error:
        return error.code, ""


@pytest.fixture(scope="module")
def first_run(tmp_path_factory):
    """A first run on a new folder, with a space in its name."""
    with served(tmp_path_factory.mktemp("first") / "boat data", BUILDLOG_WEB_WORKERS="2") as run:
        yield run


def test_a_first_run_makes_everything_and_gives_a_link(first_run):
    folder, first = first_run.folder, first_run
    assert stat.S_IMODE(folder.stat().st_mode) == 0o700
    assert stat.S_IMODE((folder / "secret_key").stat().st_mode) == 0o600
    link = re.search(r"http://127\.0\.0\.1:\d+/first/\S+", first.said())
    assert link
    assert get(link[0])[0] == 200
    assert get(first.address + "healthz") == (200, "well")
    assert get(first.address + "first/" + "x" * 43 + "/")[0] == 404


def test_it_serves_hashed_static_files(first_run):
    _, page = get(first_run.address + "sign-in/")
    sheet = re.search(r'href="(/static/css/[\w.-]+\.[0-9a-f]{12}\.css)"', page)
    assert sheet
    assert get(first_run.address.rstrip("/") + sheet[1])[0] == 200


def test_a_second_start_says_so(first_run):
    folder, first = first_run.folder, first_run
    second = manage(folder, "serve", "--port", "0")
    assert second.returncode == 1
    assert (
        f"It is running already at {first.address} (process {first.process.pid})" in second.stderr
    )
    assert "Traceback" not in second.stderr


def test_a_port_in_use_is_said_in_plain_words(tmp_path):
    with socket.socket() as other:
        other.bind(("127.0.0.1", 0))
        other.listen()
        port = other.getsockname()[1]
        tried = manage(tmp_path, "serve", "--port", str(port))
    assert tried.returncode == 1
    assert f"Port {port} is in use by another program." in tried.stderr
    assert f"--port {port + 1}" in tried.stderr
    assert not (tmp_path / "buildlog.sqlite3").exists()


@pytest.mark.parametrize("number", [signal.SIGINT, signal.SIGTERM])
def test_it_stops_whole_and_starts_again(prepared_folder, number):
    with served(prepared_folder) as run:
        everything = run.everything()
        assert len(everything) >= 4  # serve, web server, its worker, background worker
        assert run.stop(number) == 0
        assert not any(alive(pid) for pid in everything)
        assert "Traceback" not in run.said()


def test_nothing_outlives_it_when_it_is_killed(prepared_folder):
    with served(prepared_folder) as run:
        everything = run.everything()
        os.kill(run.process.pid, signal.SIGKILL)
        run.process.wait()
        wait_for(lambda: not any(alive(pid) for pid in everything), 10)
    with served(prepared_folder) as again:
        assert get(again.address + "healthz")[0] == 200


def test_nothing_outlives_it_when_it_and_both_leaders_are_killed(prepared_folder):
    with served(prepared_folder) as run:
        everything = run.everything()
        for pid in [run.process.pid, *run.children().values()]:
            os.kill(pid, signal.SIGKILL)
        run.process.wait()
        wait_for(lambda: not any(alive(pid) for pid in everything), 10)


def test_a_setting_that_is_none_stops_the_start(tmp_path):
    tried = manage(tmp_path, "check", BUILDLOG_DATTA="/tmp/elsewhere")
    assert tried.returncode == 1
    assert "There is no setting BUILDLOG_DATTA. Did you mean BUILDLOG_DATA?" in tried.stderr


def test_it_ends_when_the_web_server_cannot_start(tmp_path):
    run = Served(tmp_path / "data", DJANGO_SETTINGS_MODULE="tests.buildlog.start.broken_settings")
    assert run.process.wait(150) == 1
    assert "The web server did not start." in run.said()
    assert not any(alive(pid) for pid in run.everything())
