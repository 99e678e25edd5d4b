# SPDX-License-Identifier: Apache-2.0
from qgis.core import QgsApplication, QgsProcessingProvider

from . import algorithms


class Provider(QgsProcessingProvider):
    def id(self):
        return "fuelring"

    def name(self):
        return "fuelring"

    def loadAlgorithms(self):  # noqa: N802 - QGIS calls it so
        for algorithm in algorithms.all_algorithms:
            self.addAlgorithm(algorithm())


class Plugin:
    def __init__(self):
        self.provider = None

    def initProcessing(self):  # noqa: N802
        self.provider = Provider()
        QgsApplication.processingRegistry().addProvider(self.provider)

    def initGui(self):  # noqa: N802
        self.initProcessing()

    def unload(self):
        QgsApplication.processingRegistry().removeProvider(self.provider)
