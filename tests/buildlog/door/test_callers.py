import pytest
from django.test import RequestFactory

from buildlog.door.callers import caller_address


@pytest.mark.parametrize(
    ("https", "forwarded", "expected"),
    [
        (False, "203.0.113.9", "192.0.2.1"),  # no proxy: the header is the caller's own tale
        (True, "203.0.113.9", "203.0.113.9"),
        (True, "198.51.100.1, 203.0.113.9", "203.0.113.9"),  # the first part is the caller's
        (True, "nonsense", "192.0.2.1"),
        (True, "", "192.0.2.1"),
        (True, "2001:db8::1", "2001:db8::1"),
    ],
)
def test_caller_address(settings, https, forwarded, expected):
    settings.HTTPS = https
    request = RequestFactory().get("/", REMOTE_ADDR="192.0.2.1", HTTP_X_FORWARDED_FOR=forwarded)
    assert caller_address(request) == expected
