"""The floors under the API's due list: raw sqlite3 and orjson, and a DRF list with nothing in it."""

import sqlite3

import orjson
from django.urls import path
from rest_framework import generics, serializers
from rest_framework.pagination import CursorPagination
from rest_framework.renderers import JSONRenderer

from maintenance.servicing.models import Due

ROWS = """
    SELECT b.code AS base, t.code AS boat, c.code AS component, k.code AS kind, k.system, i.code AS interval,
        i.task, i.critical, i.minutes, d.due_on, d.governs, d.basis, d.limit_on, d.due_hours, d.hours_now,
        d.due_hours - d.hours_now AS hours_left,
        d.limit_on < :on OR d.hours_now > d.limit_hours AS overdue,
        d.limit_on < (SELECT x.ends_on FROM fleet_charter x WHERE x.boat_id = d.boat_id
            AND x.starts_on >= :on AND x.cancelled_at IS NULL
            ORDER BY x.starts_on LIMIT 1) AS before_handover,
        d.recorded, d.missing
    FROM maintenance_due d
    JOIN fleet_boat t ON t.id = d.boat_id
    JOIN fleet_boatterms s ON s.boat_id = t.id
    JOIN fleet_base b ON b.id = s.base_id
    JOIN fleet_component c ON c.id = d.component_id
    JOIN fleet_kind k ON k.id = c.kind_id
    JOIN maintenance_serviceinterval i ON i.id = d.interval_id
    WHERE b.id IN ({bases})
    ORDER BY d.sort_on, d.component_id, d.interval_id LIMIT :most
"""


def due_by_hand(connection: sqlite3.Connection, bases: list[int], on: str, most: int) -> bytes:
    """The same rows with the same names; days and hours as the file has them."""
    sql = ROWS.format(bases=", ".join(map(str, bases)))
    rows = connection.execute(sql, {"on": on, "most": most})
    names = [column[0] for column in rows.description]
    return orjson.dumps({"next": None, "results": [dict(zip(names, row, strict=True)) for row in rows]})


class _Shape(serializers.ModelSerializer):
    class Meta:
        model = Due
        fields = ("id", "due_on", "governs", "basis", "limit_on", "recorded", "missing")


class _Pages(CursorPagination):
    page_size, ordering = 50, "sort_on"


class EmptyList(generics.ListAPIView):
    """DRF's own list, signed in to as ours is, with no row to show."""

    queryset = Due.objects.none()
    serializer_class = _Shape
    pagination_class = _Pages
    renderer_classes = (JSONRenderer,)
    filter_backends = ()
    schema = None


urlpatterns = [path("empty/", EmptyList.as_view(), name="empty")]
