# SPDX-License-Identifier: Apache-2.0
"""Outputs opened in QGIS without a screen: qgis_test.py FUELRING SOURCE_FOLDER"""
import array
import os
import pathlib
import subprocess
import sys
import tempfile
import unittest

os.environ["QT_QPA_PLATFORM"] = "offscreen"
try:
    from qgis.PyQt.QtCore import QSize, Qt
    from qgis.core import (QgsApplication, QgsMapRendererSequentialJob, QgsMapSettings, QgsRasterLayer,
                           QgsVectorLayer)
except ImportError:
    print("SKIPPED: python3-qgis is not installed")
    sys.exit(0)

NO_DATA = 65535  # of rasters of 16 bits
FUELRING, SOURCE = (os.path.abspath(path) for path in sys.argv[1:3])


class Opened(unittest.TestCase):
    @classmethod
    def setUpClass(cls):
        cls.folder = tempfile.TemporaryDirectory()
        cls.run_folder = os.path.join(cls.folder.name, "run")
        config = os.path.join(SOURCE, "sample_data", "tamarack_bend.toml")
        later = os.path.join(cls.folder.name, "later")
        cls.compared = os.path.join(cls.folder.name, "compared")
        for command in (["map", config, "--out", cls.run_folder], ["report", cls.run_folder],
                        ["map", cls.later_config(config), "--out", later],
                        ["change", cls.run_folder, later, "--out", cls.compared]):
            subprocess.run([FUELRING, *command, "--quiet"], check=True, stderr=subprocess.DEVNULL)

    @classmethod
    def later_config(cls, config):
        """The sample's configuration on the raster of another date."""
        data = os.path.dirname(config)
        text = pathlib.Path(config).read_text(encoding="utf-8").replace('"../config/', f'"{SOURCE}/config/')
        text = text.replace('path = "', f'path = "{data}/').replace("fuel.tif", "fuel_later.tif")
        made = pathlib.Path(cls.folder.name, "later.toml")
        made.write_text(text, encoding="utf-8")
        return str(made)

    @classmethod
    def tearDownClass(cls):
        cls.folder.cleanup()

    def layer(self, name):
        path = os.path.join(self.run_folder, "fuelring.gpkg")
        layer = QgsVectorLayer(f"{path}|layername={name}", name)
        self.assertTrue(layer.isValid(), name)
        return layer

    def test_homes_are_drawn_in_classes_with_numbers_pale_to_dark(self):
        layer = self.layer("structures")  # owns its renderer
        renderer = layer.renderer()
        self.assertEqual(renderer.type(), "RuleRenderer")
        rules = renderer.rootRule().children()
        self.assertEqual([rule.label() for rule in rules][:7:6], ["below 1", "50 to 100"])
        for k, colour in ((0, "#fee838"), (6, "#00224e")):  # ends of the ramp; the halo is below
            symbol = rules[k].symbol()
            self.assertEqual(symbol.symbolLayer(1).color().name(), colour)
        self.assertEqual(rules[7].filterExpression(), '"exposure" IS NULL')
        self.assertEqual(rules[7].symbol().symbolLayer(1).layerType(), "LinePatternFill")

    def test_neighbourhoods_are_outline_and_name_and_addresses_dots_with_names_close_by(self):
        for name, column, far in (("neighbourhoods", "neighbourhood", 0), ("addresses", "address", 2000)):
            layer = self.layer(name)
            self.assertEqual(layer.renderer().type(), "singleSymbol", name)
            self.assertTrue(layer.labelsEnabled(), name)
            settings = layer.labeling().settings()
            self.assertEqual(settings.fieldName, column)
            self.assertEqual(settings.scaleVisibility, far > 0)
            self.assertEqual(settings.minimumScale if far else 0, far)
        areas = self.layer("neighbourhoods")
        self.assertEqual(areas.renderer().symbol().symbolLayer(0).brushStyle(), Qt.NoBrush)

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

    def test_the_surface_is_drawn_in_the_classes_of_the_page(self):
        surface = QgsRasterLayer(os.path.join(self.run_folder, "priority.tif"), "priority")
        self.assertTrue(surface.isValid())
        renderer = surface.renderer()
        self.assertEqual(renderer.type(), "singlebandpseudocolor")
        items = renderer.shader().rasterShaderFunction().colorRampItemList()
        self.assertEqual(items[0].value, 0)
        self.assertEqual(items[-1].color.name(), "#00514d")
        self.assertEqual(items[-1].value, float("inf"))  # the largest has a colour too
        cells = sorted(self.cells("priority.tif"), reverse=True)
        whole = sum(cells)
        for item, share in zip(items[-2:0:-1], (0.25, 0.5, 0.75, 0.9)):
            held = sum(v for v in cells if v > item.value)
            self.assertGreaterEqual(held, share * whole * (1 - 1e-9), item.label)
            self.assertLess(sum(v for v in cells if v > item.value * (1 + 1 / 2048)), share * whole, item.label)
        with open(os.path.join(self.run_folder, "report.html"), encoding="utf-8") as page:
            words = page.read()
        for item in items[1:]:
            self.assertIn(item.label, words)

    def cells(self, name):
        """Values above 0 of a raster, read by GDAL's own program."""
        with tempfile.NamedTemporaryFile(suffix=".bin") as plain:
            subprocess.run(["gdal_translate", "-q", "-of", "ENVI", os.path.join(self.run_folder, name), plain.name],
                           check=True)
            values = array.array("f", pathlib.Path(plain.name).read_bytes())
        return [v for v in values if v > 0]

    def test_what_the_run_saw_is_drawn_by_group(self):
        fuel = QgsRasterLayer(os.path.join(self.run_folder, "fuel_used.tif"), "fuel_used")
        classes = {c.label: c.color.name() for c in fuel.renderer().classes()}
        self.assertEqual(fuel.renderer().band(), 2)
        self.assertEqual(classes["conifer"], "#4a4a4a")
        self.assertEqual(classes["not mapped (unknown, not zero)"], "#767676")

    def test_what_changed_is_drawn_in_two_hues_and_the_rest_in_greys(self):
        change = QgsRasterLayer(os.path.join(self.compared, "change.tif"), "change")
        self.assertTrue(change.isValid())
        classes = {c.value: (c.label, c.color) for c in change.renderer().classes()}
        by_label = {label: color for label, color in classes.values()}
        self.assertEqual(by_label["removed"].name(), "#00514d")  # as the best land to clear on the page
        self.assertEqual(by_label["regrown"].name(), "#a8430a")
        self.assertEqual(by_label["not mapped at either date (unknown, not zero)"].name(), "#767676")
        for label, color in by_label.items():
            if label not in ("removed", "regrown"):
                self.assertLess(color.saturationF(), 0.11, label)
        self.assertEqual(self.codes_in("change.tif") - set(classes), set())  # no cell without a colour
        self.assertEqual(self.colours_drawn(change) & {"#00514d", "#a8430a"}, {"#00514d", "#a8430a"})

    def codes_in(self, name):
        with tempfile.NamedTemporaryFile(suffix=".bin") as plain:
            subprocess.run(["gdal_translate", "-q", "-of", "ENVI", "-b", "1", os.path.join(self.compared, name), plain.name],
                           check=True)
            return set(array.array("H", pathlib.Path(plain.name).read_bytes())) - {NO_DATA}

    def colours_drawn(self, layer):
        """The colours of a picture that QGIS draws of a layer."""
        settings = QgsMapSettings()
        settings.setLayers([layer])
        settings.setExtent(layer.extent())
        settings.setDestinationCrs(layer.crs())
        settings.setOutputSize(QSize(1200, 1200))
        job = QgsMapRendererSequentialJob(settings)
        job.start()
        job.waitForFinished()
        picture = job.renderedImage()
        return {picture.pixelColor(x, y).name() for x in range(picture.width()) for y in range(picture.height())}


if __name__ == "__main__":
    app = QgsApplication([], False)
    app.initQgis()
    unittest.main(argv=sys.argv[:1])
