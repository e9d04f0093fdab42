"""Addresses of the pages of a base."""

from django.urls import include, path, re_path

from maintenance.pages.alarm_words import alarm_words
from maintenance.pages.alarms import look
from maintenance.pages.astray import astray
from maintenance.pages.away import away
from maintenance.pages.base_report import report_here
from maintenance.pages.base_rules import base_rules
from maintenance.pages.boat import boat
from maintenance.pages.boats import boats
from maintenance.pages.call_out import call_out
from maintenance.pages.call_outs import call_outs
from maintenance.pages.charters import charter, charters
from maintenance.pages.cleaner import sent as cleaner_sent
from maintenance.pages.cleaner import what_seen, which_boat
from maintenance.pages.cleaners import cleaners
from maintenance.pages.components import component
from maintenance.pages.contract_clock import clock_of_contract
from maintenance.pages.cores import cores
from maintenance.pages.costs import costs
from maintenance.pages.counting import counting
from maintenance.pages.defect_list import defects
from maintenance.pages.defects import answer, defect, paper_of_step
from maintenance.pages.deferring import defer
from maintenance.pages.filed import filed
from maintenance.pages.fill_kits import kits
from maintenance.pages.gear import gear, gear_clause
from maintenance.pages.grading import grade, undo
from maintenance.pages.handover import handover, handover_sheet
from maintenance.pages.holding import hold, lift
from maintenance.pages.hull import hull
from maintenance.pages.hull_forms import damage, looked, touched
from maintenance.pages.joining import join
from maintenance.pages.kind_dates import kind_dates
from maintenance.pages.kit import kit
from maintenance.pages.kit_classes import kit_classes
from maintenance.pages.labels import labels
from maintenance.pages.links import close_link, new_link
from maintenance.pages.lots import lots
from maintenance.pages.moving import move, unmove
from maintenance.pages.new_call_out import new_call_out
from maintenance.pages.new_order import new_order
from maintenance.pages.order import order
from maintenance.pages.order_sheet import order_sheet
from maintenance.pages.orders import orders
from maintenance.pages.owner_export import owner_export
from maintenance.pages.part_taken import part_taken
from maintenance.pages.phone.manifest import manifest
from maintenance.pages.phone.photos import photo as photo_to_come
from maintenance.pages.phone.scripts import script
from maintenance.pages.phone.sending import reports as phone_reports
from maintenance.pages.phone.sending import returns as phone_returns
from maintenance.pages.phone.stands import stands
from maintenance.pages.phone.worker import no_signal, worker
from maintenance.pages.placing import where_at
from maintenance.pages.printed_date import printed_date
from maintenance.pages.readings import correct_reading
from maintenance.pages.release import release
from maintenance.pages.release_names import release_said, releases
from maintenance.pages.release_sheet import release_sheet
from maintenance.pages.returns import returns, take_back_boat
from maintenance.pages.round import walk_round
from maintenance.pages.round_items import round_items
from maintenance.pages.safety import boat_dates, safety
from maintenance.pages.seen import new_reports, same_thing, see_defect, see_filed
from maintenance.pages.shelf import shelf
from maintenance.pages.skipper import give_back, photo, report, sent
from maintenance.pages.skipper_happening import happening
from maintenance.pages.skipper_told import told
from maintenance.pages.small_acts import count, settle_reading
from maintenance.pages.spare import spare
from maintenance.pages.spare_move import spare_move
from maintenance.pages.spare_said import spare_said
from maintenance.pages.spares import spares
from maintenance.pages.take_along import take_along
from maintenance.pages.take_part import part_for
from maintenance.pages.week import week
from maintenance.pages.winter import winter, winter_boat
from maintenance.pages.work import job, work

