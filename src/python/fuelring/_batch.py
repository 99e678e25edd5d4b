# SPDX-License-Identifier: Apache-2.0
"""What makes arrays of what people hold, and a table of what is measured."""

import os

from . import _fuelring

default_outer_m = (1.5, 10, 30, 100)
default_weight = (0.35, 0.35, 0.20, 0.10)


def _wkb(one):
    if one is None or isinstance(one, bytes):
        return one
    return one.wkb  # shapely


def _footprints(given):
    """Well-known binary, or a tuple in the layout of GeoArrow; and an index to give back, or None."""
    if isinstance(given, tuple):
        return given, None
    given = getattr(given, "geometry", given)  # a frame's column of geometries
    index = getattr(given, "index", None)
    index = None if callable(index) else index  # a list has a method of this name
    if hasattr(given, "to_wkb"):
        return [one if one is None else bytes(one) for one in given.to_wkb()], index
    return [_wkb(one) for one in given], index


def _transform(given):
    """The six numbers in GDAL's order; what has to_gdal() (an affine transform) gives them itself."""
    six = given.to_gdal() if hasattr(given, "to_gdal") else given
    return [float(number) for number in six]


_full_shares = {"classes": 0, "percent": 100, "fraction": 1}


def _classes(given, values):
    if values not in _full_shares:
        raise ValueError("values is 'classes', 'percent' or 'fraction'")
    if values != "classes":
        if given is not None:
            raise ValueError(f"a raster of values='{values}' has no class table: give classes=None")
        return _fuelring.FuelClasses([])
    if isinstance(given, _fuelring.FuelClasses):
        return given
    if isinstance(given, (str, os.PathLike)):
        return _fuelring.FuelClasses.read(os.fspath(given))
    return _fuelring.FuelClasses([(code, group, group, share) for code, (group, share) in given.items()])


def _crs(given):
    if given is None or isinstance(given, str):
        return given
    return given.to_wkt()


def _arguments(footprints, raster, transform, classes, outer_m, weight, nodata, crs, unknown_codes, jobs, progress,
               values):
    if unknown_codes not in ("error", "unmapped"):
        raise ValueError("unknown_codes is 'error' or 'unmapped'")
    return {"footprints": footprints, "raster": raster, "transform": _transform(transform),
            "classes": _classes(classes, values), "outer_m": list(outer_m), "weight": list(weight), "nodata": nodata,
            "crs": _crs(crs), "unknown_codes_are_unmapped": unknown_codes == "unmapped", "jobs": jobs,
            "progress": progress, "full_share": _full_shares[values]}


def ring_labels(outer_m):
    """The labels of columns: 0_1.5m, 1.5_10m, ..."""
    return [f"{inner:g}_{outer:g}m" for inner, outer in zip([0, *outer_m], outer_m)]


def _columns(found, outer_m):
    by_ring = ("ring_m2", "mapped_m2", "conifer_m2", "conifer_frac", "other_burnable_frac", "unmapped_frac")
    columns = {"status": [_fuelring.status_names[code] for code in found.pop("status")]}
    columns.update((name, values) for name, values in found.items() if name not in by_ring)
    for k, label in enumerate(ring_labels(outer_m)):
        columns.update((f"{name}_{label}", found[name][:, k]) for name in by_ring)
    return columns


def rings(footprints, raster, transform, classes, *, outer_m=default_outer_m, weight=default_weight, nodata=None,
          crs=None, unknown_codes="error", jobs=0, progress=None, values="classes"):
    """Measures every footprint, to the last bit as `fuelring map` does on level land.

    footprints: a frame or series of geometries, a sequence of geometries (with `.wkb`), of well-known binary or None,
        or a tuple (coordinates, ring offsets, polygon offsets, feature offsets or None) in the layout of GeoArrow.
    raster: an array of codes, rows from the first of `transform`; it is not copied.
    transform: six numbers in GDAL's order, or an affine transform.
    classes: the path of a class table, a FuelClasses, or {code: (group, share of conifers from 0 to 1)}.
    values: what the raster holds: 'classes', or the share of conifers as 'percent' (0 to 100) or 'fraction' (0 to 1),
        with classes=None. What else grows there is then not known: `other_burnable_frac` is NaN.
    crs: the coordinate system of both, as text or an object with to_wkt(). With it distances are metres of the ground;
        without it they are those of the grid.
    jobs: threads; 0 means one per core. progress: called with (done, all) about ten times a second.

    Returns a pandas frame with the index of `footprints` if that has one, else a dict of columns. What is not known is
    NaN, never 0. `status` says how each footprint fared: only 'ok' and 'repaired' have values.
    Raises fuelring.Error with the program's words, ValueError or TypeError for arguments that make no sense, and
    KeyboardInterrupt, which stops the work.
    """
    held, index = _footprints(footprints)
    found = _fuelring.measure(**_arguments(held, raster, transform, classes, outer_m, weight, nodata, crs,
                                           unknown_codes, jobs, progress, values))
    columns = _columns(found, outer_m)
    if index is None:
        return columns
    import pandas
    return pandas.DataFrame(columns, index=index)


def priority(footprints, raster, transform, classes, *, outer_m=default_outer_m, weight=default_weight, nodata=None,
             crs=None, unknown_codes="error", jobs=0, progress=None, values="classes"):
    """The priority surface as in priority.tif: an array of float32 like `raster`.

    A cell's value is how many points of exposure, summed over all footprints, clearing it would save: 0 where a ring
    reaches it and it has no conifers, NaN where no ring reaches or nothing is mapped. Arguments as in `rings`.
    """
    held, _ = _footprints(footprints)
    return _fuelring.priority(**_arguments(held, raster, transform, classes, outer_m, weight, nodata, crs,
                                           unknown_codes, jobs, progress, values))[0]
