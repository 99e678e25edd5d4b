# SPDX-License-Identifier: Apache-2.0
"""The commands of the program. Parameters are layers; results are added with the styles they have."""

import os

from qgis.core import (QgsProcessing, QgsProcessingAlgorithm, QgsProcessingContext, QgsProcessingException,
                       QgsProcessingOutputFile, QgsProcessingOutputFolder, QgsProcessingParameterBoolean,
                       QgsProcessingParameterField, QgsProcessingParameterFile,
                       QgsProcessingParameterFolderDestination, QgsProcessingParameterNumber,
                       QgsProcessingParameterRasterLayer, QgsProcessingParameterString,
                       QgsProcessingParameterVectorLayer)

from . import configuration, program

caution = ("Exposure counts conifers only. It is not a probability of ignition, and a low figure does not mean a home "
           "is safe. It does not replace a site visit or local codes.")


class Algorithm(QgsProcessingAlgorithm):
    """What all of them share. A subclass has `command`, `title` and `help`."""
    command = title = help = ""

    def name(self):
        return self.command

    def displayName(self):  # noqa: N802 - QGIS calls these so
        return self.title

    def shortHelpString(self):  # noqa: N802
        return f"{self.help}\n\n{caution}"

    def createInstance(self):  # noqa: N802
        return type(self)()

    def add_file(self, name, what, optional=False, extension=""):
        self.addParameter(QgsProcessingParameterFile(name, what, extension=extension, optional=optional))

    def add_folder(self, name, what, optional=False):
        self.addParameter(QgsProcessingParameterFile(name, what, QgsProcessingParameterFile.Folder, optional=optional))

    def add_layer(self, name, what, kind, optional=True):
        self.addParameter(QgsProcessingParameterVectorLayer(name, what, [kind], optional=optional))

    def add_field(self, name, what, layer):
        self.addParameter(QgsProcessingParameterField(name, what, parentLayerParameterName=layer, optional=True))

    def add_output(self, what):
        self.addParameter(QgsProcessingParameterFolderDestination("OUTPUT", what))

    def source_of(self, parameters, name, context, feedback):
        """Path and layer of a vector parameter; what lies in no file is written into one."""
        if self.parameterAsVectorLayer(parameters, name, context) is None:
            return "", ""
        return self.parameterAsCompatibleSourceLayerPathAndLayerName(parameters, name, context, ["gpkg"], "gpkg",
                                                                     feedback)

    def raster_of(self, parameters, name, context):
        layer = self.parameterAsRasterLayer(parameters, name, context)
        return layer.source() if layer else ""

    @staticmethod
    def show(context, path, name):
        """Adds a layer when the algorithm has ended, in the style that lies in or beside its file."""
        if os.path.exists(path.split("|")[0]):
            context.addLayerToLoadOnCompletion(path, QgsProcessingContext.LayerDetails(name, context.project(), name))


