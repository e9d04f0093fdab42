"""Tasks that wait for a winter: what the tests of the winter's list and of its pages share."""

from maintenance.servicing.actions import reforecast
from tests import factories as make
from tests.cast import TODAY, Cast


def winter_tasks(cast: Cast) -> None:
    """Gearbox oil before the winter is over, the engine turned monthly while she is laid up."""
    kind = cast.interval["change"].kind
    season = {"season_opens": "10-15", "season_closes": "03-31"}
    cast.interval["gearbox"] = make.IntervalFactory(code="gearbox", kind=kind, **season)
    cast.interval["turn"] = make.IntervalFactory(code="turn", kind=kind, every_months=1, in_lay_up=True)
    reforecast(on=TODAY)
