"""One thing of each table of spares and orders, of one boat and base."""

from datetime import date, timedelta
from decimal import Decimal

from django.db.models import Model

from fleet.bases.models import Base
from fleet.boats.models import Boat, Kind, Place
from fleet.ledger import enter
from maintenance.ordering.actions import Wanted, make_order
from maintenance.spares.actions import use_spare
from maintenance.spares.lots import Marked, keep_lot
from maintenance.spares.models import (
    Allowance,
    CoreBack,
    Instead,
    KitSeal,
    Price,
    Spare,
    SpareFit,
    StockMove,
)
from tests.cast import NOW, TODAY, Cast

FRESH = date(2027, 6, 30)


def spares_and_orders(cast: Cast, base: Base, boat: Boat, place: Place) -> dict[str, Model]:
    """A row of each, the parts themselves among the cast's; what is shared is made once."""
    oil, bottle = cast.spare["oil"], cast.spare["gas bottle"]
    shelf, _ = Place.objects.get_or_create(base=base, code="bench", name="Bench", sort="shelf")
    pump, _ = Spare.objects.get_or_create(code="turned pump", name="Turned pump", exchange=True)
    lot = keep_lot(bottle, Marked(mark=f"B-{base.code}", expires_on=FRESH))
    received(bottle, place, lot=lot)
    received(pump, shelf, quantity=Decimal(3))
    use_spare(pump, shelf, quantity=Decimal(3), day=TODAY, at=NOW)
    price, _ = Price.objects.get_or_create(
        spare=oil, from_on=TODAY - timedelta(30), each=Decimal("8.5"), currency="EUR"
    )
    fit, _ = SpareFit.objects.get_or_create(spare=oil, kind=Kind.objects.get(code="engine-oil"))
    instead, _ = Instead.objects.get_or_create(spare=oil, other=bottle)
    return {
        "allowances": Allowance.objects.create(spare=bottle, place=place, quantity=1, from_on=TODAY),
        "cores-back": enter(CoreBack(base=base, spare=pump, quantity=1, day=TODAY), at=NOW),
        "lots": lot,
        "orders": make_order(base, "Quay Chandlery", [Wanted(oil, Decimal(5))], at=NOW),
        "prices": price,
        "seals": enter(KitSeal(place=place, number=f"S-{boat.code}", day=TODAY), at=NOW),
        "shelf": shelf,
        "spare-fits": fit,
        "spares": oil,
        "stand-ins": instead,
        "stock-moves": received(oil, place, quantity=Decimal(2)),
    }


def received(spare: Spare, place: Place, quantity: Decimal = Decimal(1), **more) -> StockMove:
    move = StockMove(spare=spare, to_place=place, quantity=quantity, why="received", day=TODAY, **more)
    return enter(move, at=NOW)
