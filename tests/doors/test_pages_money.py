"""Pages with money in them: what is said of a part, what parts cost, a base's money, an owner's sheet."""

import csv
import io
import re
from datetime import date, timedelta
from decimal import Decimal

import pytest
from django.urls import reverse

from fleet.bases.models import Base
from fleet.boats.models import Place
from maintenance.defects.actions import report_defect
from maintenance.jobs.actions import Work, record_work
from maintenance.ordering import actions
from maintenance.ordering.actions import Wanted
from maintenance.ordering.money import Money
from maintenance.spares.actions import SpareUsed, count_stock, use_spare
from maintenance.spares.lots import Marked, keep_lot
from maintenance.spares.models import Instead, Price, Spare, SpareFit
from tests import factories as make
from tests.cast import NOW, TODAY
from tests.doors.sheets import said

D = Decimal
MAY = date(2026, 5, 1)


def at(name: str, *args: object) -> str:
    return reverse(name, args=["harbour", *args])


@pytest.fixture
def manager(sign_in):
    return sign_in("manager")


@pytest.fixture
def part(cast) -> Spare:
    Spare.objects.filter(code="oil").update(name="Engine oil", part_number="0041")
    cast.spare["oil"].refresh_from_db()
    return cast.spare["oil"]


@pytest.fixture
def say(manager, part):
    """What the manager says of the oil, one form at a time."""

    def say(what: str, **typed: object):
        return manager.post(
            at("spare-said", part.pk), {"what": what} | {f"{what}-{k}": v for k, v in typed.items()}
        )

    return say


# What is said of a part


def test_what_it_fits_is_said_with_its_source_and_taken_back(cast, manager, part, say):
    kind = cast.part["sandpiper engine-oil"].kind
    sent = {"kind": kind.pk, "maker": "Corvo", "model": "C 30", "serial_from": "100", "source": "the plate"}
    assert say("fit", **sent).status_code == 302
    page = manager.get(at("spare-said", part.pk)).content.decode()
    assert f"{kind.name}, Corvo C 30, serial numbers from 100" in page
    assert "Source: the plate" in page
    manager.post(at("spare-said", part.pk), {"what": "drop-fit", "row": SpareFit.objects.get().pk})
    assert not SpareFit.objects.exists()


@pytest.mark.parametrize(
    ("typed", "told"),
    [
        ({"source": "x"}, "Kind of thing: wanted a kind of thing, a maker or a model"),
        ({"maker": "Corvo"}, "Source: wanted whose word it is"),
        (
            {"maker": "Corvo", "serial_from": "200", "serial_to": "100", "source": "x"},
            "Serial number to: wanted a number after the first",
        ),
        ({"maker": "x" * 81, "source": "x"}, "Maker: wanted up to 80 letters"),
        ({"kind": "99999", "source": "x"}, "Kind of thing: wanted one of the list"),
    ],
)
def test_a_fit_that_says_nothing_or_runs_backwards_is_refused_at_its_field(say, typed, told):
    answer = say("fit", **typed)
    assert answer.status_code == 422
    assert told in said(answer)
    assert not SpareFit.objects.exists()


def test_what_was_said_of_its_fit_already_is_not_said_twice(say):
    assert say("fit", maker="Corvo", source="x").status_code == 302
    assert "this is said already" in said(say("fit", maker="Corvo", source="y"))


def test_another_part_may_be_used_instead_until_that_is_taken_back(cast, manager, part, say):
    assert say("instead", other="gas bottle", words="only in need").status_code == 302
    page = manager.get(at("spare-said", part.pk)).content.decode()
    assert "only in need" in page
    assert "wanted another part" in said(say("instead", other="oil"))
    assert "Part to use instead: wanted which part" in said(say("instead", other=""))
    manager.post(at("spare-said", part.pk), {"what": "drop-instead", "row": Instead.objects.get().pk})
    assert not Instead.objects.exists()
    again = manager.post(at("spare-said", part.pk), {"what": "drop-instead", "row": "1"}, follow=True)
    assert "It is taken back already" in said(again)


