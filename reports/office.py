"""Marks of an office document that python-docx has no words for: fields, borders, row rules, numbering, file times."""

from __future__ import annotations

from io import BytesIO
from typing import Any
from zipfile import ZIP_DEFLATED, ZipFile, ZipInfo

from docx.oxml import OxmlElement
from docx.oxml.ns import qn
from docx.shared import Pt, RGBColor

_ZIP_DAY = (1980, 1, 1, 0, 0, 0)


def same_bytes(document: Any) -> bytes:
    """The document's file with the times inside it set to one day."""
    plain, steady = BytesIO(), BytesIO()
    document.save(plain)
    with ZipFile(plain) as read, ZipFile(steady, "w") as write:
        for name in read.namelist():
            entry = ZipInfo(name, _ZIP_DAY)
            entry.compress_type = ZIP_DEFLATED
            entry.external_attr = 0o644 << 16
            write.writestr(entry, read.read(name))
    return steady.getvalue()


def looking(run: Any, looks: dict[str, bool]) -> None:
    """Gives a run of text its looks: bold, italic, superscript, soft (small and grey), mono."""
    run.bold = looks.get("bold") or None
    run.italic = looks.get("italic") or None
    if looks.get("superscript"):
        run.font.superscript = True
    if looks.get("soft"):
        run.font.size, run.font.color.rgb = Pt(8.5), RGBColor(0x44, 0x44, 0x44)
    if looks.get("mono"):
        run.font.name = "Courier New"


def field(line: Any, code: str, shown: str) -> None:
    """A field that Word fills in, and what stands there until it does."""
    field_mark(line, "begin", code)
    line.add_run(shown)
    field_mark(line, "end")


def field_mark(line: Any, kind: str, code: str = "") -> None:
    """The beginning of a field with its code, or its end."""

    def put(kind: str) -> None:
        mark = OxmlElement("w:fldChar")
        mark.set(qn("w:fldCharType"), kind)
        line.add_run()._r.append(mark)

    put(kind)
    if code:
        text = OxmlElement("w:instrText")
        text.set(qn("xml:space"), "preserve")
        text.text = f" {code} "
        line.add_run()._r.append(text)
        put("separate")


def bar(line: Any, eighths: int) -> None:
    """A line down the left of a paragraph."""

    borders, left = OxmlElement("w:pBdr"), OxmlElement("w:left")
    for key, value in (("val", "single"), ("sz", str(eighths)), ("space", "6"), ("color", "111111")):
        left.set(qn(f"w:{key}"), value)
    borders.append(left)
    line._p.get_or_add_pPr().insert_element_before(
        borders, "w:shd", "w:tabs", "w:suppressAutoHyphens", "w:spacing", "w:ind", "w:jc", "w:rPr"
    )


def numbered(line: Any, number: int) -> None:
    """Counts a paragraph in the list of that number."""
    properties = line._p.get_or_add_pPr().get_or_add_numPr()
    properties.get_or_add_ilvl().val = 0
    properties.get_or_add_numId().val = number


def row_rules(row: Any, head: bool) -> None:
    """A row is not split between pages; one of the head is repeated on each."""
    properties = row.get_or_add_trPr()
    for name in ("w:cantSplit", *(("w:tblHeader",) if head else ())):
        properties.append(OxmlElement(name))
