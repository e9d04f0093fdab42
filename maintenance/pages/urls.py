"""Addresses of the pages of a base."""

from django.urls import include, path

from maintenance.pages.away import away
from maintenance.pages.boats import boat, boats
from maintenance.pages.charters import charter, charters
from maintenance.pages.components import component
from maintenance.pages.counting import counting
from maintenance.pages.defects import defect
from maintenance.pages.filed import filed
from maintenance.pages.readings import correct_reading
from maintenance.pages.returns import returns, take_back_boat
from maintenance.pages.small_acts import count, settle_reading
from maintenance.pages.week import week
from maintenance.pages.work import job, work

of_a_base = [
    path("", week, name="week"),
    path("boats/", boats, name="boats"),
    path("boats/<int:boat>/", boat, name="boat"),
    path("boats/<int:boat>/work/", work, name="work"),
    path("boats/<int:boat>/counting/", counting, name="counting"),
    path("boats/<int:boat>/return/", take_back_boat, name="return"),
    path("work/<int:job>/", job, name="job"),
    path("returns/", returns, name="returns"),
    path("returns/<int:filed>/", filed, name="filed"),
    path("readings/<int:reading>/", settle_reading, name="settle"),
    path("readings/<int:used>/correct/", correct_reading, name="correct"),
    path("counts/", count, name="count"),
    path("defects/<int:defect>/", defect, name="defect"),
    path("components/<int:component>/", component, name="component"),
    path("components/<int:component>/away/", away, name="away"),
    path("charters/", charters, name="charters"),
    path("charters/<int:charter>/", charter, name="charter"),
]

urlpatterns = [path("at/<str:base>/", include(of_a_base))]
