# SPDX-License-Identifier: Apache-2.0
"""Inputs from a web server and from object storage: object_storage_test.py FUELRING SOURCE_FOLDER

The server is one of this test, on the loopback, and fails as it is told to."""
import http.server
import json
import os
import re
import shutil
import socket
import subprocess
import sys
import tempfile
import threading
import time
import unittest

FUELRING, SOURCE = (os.path.abspath(path) for path in sys.argv[1:3])
SAMPLE = os.path.join(SOURCE, "sample_data")
FILES = ("structures.gpkg", "addresses.gpkg", "neighbourhoods.gpkg", "parcels.gpkg", "fuel.tif",
         "elevation.tif")
PASSWORD = "hunter2"


class Handler(http.server.BaseHTTPRequestHandler):
    """Serves /data/NAME in ranges. server.fault(name, asked) may return a fault for a request."""
    protocol_version = "HTTP/1.1"
    wbufsize = 1 << 16
    disable_nagle_algorithm = True

    def log_message(self, *_):
        pass

    def do_HEAD(self):
        self.answer(False)

    def do_GET(self):
        self.answer(True)

    def refuse(self, code):
        self.send_response(code)
        self.send_header("Content-Length", "0")
        self.end_headers()

    def answer(self, with_body):
        name = self.path.split("?")[0].removeprefix("/data/")
        if name not in FILES:
            return self.refuse(404)
        with self.server.guard:  # requests for bytes are counted, and faults are theirs
            self.server.asked[name] = asked = self.server.asked.get(name, 0) + int(with_body)
        fault = self.server.fault(name, asked)
        if fault == "500":
            return self.refuse(500)
        if fault == "close":
            self.close_connection = True
            return self.connection.shutdown(socket.SHUT_RDWR)
        if fault == "hang":
            return self.server.released.wait(30)
        with open(os.path.join(SAMPLE, name), "rb") as file:
            data = file.read()
        first, last = 0, len(data) - 1
        wanted = re.fullmatch(r"bytes=(\d+)-(\d*)", self.headers.get("Range", ""))
        if wanted:
            first = int(wanted[1])
            last = min(int(wanted[2] or last), last)
            if first > last:
                return self.refuse(416)
        self.send_response(206 if wanted else 200)
        if wanted:
            self.send_header("Content-Range", f"bytes {first}-{last}/{len(data)}")
        self.send_header("Accept-Ranges", "bytes")
        self.send_header("Content-Length", str(last + 1 - first))
        if fault != "no validators":
            self.send_header("ETag", '"2"' if fault == "changed" else '"1"')
            self.send_header("Last-Modified", "Wed, 25 Nov 2026 12:00:00 GMT")
        self.end_headers()
        if not with_body:
            return
        body = data[first:last + 1]
        if fault == "short":
            self.wfile.write(body[:len(body) // 2])
            self.close_connection = True
        else:
            self.wfile.write(body)


class Server(http.server.ThreadingHTTPServer):
    daemon_threads = True

    def __init__(self):
        super().__init__(("127.0.0.1", 0), Handler)
        self.guard = threading.Lock()
        self.released = threading.Event()
        self.behave()
        threading.Thread(target=self.serve_forever, daemon=True).start()

    def handle_error(self, *_):  # clients that hang up are part of the test
        pass

    def behave(self, fault=lambda name, asked: None):
        self.asked = {}
        self.fault = fault

    def at(self):
        return f"127.0.0.1:{self.server_port}"


class FromServers(unittest.TestCase):
    @classmethod
    def setUpClass(cls):
        cls.folder = tempfile.mkdtemp(prefix="fuelring-http-")
        cls.addClassCleanup(shutil.rmtree, cls.folder)
        cls.server = Server()
        cls.addClassCleanup(cls.server.shutdown)
        cls.addClassCleanup(cls.server.released.set)
        cls.local = cls.write("local.toml", SAMPLE + "/", None)
        cls.map(cls.local, "local", 0)
        shutil.copytree(os.path.join(cls.folder, "local"), os.path.join(cls.folder, "kept"))

    def setUp(self):
        self.server.behave()

    @classmethod
    def write(cls, name, prefix, remote, files=FILES):
        """The sample's configuration with `files` behind `prefix`, the others where they are."""
        with open(os.path.join(SAMPLE, "tamarack_bend.toml"), encoding="utf-8") as file:
            text = file.read()
        text = re.sub(r'"\.\./config/', f'"{SOURCE}/config/', text)
        for data in FILES:
            text = text.replace(f'"{data}"',
                                json.dumps((prefix if data in files else SAMPLE + "/") + data))
        if remote is not None:
            text += f"\n[run]\nremote_inputs = {remote}\n"
        path = os.path.join(cls.folder, name)
        with open(path, "w", encoding="utf-8") as file:
            file.write(text)
        return path

    @classmethod
    def map(cls, config, out, exit_code, *options, **environment):
        out = os.path.join(cls.folder, out)
        run = subprocess.run([FUELRING, "map", config, "--out", out, *options], check=False, text=True,
                             capture_output=True, timeout=60,
                             env={**os.environ, "GDAL_HTTP_RETRY_DELAY": "0.05", **environment})
        if run.returncode != exit_code:
            raise AssertionError(f"exit code {run.returncode}, not {exit_code}: {run.stderr}")
        return out, run.stderr

    def same_tables(self, out):
        for name in ("addresses.csv", "neighbourhoods.csv"):
            with open(os.path.join(self.folder, "local", name), "rb") as file:
                expected = file.read()
            with open(os.path.join(out, name), "rb") as file:
                self.assertEqual(file.read(), expected, name)

    def curl(self, user=""):
        return f"/vsicurl/http://{user}{self.server.at()}/data/"

    def test_files_of_a_web_server_give_the_bytes_of_local_ones(self):
        config = self.write("curl.toml", self.curl(f"planner:{PASSWORD}@"), "true")
        out, said = self.map(config, "curl", 0)
        self.same_tables(out)
        with open(os.path.join(out, "run.json"), encoding="utf-8") as file:
            manifest = file.read()
        self.assertNotIn(PASSWORD, said + manifest)
        fuel = json.loads(manifest)["inputs"]["inputs.fuel.path"]
        self.assertEqual(fuel["etag"], '"1"')
        self.assertEqual(fuel["size"], os.path.getsize(os.path.join(SAMPLE, "fuel.tif")))
        self.assertEqual(fuel["changed_while_read"], "no, by the server's ETag, date and size")
        self.assertNotIn("sha256", fuel)

    def test_objects_of_a_store_give_the_bytes_of_local_files(self):
        config = self.write("s3.toml", "/vsis3/data/", "true")
        out, _ = self.map(config, "s3", 0, AWS_S3_ENDPOINT=self.server.at(), AWS_HTTPS="NO",
                          AWS_VIRTUAL_HOSTING="FALSE", AWS_NO_SIGN_REQUEST="YES")
        self.same_tables(out)

    def test_a_server_without_etag_and_date_is_said_to_prove_nothing(self):
        self.server.behave(lambda name, asked: "no validators")
        out, _ = self.map(self.write("bare.toml", self.curl(), "true", ("fuel.tif",)), "bare", 0)
        with open(os.path.join(out, "run.json"), encoding="utf-8") as file:
            fuel = json.load(file)["inputs"]["inputs.fuel.path"]
        self.assertIn("cannot be told", fuel["changed_while_read"])
        self.assertIsNone(fuel["validator"])

    def refused(self, config, words, *options, **environment):
        """Exit code 3 in good time with these words; the outputs of before stay as they are."""
        out = os.path.join(self.folder, "kept")
        before = {name: os.stat(os.path.join(out, name)).st_ino for name in os.listdir(out)}
        self.server.asked = {}
        began = time.monotonic()
        _, said = self.map(config, "kept", 3, *options, **environment)
        self.assertLess(time.monotonic() - began, 15)
        after = {name: os.stat(os.path.join(out, name)).st_ino for name in os.listdir(out)}
        self.assertEqual(before, after)
        for word in words:
            self.assertIn(word, said)

    def refused_or_right(self, config, words, *options, **environment):
        """As refused, or the figures of local files."""
        try:
            out, _ = self.map(config, "perhaps", 0, *options, **environment)
        except AssertionError:
            self.refused(config, words, *options, **environment)
        else:
            self.same_tables(out)

    def test_a_server_is_not_asked_where_the_configuration_does_not_allow_it(self):
        self.refused(self.write("no.toml", self.curl(), "false"),
                     ["no plain local file", "run.remote_inputs"])
        self.assertEqual(self.server.asked, {})

    def test_a_file_that_changes_while_it_is_read_is_told_by_its_etag(self):
        config = self.write("changing.toml", self.curl(), "true", ("fuel.tif",))
        self.map(config, "changing", 0, "--jobs=1")
        last = self.server.asked["fuel.tif"]
        self.server.behave(lambda name, asked: "changed" if asked >= last else None)
        self.refused(config, ["fuel.tif: the file changed while it was read"], "--jobs=1")

    def test_a_plan_is_made_on_the_run_as_long_as_the_server_has_the_same_file(self):
        config = self.write("treat.toml", self.curl(), "true", ("fuel.tif",))
        out, _ = self.map(config, "treated", 0)

        def treat():
            run = subprocess.run([FUELRING, "treat", config, "--out", out], check=True, text=True,
                                 capture_output=True, timeout=60)
            return run.stderr

        self.assertNotIn("inputs.fuel.path changed", treat())
        self.server.behave(lambda name, asked: "changed")
        self.assertIn("inputs.fuel.path changed", treat())

    def test_whatever_a_server_does_midway_gives_exit_code_3_and_no_half_set(self):
        for name, faults in (("fuel.tif", ("500", "close", "short")), ("elevation.tif", ("500",)),
                             ("structures.gpkg", ("short",)), ("parcels.gpkg", ("close",))):
            config = self.write("midway.toml", self.curl(), "true", (name,))
            self.server.behave()
            self.map(config, "whole", 0, "--jobs=1", "--full")
            asked = self.server.asked[name]
            self.assertGreater(asked, 1)
            for fault in faults:
                for at in sorted({2, asked}):
                    with self.subTest(file=name, fault=fault, at=at, of=asked):
                        self.server.behave(lambda of, k, at=at, fault=fault:
                                           fault if of == name and k >= at else None)
                        refused = self.refused
                        if fault == "short" and at == asked:
                            refused = self.refused_or_right  # half of it may be all that is needed
                        refused(config, [name], "--jobs=1", "--full", GDAL_HTTP_MAX_RETRY="1")

    def test_a_server_that_does_not_answer_is_not_waited_for_without_end(self):
        config = self.write("hanging.toml", self.curl(), "true", ("fuel.tif",))
        self.server.behave(lambda name, asked: "hang" if asked > 2 else None)
        self.refused(config, ["fuel.tif"], GDAL_HTTP_TIMEOUT="1", GDAL_HTTP_MAX_RETRY="1")

    def test_a_run_that_waits_for_a_server_is_gone_within_5_s_of_a_stop_signal(self):
        config = self.write("waiting.toml", self.curl(), "true", ("fuel.tif",))
        out = os.path.join(self.folder, "kept")
        before = {name: os.stat(os.path.join(out, name)).st_ino for name in os.listdir(out)}
        waits = threading.Event()

        def hang(_, asked):
            if asked > 2:
                waits.set()
                return "hang"
            return None

        self.server.behave(hang)
        with subprocess.Popen([FUELRING, "map", config, "--out", out, "--log", "json"],
                              stderr=subprocess.PIPE, text=True) as run:
            self.assertTrue(waits.wait(30))
            run.terminate()
            began = time.monotonic()
            said = run.communicate(timeout=30)[1]
            self.assertLess(time.monotonic() - began, 5)
        self.assertEqual(run.returncode, 143)
        lines = [json.loads(line) for line in said.splitlines()]
        self.assertIn("stopped by a signal", lines[-1]["text"])
        self.assertEqual(before, {name: os.stat(os.path.join(out, name)).st_ino
                                  for name in os.listdir(out)})
        self.server.behave()
        self.map(config, "kept", 0)
        self.assertEqual([name for name in os.listdir(self.folder) if name.startswith(".kept.new")], [])


if __name__ == "__main__":
    for name in [n for n in os.environ if n.startswith("AWS_") or n.lower().endswith("_proxy")]:
        del os.environ[name]
    unittest.main(argv=sys.argv[:1])
