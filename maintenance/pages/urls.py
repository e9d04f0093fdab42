"""Addresses of the pages of a base."""

from django.urls import include, path, re_path

from maintenance.pages.away import away
from maintenance.pages.boats import boat, boats
from maintenance.pages.charters import charter, charters
from maintenance.pages.components import component
from maintenance.pages.counting import counting
from maintenance.pages.defects import answer, defect
from maintenance.pages.filed import filed
from maintenance.pages.kind_dates import kind_dates
from maintenance.pages.links import close_link, new_link
from maintenance.pages.printed_date import printed_date
from maintenance.pages.readings import correct_reading
from maintenance.pages.returns import returns, take_back_boat
from maintenance.pages.safety import boat_dates, safety
from maintenance.pages.skipper import give_back, photo, report, sent
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
    path("defects/<int:defect>/answer/", answer, name="answer"),
    path("components/<int:component>/", component, name="component"),
    path("components/<int:component>/away/", away, name="away"),
    path("components/<int:component>/date/", printed_date, name="printed-date"),
    path("safety/", safety, name="safety"),
    path("safety/kinds/", kind_dates, name="safety-kinds"),
    path("safety/boats/<int:boat>/", boat_dates, name="safety-boat"),
    path("charters/", charters, name="charters"),
    path("charters/<int:charter>/", charter, name="charter"),
    path("charters/<int:charter>/link/", new_link, name="new-link"),
    path("links/<int:link>/close/", close_link, name="close-link"),
]

of_a_link = [
    path("", report, name="skipper"),
    path("return/", give_back, name="skipper-return"),
    path("sent/", sent, name="skipper-sent"),
    path("papers/<str:sha256>/", photo, name="skipper-photo"),
]

urlpatterns = [
    path("at/<str:base>/", include(of_a_base)),
    re_path(r"^[sS]/$", report, name="skipper-cut"),
    re_path(r"^[sS]/(?P<secret>[^/]+)/", include(of_a_link)),  # some phones begin with a capital
]
