"""Measures what is seen on a page of a PDF file, from pixels, in millimetres of paper.

Usage: measure_pdf.py FILE PAGE LEFT TOP RIGHT BOTTOM RED GREEN BLUE

Within the rectangle (in mm from the top left of the sheet), writes as JSON the bounds of all
pixels nearer to the colour than to white, and the longest unbroken horizontal run of them.
"""

import json
import sys

import numpy
import pypdfium2 as pdfium

PIXELS_PER_MM = 20


def longest_run(row):
    """First and last index + 1 of the longest run of true values."""
    edges = numpy.diff(numpy.concatenate(([0], row.astype(int), [0])))
    begins, ends = numpy.flatnonzero(edges == 1), numpy.flatnonzero(edges == -1)
    if len(begins) == 0:
        return 0, 0
    longest = numpy.argmax(ends - begins)
    return int(begins[longest]), int(ends[longest])


def main(path, page, left, top, right, bottom, *colour):
    page = pdfium.PdfDocument(path)[int(page)]
    image = page.render(scale=PIXELS_PER_MM * 25.4 / 72).to_numpy()[:, :, :3][:, :, ::-1]
    x0, y0, x1, y1 = (round(float(mm) * PIXELS_PER_MM) for mm in (left, top, right, bottom))
    part = image[y0:y1, x0:x1].astype(float)
    colour = numpy.array([float(channel) for channel in colour])
    seen = numpy.linalg.norm(part - colour, axis=2) < numpy.linalg.norm(part - 255.0, axis=2) * 0.5
    if not seen.any():
        json.dump({"bounds": None, "run": None}, sys.stdout)
        return
    ys, xs = numpy.nonzero(seen)
    bounds = [xs.min() + x0, ys.min() + y0, xs.max() + 1 + x0, ys.max() + 1 + y0]
    begin, end = max((longest_run(row) for row in seen), key=lambda run: run[1] - run[0])
    run = [begin + x0, end + x0]
    result = {
        "bounds": [float(pixels) / PIXELS_PER_MM for pixels in bounds],
        "run": [float(pixels) / PIXELS_PER_MM for pixels in run],
    }
    json.dump(result, sys.stdout)


main(*sys.argv[1:])
