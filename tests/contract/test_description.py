"""Made-up calls by everybody: no answer is a fault of ours, none is another than is described."""

import pytest
import schemathesis
from hypothesis import HealthCheck, Phase, settings
from schemathesis.checks import not_a_server_error
from schemathesis.specs.openapi.checks import (
    content_type_conformance,
    response_schema_conformance,
    status_code_conformance,
)

from fleet.wsgi import application

CHECKS = [
    not_a_server_error,
    status_code_conformance,
    content_type_conformance,
    response_schema_conformance,
]

api = schemathesis.openapi.from_wsgi("/api/schema/", application)


MADE_UP = {
    "max_examples": 3,
    "deadline": None,
    "derandomize": True,
    "database": None,
    "suppress_health_check": list(HealthCheck),
}


# What crews, engineers and the store send most; every other word has its turn in a whole run.
OFTEN = r"^/api/(returns|defects|jobs|stock-moves|counts|orders|order-steps)/"


# For who may the most, with every value at the edge of what is described.
@api.include(method="POST", path_regex=OFTEN).parametrize()
@settings(**MADE_UP, phases=[Phase.explicit, Phase.generate])
def test_every_answer_to_what_is_sent_is_one_that_is_described(case, things, tokens):
    ask(case, things, tokens["manager"])


@pytest.mark.long
@api.exclude(method="POST", path_regex=OFTEN).parametrize()
@settings(**MADE_UP, phases=[Phase.explicit, Phase.generate])
def test_so_is_every_other_answer(case, things, tokens):
    ask(case, things, tokens["manager"])


@pytest.mark.parametrize(
    "who",
    [
        pytest.param("engineer", marks=pytest.mark.long),
        pytest.param("office", marks=pytest.mark.long),
        pytest.param("nobody", marks=pytest.mark.long),
    ],
)
@api.parametrize()
@settings(**MADE_UP, phases=[Phase.generate])
def test_so_is_every_answer_to_who_may_less(case, things, tokens, who):
    ask(case, things, tokens.get(who))


def ask(case, things, token: str | None) -> None:
    """Makes the call, by somebody or nobody, to something that is there where it can be."""
    if "id" in (case.path_parameters or {}) and (number := things.number(case.path)) is not None:
        case.path_parameters["id"] = number
    if isinstance(case.body, dict | list):
        case.body = things.put_into(case.body)
    headers = {"Accept-Encoding": "identity"}  # the made-up caller does not unpack what it gets
    if case.method == "PATCH":
        headers["If-Match"] = "*"
    if token is not None:
        headers["Authorization"] = f"Bearer {token}"
    case.headers = {**(case.headers or {}), **headers}
    case.validate_response(case.call(), checks=CHECKS)
