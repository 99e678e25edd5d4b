# SPDX-License-Identifier: Apache-2.0
"""Databases that go silent: silent_server_test.py FUELRING SOURCE_FOLDER

A server of this test speaks as much of PostgreSQL's protocol (version 3, "Message Flow" in its manual)
as it takes to be connected to, and then says nothing any more, or a byte now and then."""
import json
import os
import re
import shutil
import socket
import struct
import subprocess
import sys
import tempfile
import threading
import time
import unittest

FUELRING, SOURCE = (os.path.abspath(path) for path in sys.argv[1:3])
PATIENCE_S = 2  # instead of the default of 60


def message(kind, body=b""):
    return kind + struct.pack("!I", len(body) + 4) + body


class SilentServer(threading.Thread):
    """Accepts one caller after another; `stalls`: where the talk ends."""

    def __init__(self, stalls):
        super().__init__(daemon=True)
        self.stalls = stalls
        self.listener = socket.create_server(("127.0.0.1", 0))
        self.port = self.listener.getsockname()[1]
        self.callers = []

    def run(self):
        while True:
            caller = self.listener.accept()[0]
            self.callers.append(caller)
            threading.Thread(target=self.talk, args=(caller,), daemon=True).start()

    def talk(self, caller):
        if self.stalls == "at once":
            return
        while True:  # asked for TLS and the like, to which N is no
            size, code = struct.unpack("!II", self.read(caller, 8))
            rest = self.read(caller, size - 8)
            if code == 3 << 16:
                break
            caller.sendall(b"N")
        del rest
        caller.sendall(message(b"R", struct.pack("!I", 0)) +
                       message(b"S", b"server_version\x0015.0\x00") +
                       message(b"S", b"client_encoding\x00UTF8\x00") +
                       message(b"K", struct.pack("!II", 1, 1)) + message(b"Z", b"I"))
        if self.stalls == "drips":
            try:
                answer = message(b"T", b"\x00\x01" + b"a" * 100_000)
                for k in range(len(answer)):
                    caller.sendall(answer[k:k + 1])
                    time.sleep(0.2)
            except OSError:
                return

    @staticmethod
    def read(caller, size):
        data = b""
        while len(data) < size:
            piece = caller.recv(size - len(data))
            if not piece:
                sys.exit()
            data += piece
        return data


class Silence(unittest.TestCase):
    def setUp(self):
        self.folder = tempfile.mkdtemp(prefix="fuelring-silent-")
        self.addCleanup(shutil.rmtree, self.folder)

    def config(self, name, structures):
        with open(os.path.join(SOURCE, "sample_data", "tamarack_bend.toml"),
                  encoding="utf-8") as file:
            text = file.read()
        data = os.path.join(SOURCE, "sample_data")
        text = re.sub(r'"\.\./config/', f'"{SOURCE}/config/', text)
        text = text.replace('"structures.gpkg"', json.dumps(structures))
        text = re.sub(r'"(\w+\.(?:gpkg|tif))"', lambda m: json.dumps(os.path.join(data, m[1])), text)
        path = os.path.join(self.folder, name)
        with open(path, "w", encoding="utf-8") as file:
            file.write(text + "\n[run]\nremote_inputs = true\n")
        return path

    def map(self, config, *more):
        return subprocess.run([FUELRING, "map", config, "--out", os.path.join(self.folder, "out"),
                               *more], check=False, text=True, capture_output=True, timeout=60,
                              env={**os.environ, "GDAL_HTTP_TIMEOUT": str(PATIENCE_S)})

    def outputs(self):
        out = os.path.join(self.folder, "out")
        return {name: os.stat(os.path.join(out, name)).st_ino for name in os.listdir(out)}

    def test_a_silent_database_ends_the_run_in_time_and_leaves_the_outputs(self):
        good = self.config("good.toml", os.path.join(SOURCE, "sample_data", "structures.gpkg"))
        self.assertEqual(self.map(good).returncode, 0)
        before = self.outputs()
        for stalls in ("at once", "when it is asked", "drips"):
            with self.subTest(stalls):
                server = SilentServer(stalls)
                server.start()
                connection = (f"PG:host=127.0.0.1 port={server.port} user=planner dbname=tamarack "
                              "password=hunter2")
                began = time.monotonic()
                run = self.map(self.config("silent.toml", connection))
                took = time.monotonic() - began
                self.assertEqual(run.returncode, 3, run.stderr)
                self.assertIn(f"the server was silent for {PATIENCE_S} s", run.stderr)
                self.assertIn("inputs.structures.path", run.stderr)
                self.assertNotIn("hunter2", run.stderr)
                self.assertGreater(took, PATIENCE_S)
                self.assertLess(took, PATIENCE_S + 8)  # and not for ever
                self.assertEqual(self.outputs(), before)
        run = self.map(self.config("silent.toml", connection), "--log", "json")
        last = json.loads(run.stderr.splitlines()[-1])
        self.assertEqual(last["level"], "error")
        self.assertIn("was silent", last["text"])
        self.assertEqual(self.map(good).returncode, 0)  # nothing stands in the way of the next
        self.assertEqual([n for n in os.listdir(self.folder) if ".new." in n], [])


if __name__ == "__main__":
    unittest.main(argv=sys.argv[:1])
