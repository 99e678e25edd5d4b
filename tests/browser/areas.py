# SPDX-License-Identifier: Apache-2.0
"""Areas drawn on the page: their figures are those of the run's rasters."""
import array
import json
import os
import pathlib
import shutil
import subprocess
import tempfile

from sample import SOURCE, SampleTest, rows_of, run


def raster_of(path, kind, band=1):
    """Cells, columns, and where the first corner lies, read by GDAL's own programs."""
    with tempfile.NamedTemporaryFile(suffix=".bin") as plain:
        subprocess.run(["gdal_translate", "-q", "-of", "ENVI", "-b", str(band), path, plain.name], check=True)
        cells = array.array(kind, pathlib.Path(plain.name).read_bytes())
    about = json.loads(subprocess.run(["gdalinfo", "-json", path], check=True, capture_output=True, text=True).stdout)
    return cells, about["size"][0], about["geoTransform"]


def shares(low, high, first, cell, n):
    """Of each cell along an axis, the part between two places: {cell: share}."""
    a, b = sorted(((low - first) / cell, (high - first) / cell))
    found = {k: min(b, k + 1) - max(a, k) for k in range(int(a), min(n, int(b) + 1))}
    return {k: share for k, share in found.items() if share > 0}


def lonlat_of(x, y):
    """By PROJ, of a place of the sample."""
    answer = subprocess.run(["gdaltransform", "-s_srs", "EPSG:32611", "-t_srs", "EPSG:4326", "-output_xy"],
                            input=f"{x} {y}\n", check=True, capture_output=True, text=True).stdout
    return [float(v) for v in answer.split()]


def rectangle(name, west, south, east, north):
    """A feature, of places of the sample."""
    ring = [lonlat_of(x, y) for x, y in ((west, south), (east, south), (east, north), (west, north), (west, south))]
    return {"type": "Feature", "properties": {"name": name}, "geometry": {"type": "Polygon", "coordinates": [ring]}}


class DrawnAreas:
    """What a test does with the areas of the page that `self.js` speaks to."""

    def button(self, words):
        self.js(f"[...document.querySelectorAll('#areas button')].find((b) => b.textContent === '{words}').click()")

    def rows(self):
        return self.js("[...document.querySelectorAll('#areas tbody tr, #areas tfoot tr')].map((row) => [...row.cells]"
                       ".slice(1, 5).map((c) => c.textContent))")

    def saved(self):
        """What the button saves, caught before it becomes a file."""
        self.js("URL.createObjectURL = (blob) => { window.caught = blob; return 'blob:none'; };"
                "HTMLAnchorElement.prototype.click = () => {};")
        self.button("Save as GeoJSON")
        return self.js("caught.text()")

    def load(self, geojson):
        self.js(f"""(async () => {{
          const chooser = document.querySelector('#areas input[type=file]');
          const files = new DataTransfer();
          files.items.add(new File([{json.dumps(json.dumps(geojson))}], 'areas.geojson'));
          chooser.files = files.files;
          chooser.dispatchEvent(new Event('change'));
          for (let k = 0; k < 200 && !document.querySelector('#areas .status').textContent.includes('loaded'); ++k)
            await new Promise((done) => setTimeout(done, 20));
        }})()""")


