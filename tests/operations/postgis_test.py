# SPDX-License-Identifier: Apache-2.0
"""Inputs from a PostgreSQL with PostGIS that this test starts: postgis_test.py FUELRING SOURCE_FOLDER

The server listens on a socket in a folder of its own only, runs as a user that is not root, and dies
with this process."""
import ctypes
import glob
import json
import os
import pwd
import random
import re
import shutil
import signal
import subprocess
import sys
import tempfile
import time
import unittest

FUELRING, SOURCE = (os.path.abspath(path) for path in sys.argv[1:3])
LAYERS = ("structures", "addresses", "neighbourhoods", "parcels")
SECRET = "hunter2 it's"


def skip(reason):
    print("SKIPPED: " + reason)
    sys.exit(0)


binaries = sorted(glob.glob("/usr/lib/postgresql/*/bin/initdb"))
if not binaries:
    skip("initdb is not installed (postgresql-15-postgis-3)")
BIN = os.path.dirname(binaries[-1])
if not glob.glob("/usr/share/postgresql/*/extension/postgis.control"):
    skip("PostGIS is not installed (postgresql-15-postgis-3)")
if not shutil.which("ogr2ogr"):
    skip("ogr2ogr is not installed (gdal-bin)")


class Server:
    """A database cluster with the sample's layers in the database tamarack."""

    def __init__(self):
        self.folder = tempfile.mkdtemp(prefix="fuelring-pg-", dir="/tmp")
        self.port = str(random.randint(20000, 60000))  # names the socket, no more
        self.process = None
        self.user = None
        if os.getuid() == 0:  # PostgreSQL refuses to run as root
            for name in ("postgres", "nobody"):
                try:
                    self.user = pwd.getpwnam(name)
                    break
                except KeyError:
                    pass
            os.chown(self.folder, self.user.pw_uid, self.user.pw_gid)
            os.chmod(self.folder, 0o755)

    def become_user(self):
        if self.user:
            os.setgroups([])
            os.setgid(self.user.pw_gid)
            os.setuid(self.user.pw_uid)
        ctypes.CDLL(None).prctl(1, signal.SIGQUIT)  # PR_SET_PDEATHSIG: stop at once with the test

    def run(self, *command):
        subprocess.run(command, check=True, preexec_fn=self.become_user, cwd=self.folder,
                       stdout=subprocess.DEVNULL)

    def start(self):
        data = os.path.join(self.folder, "data")
        password = os.path.join(self.folder, "password")
        with open(password, "w", encoding="utf-8") as file:
            file.write(SECRET + "\n")
        os.chmod(password, 0o644)
        self.run(f"{BIN}/initdb", "--no-sync", "--username=planner", "--auth=scram-sha-256",
                 f"--pwfile={password}", "--encoding=UTF8", "--locale=C", data)
        self.log = open(os.path.join(self.folder, "log"), "w", encoding="utf-8")
        self.process = subprocess.Popen(
            [f"{BIN}/postgres", "-D", data, "-k", self.folder, "-h", "", "-p", self.port,
             "-c", "fsync=off", "-c", "shared_buffers=16MB", "-c", "max_connections=20"],
            preexec_fn=self.become_user, cwd=self.folder, stdout=self.log, stderr=self.log)
        until = time.monotonic() + 30
        while subprocess.run([f"{BIN}/pg_isready", "-q", "-h", self.folder, "-p", self.port],
                             check=False).returncode != 0:
            if time.monotonic() > until or self.process.poll() is not None:
                raise RuntimeError(open(self.log.name, encoding="utf-8").read())
            time.sleep(0.05)

    def sql(self, text, database="tamarack"):
        subprocess.run([f"{BIN}/psql", "-q", "-v", "ON_ERROR_STOP=1", "-h", self.folder, "-p",
                        self.port, "-U", "planner", "-d", database, "-c", text],
                       check=True, env={**os.environ, "PGPASSWORD": SECRET},
                       stdout=subprocess.DEVNULL)

    def load(self):
        self.sql("CREATE DATABASE tamarack", "postgres")
        self.sql("CREATE EXTENSION postgis")
        for layer in LAYERS:
            subprocess.run(["ogr2ogr", "-f", "PostgreSQL",
                            f"PG:host={self.folder} port={self.port} user=planner dbname=tamarack",
                            os.path.join(SOURCE, "sample_data", layer + ".gpkg"), layer,
                            "-lco", "GEOMETRY_NAME=shape", "-lco", "FID=fid"],
                           check=True, env={**os.environ, "PGPASSWORD": SECRET})
            # A row that was changed since lies elsewhere: a table has no order.
            self.sql(f"UPDATE {layer} SET fid = fid WHERE fid % 3 = 0")

    def stop(self):
        if self.process:
            self.process.send_signal(signal.SIGQUIT)
            self.process.wait(30)
            self.log.close()
        shutil.rmtree(self.folder)


