# SPDX-License-Identifier: Apache-2.0
"""Runs the program: its lines go to the dialog, its summary comes back."""

import json
import os
import queue
import shutil
import signal
import subprocess
import tempfile
import threading

from qgis.core import QgsProcessingException


def _path():
    found = os.environ.get("FUELRING_PROGRAM") or shutil.which("fuelring")
    if not found:
        raise QgsProcessingException("The program fuelring is not installed, or not on the path.")
    return found


def _say(line, feedback, errors):
    """A line of --log json: an error is kept, progress moves the bar, anything else is shown."""
    try:
        said = json.loads(line)
        level, text = said["level"], said["text"]
    except (ValueError, TypeError, KeyError):  # of a library, past the log
        feedback.pushInfo(line)
        return
    if level == "error":
        errors.append(text)
    elif level == "warning":
        feedback.pushWarning(text)
    elif text.endswith("%") and text[:-1].isdigit():
        feedback.setProgress(int(text[:-1]))
    else:
        feedback.pushInfo(text)


def _lines_of(stream):
    """Lines in a queue, so that waiting for one does not keep from looking whether the user has had enough."""
    lines = queue.Queue()

    def read():
        for line in stream:
            lines.put(line.rstrip("\n"))
        lines.put(None)
    threading.Thread(target=read, daemon=True).start()
    return lines


def run(words, feedback, accepted=(0,)):
    """The summary of a command. Raises QgsProcessingException with the program's words."""
    errors = []
    with tempfile.TemporaryFile("w+", encoding="utf-8") as summary:
        process = subprocess.Popen([_path(), *words, "--json", "--log", "json"], stdout=summary,
                                   stderr=subprocess.PIPE, text=True, encoding="utf-8", errors="replace")
        lines = _lines_of(process.stderr)
        while True:
            if feedback.isCanceled():
                process.send_signal(signal.SIGINT)
            try:
                line = lines.get(timeout=0.2)
            except queue.Empty:
                continue
            if line is None:
                break
            _say(line, feedback, errors)
        code = process.wait()
        process.stderr.close()
        if feedback.isCanceled():
            raise QgsProcessingException("Canceled; earlier outputs are untouched.")
        if code not in accepted:
            raise QgsProcessingException("\n".join(errors) or f"fuelring ended with code {code}")
        summary.seek(0)
        return json.load(summary)