class AreasTest(DrawnAreas, SampleTest):
    def js(self, expression):
        return self.browser.js(expression)

    def rich_place(self):
        """Where the best patch of the plan lies."""
        first = rows_of(os.path.join(self.sample, "treatment_units.csv"))[0]
        return float(first["x"]), float(first["y"])

    def test_the_gain_of_an_area_is_the_sum_of_the_surface_by_exact_shares_of_cells(self):
        self.open()
        self.assertEqual((self.data()["ground"]["points"]["side"], self.data()["ground"]["points"]["bits"]), (1, 32))
        cells, cols, (x0, dx, _, y0, _, dy) = raster_of(os.path.join(self.sample, "priority.tif"), "f")
        fuel, _, _ = raster_of(os.path.join(self.sample, "fuel_used.tif"), "H")
        x, y = self.rich_place()
        west, south, east, north = x - 50.3, y - 40.8, x + 60.35, y + 39.75
        self.load({"type": "FeatureCollection", "features": [rectangle("Half cells", west, south, east, north)]})
        points = conifer = 0
        for row, up in shares(north, south, y0, dy, len(cells) // cols).items():
            for col, across in shares(west, east, x0, dx, cols).items():
                if cells[row * cols + col] > 0:
                    points += up * across * cells[row * cols + col]
                if fuel[row * cols + col] < 65535:
                    conifer += up * across * fuel[row * cols + col] / 10000 * abs(dx * dy)
        self.assertGreater(points, 1)
        properties = json.loads(self.saved())["features"][0]["properties"]
        self.assertAlmostEqual(properties["exposure_removed"], points, delta=2e-6 * points)  # degrees in 9 digits
        self.assertAlmostEqual(properties["area_ha"], (east - west) * (north - south) / 1e4, delta=2e-6)
        self.assertLessEqual(properties["conifer_ha"], conifer / 1e4 + 1e-6)  # not those under roofs
        self.assertGreater(properties["conifer_ha"], 0.95 * conifer / 1e4)
        total = self.data()["sum_exposure"]
        self.assertEqual(self.rows()[0][2:], [f"{points:,.1f}", f"{100 * points / total:.1f}"])

    def test_land_in_two_areas_counts_once_in_their_sum(self):
        self.open()
        x, y = self.rich_place()
        a = rectangle("A", x - 60, y - 60, x + 40, y + 40)
        b = rectangle("B", x - 9.5, y - 100, x + 90, y + 20)
        both = rectangle("Both", x - 9.5, y - 60, x + 40, y + 20)
        self.load({"type": "FeatureCollection", "features": [a, b, both]})
        figures = [f["properties"] for f in json.loads(self.saved())["features"]]
        together = self.rows()[-1]
        for column, name, digits in ((0, "area_ha", 2), (1, "conifer_ha", 2), (2, "exposure_removed", 1)):
            self.assertGreater(figures[2][name], 0)
            united = figures[0][name] + figures[1][name] - figures[2][name]
            self.assertAlmostEqual(float(together[column].replace(",", "")), united, delta=0.51 * 10 ** -digits)

    def test_saved_areas_come_back_with_their_figures_and_other_properties(self):
        self.open()
        x, y = self.rich_place()
        area = rectangle("Ridge \"east\" <b>", x - 50, y - 60, x + 50, y + 40)
        area["properties"].update({"cost": 1200, "year": 2027})
        self.load({"type": "FeatureCollection", "features": [area, {"type": "Feature", "properties": {}, "geometry":
                  {"type": "Point", "coordinates": [0, 0]}}]})
        self.assertIn("1 without a polygon", self.js("document.querySelector('#areas .status').textContent"))
        first = json.loads(self.saved())
        self.open()
        self.load(first)
        second = json.loads(self.saved())
        self.assertEqual(first["features"][0]["properties"]["year"], 2027)
        self.assertEqual(first["features"][0]["properties"]["name"], "Ridge \"east\" <b>")
        for key in ("area_ha", "conifer_ha", "exposure_removed"):
            self.assertAlmostEqual(first["features"][0]["properties"][key], second["features"][0]["properties"][key],
                                   delta=1e-5 * first["features"][0]["properties"][key])
        self.check_quiet(os.path.join(self.sample, "report.html"))

    def test_what_the_page_saves_is_what_appraise_reads_and_both_say_the_same(self):
        self.open()
        x, y = self.rich_place()
        self.load({"type": "FeatureCollection", "features": [
            rectangle("Upper", x - 50.3, y - 40.8, x + 60.35, y + 39.75), rectangle("Lower", x - 20, y - 120, x + 30.6, y - 20)]})
        drawn = {f["properties"]["name"]: f["properties"] for f in json.loads(self.saved())["features"]}
        with tempfile.TemporaryDirectory() as folder:
            path = os.path.join(folder, "areas.geojson")
            pathlib.Path(path).write_text(self.saved(), encoding="utf-8")
            out = os.path.join(folder, "run")
            shutil.copytree(self.sample, out)
            run("appraise", os.path.join(SOURCE, "sample_data", "tamarack_bend.toml"), "--projects", path, "--out", out)
            rows = {r["project"]: r for r in rows_of(os.path.join(out, "projects.csv")) if r["scope"] == "project"}
        self.assertEqual(set(rows), {"Upper", "Lower"})
        for name, row in rows.items():
            for key, digits in (("area_ha", 5), ("conifer_ha", 5), ("exposure_removed", 4)):
                self.assertGreater(float(row[key]), 0)
                self.assertAlmostEqual(drawn[name][key], float(row[key]), delta=10 ** -digits + 2e-6 * float(row[key]), msg=f"{name} {key}")

    def test_areas_are_on_paper_with_their_figures(self):
        self.open()
        x, y = self.rich_place()
        self.load({"type": "FeatureCollection", "features": [rectangle("Upper belt", x - 50, y - 40, x + 60, y + 40)]})
        figures = self.rows()[0]
        with tempfile.NamedTemporaryFile(suffix=".pdf") as paper:
            paper.write(self.browser.print())
            paper.flush()
            text = subprocess.run(["pdftotext", "-layout", paper.name, "-"], check=True, capture_output=True, text=True).stdout
        line = next(line for line in text.splitlines() if "Upper belt" in line and figures[0] in line)
        for figure in figures:
            self.assertIn(figure, line)

    def test_degrees_are_those_of_proj(self):
        self.open()
        for x, y in ((0.1, 0.2), (0.5, 0.5), (0.93, 0.71)):
            at, lonlat = self.js(f"""(() => {{
              const data = dataOf('data');
              const [west, south, east, north] = data.degrees.box;
              const at = [south + {y} * (north - south), west + {x} * (east - west)];
              const degrees = new Degrees(data.degrees);
              const there = degrees.of(at);
              const back = degrees.place(there);
              return [[Math.hypot(back[0] - at[0], back[1] - at[1]), at[1], at[0]], there]; }})()""")
            self.assertLess(at[0], 1e-4)  # metres, there and back
            _, _, (x0, _, _, y0, _, _) = raster_of(os.path.join(self.sample, "priority.tif"), "f")
            expected = lonlat_of(x0 + at[1], y0 + at[2])
            for mine, proj in zip(lonlat, expected):
                self.assertAlmostEqual(mine, proj, delta=1e-8)  # a millimetre

    def test_an_area_is_drawn_by_mouse_and_by_keyboard(self):
        self.open()
        self.button("Draw an area")
        box = self.js("(() => { const b = document.querySelector('.map-area').getBoundingClientRect(); return [b.x, b.y]; })()")
        self.js("document.querySelector('.map-area').scrollIntoView()")
        box = self.js("(() => { const b = document.querySelector('.map-area').getBoundingClientRect(); return [b.x, b.y]; })()")
        for x, y in ((300, 120), (420, 120), (420, 220)):
            self.browser.click(box[0] + x, box[1] + y)
        self.browser.press("Enter", 13)
        self.wait_for_rows(1)
        by_mouse = self.rows()[0]
        self.assertGreater(float(by_mouse[0]), 0)
        self.button("Draw an area")
        for key, code in ((" ", 32), ("ArrowRight", 39), (" ", 32), ("ArrowDown", 40), (" ", 32)):
            self.browser.press(key, code)
            self.js("new Promise((done) => setTimeout(done, 350))")  # the map moves on its own time
        self.browser.press("Enter", 13)
        self.wait_for_rows(3)  # and the sum
        self.assertGreater(float(self.rows()[1][0]), 0)

    def wait_for_rows(self, n):
        self.js(f"""(async () => {{ for (let k = 0; k < 100 && document.querySelectorAll('#areas tbody tr, #areas tfoot tr')
          .length < {n}; ++k) await new Promise((done) => setTimeout(done, 20)); }})()""")
        self.assertEqual(len(self.rows()), n)
