"""The documents say what the program is: every setting, every room, every command."""

import re
from pathlib import Path

import pytest
from django.conf import settings
from django.core.management import get_commands

ROOT = Path(settings.BASE_DIR)
README = (ROOT / "README.md").read_text()
DEVELOPERS = (ROOT / "DEVELOPERS.md").read_text()


def test_readme_names_every_setting_and_no_other():
    read = set(
        re.findall(r'words\.\w+\(\s*"(BUILDLOG_\w+)"', (ROOT / "buildlog/settings.py").read_text())
    )
    told = set(re.findall(r"`(BUILDLOG_\w+)`", README))
    assert told == read


def test_developers_name_every_room():
    rooms = {path.parent.name for path in (ROOT / "buildlog").glob("*/__init__.py")}
    told = set(re.findall(r"`buildlog/(\w+)`", DEVELOPERS))
    assert rooms - {"templatetags"} <= told


def test_readme_names_commands_that_exist():
    ours = {name for name, app in get_commands().items() if app.startswith(("buildlog", "tasks"))}
    told = set(re.findall(r"manage\.py (\w+)", README))
    assert told <= ours
    assert {"serve", "backup", "restore", "verify"} <= told


@pytest.mark.parametrize("text", [README, DEVELOPERS], ids=["readme", "developers"])
def test_every_link_to_a_file_leads_to_one(text):
    for target in re.findall(r"\]\(([^)#]+)\)", text):
        assert (ROOT / target).exists(), target


def test_every_outside_check_is_in_the_table_of_sources():
    outside = ROOT / "tests" / "outside"
    lines = (outside / "SOURCES.md").read_text().splitlines()
    rows = [re.split(r"\s*\|\s*", line.strip("| ")) for line in lines if line.startswith("| `")]
    assert [row[0].strip("`") for row in rows] == sorted(p.name for p in outside.glob("test_*.py"))
    known = {"standard", "handbook", "worked example", "open data", "reference library",
             "common practice", "from memory"}  # fmt: skip
    for name, checked, source, kinds in rows:
        assert checked, name
        assert source, name
        assert set(re.split(r",\s*", re.sub(r"\s*\([^)]*\)", "", kinds))) <= known, name
