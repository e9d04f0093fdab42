"""Which stores and kits stock.csv may name."""

from decimal import Decimal

from fleet.boats.models import Place
from maintenance.spares.facts import hands
from tests.doors.folders import everything, refused, write_folder

BASE = "base,name,timezone\nquay,Old Quay,Europe/Lisbon\n"
TWO = BASE + "creek,Far Creek,Europe/Lisbon\n"
BOATS = "boat,name,base\ndunlin,Dunlin,quay\n"
SPARES = "spare,name\nkit,Kit\n"
STOCK = "spare,store,place,quantity\n"
WANTED = "the code of a base (its store) or of a boat (her kit)"


def files(stock, bases=BASE, boats=BOATS):
    return {"bases": bases, "boats": boats, "spares": SPARES, "stock": STOCK + stock}


def test_a_base_s_store_has_shelves_and_a_boat_s_kit_lockers(load, tmp_path):
    load(write_folder(tmp_path, files("kit,quay,,1\nkit,quay,top,2\nkit,dunlin,,3\nkit,dunlin,bow,4\n")))
    assert sorted(str(place) for place in Place.objects.all()) == [
        "Dunlin's kit", "Dunlin's kit, bow", "Store", "Store, top",
    ]  # fmt: skip
    assert sorted(Place.objects.values_list("code", "sort")) == [
        ("bow", "locker"), ("dunlin", "aboard"), ("quay", "store"), ("top", "shelf"),
    ]  # fmt: skip
    assert sorted(hands().values()) == [1, 2, 3, 4]


def test_where_there_is_one_base_its_stores_may_have_names(load, tmp_path):
    load(write_folder(tmp_path, files("kit,Loft,,1\nkit,Shed,,2\n")))
    assert sorted(Place.objects.values_list("code", "base__code")) == [("Loft", "quay"), ("Shed", "quay")]


def test_a_named_store_stays_known_when_a_second_base_comes(load, tmp_path):
    folder = write_folder(tmp_path, files("kit,Loft,,1\n"))
    load(folder)
    load(write_folder(tmp_path, {"bases": TWO}))
    before = everything()
    load(folder)
    assert everything() == before


def test_where_there_are_two_bases_a_name_is_nobody_s(load, tmp_path):
    folder = write_folder(tmp_path, files("kit,Loft,,1\n", bases=TWO))
    assert refused(load, folder) == [f'stock.csv row 2, store: found "Loft"; wanted {WANTED}']


def test_a_code_that_a_base_and_a_boat_share_is_asked_about(load, tmp_path):
    folder = write_folder(tmp_path, files("kit,quay,,1\n", boats=BOATS + "quay,Quay,quay\n"))
    assert refused(load, folder) == [f'stock.csv row 2, store: found "quay", which is both; wanted {WANTED}']


def test_the_kit_of_a_boat_with_a_fault_gets_none_of_its_own(load, tmp_path):
    folder = write_folder(tmp_path, files("kit,heron,,1\n", bases=TWO, boats=BOATS + "heron,,quay\n"))
    expected = "boats.csv row 3, name: found nothing; wanted a value: this column may not be blank"
    assert refused(load, folder) == [expected]


def test_a_count_may_be_below_nothing_as_the_book_may(load, tmp_path):
    folder = write_folder(tmp_path, files("kit,quay,,-2\n"))
    load(folder)
    assert list(hands().values()) == [Decimal(-2)]
    assert not load(folder).changed("stock.csv")


def test_one_spare_at_one_place_twice_is_refused(load, tmp_path):
    folder = write_folder(tmp_path, files("kit,quay,top,1\nkit,quay,top,2\n"))
    assert refused(load, folder) == [
        "stock.csv row 3, spare: found the same spare and store and place as in row 2; wanted each once"
    ]
