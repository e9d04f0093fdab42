"""Form fields for what people hand in: one paper, or several photos at once."""

from collections.abc import Sequence
from typing import Any

from django import forms
from django.core.files.uploadedfile import UploadedFile

from fleet.papers.content import Clean, PaperRefused, clean
from fleet.papers.refused import A_PAPER, MOST_BYTES

ACCEPTED = "image/*,application/pdf"


class PapersInput(forms.FileInput):
    """The browser's own file button, for several files."""

    allow_multiple_selected = True

    def value_from_datadict(self, data: Any, files: Any, name: str) -> Any:
        return files.getlist(name) if hasattr(files, "getlist") else files.get(name)


def _checked(file: UploadedFile, said: str) -> Clean:
    """A file read and cleaned; one too large is not even read."""
    try:
        return clean(file.read(MOST_BYTES + 1))
    except PaperRefused as error:
        raise forms.ValidationError(f"{said}: {error}") from error


def _named(label: str, file: UploadedFile, number: int | None = None) -> str:
    name = "".join(c for c in file.name or "" if c.isprintable())[:60]
    return f"{label}{'' if number is None else f' {number}'}" + (f" ({name})" if name else "")


class PaperField(forms.Field):
    """One photo or PDF, or None. The value is bytes, already cleaned (`Clean`): `keep_paper` takes it
    as it is. The form must be sent as multipart/form-data."""

    def __init__(self, label: str, required: bool = False, **more: Any) -> None:
        more["error_messages"] = {"required": f"{label}: wanted {A_PAPER}"}
        widget = forms.FileInput(attrs={"accept": ACCEPTED})
        super().__init__(label=label, required=required, widget=widget, **more)

    def clean(self, value: UploadedFile | None) -> bytes | None:
        super().validate(value)
        return _checked(value, _named(str(self.label), value)) if value else None


class PhotosField(forms.Field):
    """Up to `most` photos or PDFs chosen at once. The value is a list of bytes, each already cleaned
    (`Clean`): `keep_paper` takes each as it is. The form must be sent as multipart/form-data."""

    def __init__(self, label: str, most: int = 12, required: bool = False, **more: Any) -> None:
        self.most = most
        more["error_messages"] = {"required": f"{label}: wanted at least one, {A_PAPER}"}
        widget = PapersInput(attrs={"accept": ACCEPTED, "multiple": True})
        super().__init__(label=label, required=required, widget=widget, **more)

    def clean(self, value: Sequence[UploadedFile] | None) -> list[bytes]:
        files = list(value or [])
        super().validate(files)
        if len(files) > self.most:
            raise forms.ValidationError(f"{self.label}: wanted at most {self.most} files, found {len(files)}")
        kept: list[bytes] = []
        faults: list[forms.ValidationError] = []
        for number, file in enumerate(files, 1):
            try:
                kept.append(_checked(file, _named("Photo", file, number)))
            except forms.ValidationError as fault:
                faults.append(fault)
        if faults:
            raise forms.ValidationError(faults)
        return kept
