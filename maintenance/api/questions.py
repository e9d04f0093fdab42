"""The questions of every return, so that a program can ask them in the base's words."""

from typing import Any

from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response

from fleet.api.filters import refuse_unknown
from fleet.api.schema import FIELDS
from fleet.api.shapes import chosen, names_of
from fleet.api.tables import Door
from maintenance.turnaround.questions import QUESTIONS


class QuestionShape(serializers.Serializer):
    """One question, and what a yes opens; the caution is shown beside it."""

    code = serializers.CharField(help_text="its name among a return's answers")
    asks = serializers.CharField()
    opens = serializers.CharField(help_text="the words of the defect that a yes opens")
    caution = serializers.CharField(allow_blank=True)


class Questions(Door):
    """What is asked at every return, all on one page."""

    shape = QuestionShape
    filter_backends = ()
    asks = {"list": (FIELDS,)}
    http_method_names = ("get", "head", "options")

    def list(self, request: Request) -> Response:
        refuse_unknown(request, self.caller, ())
        names = chosen(request, names_of(QuestionShape))
        told: list[dict[str, Any]] = [{name: getattr(q, name) for name in names} for q in QUESTIONS]
        return Response({"next": None, "results": told})