def test_how_it_is_bought_its_newer_number_among_it(cast, part, say):
    newer = make.SpareFactory(code="0042", name="Engine oil, new")
    typed = {"supplier": "Quay", "lead_days": "5", "pack_of": "2,5", "exchange": "on"}
    assert say("bought", superseded_by="0042", **typed).status_code == 302
    part.refresh_from_db()
    assert (part.supplier, part.lead_days, part.pack_of) == ("Quay", 5, D("2.5"))
    assert (part.exchange, part.superseded_by) == (True, newer)
    say("bought", pack_of="1")
    part.refresh_from_db()
    assert (part.superseded_by, part.exchange, part.lead_days) == (None, False, None)


@pytest.mark.parametrize(
    ("typed", "told"),
    [
        ({"pack_of": "0"}, "In a pack: wanted how many, above 0"),
        ({"pack_of": ""}, "In a pack: wanted how many"),
        ({"pack_of": "1", "lead_days": "-1"}, "Days on the way: wanted a whole number from 0 to 999"),
        ({"pack_of": "1", "superseded_by": "oil"}, "Superseded by: wanted a newer part: no part replaces"),
        ({"pack_of": "1", "superseded_by": "nothing such"}, "Superseded by: found no “nothing such”"),
    ],
)
def test_how_it_cannot_be_bought_is_said_at_its_field(part, say, typed, told):
    answer = say("bought", supplier="Quay", **typed)
    assert answer.status_code == 422
    assert told in said(answer)
    assert 'value="Quay"' in answer.content.decode()
    part.refresh_from_db()
    assert part.supplier == ""


def test_a_ring_of_numbers_is_refused_plainly_and_what_is_kept_is_shown(cast, part, say):
    make.SpareFactory(code="older", name="Engine oil, old", part_number="0041-5", superseded_by=part)
    make.SpareFactory(code="newer", name="Engine oil, new", part_number="0042")
    ring = {"pack_of": "1", "superseded_by": "older"}
    text = said(answer := say("bought", **ring))
    assert answer.status_code == 422
    assert "0041-5 is already replaced by this one, so it cannot replace it" in text
    assert "Superseded by Engine oil" not in text
    assert say("bought", pack_of="1", superseded_by="newer").status_code == 302
    assert "Superseded by Engine oil, new 0042: orders ask" in said(say("bought", **ring))


def test_a_price_of_who_buys_enough_from_a_day_on(cast, manager, part, say):
    typed = {"supplier": "Quay", "from_on": "2026-05-01", "least": "12", "each": "7,125"}
    assert "may be two prices" in said(say("price", **typed))
    assert say("price", **(typed | {"each": "7.1250 USD"})).status_code == 302
    row = Price.objects.get()
    assert (row.spare, row.least, row.each, row.currency) == (part, 12, D("7.125"), "USD")
    page = manager.get(at("spare-said", part.pk)).content.decode()
    assert "7.125 USD" in page
    assert "wanted another day" in said(say("price", **(typed | {"each": "8"})))
    manager.post(at("spare-said", part.pk), {"what": "drop-price", "row": row.pk})
    assert not Price.objects.exists()


@pytest.mark.parametrize(
    ("typed", "told"),
    [
        ({"each": ""}, "Price of one: wanted a price such as 12.50, or 12.50 EUR"),
        ({"each": "seven"}, "Price of one: found “SEVEN”"),
        ({"each": "7", "least": "0"}, "For at least so many: wanted how many, above 0"),
        ({"each": "7", "from_on": "May"}, "From: wanted a day such as 2026-05-30"),
        ({"each": "99999999999"}, "Price of one: found “99999999999”"),
    ],
)
def test_a_price_that_cannot_be_is_said_at_its_field(say, typed, told):
    answer = say("price", **({"from_on": "2026-05-01", "least": "1"} | typed))
    assert answer.status_code == 422
    assert told in said(answer)
    assert not Price.objects.exists()


def test_what_is_not_said_here_finds_nothing_and_anothers_row_stays(cast, manager, part):
    other = SpareFit.objects.create(spare=cast.spare["gas bottle"], maker="Corvo")
    assert manager.post(at("spare-said", part.pk), {"what": "burn"}).status_code == 404
    manager.post(at("spare-said", part.pk), {"what": "drop-fit", "row": other.pk})
    assert SpareFit.objects.get() == other


# The base's money