class FromLayers(Algorithm):
    """check and map: a configuration, or layers of which one is made."""

    def initAlgorithm(self, config=None):  # noqa: N802, ARG002
        polygons, points = QgsProcessing.TypeVectorPolygon, QgsProcessing.TypeVectorPoint
        self.add_file("CONFIG", "Configuration (if given, the layers below are not used)", True, "toml")
        self.add_layer("STRUCTURES", "Building footprints", polygons)
        self.add_field("STRUCTURE_ID", "Column of ids", "STRUCTURES")
        self.addParameter(QgsProcessingParameterRasterLayer("FUEL", "Raster of fuel classes", optional=True))
        self.add_file("CLASSES", "Class table of the raster", True, "csv")
        self.add_layer("ADDRESSES", "Addresses", points)
        self.add_field("ADDRESS_TEXT", "Column of the address", "ADDRESSES")
        self.add_layer("NEIGHBOURHOODS", "Neighbourhoods", polygons)
        self.add_field("NEIGHBOURHOOD_NAME", "Column of the name", "NEIGHBOURHOODS")
        self.add_layer("PARCELS", "Parcels", polygons)
        self.add_field("OWNER", "Column of the owner category", "PARCELS")
        self.addParameter(QgsProcessingParameterRasterLayer("ELEVATION", "Heights", optional=True))
        self.addParameter(QgsProcessingParameterString("COMMUNITY", "Name of the community", optional=True))
        self.addParameter(QgsProcessingParameterString("DATE", "Date of the imagery", optional=True))
        self.add_output("Output folder")
        self.addOutput(QgsProcessingOutputFile("CONFIGURATION", "Configuration that was used"))

    def text_of(self, parameters, out, context, feedback):
        def layer(name, table, *columns):
            path, inner = self.source_of(parameters, name, context, feedback)
            return configuration.table(table, configuration.layer_keys(
                path, inner, [(key, self.parameterAsString(parameters, field, context)) for key, field in columns]))
        fuel = self.raster_of(parameters, "FUEL", context)
        classes = self.parameterAsFile(parameters, "CLASSES", context)
        if not fuel or not classes or not self.parameterAsVectorLayer(parameters, "STRUCTURES", context):
            raise QgsProcessingException("Give a configuration, or footprints, a raster and its class table.")
        quoted = {name: self.parameterAsString(parameters, name, context) for name in ("COMMUNITY", "DATE")}
        quoted = {name: configuration.text(value) if value else "" for name, value in quoted.items()}
        elevation = self.raster_of(parameters, "ELEVATION", context)
        return "\n".join([
            configuration.table("community", [("name", quoted["COMMUNITY"])]),
            layer("STRUCTURES", "inputs.structures", ("id", "STRUCTURE_ID")),
            configuration.table("inputs.fuel", [("path", configuration.text(fuel)),
                                                ("classes", configuration.text(classes)), ("date", quoted["DATE"])]),
            layer("ADDRESSES", "inputs.addresses", ("text", "ADDRESS_TEXT")),
            layer("NEIGHBOURHOODS", "inputs.neighbourhoods", ("name", "NEIGHBOURHOOD_NAME")),
            layer("PARCELS", "inputs.parcels", ("owner", "OWNER")),
            configuration.table("inputs.elevation", configuration.layer_keys(elevation, "")),
            configuration.table("output", [("dir", configuration.text(os.path.abspath(out)))]),
        ])

    def config_of(self, parameters, out, context, feedback):
        given = self.parameterAsFile(parameters, "CONFIG", context)
        if given:
            return given
        made = out.rstrip("/") + ".toml"
        with open(made, "w", encoding="utf-8") as file:
            file.write(self.text_of(parameters, out, context, feedback))
        feedback.pushInfo(f"configuration: {made}")
        return made

    def processAlgorithm(self, parameters, context, feedback):  # noqa: N802
        out = self.parameterAsString(parameters, "OUTPUT", context)
        os.makedirs(os.path.dirname(os.path.abspath(out)), exist_ok=True)
        config = self.config_of(parameters, out, context, feedback)
        program.run([self.command, config, "--out", out], feedback)
        self.add_results(out, context)
        return {"OUTPUT": out, "CONFIGURATION": config}

    def add_results(self, out, context):
        pass


class Check(FromLayers):
    command, title = "check", "Check inputs"
    help = "Checks configuration and inputs, and says what a run would do. It writes no outputs."


class Map(FromLayers):
    command, title = "map", "Measure conifers around buildings"
    help = ("Measures conifers around every building: tables, layers and the priority surface. The output folder is "
            "replaced as a whole, or not at all.")

    def add_results(self, out, context):
        self.show(context, os.path.join(out, "priority.tif"), "Gain from clearing")
        for layer, name in (("neighbourhoods", "Neighbourhoods"), ("structures", "Buildings")):
            self.show(context, f"{os.path.join(out, 'fuelring.gpkg')}|layername={layer}", name)


class OnRun(Algorithm):
    """treat and appraise: a configuration, whose output folder they add to."""

    def initAlgorithm(self, config=None):  # noqa: N802, ARG002
        self.add_file("CONFIG", "Configuration", extension="toml")
        self.add_parameters()
        self.add_folder("RUN", "Folder of the run (empty: that of the configuration)", True)
        self.addOutput(QgsProcessingOutputFolder("OUTPUT", "Folder of the run"))

    def processAlgorithm(self, parameters, context, feedback):  # noqa: N802
        config = self.parameterAsFile(parameters, "CONFIG", context)
        run = self.parameterAsString(parameters, "RUN", context)
        summary = self.run_program(config, ["--out", run] if run else [], parameters, context, feedback)
        self.add_results(summary["out"], context)
        return {"OUTPUT": summary["out"]}