of_a_base = [
    path("", week, name="week"),
    path("new/", new_reports, name="new-reports"),
    path("boats/", boats, name="boats"),
    path("boats/<int:boat>/", boat, name="boat"),
    path("boats/<int:boat>/work/", work, name="work"),
    path("boats/<int:boat>/counting/", counting, name="counting"),
    path("boats/<int:boat>/return/", take_back_boat, name="return"),
    path("boats/<int:boat>/report/", report_here, name="report-defect"),
    path("boats/<int:boat>/round/", walk_round, name="round"),
    path("boats/<int:boat>/kit/", kit, name="kit"),
    path("boats/<int:boat>/parts/", take_along, name="take-along"),
    path("cleaners/", cleaners, name="cleaners"),
    path("rules/words/", alarm_words, name="alarm-words"),
    path("rules/round/", round_items, name="round-items"),
    path("charters/<int:charter>/handover/", handover, name="handover"),
    path("charters/<int:charter>/handover/sheet/", handover_sheet, name="handover-sheet"),
    path("boats/<int:boat>/hull/", hull, name="hull"),
    path("boats/<int:boat>/hull/touch/", touched, name="hull-touch"),
    path("boats/<int:boat>/hull/look/", looked, name="hull-look"),
    path("boats/<int:boat>/hull/damage/", damage, name="hull-damage"),
    path("boats/<int:boat>/release/", release, name="release"),
    path("boats/<int:boat>/hold/", hold, name="hold-boat"),
    path("holds/<int:hold>/lift/", lift, name="lift-hold"),
    path("releases/", releases, name="releases"),
    path("releases/<int:release>/", release_said, name="release-said"),
    path("releases/<int:release>/sheet/", release_sheet, name="release-sheet"),
    path("rules/", base_rules, name="rules"),
    path("rules/gear/", gear, name="gear"),
    path("rules/gear/<int:requirement>/", gear_clause, name="gear-clause"),
    path("winter/", winter, name="winter"),
    path("boats/<int:boat>/winter/", winter_boat, name="winter-boat"),
    path("work/<int:job>/", job, name="job"),
    path("returns/", returns, name="returns"),
    path("returns/<int:filed>/", filed, name="filed"),
    path("returns/<int:filed>/seen/", see_filed, name="filed-seen"),
    path("readings/<int:reading>/", settle_reading, name="settle"),
    path("readings/<int:used>/correct/", correct_reading, name="correct"),
    path("counts/", count, name="count"),
    path("defects/", defects, name="defects"),
    path("defects/<int:defect>/", defect, name="defect"),
    path("defects/<int:defect>/answer/", answer, name="answer"),
    path("defects/<int:defect>/look/", look, name="look"),
    path("defects/<int:defect>/grade/", grade, name="grade"),
    path("defects/<int:defect>/defer/", defer, name="defer"),
    path("defects/<int:defect>/join/", join, name="defect-join"),
    path("defects/<int:defect>/where/", where_at, name="defect-where"),
    path("defects/<int:defect>/seen/", see_defect, name="defect-seen"),
    path("defects/<int:defect>/same/", same_thing, name="defect-same"),
    path("defects/<int:defect>/move/", move, name="defect-move"),
    path("defects/<int:defect>/unmove/", unmove, name="defect-unmove"),
    path("defects/<int:defect>/paper/", paper_of_step, name="defect-paper"),
    path("defects/<int:defect>/undo/", undo, name="defect-undo"),
    path("components/<int:component>/", component, name="component"),
    path("components/<int:component>/away/", away, name="away"),
    path("components/<int:component>/date/", printed_date, name="printed-date"),
    path("boats/<int:boat>/call-out/", new_call_out, name="new-call-out"),
    path("defects/<int:defect>/part/", part_for, name="take-part"),
    path("parts-taken/<int:taken>/", part_taken, name="part-taken"),
    path("call-outs/", call_outs, name="call-outs"),
    path("call-outs/<int:call_out>/", call_out, name="call-out"),
    path("rules/call-outs/", clock_of_contract, name="contract-clock"),
    path("spares/", spares, name="spares"),
    path("spares/<int:spare>/", spare, name="spare"),
    path("spares/<int:spare>/move/", spare_move, name="spare-move"),
    path("spares/places/<int:place>/", shelf, name="shelf"),
    path("spares/lots/", lots, name="lots"),
    path("spares/labels/", labels, name="labels"),
    path("spares/astray/", astray, name="astray"),
    path("spares/cores/", cores, name="cores"),
    path("spares/kits/", kits, name="fill-kits"),
    path("spares/classes/", kit_classes, name="kit-classes"),
    path("orders/", orders, name="orders"),
    path("orders/new/", new_order, name="new-order"),
    path("orders/<int:order>/", order, name="order"),
    path("orders/<int:order>/sheet/", order_sheet, name="order-sheet"),
    path("spares/<int:spare>/said/", spare_said, name="spare-said"),
    path("costs/", costs, name="costs"),
    path("boats/<int:boat>/owner/", owner_export, name="owner-export"),
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
    path("happening/", happening, name="skipper-happening"),
    path("told/", told, name="skipper-told"),
    path("reports/", phone_reports, name="phone-reports"),
    path("returns/", phone_returns, name="phone-returns"),
    path("photos/<str:photo_id>/", photo_to_come, name="phone-photo"),
    path("stands/", stands, name="phone-stands"),
    path("papers/<str:sha256>/", photo, name="skipper-photo"),
    path("app.webmanifest", manifest, name="skipper-manifest"),
]

of_a_cleaner = [
    path("", which_boat, name="cleaner"),
    path("<int:boat>/", what_seen, name="cleaner-seen"),
    path("sent/<str:name>/", cleaner_sent, name="cleaner-sent"),
]

urlpatterns = [
    path("at/<str:base>/", include(of_a_base)),
    path("s/worker.js", worker, name="skipper-worker"),
    path("s/kept.js", script, {"name": "kept"}, name="phone-kept"),
    path("s/page.js", script, {"name": "page"}, name="phone-page"),
    path("s/no-signal/", no_signal, name="skipper-no-signal"),
    re_path(r"^[sS]/$", report, name="skipper-cut"),
    re_path(r"^[cC]/$", which_boat, name="cleaner-cut"),
    re_path(r"^[cC]/(?P<secret>[^/]+)/", include(of_a_cleaner)),
    re_path(r"^[sS]/(?P<secret>[^/]+)/", include(of_a_link)),  # some phones begin with a capital
]
