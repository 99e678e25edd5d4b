# SPDX-License-Identifier: Apache-2.0
"""An invented town of many houses, whose addresses include texts that a careless page would run."""
import json
import os

ORIGIN_X, ORIGIN_Y = 600000, 5600000
SPACING_M = 30

HOSTILE = [
    "<script>alert(1)</script>",
    "</script><script>alert(2)</script>",
    "<img src=x onerror=alert(3)>",
    "\" onclick=\"alert(4)",
    "<!-- <script>",
    '=HYPERLINK("http://example.invalid","x")',
    "&lt;b&gt; &amp; 'quotes' \"double\"",
    "\u202e12 teertS kcabdrawkcaB",
    "\u0634\u0627\u0631\u0639 \u0627\u0644\u0635\u0646\u0648\u0628\u0631 \u0667",
    "\u05e8\u05d7\u05d5\u05d1 \u05d4\u05d0\u05d5\u05e8\u05df 12",
    "Long " + "a" * 295,
    "{{constructor}} ${1+1} `x`",
    "\u2028line\u2029separators",
]


def layer(features):
    return {"type": "FeatureCollection",
            "crs": {"type": "name", "properties": {"name": "urn:ogc:def:crs:EPSG::32611"}},
            "features": [{"type": "Feature", "properties": properties, "geometry": geometry}
                         for properties, geometry in features]}


def rectangle(x, y, width, height):
    return {"type": "Polygon", "coordinates": [[[x, y], [x + width, y], [x + width, y + height],
                                                [x, y + height], [x, y]]]}


def make_town(folder, houses, class_table):
    """Inputs and configuration; the path of the configuration."""
    side = int(houses ** 0.5 + 0.999)
    size = side * SPACING_M + 240
    structures, addresses, areas = [], [], []
    for i in range(houses):
        x = ORIGIN_X + 120 + (i % side) * SPACING_M + i % 7 * 0.3
        y = ORIGIN_Y + 120 + (i // side) * SPACING_M + i % 5 * 0.3
        structures.append(({"id": f"H{i:05}"}, rectangle(x, y, 7 + i % 4, 8)))
        text = HOSTILE[i] if i < len(HOSTILE) else f"Fern Way {i}" if i % 2 else f"Ash Lane {i}"
        addresses.append(({"text": text}, {"type": "Point", "coordinates": [x + 3, y + 4]}))
    for k in range(10):
        areas.append(({"name": f"Area <{k}>"},
                      rectangle(ORIGIN_X, ORIGIN_Y + k * size / 10, size, size / 10)))
    for name, features in (("structures", structures), ("addresses", addresses), ("areas", areas)):
        with open(os.path.join(folder, name + ".geojson"), "w") as out:
            json.dump(layer(features), out)
    write_fuel(folder, size)
    config = os.path.join(folder, "town.toml")
    with open(config, "w") as out:
        out.write(f"""[community]
name = "Fern & Ash </title><script>alert(0)</script>"
[inputs.structures]
path = "structures.geojson"
id = "id"
[inputs.fuel]
path = "fuel.bin"
classes = "{class_table}"
[inputs.addresses]
path = "addresses.geojson"
text = "text"
join_within_m = 5
[inputs.neighbourhoods]
path = "areas.geojson"
name = "name"
[treat]
budget = {{ hectares = 5 }}
[output]
dir = "out"
""")
    return config


def write_fuel(folder, size):
    """Conifers in a pattern of 23 m, and a strip that is not mapped, on cells of 1 m."""
    row = bytes(1 if (c % 23) < 5 else 5 for c in range(size))
    other = bytes(1 if (c % 31) < 3 else 5 for c in range(size))
    gap = bytes(size)
    with open(os.path.join(folder, "fuel.bin"), "wb") as out:
        for r in range(size):
            out.write(gap if r % 400 < 10 else row if (r // 40) % 2 else other)
    with open(os.path.join(folder, "fuel.hdr"), "w") as out:
        out.write(f"""ENVI
samples = {size}
lines = {size}
bands = 1
header offset = 0
file type = ENVI Standard
data type = 1
interleave = bsq
byte order = 0
map info = {{UTM, 1, 1, {ORIGIN_X}, {ORIGIN_Y + size}, 1, 1, 11, North, WGS-84}}
""")