class Treat(OnRun):
    command, title = "treat", "Choose where to clear"
    help = "Chooses treatment units within a budget. Each unit is a candidate: it needs a site visit and the owner's consent."

    def add_parameters(self):
        self.addParameter(QgsProcessingParameterNumber("HECTARES", "Hectares of conifers, if the configuration has no [treat]",
                                                       QgsProcessingParameterNumber.Double, 1, minValue=0.01))

    def run_program(self, config, more, parameters, context, feedback):
        hectares = self.parameterAsDouble(parameters, "HECTARES", context)
        budgeted = configuration.beside(config, f".treat_{os.getpid()}.toml")
        try:
            with open(budgeted, "w", encoding="utf-8") as file:
                file.write(configuration.with_treat(config, hectares))
            return program.run(["treat", budgeted, *more], feedback)
        finally:
            os.unlink(budgeted)

    def add_results(self, out, context):
        self.show(context, f"{os.path.join(out, 'treatment.gpkg')}|layername=treatment_units", "Treatment units")


class Appraise(OnRun):
    command, title = "appraise", "Appraise drawn projects"
    help = "Says what drawn projects would bring: hectares, homes, points of exposure. Proposed, not done."

    def add_parameters(self):
        self.add_layer("PROJECTS", "Projects", QgsProcessing.TypeVectorPolygon, False)
        self.add_field("PROJECT_NAME", "Column of the name", "PROJECTS")

    def run_program(self, config, more, parameters, context, feedback):
        path, layer = self.source_of(parameters, "PROJECTS", context, feedback)
        name = self.parameterAsString(parameters, "PROJECT_NAME", context)
        words = ["appraise", config, "--projects", path, "--projects-layer", layer, *more]
        return program.run(words + (["--name", name] if name else []), feedback)

    def add_results(self, out, context):
        self.show(context, f"{os.path.join(out, 'projects.gpkg')}|layername=projects", "Projects")


class Change(Algorithm):
    command, title = "change", "Compare two runs"
    help = "Says where conifers were lost or regrew between two runs. A change on the map does not prove a treatment."

    def initAlgorithm(self, config=None):  # noqa: N802, ARG002
        self.add_folder("BEFORE", "Folder of the earlier run")
        self.add_folder("AFTER", "Folder of the later run")
        self.add_layer("RECORDS", "Treated areas", QgsProcessing.TypeVectorPolygon)
        self.add_output("Output folder")

    def processAlgorithm(self, parameters, context, feedback):  # noqa: N802
        out = self.parameterAsString(parameters, "OUTPUT", context)
        before, after = (self.parameterAsString(parameters, name, context) for name in ("BEFORE", "AFTER"))
        path, layer = self.source_of(parameters, "RECORDS", context, feedback)
        records = ["--records", path, "--records-layer", layer] if path else []
        program.run(["change", before, after, "--out", out, *records], feedback)
        self.show(context, os.path.join(out, "change.tif"), "Change")
        return {"OUTPUT": out}


class Report(Algorithm):
    command, title = "report", "Make a report"
    help = ("Makes a page, maps and spreadsheets of a run. In many places exposure by address is personal data: share only "
            "what the public edition makes.")

    def initAlgorithm(self, config=None):  # noqa: N802, ARG002
        self.add_folder("RUN", "Folder of the run")
        self.addParameter(QgsProcessingParameterBoolean("PUBLIC", "Public edition: neighbourhoods only", False))
        self.addParameter(QgsProcessingParameterString("SHEETS", "One page per home: an address, a neighbourhood, or all", optional=True))
        self.add_folder("CHANGE", "Folder of a comparison with an earlier run", True)
        self.addOutput(QgsProcessingOutputFolder("OUTPUT", "Folder of the report"))

    def processAlgorithm(self, parameters, context, feedback):  # noqa: N802
        words = ["report", self.parameterAsString(parameters, "RUN", context)]
        if self.parameterAsBoolean(parameters, "PUBLIC", context):
            words.append("--public")
        for option, name in (("--sheets", "SHEETS"), ("--change", "CHANGE")):
            value = self.parameterAsString(parameters, name, context)
            words += [option, value] if value else []
        return {"OUTPUT": program.run(words, feedback)["out"]}


all_algorithms = (Check, Map, Treat, Appraise, Change, Report)
