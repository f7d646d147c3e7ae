"""Reads a PDF file back: page sizes, text, title, date and outline, as JSON on standard output.

Usage: read_pdf.py FILE
"""

import json
import sys

import pypdfium2 as pdfium


def main(path):
    document = pdfium.PdfDocument(path)
    pages = []
    for page in document:
        width, height = page.get_size()
        text = page.get_textpage().get_text_bounded()
        pages.append({"width": width, "height": height, "text": text.replace("\r\n", "\n")})
    metadata = document.get_metadata_dict()
    outline = [bookmark.get_title() for bookmark in document.get_toc()]
    json.dump({"pages": pages, "metadata": metadata, "outline": outline}, sys.stdout)


main(sys.argv[1])
