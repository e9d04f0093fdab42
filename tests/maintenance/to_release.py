"""A boat to release, so many minutes on: what the tests of releases share."""

from datetime import timedelta

from maintenance.release.actions import Name, release_boat
from maintenance.release.models import Release, ReleaseName
from tests.cast import NOW

TOME, ILDA = Name("Tome", ReleaseName.How.DID_THE_WORK), Name("Ilda", ReleaseName.How.LOOKED)


def at(minutes: int):
    return NOW + timedelta(minutes=minutes)


def release(cast, boat, *names, charter="S3", minutes: int = 30, **more) -> Release:
    return release_boat(boat, cast.charter[charter], names or [TOME], at=at(minutes), **more)
