"""Reads a package with other people's libraries: pypdfium2, ezdxf, openpyxl.

Arguments: the package's folder, the project's name. Exits with words on standard error when
something is not as it should be.
"""

import sys
from pathlib import Path

import ezdxf
import openpyxl
import pypdfium2

folder, project = Path(sys.argv[1]), sys.argv[2]
metric = "metric" in project


def pages():
    document = pypdfium2.PdfDocument(folder / "plan-set.pdf")
    assert len(document) >= 6, f"{len(document)} pages"
    sizes = {tuple(round(side) for side in page.get_size()) for page in document}
    assert len(sizes) == 1, f"pages of several sizes: {sizes}"
    known = {
        (792, 612), (1224, 792), (1728, 1296), (2592, 1728),  # letter, 11x17, 18x24, 24x36 in points
        (842, 595), (1191, 842), (1684, 1191), (2384, 1684),  # A4 to A1
    }
    assert sizes <= known, f"not a sheet size: {sizes}"
    text = "\n".join(page.get_textpage().get_text_range() for page in document)
    for words in ["Planting plan", "Plant schedule", "Takeoff", "Before any digging", "for review"]:
        assert words in text, f"the plan set says nothing of {words!r}"


def drawings():
    names = sorted(folder.glob("drawings/*.dxf"))
    assert len(names) >= 3, names
    for name in names:
        document = ezdxf.readfile(name)
        auditor = document.audit()
        assert not auditor.errors, f"{name.name}: {auditor.errors}"
        assert not auditor.fixes, f"{name.name}: {auditor.fixes}"
        assert document.header["$INSUNITS"] == (6 if metric else 2), document.header["$INSUNITS"]
    planting = ezdxf.readfile(folder / "drawings" / "planting.dxf")
    layers = {layer.dxf.name for layer in planting.layers}
    for layer in ["BED-LINE", "PLANT-POT", "PLANT-TAG", "BASE-BUILDING"]:
        assert layer in layers, f"no layer {layer} among {sorted(layers)}"
    pots = [e for e in planting.modelspace() if e.dxf.layer.startswith("PLANT-POT") and e.dxftype() == "INSERT"]
    book = openpyxl.load_workbook(folder / "tables.xlsx")
    bought = [row for row in sheet_rows(book, "Pot centres") if row[3] != "transplant"]
    assert len(pots) == len(bought), f"{len(pots)} pots drawn, {len(bought)} in the table"
    found = sorted((round(p.dxf.insert.x, 1), round(p.dxf.insert.y, 1)) for p in pots)
    wanted = sorted((round(row[4], 1), round(row[5], 1)) for row in bought)
    off = [pair for pair in zip(found, wanted) if max(abs(pair[0][0] - pair[1][0]), abs(pair[0][1] - pair[1][1])) > 0.15]
    assert not off, f"pots drawn elsewhere than listed: {off[:3]}"


def sheet_rows(book, name):
    sheet = book[name]
    rows = list(sheet.iter_rows(values_only=True))
    head = next(i for i, row in enumerate(rows) if row and row[0] == "Planting")
    return [row for row in rows[head + 1:] if len(row) > 5 and isinstance(row[4], (int, float))]


def workbook():
    book = openpyxl.load_workbook(folder / "tables.xlsx")
    for name in ["Plant schedule", "Takeoff", "Plantings"]:
        assert name in book.sheetnames, book.sheetnames
    counts = [row[1] for row in book["Plant schedule"].iter_rows(values_only=True) if isinstance(row[1], (int, float))]
    assert counts and all(count > 0 for count in counts), counts


pages()
drawings()
workbook()
