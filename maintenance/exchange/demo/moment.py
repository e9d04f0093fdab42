"""When what no file says of the demo base is told, and by whom."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from zoneinfo import ZoneInfo

from fleet.bases.models import Base
from fleet.people.models import Person
from maintenance.exchange.demo.hires import coming_saturday

HARBOUR = "alvorim"


@dataclass(frozen=True, slots=True)
class Moment:
    """When it all is told, and by whom."""

    at: datetime
    day: date
    people: Mapping[str, Person]

    @property
    def last_turnaround(self) -> date:
        return coming_saturday(self.day) - timedelta(weeks=1)

    @property
    def coming_turnaround(self) -> date:
        return coming_saturday(self.day)

    def noon_of(self, day: date) -> datetime:
        """Noon of a day gone by, by the harbour's clock."""
        zone = ZoneInfo(Base.objects.get(code=HARBOUR).timezone)
        return datetime.combine(day, time(12), zone)
