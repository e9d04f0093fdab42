"""What is told of the API itself: its addresses, its OpenAPI description, and a page to read it."""

from collections import defaultdict
from collections.abc import Iterator
from functools import cache
from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import URLPattern, get_resolver, reverse
from django.views.decorators.csrf import csrf_exempt
from django.views.decorators.http import require_safe
from drf_spectacular.generators import SchemaGenerator

from fleet.api.answers import as_json
from fleet.api.problems import MEDIA_TYPE

METHODS = ("get", "post", "patch", "delete")


@cache
def described() -> dict[str, Any]:
    """The whole API as OpenAPI 3.1; it depends on the program alone."""
    schema: dict[str, Any] = SchemaGenerator().get_schema(request=None, public=True)
    paths = {address: dict(sorted(methods.items())) for address, methods in schema["paths"].items()}
    _tell_some_names(schema["components"]["schemas"])
    return schema | {"paths": paths}


def _tell_some_names(shapes: dict[str, Any]) -> None:
    """What stands in a list can be asked for in part (`fields`): no name of it is sure to be there."""
    for name in [name for name in shapes if name.endswith("Page")]:
        row = shapes[name]["properties"]["results"]["items"]["$ref"].rpartition("/")[2]
        shapes[row].pop("required", None)


@require_safe
def description(request: HttpRequest) -> HttpResponse:
    """The description for programs."""
    return HttpResponse(as_json(described()), content_type="application/vnd.oai.openapi+json")


@csrf_exempt  # nothing is done here, whoever asks
def nothing(request: HttpRequest) -> HttpResponse:
    """What is no address of the API, said as the API says it."""
    said = "No address of the API; they all end with a stroke, and /api/ lists them"
    document = {"type": "about:blank", "title": "Not found", "status": 404, "detail": said, "errors": []}
    return HttpResponse(as_json(document), status=404, content_type=MEDIA_TYPE)


@require_safe
def front(request: HttpRequest) -> HttpResponse:
    """Where each table stands."""
    names = sorted(name for name in _names(get_resolver().url_patterns) if name.endswith("-list"))
    tables = {
        name.removeprefix("api-").removesuffix("-list"): request.build_absolute_uri(reverse(name))
        for name in names
        if name.startswith("api-")
    }
    told = {"description": request.build_absolute_uri(reverse("api-schema"))} | {"tables": tables}
    return HttpResponse(as_json(told), content_type="application/json")


def _names(patterns: list[Any]) -> Iterator[str]:
    for pattern in patterns:
        if isinstance(pattern, URLPattern):
            yield pattern.name or ""
        else:
            yield from _names(pattern.url_patterns)


@require_safe
def docs(request: HttpRequest) -> HttpResponse:
    """The description as a page, without a script of anybody's."""
    schema = described()
    groups: dict[str, list[dict[str, Any]]] = defaultdict(list)
    for address, methods in schema["paths"].items():
        for method in METHODS:
            if method in methods:
                said = methods[method]
                groups[said["tags"][0]].append(_operation(address, method, said, schema))
    context = {"groups": dict(sorted(groups.items())), "info": schema["info"]}
    return render(request, "fleet/api_docs.html", context)


def _operation(address: str, method: str, said: dict[str, Any], schema: dict[str, Any]) -> dict[str, Any]:
    none: dict[str, Any] = {}
    body = next(iter(said.get("requestBody", {}).get("content", {}).values()), none)
    good = {code: answer for code, answer in said["responses"].items() if code < "300"}
    content = next((a["content"] for a in good.values() if "content" in a), none)
    gives = next(iter(content.values()), none).get("schema", {})
    return {
        "method": method.upper(),
        "address": address,
        "says": said.get("description", ""),
        "asks": [p for p in said.get("parameters", ()) if p["in"] != "path"],
        "takes": list(_names_of(body.get("schema", {}), schema)),
        "gives": list(_names_of(gives, schema)),
        "answers": sorted(said["responses"]),
    }


def _names_of(part: dict[str, Any], schema: dict[str, Any]) -> Iterator[dict[str, Any]]:
    """The names of an object, those of a page's rows in place of the page's own."""
    part = _resolved(part, schema)
    fields = part.get("properties", {})
    if "results" in fields:
        yield from _names_of(fields["results"]["items"], schema)
        return
    for name, field in fields.items():
        yield {
            "name": name,
            "sort": _sort(field, schema),
            "needed": name in part.get("required", ()),
            "says": field.get("description", ""),
        }


def _resolved(part: dict[str, Any], schema: dict[str, Any]) -> dict[str, Any]:
    while "$ref" in part:
        part = schema["components"]["schemas"][part["$ref"].rpartition("/")[2]]
    return part


def _sort(field: dict[str, Any], schema: dict[str, Any]) -> str:
    """What sort of value a name holds, in a word or two."""
    either = field.get("oneOf") or field.get("anyOf") or field.get("allOf")
    if either:
        return " or ".join(dict.fromkeys(_sort(one, schema) for one in either))
    field = _resolved(field, schema)
    if "properties" in field:
        return "{" + ", ".join(field["properties"]) + "}"
    if "enum" in field:
        return " | ".join("null" if value is None else str(value) or "blank" for value in field["enum"])
    kinds = field.get("type", "anything")
    kinds = kinds if isinstance(kinds, list) else [kinds]
    said = [str(field.get("format", kind)) if kind == "string" else str(kind) for kind in kinds]
    if "array" in said:
        said[said.index("array")] = f"list of {_sort(field.get('items', {}), schema)}"
    return " or ".join(said)
