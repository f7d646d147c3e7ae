"""Reads a workbook or a CSV file back, as JSON on standard output.

Usage: read_tables.py FILE

A workbook gives its title, its date and its sheets with their names, frozen panes and cells; a
cell is its value, the name of its type, its number format and whether it is italic or a formula.
A CSV file gives its rows.
"""

import csv
import json
import sys

import openpyxl


def cell(cell):
    return {
        "value": cell.value,
        "type": type(cell.value).__name__,
        "format": cell.number_format,
        "italic": bool(cell.font.italic),
        "bold": bool(cell.font.bold),
        "formula": cell.data_type == "f",
    }


def workbook(path):
    book = openpyxl.load_workbook(path)
    sheets = []
    for sheet in book.worksheets:
        rows = [[cell(c) for c in row] for row in sheet.iter_rows()]
        widths = [sheet.column_dimensions[c].width for c in sorted(sheet.column_dimensions)]
        sheets.append(
            {"name": sheet.title, "frozen": sheet.freeze_panes, "rows": rows, "widths": widths}
        )
    properties = book.properties
    return {"title": properties.title, "created": str(properties.created), "sheets": sheets}


def rows(path):
    with open(path, newline="", encoding="utf-8") as file:
        return list(csv.reader(file, strict=True))


path = sys.argv[1]
json.dump(workbook(path) if path.endswith(".xlsx") else rows(path), sys.stdout)
