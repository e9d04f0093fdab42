"""Made-up calls by everybody: no answer is a fault of ours, none is another than is described."""

import pytest
import schemathesis
from drf_spectacular.validation import validate_schema
from hypothesis import HealthCheck, Phase, settings
from schemathesis.checks import not_a_server_error
from schemathesis.specs.openapi.checks import (
    content_type_conformance,
    response_schema_conformance,
    status_code_conformance,
)

from fleet.api.docs import described
from fleet.wsgi import application

CHECKS = [
    not_a_server_error,
    status_code_conformance,
    content_type_conformance,
    response_schema_conformance,
]
WHO = ("engineer", "manager", "office", "nobody")
EXAMPLES = 5

api = schemathesis.openapi.from_wsgi("/api/schema/", application)


def test_the_description_is_valid_openapi_3_1():
    validate_schema(described())
    assert described()["openapi"].startswith("3.1")


@pytest.mark.parametrize("who", WHO)
@api.parametrize()
@settings(
    max_examples=EXAMPLES,
    deadline=None,
    derandomize=True,
    database=None,
    phases=[Phase.explicit, Phase.generate],
    suppress_health_check=list(HealthCheck),
)
def test_every_answer_is_one_that_is_described(case, things, tokens, who):
    if "id" in (case.path_parameters or {}) and (number := things.number(case.path)) is not None:
        case.path_parameters["id"] = number
    if isinstance(case.body, dict | list):
        case.body = things.put_into(case.body)
    headers = {"If-Match": "*"} if case.method == "PATCH" else {}
    if who != "nobody":
        headers["Authorization"] = f"Bearer {tokens[who]}"
    case.headers = {**(case.headers or {}), **headers}
    answer = case.call()
    case.validate_response(answer, checks=CHECKS)
