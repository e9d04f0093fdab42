"""Who calls: the person, the bases they work at, what they may do there, and the moment."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date, datetime
from functools import cached_property

from fleet.bases.models import Base
from fleet.boats.facts import boats_of_bases
from fleet.people.models import Membership, Person
from fleet.people.roles import may


@dataclass(frozen=True)
class Caller:
    """What a call knows before it asks anything; roles by base, the clock read once."""

    person: Person
    now: datetime
    roles: Mapping[int, frozenset[str]]
    bases: Mapping[int, Base] = field(repr=False)

    @classmethod
    def calling(cls, person: Person, now: datetime) -> "Caller":
        """A person's memberships in force today, by each base's own day; one query."""
        roles: dict[int, set[str]] = {}
        bases: dict[int, Base] = {}
        for membership in Membership.objects.filter(person=person).select_related("base"):
            day = membership.base.day_of(now)
            if membership.from_on <= day and (membership.until_on is None or day <= membership.until_on):
                roles.setdefault(membership.base_id, set()).add(membership.role)
                bases[membership.base_id] = membership.base
        return cls(person, now, {base: frozenset(held) for base, held in roles.items()}, bases)

    def may(self, action: str, base: int | None = None) -> bool:
        """Whether they may do this at a base; at any of theirs where none is given."""
        held = [self.roles.get(base, frozenset())] if base is not None else list(self.roles.values())
        return any(may(roles, action) for roles in held)

    def bases_for(self, action: str) -> list[int]:
        return [base for base, roles in self.roles.items() if may(roles, action)]

    @cached_property
    def boats(self) -> dict[int, int]:
        """The boats of their bases today, and whose each is; one query."""
        return boats_of_bases({base: self.today(base) for base in self.bases})

    def today(self, base: int) -> date:
        """The day at a base of theirs."""
        return self.bases[base].day_of(self.now)

    @property
    def latest_today(self) -> date:
        """The day at their bases, the latest of them where they lie far apart."""
        return max((self.today(base) for base in self.bases), default=self.now.date())
