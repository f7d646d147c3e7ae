"""What independent readers find in our files, as JSON.

    read_dxf.py dxf FILE    audit, units, layers and entities of a DXF file, by ezdxf
    read_dxf.py svg FILE    groups, sizes and texts of an SVG file, by the XML reader of Python

Nothing here knows how the files were made.
"""

import collections
import json
import sys
import xml.etree.ElementTree


def dxf(path):
    import ezdxf

    document = ezdxf.readfile(path)
    audit = document.audit()
    space = document.modelspace()
    by_layer = collections.defaultdict(collections.Counter)
    for entity in space:
        by_layer[entity.dxf.layer][entity.dxftype()] += 1
    header = document.header
    return {
        "version": document.dxfversion,
        "errors": [error.message for error in audit.errors],
        "fixes": [fix.message for fix in audit.fixes],
        "units": header["$INSUNITS"],
        "extents": [header["$EXTMIN"][:2], header["$EXTMAX"][:2]],
        "layers": {
            layer.dxf.name: {"colour": layer.dxf.color, "weight": layer.dxf.lineweight}
            for layer in document.layers
        },
        "line_types": {kind.dxf.name: kind.pattern_tags.tags and kind.simplified_line_pattern() for kind in document.linetypes},
        "blocks": {block.name: len(block) for block in document.blocks},
        "entities": {layer: dict(kinds) for layer, kinds in by_layer.items()},
        "polylines": [
            {
                "layer": line.dxf.layer,
                "closed": line.closed,
                "weight": line.dxf.lineweight,
                "type": line.dxf.linetype,
                "points": [point[:2] for point in line.get_points("xy")],
            }
            for line in space.query("LWPOLYLINE")
        ],
        "circles": [
            {"layer": circle.dxf.layer, "centre": list(circle.dxf.center)[:2], "radius": circle.dxf.radius}
            for circle in space.query("CIRCLE")
        ],
        "inserts": [
            {"layer": insert.dxf.layer, "block": insert.dxf.name, "at": list(insert.dxf.insert)[:2], "size": insert.dxf.xscale}
            for insert in space.query("INSERT")
        ],
        "texts": [
            {
                "layer": text.dxf.layer,
                "text": text.dxf.text,
                "height": text.dxf.height,
                "rotation": text.dxf.rotation,
                "align": text.get_placement()[0].name,
                "at": list(text.get_placement()[1])[:2],
            }
            for text in space.query("TEXT")
        ],
    }


def svg(path):
    root = xml.etree.ElementTree.parse(path).getroot()
    space = "{http://www.w3.org/2000/svg}"
    groups = [group for group in root.iter(space + "g") if group.get("id")]
    return {
        "tag": root.tag,
        "width": root.get("width"),
        "height": root.get("height"),
        "box": root.get("viewBox"),
        "title": root.findtext(space + "title"),
        "description": root.findtext(space + "desc"),
        "groups": [[group.get("id"), group.get("data-title"), len(group)] for group in groups],
        "texts": [
            [text.text, text.get("x"), text.get("y"), text.get("font-size"), text.get("transform")]
            for text in root.iter(space + "text")
            if not text.get("aria-hidden")
        ],
        "keys": [node.get("data-key") for node in root.iter() if node.get("data-key")],
        "styled": [node.tag for node in root.iter() if node.get("style") or node.tag == space + "style"],
    }


print(json.dumps({"dxf": dxf, "svg": svg}[sys.argv[1]](sys.argv[2])))
