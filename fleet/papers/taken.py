"""When a photo was taken, from what the camera noted: EXIF 2.32, tags 9003 and 9011. Pure."""

import re
from datetime import datetime, timedelta, timezone

from PIL import Image
from PIL.ExifTags import IFD, Base

FIRST_YEAR = 1990  # common practice, no source: a camera whose clock was never set says 1970 or 1980
ZONE = re.compile(r"([+-])(\d\d):(\d\d)")
WIDEST = timedelta(hours=14)


def taken_at(exif: Image.Exif) -> datetime | None:
    """The moment; without a zone where the camera noted none; None where it noted no moment."""
    noted = exif.get_ifd(IFD.Exif)
    try:
        moment = datetime.strptime(str(noted.get(Base.DateTimeOriginal, ""))[:19], "%Y:%m:%d %H:%M:%S")  # noqa: DTZ007
    except ValueError:
        return None
    return (
        moment.replace(tzinfo=_zone(noted.get(Base.OffsetTimeOriginal)))
        if moment.year >= FIRST_YEAR
        else None
    )


def _zone(noted: object) -> timezone | None:
    found = ZONE.match(str(noted))
    if found is None:
        return None
    ahead = timedelta(hours=int(found[2]), minutes=int(found[3]))
    return timezone(-ahead if found[1] == "-" else ahead) if ahead <= WIDEST else None
