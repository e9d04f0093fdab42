"""What cannot be done as asked, in words of the trade: one root, so that each door says it once."""


class Refused(ValueError):
    """Something asked for that cannot be; `field` names what to put right, blank for the whole.

    Made of "field: wanted ..." or of words alone. Nothing was kept.
    """

    @property
    def field(self) -> str:
        head, colon, _ = str(self).partition(": ")
        return head if colon and head.isidentifier() else ""

    @property
    def wanted(self) -> str:
        """What is wanted instead, without the field's name."""
        return str(self).removeprefix(f"{self.field}: ") if self.field else str(self)


class TooLate(Refused):
    """Something that could have been done before, and not as things stand now."""


class Taken(Refused):
    """A code or a name that another thing has already."""

    def __init__(self, field: str, found: str) -> None:
        super().__init__(f"{field}: found {found}; wanted another one, for it is taken")
