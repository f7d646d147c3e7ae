"""Renders every page of a PDF file to PNG, for a person to look at.

Usage: render_pdf.py FILE FOLDER [DOTS_PER_INCH]
"""

import pathlib
import sys

import pypdfium2 as pdfium


def main(path, folder, dots_per_inch="110"):
    folder = pathlib.Path(folder)
    folder.mkdir(parents=True, exist_ok=True)
    for i, page in enumerate(pdfium.PdfDocument(path)):
        name = f"{pathlib.Path(path).stem}-{i + 1}.png"
        page.render(scale=float(dots_per_inch) / 72).to_pil().save(folder / name)


main(*sys.argv[1:])
