"""What a PDF carries besides its pages: the facts that it was made from, and how they are read back."""

from __future__ import annotations

import hashlib
import io
from datetime import date

from pypdf import PageObject, PdfReader, PdfWriter
from pypdf.errors import PyPdfError

from traveller.errors import InputError

FILE = "report.json"


def with_facts(pdf: bytes, facts: str, made: date) -> bytes:
    """The PDF with `facts` attached as a file and `made` as its date; the same in gives the same out."""
    writer = PdfWriter(clone_from=io.BytesIO(pdf))
    writer.add_attachment(FILE, facts.encode())
    stamp = f"D:{made:%Y%m%d}000000Z"
    writer.add_metadata({"/CreationDate": stamp, "/ModDate": stamp, "/Producer": "traveller"})
    out = io.BytesIO()
    writer.write(out)
    return out.getvalue()


def facts_in(name: str, pdf: bytes) -> str:
    """The facts that a PDF carries; InputError when it is none of ours."""
    try:
        kept = PdfReader(io.BytesIO(pdf)).attachments.get(FILE, [])
        return kept[0].decode() if kept else _none(name)
    except (PyPdfError, UnicodeDecodeError, ValueError, KeyError, TypeError, AttributeError) as error:
        raise InputError(f"{name} cannot be read as a PDF ({error}): take the file as it was sent out.") from None


def _none(name: str) -> str:
    raise InputError(
        f"{name} carries no facts of a traveller: it is another paper, a scan or a print. Take the file as it was "
        "sent out, or compare the seal on the paper with `traveller show`."
    )


def pages_of(pdf: bytes) -> list[str]:
    """The words of each page, blanks and line breaks drawn together."""
    return [" ".join(page.extract_text().split()) for page in PdfReader(io.BytesIO(pdf)).pages]


def ink_of(pdf: bytes) -> list[str]:
    """A digest of what is drawn on each page: its marks, its pictures, and how many notes lie over it."""
    return [_ink(page) for page in PdfReader(io.BytesIO(pdf)).pages]


def _ink(page: PageObject) -> str:
    digest = hashlib.sha256()
    contents = page.get_contents()
    digest.update(b"" if contents is None else contents.get_data())
    pictures = page.get("/Resources", {}).get("/XObject", {})
    for name in sorted(pictures):
        digest.update(name.encode() + pictures[name].get_object().get_data())
    digest.update(str(len(page.get("/Annots", ()))).encode())
    return digest.hexdigest()
