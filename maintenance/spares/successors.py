"""Which number a part has now, and which it had: parts whose numbers were superseded. Pure."""

from collections.abc import Iterator, Mapping

By = Mapping[int, int | None]  # each part, and the one that superseded it


def newer(part: int, by: By) -> Iterator[int]:
    """What superseded it, and what superseded that, to the newest; a ring ends where it closes."""
    seen = {part}
    following = by.get(part)
    while following is not None and following not in seen:
        yield following
        seen.add(following)
        following = by.get(following)


def older(part: int, by: By) -> list[int]:
    """Every part it stands for, the nearest first."""
    of: dict[int, list[int]] = {}
    for one, following in by.items():
        if following is not None:
            of.setdefault(following, []).append(one)
    found, ahead = [], [part]
    while ahead:
        ahead = [one for other in ahead for one in of.get(other, ()) if one != part and one not in found]
        found += ahead
    return found


def newest(part: int, by: By) -> int:
    """The number to order it by."""
    return [part, *newer(part, by)][-1]


def makes_a_ring(part: int, superseded_by: int, by: By) -> bool:
    """Whether a part would come to supersede itself."""
    return superseded_by == part or part in newer(superseded_by, by)
