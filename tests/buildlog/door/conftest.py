import pytest

from buildlog.door.first import open_first_link

GOOD = "six planks and a keel"


@pytest.fixture
def account_data():
    """What a new person types; `account_data(username="x")` to differ."""

    def data(**more):
        return {
            "name": "Nell Wright", "username": "nell", "password1": GOOD, "password2": GOOD,
        } | more  # fmt: skip

    return data


@pytest.fixture
def first_token(db):
    return open_first_link()
