from __future__ import annotations

import stat
from concurrent.futures import ThreadPoolExecutor

from buildlog.secret_key import own_secret_key


def test_it_is_made_once_and_is_its_owners_alone(tmp_path):
    folder = tmp_path / "data"
    key = own_secret_key(folder)
    assert len(key) >= 64
    assert own_secret_key(folder) == key
    assert stat.S_IMODE((folder / "secret_key").stat().st_mode) == 0o600
    assert [path.name for path in folder.iterdir()] == ["secret_key"]


def test_processes_that_start_at_once_get_the_same(tmp_path):
    with ThreadPoolExecutor(8) as threads:
        keys = set(threads.map(lambda _: own_secret_key(tmp_path / "data"), range(32)))
    assert len(keys) == 1
