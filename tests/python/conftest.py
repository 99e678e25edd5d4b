# SPDX-License-Identifier: Apache-2.0
"""The sample community without heights, mapped by the program, and its inputs in memory."""

import os
import pathlib
import sqlite3
import subprocess
import types

import pytest
from osgeo import gdal

gdal.UseExceptions()
source = pathlib.Path(os.environ["FUELRING_SOURCE"])


def wkb_of(blob):
    """Source: OGC 12-128r18, 2.1.3.1.1."""
    return blob[8 + (0, 32, 48, 48, 64)[(blob[3] >> 1) & 7]:]


def query(file, text):
    with sqlite3.connect(f"file:{file}?mode=ro", uri=True) as database:
        return database.execute(text).fetchall()


@pytest.fixture(scope="session")
def sample(tmp_path_factory):
    folder = tmp_path_factory.mktemp("sample")
    data = source / "sample_data"
    config = folder / "sample.toml"
    config.write_text(f"""
[community]
name = "Sample"
[inputs.structures]
path = "{data}/structures.gpkg"
id = "structure_id"
[inputs.fuel]
path = "{data}/fuel.tif"
classes = "{source}/config/fuel-classes/tamarack_bend.csv"
[output]
dir = "{folder}/out"
""", encoding="utf-8")
    subprocess.run([os.environ["FUELRING_PROGRAM"], "map", config, "--quiet"], check=True, capture_output=True)
    shapes = dict(query(data / "structures.gpkg", "select structure_id, geom from structures"))
    ids = [row[0] for row in query(folder / "out/fuelring.gpkg", "select structure_id from structures")]
    raster = gdal.Open(str(data / "fuel.tif"))
    return types.SimpleNamespace(
        out=folder / "out", ids=ids, footprints=[wkb_of(shapes[one]) for one in ids],
        codes=raster.ReadAsArray(), transform=raster.GetGeoTransform(),
        nodata=raster.GetRasterBand(1).GetNoDataValue(),
        classes=source / "config/fuel-classes/tamarack_bend.csv",
        column=lambda name: [row[0] for row in query(folder / "out/fuelring.gpkg", f'select "{name}" from structures')],
        priority=lambda: gdal.Open(str(folder / "out/priority.tif")).ReadAsArray())
