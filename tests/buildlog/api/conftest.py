from __future__ import annotations

import pytest
from rest_framework.test import APIClient

from buildlog.door.api_auth import make_token


@pytest.fixture
def api():
    """A client that signs in by token: `api(owner).get("tasks/")` under the build's address."""

    class Client(APIClient):
        def generic(self, method, path, *args, **kwargs):
            full = path if path.startswith("/") else f"/api/builds/tender/{path}"
            return super().generic(method, full, *args, **kwargs)

        def get(self, path, *args, **kwargs):
            full = path if path.startswith("/") else f"/api/builds/tender/{path}"
            return super().get(full, *args, **kwargs)

    def sign_in(person):
        client = Client()
        client.default_format = "json"
        if person:
            client.credentials(HTTP_AUTHORIZATION=f"Token {make_token(person, 'script')[1]}")
        return client

    return sign_in
