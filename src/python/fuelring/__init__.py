# SPDX-License-Identifier: Apache-2.0
"""Exact shares of conifers in rings around buildings, from footprints and a raster in memory.

    import fuelring
    table = fuelring.rings(footprints, codes, transform, "nlcd.csv", crs="EPSG:32611")

Exposure counts conifers only. It is not a probability of ignition, and a low figure does not mean a home is safe.
"""

from ._fuelring import Error, FuelClasses, caution
from ._fuelring import version as __version__
from ._batch import priority, rings
from ._run import Run, open_run as open  # noqa: A004 - fuelring.open(folder) reads well

__all__ = ["Error", "FuelClasses", "Run", "caution", "open", "priority", "rings"]
