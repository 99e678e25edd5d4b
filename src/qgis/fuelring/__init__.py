# SPDX-License-Identifier: Apache-2.0
"""The program fuelring as algorithms of QGIS Processing."""


def classFactory(iface):  # noqa: N802 - QGIS calls it so
    from .plugin import Plugin
    return Plugin()
