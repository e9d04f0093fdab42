"""Photos and certificates: handed in at a base, and served to who works there."""

from typing import Any

import django_filters as filters
from django.db.models import QuerySet
from django.http import HttpResponse
from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import extend_schema_field
from rest_framework import serializers
from rest_framework.decorators import action
from rest_framework.parsers import MultiPartParser
from rest_framework.request import Request
from rest_framework.response import Response

from fleet.api.answers import JSONAnswer
from fleet.api.fields import Body, Ref
from fleet.api.shapes import Shape
from fleet.api.tables import Table
from fleet.bases.models import Base
from fleet.papers.actions import keep_paper
from fleet.papers.models import Paper, PaperAt
from fleet.papers.serving import serve


class AnyAnswer(JSONAnswer):
    """For a file any format that is asked for will do: it is what it is."""

    media_type = "*/*"


class PaperShape(Shape):
    class Meta:
        model = Paper
        fields = ("id", "sha256", "mime", "size", "taken_at")


@extend_schema_field(OpenApiTypes.BINARY)
class AFile(serializers.FileField):
    """A file as a form sends it."""


class PaperBody(Body):
    """A photo or a PDF, and the base it is handed in at."""

    base = Ref(lambda caller: Base.objects.filter(pk__in=caller.bases), help_text="the base's code")
    file = AFile(
        help_text="JPEG, PNG, WebP, HEIC or PDF of at most 15 MB; kept without its metadata, so its sha256 "
        "is another than your file's",
        error_messages={
            "required": "wanted a photo or a PDF",
            "invalid": "wanted a file",
            "empty": "wanted a photo or a PDF, found an empty file",
        },
    )


class PaperFilter(filters.FilterSet):
    base = filters.CharFilter(method="at_base", max_length=64, label="handed in at this base")
    sha256 = filters.CharFilter(max_length=64, label="with this digest")

    def at_base(self, rows: QuerySet[Paper], name: str, value: str) -> QuerySet[Paper]:
        return rows.filter(pk__in=PaperAt.objects.filter(base__code=value).values("paper"))


class Papers(Table):
    """Photos and certificates handed in at your bases."""

    shape, takes, filterset_class = PaperShape, PaperBody, PaperFilter
    needs = {"GET": "see", "POST": "keep a paper"}
    more_problems = {"create": (422,)}
    http_method_names = ("get", "post", "head", "options")
    parser_classes = (MultiPartParser,)

    def rows(self) -> QuerySet[Paper]:
        return Paper.objects.of_bases(list(self.caller.bases))

    def create(self, request: Request) -> Response:
        """Keeps a file once; handed in again it is the same paper."""
        given: dict[str, Any] = self.body(PaperBody, request.data).validated_data
        base: Base = given["base"]
        self.allow_at(base.pk)
        data = given["file"].read()
        paper = keep_paper(data, base=base, at=self.caller.now, by=self.caller.person)
        return Response(self.told(paper), status=201)

    @action(detail=True, renderer_classes=[AnyAnswer])
    def file(self, request: Request, pk: str) -> HttpResponse:
        """The file itself."""
        return serve(self.one(pk), request._request)
