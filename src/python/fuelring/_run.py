# SPDX-License-Identifier: Apache-2.0
"""Reads a folder that `fuelring map` wrote."""

import csv
import json
import pathlib

from . import _fuelring


def _cell(text, kind):
    if kind == "String":
        # A text that a spreadsheet would run has an apostrophe in front, and is given without.
        return text[1:] if text[:1] == "'" and text[1:].lstrip()[:1] in tuple("=+-@\t\r\0") else text
    if text == "":
        return None
    return int(text) if kind.startswith("Integer") else float(text)


def _table(file):
    """Columns of a CSV; the .csvt beside it has their types. An empty cell is None: not known, never 0."""
    with open(file.with_suffix(".csvt"), encoding="utf-8-sig", newline="") as types:
        kinds = [kind.partition("(")[0] for kind in next(csv.reader(types))]
    with open(file, encoding="utf-8-sig", newline="") as table:
        rows = csv.reader(table)
        heads = next(rows)
        cells = [[_cell(text, kind) for text, kind in zip(row, kinds)] for row in rows]
    return {head: [row[k] for row in cells] for k, head in enumerate(heads)}


def _refusal(what, where, remedy):
    """An error as the compiled part raises it, of input data."""
    error = _fuelring.Error(f"{where}: {what}; {remedy}")
    error.what, error.where, error.remedy, error.exit_code = what, str(where), remedy, 3
    return error


class Run:
    """A run's folder. Tables are dicts of columns, so that pandas.DataFrame(run.addresses) makes a frame."""

    def __init__(self, folder):
        self.folder = pathlib.Path(folder)
        try:
            self.manifest = json.loads((self.folder / "run.json").read_text(encoding="utf-8"))
        except FileNotFoundError:
            raise _refusal("not a run folder: it has no run.json", self.folder, "run fuelring map into it") from None

    def table(self, name):
        """The table `name`.csv: 'addresses', 'neighbourhoods', 'treatment_units', ..."""
        return _table(self.folder / f"{name}.csv")

    @property
    def addresses(self):
        return self.table("addresses")

    @property
    def neighbourhoods(self):
        return self.table("neighbourhoods")

    @property
    def priority(self):
        """The path of the priority surface, for rasterio or GDAL."""
        return self.folder / "priority.tif"

    @property
    def layers(self):
        """The path of the GeoPackage, for geopandas or GDAL."""
        return self.folder / "fuelring.gpkg"

    def __repr__(self):
        counts = self.manifest.get("counts", {})
        return f"<fuelring run {self.manifest.get('community', '')!r}, {counts.get('structures', '?')} structures>"


def open_run(folder):
    """Opens the folder of a run of `fuelring map`. Raises fuelring.Error where it is none."""
    return Run(folder)
