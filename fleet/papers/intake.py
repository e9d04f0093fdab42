"""What comes in over the wire, cut where it is too long to be a paper: no upload fills the disk."""

from typing import Any

from django.core.files.uploadhandler import FileUploadHandler

from fleet.papers.refused import MOST_BYTES

MOST_FILES = 30  # of one request; a form takes fewer, and says so by counting them


class CutShort(FileUploadHandler):
    """Stands before the handlers that keep a file: one byte too many is enough to refuse it by."""

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.files = 0

    def new_file(self, *args: Any, **kwargs: Any) -> None:
        self.files += 1
        super().new_file(*args, **kwargs)

    def receive_data_chunk(self, raw_data: bytes, start: int) -> bytes | None:
        most = MOST_BYTES + 1 if self.files <= MOST_FILES else 0
        return raw_data[: most - start] if start < most else None

    def file_complete(self, file_size: int) -> None:
        return None
