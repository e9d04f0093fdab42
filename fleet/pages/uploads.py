"""Form fields for what people hand in: one paper, or several photos at once."""

from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

from django import forms
from django.core.files.uploadedfile import UploadedFile
from django.utils.translation import gettext_lazy, ngettext

from fleet.pages.paper_words import paper_said
from fleet.pages.waiting import Waiting, let_wait, still_waiting
from fleet.papers.content import Clean, PaperRefused, clean
from fleet.papers.refused import A_PAPER, MOST_BYTES

if TYPE_CHECKING:
    from django.utils.functional import _StrPromise  # the stubs alone have it

Given = UploadedFile | str  # a file, or the note of one that came in before
NAME_LENGTH = 60


class PaperInput(forms.FileInput):
    """The browser's own file button, and the files that came in before, each with a tick to keep it."""

    template_name = "fleet/papers_input.html"

    def value_from_datadict(self, data: Any, files: Any, name: str) -> list[Given]:
        return [*_all(data, f"{name}-kept"), *_all(files, name)]

    def value_omitted_from_data(self, data: Any, files: Any, name: str) -> bool:
        return not self.value_from_datadict(data, files, name)

    def use_required_attribute(self, initial: Any) -> bool:
        return False  # the browser would ask again for what came in before

    def get_context(self, name: str, value: Any, attrs: Any) -> dict[str, Any]:
        context = super().get_context(name, None, attrs)
        kept = [w for given in value or () if (w := _waiting(given)) is not None]
        return context | {"kept": kept, "kept_name": f"{name}-kept"}


class PapersInput(PaperInput):
    """The same, for several files."""

    allow_multiple_selected = True


def _all(given: Any, name: str) -> list[Any]:
    if hasattr(given, "getlist"):
        return list(given.getlist(name))
    value = (given or {}).get(name) or []
    return list(value) if isinstance(value, list | tuple) else [value]


def _waiting(given: Given) -> Waiting | None:
    """What the form that must be sent again carries for a file; None for one that was no good."""
    if isinstance(given, str):
        known = still_waiting(given)
        return known[0] if known else None
    paper = getattr(given, "paper", None)
    return let_wait(paper, _name(given)) if paper is not None else None


class PhotosField(forms.Field):
    """Up to `most` photos or PDFs chosen at once. The value is a list of bytes, each already cleaned
    (`Clean`): `keep_paper` takes each as it is.

    The form must be sent as multipart/form-data. Where it must be sent again, what came in well
    waits in the store, and its tick in the form brings it along.
    """

    one = gettext_lazy("Photo")

    def __init__(
        self, label: "str | _StrPromise", most: int = 12, required: bool = False, **more: Any
    ) -> None:
        self.most = most
        more["error_messages"] = {"required": f"{label}: wanted {A_PAPER}"}
        widget = (PapersInput if most > 1 else PaperInput)(attrs={"accept": "image/*,application/pdf"})
        super().__init__(label=label, required=required, widget=widget, **more)

    def has_changed(self, initial: Any, data: Any) -> bool:
        return bool(data)

    def clean(self, value: Sequence[Given] | None) -> Any:
        given = list(value or [])
        super().validate(given)
        papers, faults = self._looked_at(given)
        if len(given) > self.most:
            said = ngettext(
                "%(label)s: wanted at most %(most)d file, found %(found)d",
                "%(label)s: wanted at most %(most)d files, found %(found)d",
                self.most,
            )
            faults.insert(0, said % {"label": self.label, "most": self.most, "found": len(given)})
        if faults:
            raise forms.ValidationError(faults)
        return list(dict.fromkeys(papers))

    def _looked_at(self, given: Sequence[Given]) -> tuple[list[Clean], list[str]]:
        """The good ones, and a fault for each that is none; no more are opened than may come."""
        papers, faults = [], []
        for number, each in enumerate(given[: self.most], 1):
            try:
                papers.append(_opened(each))
            except PaperRefused as error:
                faults.append(f"{self._said(each, number)}: {paper_said(error)}")
        return papers, faults

    def _said(self, given: Given, number: int) -> str:
        name = _name(given)
        return f"{self.one} {number}" + (f" ({name})" if name else "")


class PaperField(PhotosField):
    """One photo or PDF. The value is bytes, already cleaned (`Clean`), or None: `keep_paper` takes it
    as it is. The form must be sent as multipart/form-data; see `PhotosField` for sending it again."""

    def __init__(self, label: str, required: bool = False, **more: Any) -> None:
        super().__init__(label, most=1, required=required, **more)

    def clean(self, value: Sequence[Given] | None) -> bytes | None:
        latest = list(value or [])[-1:]  # a file chosen anew stands for the one that came in before
        papers: list[bytes] = super().clean(latest)
        return papers[0] if papers else None

    def _said(self, given: Given, number: int) -> str:
        name = _name(given)
        return f"{self.label}" + (f" ({name})" if name else "")


def _opened(given: Given) -> Clean:
    """A file or note read and cleaned; of a file too long only the start is read."""
    if isinstance(given, str):
        known = still_waiting(given)
        if known is None:
            raise PaperRefused("this file once more", "that it is no longer here")
        return known[1]
    given.seek(0)
    given.paper = paper = clean(given.read(MOST_BYTES + 1))  # type: ignore[attr-defined]
    return paper


def _name(given: Given) -> str:
    if isinstance(given, str):
        return ""
    return "".join(c for c in given.name or "" if c.isprintable())[:NAME_LENGTH]