def test_the_base_says_its_currency_and_what_things_cost(cast, manager):
    sent = {
        "what": "money",
        "money-currency": "hrk",
        "money-missed_saturday": "1.250,50",
        "money-order_cost": "25",
        "money-holding_percent": "20",
    }
    assert manager.post(at("rules"), sent).status_code == 302
    base = Base.objects.get(pk=cast.base.pk)
    assert (base.currency, base.missed_saturday) == ("HRK", D("1250.50"))
    assert (base.order_cost, base.holding_percent) == (25, 20)
    manager.post(at("rules"), {"what": "money", "money-currency": "HRK"})
    base.refresh_from_db()
    assert (base.missed_saturday, base.order_cost, base.holding_percent) == (None, None, None)


@pytest.mark.parametrize(
    ("typed", "told"),
    [
        ({"money-currency": "EURO"}, "Currency: wanted at most 3 letters"),
        ({"money-currency": "E1R"}, "Currency: wanted three capital letters such as EUR"),
        ({"money-missed_saturday": "0"}, "A part missing on a Saturday costs: found “0”"),
        ({"money-order_cost": "-1"}, "An order costs, beside its parts: found “-1”"),
        ({"money-holding_percent": "101"}, "Percent a year on the shelf: found “101”"),
        ({"money-holding_percent": "100.005"}, "Percent a year on the shelf:"),
    ],
)
def test_money_that_cannot_be_is_said_at_its_field_and_nothing_is_kept(cast, manager, typed, told):
    sent = {"what": "money", "money-currency": "EUR", "money-order_cost": "25"} | typed
    answer = manager.post(at("rules"), sent)
    assert answer.status_code == 422
    assert told in said(answer)
    assert Base.objects.get(pk=cast.base.pk).order_cost is None


def test_the_engineer_reads_what_the_office_does_not_see(cast, sign_in):
    cast.base.missed_saturday = D(417)
    cast.base.save()
    assert "417" in said(sign_in("engineer").get(at("rules")))
    office = said(sign_in("office").get(at("rules")))
    assert "417" not in office
    assert "Saturday costs" not in office


# What parts cost


@pytest.fixture
def spent(cast, part):
    """Oil changed on Sandpiper on May Day, a gas bottle of no known price used aboard her."""
    Price.objects.create(spare=part, supplier="Quay", from_on=MAY, each=D("10"), currency="EUR")
    took = [SpareUsed(part, cast.place["store"], D("4.5"))]
    job = record_work(
        cast.boat["sandpiper"], Work(MAY, [cast.task("sandpiper engine-oil", "change")], used=took), at=NOW
    )
    use_spare(cast.spare["gas bottle"], cast.place["sandpiper locker"], quantity=D(2), day=MAY, at=NOW)
    return job


def test_a_season_costs_by_boat_with_what_has_no_price_named(cast, spent, engineer):
    page = engineer.get(at("costs")).content.decode()
    assert (
        "Thu 1 Jan 2026 to Thu 28 May 2026, both counted: <b>45.00 EUR, and 1 part without a price</b>"
        in page
    )
    assert f"so the sums are too low: {cast.spare['gas bottle'].name}" in page
    assert f'href="{at("job", spent.pk)}"' in page
    assert "4.5 l Engine oil" in page
    before = engineer.get(at("costs"), {"since": "2026-01-01", "until": "2026-04-30"}).content.decode()
    assert "No part was used in these days." in before


def test_where_every_part_used_has_a_price_it_is_said(cast, spent, engineer):
    says = "Every part used has a price."
    assert says not in engineer.get(at("costs")).content.decode()
    none_used = {"since": "2026-01-01", "until": "2026-04-30"}
    assert says not in engineer.get(at("costs"), none_used).content.decode()
    Price.objects.create(spare=cast.spare["gas bottle"], from_on=MAY, each=D("30"), currency="EUR")
    page = engineer.get(at("costs")).content.decode()
    assert says in page
    assert "No price known" not in page


def test_a_service_costs_what_its_list_does(cast, spent, engineer):
    page = engineer.get(at("costs")).content.decode()
    of_services = page.split("By service")[1]
    assert cast.interval["change"].task in of_services
    assert "<summary>45.00 EUR</summary>" in of_services


