"""The API's schema, judged by `openapi-spec-validator` (OpenAPI 3.1, from the package registry)."""

import copy

import pytest
from django.urls import reverse
from openapi_spec_validator import OpenAPIV31SpecValidator, validate
from openapi_spec_validator.validation.exceptions import OpenAPIValidationError


@pytest.fixture
def schema(as_person, owner):
    return as_person(owner).get(reverse("api-schema")).json()


def test_schema_is_valid(schema):
    assert schema["openapi"].startswith("3.1")
    validate(schema, cls=OpenAPIV31SpecValidator)


def test_validator_would_object(schema):
    """The check can fail: a schema without a version is refused."""
    broken = copy.deepcopy(schema)
    del broken["info"]["version"]
    with pytest.raises(OpenAPIValidationError):
        validate(broken, cls=OpenAPIV31SpecValidator)


def test_every_endpoint_is_described_and_says_how_it_fails(schema):
    from buildlog.api.urls import rows

    for name, _, _ in rows.registry:
        path = f"/api/builds/{{slug}}/{name}/"
        assert path in schema["paths"], path
    for operations in schema["paths"].values():
        for operation in operations.values():
            assert "default" in operation["responses"]
