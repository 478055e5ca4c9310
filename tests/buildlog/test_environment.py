"""Settings are read strictly: a wrong word stops the start and says what would be right."""

from __future__ import annotations

import environ
import pytest
from django.core.exceptions import ImproperlyConfigured

from buildlog.environment import Words


@pytest.fixture
def words() -> Words:
    return Words(environ.Env())


def test_it_takes_the_given_word_or_the_default(words, monkeypatch):
    assert words.text("BUILDLOG_A", "none") == "none"
    assert not words.yes("BUILDLOG_B")
    assert words.number("BUILDLOG_C", 3, least=1, most=9) == 3
    assert words.several("BUILDLOG_D", ["one"]) == ["one"]
    for name, value in {"A": "x", "B": "yes", "C": "9", "D": " one , two ,"}.items():
        monkeypatch.setenv(f"BUILDLOG_{name}", value)
    assert words.text("BUILDLOG_A") == "x"
    assert words.yes("BUILDLOG_B")
    assert words.number("BUILDLOG_C", 3, least=1, most=9) == 9
    assert words.several("BUILDLOG_D", []) == ["one", "two"]


def test_it_refuses_another_word(words, monkeypatch):
    monkeypatch.setenv("BUILDLOG_B", "true")
    with pytest.raises(ImproperlyConfigured, match=r"BUILDLOG_B is “true”; it must be yes or no\."):
        words.yes("BUILDLOG_B")


@pytest.mark.parametrize("word", ["0", "10", "two", "-1", "1.5", ""])
def test_it_refuses_a_number_out_of_range(words, monkeypatch, word):
    monkeypatch.setenv("BUILDLOG_C", word)
    with pytest.raises(ImproperlyConfigured, match=r"a whole number from 1 to 9"):
        words.number("BUILDLOG_C", 3, least=1, most=9)


def test_it_reads_a_secret_from_a_file(words, monkeypatch, tmp_path):
    (tmp_path / "key").write_text("  from a file\n")
    monkeypatch.setenv("BUILDLOG_KEY_FILE", str(tmp_path / "key"))
    assert words.text("BUILDLOG_KEY") == "from a file"
    monkeypatch.setenv("BUILDLOG_KEY_FILE", str(tmp_path / "none"))
    with pytest.raises(ImproperlyConfigured, match=r"BUILDLOG_KEY_FILE: .*No such file"):
        words.text("BUILDLOG_KEY")


def test_it_refuses_a_name_it_does_not_know(words):
    words.text("BUILDLOG_HOSTS")
    words.refuse_unknown(["PATH", "BUILDLOG_HOSTS", "BUILDLOG_HOSTS_FILE"])
    with pytest.raises(ImproperlyConfigured, match=r"Did you mean BUILDLOG_HOSTS\?"):
        words.refuse_unknown(["BUILDLOG_HOST"])
    with pytest.raises(ImproperlyConfigured, match=r"There is no setting BUILDLOG_XYZQ\.$"):
        words.refuse_unknown(["BUILDLOG_XYZQ"])