@pytest.mark.parametrize(
    ("asked", "told"),
    [
        ({"since": "2026-05-02", "until": "2026-05-01"}, "Until: wanted the first day, or a later one"),
        ({"since": "yesterday"}, "From: wanted a day such as 2026-05-30"),
        ({"since": "1026-05-01"}, "From: wanted a day from 2000 to 2099"),
    ],
)
@pytest.mark.parametrize("name", ["costs", "owner-export"])
def test_days_that_cannot_be_are_said_and_no_table_is_made_of_them(cast, manager, asked, told, name):
    where = at(name, *([cast.boat["sandpiper"].pk] if name == "owner-export" else []))
    for more in ({}, {"format": "csv"}):
        answer = manager.get(where, asked | more)
        assert answer.status_code == 422
        assert told in said(answer)


def table(answer) -> list[dict[str, str]]:
    return list(csv.DictReader(io.StringIO(answer.content.decode("utf-8-sig"))))


def test_the_parts_as_a_table_in_which_nothing_is_a_formula(cast, part, spent, engineer):
    Spare.objects.filter(pk=part.pk).update(name="=1+1", part_number="0041")
    answer = engineer.get(at("costs"), {"format": "csv"})
    assert answer["Content-Disposition"] == 'attachment; filename="parts-harbour-2026-01-01-2026-05-28.csv"'
    oil, gas = table(answer)
    assert oil == {
        "day": "2026-05-01",
        "boat": cast.boat["sandpiper"].name,
        "code": "oil",
        "part": "'=1+1",
        "part_number": "0041",
        "quantity": "4.5",
        "unit": "l",
        "one_costs": "10",
        "currency": "EUR",
        "cost": "45",
        "job": str(spent.pk),
    }
    assert (gas["one_costs"], gas["cost"], gas["job"]) == ("", "", "")
    services = table(engineer.get(at("costs"), {"format": "csv", "of": "tasks"}))
    [change] = [row for row in services if row["task"] == cast.interval["change"].task]
    assert (change["part"], change["cost"]) == ("'=1+1", "45")


# For her owner

# Every word that people write for themselves, each somewhere in the book of the boat.
SECRETS = {
    "who": "A. Fitter-Secret",
    "login": "Engineer Secretname",
    "defect": "owner is a nuisance",
    "step": "told him off quietly",
    "count": "somebody pinched it",
    "order": "haggle with them",
    "supplier": "Cousin Chandlery",
    "lot": "LOT-XYZ",
    "place": "Hidden under bunk",
    "closed": "they cheat",
}


@pytest.fixture
def full_of_words(cast, spent, part):
    """Words of every sort about the boat, her parts, her jobs, her defects and the orders for her."""
    boat, by = cast.boat["sandpiper"], cast.person["engineer"]
    by.name = SECRETS["login"]
    by.save()
    Spare.objects.filter(pk=part.pk).update(supplier=SECRETS["supplier"])
    Price.objects.update(supplier=SECRETS["supplier"])
    Place.objects.filter(pk=cast.place["sandpiper locker"].pk).update(name=SECRETS["place"])
    lot = keep_lot(part, Marked(SECRETS["lot"]))
    locker = Place.objects.get(pk=cast.place["sandpiper locker"].pk)
    make.ReceivedFactory(spare=part, to_place=locker, quantity=D(3), lot=lot)
    use_spare(part, locker, quantity=D(1), day=MAY, at=NOW, lot=lot, by=by)
    count_stock(part, locker, counted=D(1), day=TODAY, at=NOW, words=SECRETS["count"], by=by)
    tasks = [cast.task("sandpiper engine-oil", "change")]
    record_work(boat, Work(MAY + timedelta(2), tasks, who=SECRETS["who"]), at=NOW, by=by)
    report_defect(boat, words=SECRETS["defect"], reporter=SECRETS["who"], at=NOW, by=by)
    order = actions.make_order(
        cast.base,
        SECRETS["supplier"],
        [Wanted(part, D(4), Money(D("9.87"), "EUR"))],
        at=NOW,
        by=by,
        words=SECRETS["order"],
    )
    actions.close_order(order, on=TODAY, why=SECRETS["closed"])
    return boat