class FromDatabase(unittest.TestCase):
    @classmethod
    def setUpClass(cls):
        cls.server = Server()
        cls.addClassCleanup(cls.server.stop)
        cls.server.start()
        cls.server.load()
        cls.files = cls.write("files.toml", None, None)
        out, _ = cls.map(cls.files, "files", 0)
        shutil.copytree(out, os.path.join(cls.server.folder, "kept"))

    @classmethod
    def write(cls, name, connection, remote):
        """The sample's configuration with absolute paths, its layers from `connection`."""
        with open(os.path.join(SOURCE, "sample_data", "tamarack_bend.toml"),
                  encoding="utf-8") as file:
            text = file.read()
        folder = os.path.join(SOURCE, "sample_data")
        text = re.sub(r'"\.\./config/', f'"{SOURCE}/config/', text)
        for layer in LAYERS:
            path = connection(layer) if connection else os.path.join(folder, layer + ".gpkg")
            text = text.replace(f'"{layer}.gpkg"', json.dumps(path))
        for raster in ("fuel.tif", "elevation.tif"):
            text = text.replace(f'"{raster}"', json.dumps(os.path.join(folder, raster)))
        if remote is not None:
            text += f"\n[run]\nremote_inputs = {remote}\n"
        path = os.path.join(cls.server.folder, name)
        with open(path, "w", encoding="utf-8") as file:
            file.write(text)
        return path

    @classmethod
    def map(cls, config, out, exit_code, **environment):
        out = os.path.join(cls.server.folder, out)
        run = subprocess.run([FUELRING, "map", config, "--out", out], check=False, text=True,
                             capture_output=True, env={**os.environ, **environment}, timeout=60)
        if run.returncode != exit_code:
            raise AssertionError(f"exit code {run.returncode}, not {exit_code}: {run.stderr}")
        return out, run.stderr

    def connection(self, secret=SECRET):
        quoted = secret.replace("\\", "\\\\").replace("'", "\\'")
        return lambda layer: (f"PG:host={self.server.folder} port={self.server.port} user=planner "
                              f"password='{quoted}' dbname=tamarack")

    def same_tables(self, out):
        for name in ("addresses.csv", "neighbourhoods.csv"):
            with open(os.path.join(self.server.folder, "files", name), "rb") as file:
                expected = file.read()
            with open(os.path.join(out, name), "rb") as file:
                self.assertEqual(file.read(), expected, name)

    def test_layers_of_a_database_give_the_bytes_of_files_and_no_secret_is_told(self):
        out, said = self.map(self.write("pg.toml", self.connection(), "true"), "pg", 0)
        self.same_tables(out)
        with open(os.path.join(out, "run.json"), encoding="utf-8") as file:
            manifest = file.read()
        self.assertNotIn("hunter2", said + manifest)
        told = json.loads(manifest)["inputs"]["inputs.structures.path"]
        self.assertIn("password=***", told["path"])
        self.assertIn("cannot be told", told["changed_while_read"])

    def test_a_service_and_a_password_file_keep_the_secret_out_of_the_configuration(self):
        service = os.path.join(self.server.folder, "pg_service.conf")
        passwords = os.path.join(self.server.folder, "pgpass")
        with open(service, "w", encoding="utf-8") as file:
            file.write(f"[tamarack]\nhost={self.server.folder}\nport={self.server.port}\n"
                       "user=planner\ndbname=tamarack\n")
        with open(passwords, "w", encoding="utf-8") as file:
            file.write(f"*:{self.server.port}:tamarack:planner:{SECRET}\n")
        os.chmod(passwords, 0o600)
        config = self.write("service.toml", lambda layer: "PG:service=tamarack", "true")
        out, _ = self.map(config, "service", 0, PGSERVICEFILE=service, PGPASSFILE=passwords)
        self.same_tables(out)

    def refused(self, config, words, exit_code=3, **environment):
        """Outputs of before stay; nothing hangs; the reason is told and no secret."""
        out = os.path.join(self.server.folder, "kept")
        before = {name: os.stat(os.path.join(out, name)).st_ino for name in os.listdir(out)}
        began = time.monotonic()
        _, said = self.map(config, "kept", exit_code, **environment)
        self.assertLess(time.monotonic() - began, 10)
        after = {name: os.stat(os.path.join(out, name)).st_ino for name in os.listdir(out)}
        self.assertEqual(before, after)
        for word in words:
            self.assertIn(word, said)
        self.assertNotIn("hunter2", said)

    def test_a_database_is_refused_where_the_configuration_does_not_name_it_so(self):
        self.refused(self.write("local.toml", self.connection(), "false"),
                     ["no plain local file", "run.remote_inputs"])

    def test_a_wrong_password_is_told_in_the_words_of_the_database(self):
        self.refused(self.write("wrong.toml", self.connection("hunter2-no"), "true"),
                     ["password authentication failed"])

    def test_a_server_that_breaks_off_midway_gives_no_part_of_a_layer(self):
        self.server.sql("""CREATE FUNCTION stop_at(n integer) RETURNS boolean LANGUAGE plpgsql AS $$
            BEGIN IF n = 300 THEN PERFORM pg_terminate_backend(pg_backend_pid()); END IF;
            RETURN true; END $$;
            ALTER TABLE structures RENAME TO all_structures;
            CREATE VIEW structures AS SELECT * FROM all_structures WHERE stop_at(fid::integer)""")
        try:
            self.refused(self.write("broken.toml", self.connection(), "true"), ["structures"])
        finally:
            self.server.sql("DROP VIEW structures; ALTER TABLE all_structures RENAME TO structures")

    def test_a_server_that_stalls_midway_is_not_waited_for_without_end(self):
        self.server.sql("""CREATE FUNCTION sleep_at(n integer) RETURNS boolean LANGUAGE plpgsql AS $$
            BEGIN IF n = 300 THEN PERFORM pg_sleep(600); END IF; RETURN true; END $$;
            ALTER TABLE structures RENAME TO all_structures;
            CREATE VIEW structures AS SELECT * FROM all_structures WHERE sleep_at(fid::integer)""")
        try:
            self.refused(self.write("stalls.toml", self.connection(), "true"),
                         ["the server was silent for 3 s", "structures"], GDAL_HTTP_TIMEOUT="3")
        finally:
            self.server.sql("SELECT pg_terminate_backend(pid) FROM pg_stat_activity "
                            "WHERE datname = 'tamarack' AND pid <> pg_backend_pid()")
            self.server.sql("DROP VIEW structures; ALTER TABLE all_structures RENAME TO structures")


if __name__ == "__main__":
    os.environ.pop("PGSERVICEFILE", None)
    unittest.main(argv=sys.argv[:1])
