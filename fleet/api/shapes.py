"""What goes out of a table: names and where each is read, so that a list is one query of columns."""

from collections.abc import Sequence
from functools import cache
from typing import Any

from rest_framework import serializers
from rest_framework.exceptions import ValidationError
from rest_framework.request import Request


class Shape(serializers.ModelSerializer):
    # The names of an answer in order; `source` says where a name that is no column of its own is
    # read. Lists are read by `columns()` straight from the table, several times faster than by
    # making a row of ours of each; what is `beside` is added by the view for a whole page at once.
    # No docstring: the description would repeat it under every table.

    beside: Sequence[str] = ()

    @classmethod
    def columns(cls) -> dict[str, str]:
        """Each name and the path its column is read by."""
        return {name: path for name, path in _paths(cls).items() if name not in cls.beside}


@cache
def _paths(shape: type[serializers.Serializer]) -> dict[str, str]:
    return {name: _path(field, name) for name, field in shape().fields.items()}


def names_of(shape: type[serializers.Serializer]) -> list[str]:
    """The names a shape tells, in order."""
    return list(_paths(shape))


def _path(field: Any, name: str) -> str:
    if isinstance(field, serializers.PrimaryKeyRelatedField):
        return f"{field.source}_id"
    return (field.source or name).replace(".", "__")


class CodeOf(serializers.CharField):
    """The code of a thing pointed to."""

    def __init__(self, source: str, **more: Any) -> None:
        super().__init__(source=source, read_only=True, **more)


def chosen(request: Request, names: Sequence[str]) -> list[str]:
    """The names asked for by `fields=`, in the shape's order; all where it is not given."""
    asked = [name.strip() for name in request.query_params.get("fields", "").split(",") if name.strip()]
    unknown = [name[:60] for name in asked if name not in names]
    if unknown:
        raise ValidationError({"fields": [f"found {', '.join(unknown)}; wanted some of {', '.join(names)}"]})
    return [name for name in names if name in asked] if asked else list(names)