def test_an_owner_is_told_the_work_and_the_parts_with_what_they_cost(cast, full_of_words, manager):
    page = manager.get(at("owner-export", full_of_words.pk)).content.decode()
    sheet = re.search(r"<article.*?</article>", page, re.DOTALL)[0]
    assert cast.interval["change"].task in sheet
    assert "1 May, 2 May, 3 May" in sheet
    assert "4.5 l" in sheet
    assert "45.00 EUR" in sheet
    assert "<b>Parts together: 55.00 EUR, and 1 part without a price.</b>" in sheet


def test_no_internal_word_and_no_name_gets_out_to_an_owner(cast, full_of_words, manager):
    """The page's own head has the name of who looks, which is not printed and is the manager's."""
    where = at("owner-export", full_of_words.pk)
    page = manager.get(where).content.decode()
    rows = manager.get(where, {"format": "csv"}).content.decode("utf-8-sig")
    for name, words in SECRETS.items():
        assert words not in page, name
        assert words not in rows, name
    sheet = re.search(r"<article.*?</article>", page, re.DOTALL)[0]
    for person in cast.person.values():
        assert person.name not in sheet
        assert person.login not in rows


def test_the_secrets_are_really_in_the_book(cast, full_of_words, manager):
    """Else the test above would prove nothing: each is told on a page of the base's own."""
    boat, part = full_of_words.pk, cast.spare["oil"].pk
    pages = [at("boat", boat), at("spare", part), at("orders"), at("costs"), at("defects")]
    pages += [at("order", row.pk) for row in actions.Order.objects.all()]
    told = " ".join(said(manager.get(where)) for where in pages)
    for name in ("who", "defect", "order", "supplier", "closed", "login"):
        assert SECRETS[name] in told, name


def test_an_owners_table_has_work_and_parts_each_by_its_day(cast, full_of_words, manager):
    answer = manager.get(at("owner-export", full_of_words.pk), {"format": "csv", "since": "2026-05-01"})
    rows = table(answer)
    assert {row["what"] for row in rows} == {"work", "part"}
    work = [row for row in rows if row["what"] == "work" and row["day"] == "2026-05-01"]
    assert work[0]["task_or_part"] == cast.interval["change"].task
    costs = [row["cost"] for row in rows if row["what"] == "part"]
    assert sorted(costs) == ["", "10", "45"]


def test_another_boats_work_and_parts_are_not_in_it(cast, full_of_words, manager):
    page = manager.get(at("owner-export", cast.boat["blank page"].pk)).content.decode()
    assert "No work was recorded in these days." in page
    assert "No part was used on her in these days." in page


def test_a_year_of_work_stands_on_one_sheet_a_line_for_each_task(cast, manager):
    boat = cast.boat["sandpiper"]
    for n in range(20):
        work = Work(TODAY - timedelta(n), [cast.task("sandpiper engine-oil", "change")])
        record_work(boat, work, at=NOW)
    page = manager.get(at("owner-export", boat.pk)).content.decode()
    assert page.count(cast.interval["change"].task) == 1
    assert 'class="one-page large' in page


@pytest.mark.parametrize(("who", "sees"), [("manager", True), ("engineer", False), ("office", False)])
def test_a_boats_page_leads_the_manager_to_the_owners_sheet(cast, sign_in, who, sees):
    boat = cast.boat["sandpiper"].pk
    page = sign_in(who).get(at("boat", boat)).content.decode()
    assert (f'href="{at("owner-export", boat)}"' in page) is sees


def test_the_office_is_told_no_price_of_any_part(cast, spent, sign_in):
    """On every page of the store that it may open."""
    office = sign_in("office")
    Price.objects.update(each=D("817.25"))
    order = actions.make_order(
        cast.base, "Quay", [Wanted(cast.spare["oil"], D(4), Money(D("817.25"), "EUR"))], at=NOW
    )
    for where in (
        at("spares"),
        at("spare", cast.spare["oil"].pk),
        at("orders"),
        at("order", order.pk),
        at("order-sheet", order.pk),
        at("job", spent.pk),
        at("boat", cast.boat["sandpiper"].pk),
        at("week"),
        at("rules"),
    ):
        answer = office.get(where)
        assert answer.status_code == 200, where
        assert "817" not in answer.content.decode(), where
    assert "817" not in office.get(at("spares"), {"format": "csv"}).content.decode()
    for where in (at("costs"), at("new-order"), at("spare-said", cast.spare["oil"].pk)):
        assert office.get(where).status_code == 403
