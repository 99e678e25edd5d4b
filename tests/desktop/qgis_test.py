# SPDX-License-Identifier: Apache-2.0
"""Outputs opened in QGIS without a screen: qgis_test.py FUELRING SOURCE_FOLDER"""
import os
import subprocess
import sys
import tempfile
import unittest

os.environ["QT_QPA_PLATFORM"] = "offscreen"
try:
    from qgis.core import QgsApplication, QgsRasterLayer, QgsVectorLayer
except ImportError:
    print("SKIPPED: python3-qgis is not installed")
    sys.exit(0)

FUELRING, SOURCE = (os.path.abspath(path) for path in sys.argv[1:3])


class Opened(unittest.TestCase):
    @classmethod
    def setUpClass(cls):
        cls.folder = tempfile.TemporaryDirectory()
        cls.run_folder = os.path.join(cls.folder.name, "run")
        config = os.path.join(SOURCE, "sample_data", "tamarack_bend.toml")
        for command in (["map", config, "--out", cls.run_folder], ["report", cls.run_folder]):
            subprocess.run([FUELRING, *command, "--quiet"], check=True, stderr=subprocess.DEVNULL)

    @classmethod
    def tearDownClass(cls):
        cls.folder.cleanup()

    def layer(self, name):
        path = os.path.join(self.run_folder, "fuelring.gpkg")
        layer = QgsVectorLayer(f"{path}|layername={name}", name)
        self.assertTrue(layer.isValid(), name)
        return layer

    def test_exposure_is_drawn_in_classes_with_numbers(self):
        for name, column, hatch in (("structures", "exposure", "LinePatternFill"),
                                    ("addresses", "exposure", "SimpleMarker"),
                                    ("neighbourhoods", "mean_exposure", "LinePatternFill")):
            layer = self.layer(name)  # owns its renderer
            renderer = layer.renderer()
            self.assertEqual(renderer.type(), "RuleRenderer", name)
            rules = renderer.rootRule().children()
            self.assertEqual([rule.label() for rule in rules][:7:6], ["0 to below 1", "50 to 100"])
            self.assertEqual(rules[0].symbol().color().name(), "#00224e")  # ends of the ramp
            self.assertEqual(rules[6].symbol().color().name(), "#fee838")
            self.assertEqual(rules[7].filterExpression(), f'"{column}" IS NULL')
            self.assertEqual(rules[7].symbol().symbolLayer(0).layerType(), hatch)

    def test_every_class_holds_what_it_says(self):
        layer = self.layer("structures")
        held = 0
        for filter in [r.filterExpression() for r in layer.renderer().rootRule().children()]:
            layer.setSubsetString(filter)
            held += layer.featureCount()
        layer.setSubsetString("")
        self.assertEqual(held, layer.featureCount())  # each structure in one class

    def test_columns_have_aliases_with_units(self):
        layer = self.layer("structures")
        aliases = {field.name(): layer.attributeAlias(k) for k, field in enumerate(layer.fields())}
        for column, alias in (("exposure", "Exposure (0 to 100)"), ("lon", "Longitude (degrees)"),
                              ("nearest_conifer_m", "Nearest conifer (m)"),
                              ("ring_m2_1.5_10m", "Ring 1.5 to 10 m (m²)"),
                              ("conifer_frac_within_10m", "Conifer within 10 m (share 0 to 1)")):
            self.assertEqual(aliases[column], alias)
        self.assertEqual([name for name, alias in aliases.items() if not alias], ["fid"])

    def test_the_surface_is_drawn_in_colours(self):
        surface = QgsRasterLayer(os.path.join(self.run_folder, "priority.tif"), "priority")
        self.assertTrue(surface.isValid())
        renderer = surface.renderer()
        self.assertEqual(renderer.type(), "singlebandpseudocolor")
        shader = renderer.shader()
        ramp = shader.rasterShaderFunction()
        items = ramp.colorRampItemList()
        self.assertEqual(items[0].value, 0)
        self.assertEqual(items[-1].color.name(), "#fee838")
        self.assertEqual(items[-1].value, float("inf"))  # the largest has a colour too
        statistics = surface.dataProvider().bandStatistics(1)
        self.assertAlmostEqual(items[-2].value, statistics.maximumValue / 2, delta=1e-5)


if __name__ == "__main__":
    app = QgsApplication([], False)
    app.initQgis()
    unittest.main(argv=sys.argv[:1])
