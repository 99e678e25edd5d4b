# SPDX-License-Identifier: Apache-2.0
"""A headless Chromium, driven by its DevTools protocol."""
import base64
import json
import os
import shutil
import subprocess
import tempfile
import time
import urllib.request

import websocket

# Collects what a page's policy refused, and when the page could be used: after the frame that
# follows its mark; what stands below its script is read after that (`readAfter`).
WATCH = """
window.refused = [];
addEventListener("securitypolicyviolation", (e) => refused.push(e.violatedDirective + " " + e.blockedURI));
const afterFrame = (name) => requestAnimationFrame(() => requestAnimationFrame(() => { window[name] = performance.now(); }));
new PerformanceObserver(() => afterFrame("usableAfter")).observe({ type: "mark" });
addEventListener("load", () => afterFrame("readAfter"));
"""


class Browser:
    def __init__(self, program):
        self.profile = tempfile.mkdtemp(prefix="fuelring-browser-")
        self.process = subprocess.Popen(
            [program, "--headless=new", "--no-sandbox", "--disable-gpu", "--disable-dev-shm-usage",
             "--remote-debugging-port=0", "--remote-allow-origins=*", "--hide-scrollbars",
             "--user-data-dir=" + self.profile, "about:blank"],
            stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
        port = self._port()
        with urllib.request.urlopen(f"http://127.0.0.1:{port}/json") as answer:
            page = next(t for t in json.load(answer) if t["type"] == "page")
        self.socket = websocket.create_connection(page["webSocketDebuggerUrl"], timeout=60)
        self.calls = 0
        self.events = []
        for domain in ("Page", "Runtime", "Log", "Network"):
            self.call(domain + ".enable")
        self.call("Page.addScriptToEvaluateOnNewDocument", source=WATCH)

    def _port(self):
        note = os.path.join(self.profile, "DevToolsActivePort")
        for _ in range(600):
            if os.path.exists(note):
                with open(note) as written:
                    lines = written.read().split()
                if len(lines) == 2:
                    return lines[0]
            time.sleep(0.05)
        raise RuntimeError("chromium did not start")

    def call(self, method, **params):
        self.calls += 1
        self.socket.send(json.dumps({"id": self.calls, "method": method, "params": params}))
        while True:
            answer = json.loads(self.socket.recv())
            if answer.get("id") == self.calls:
                if "error" in answer:
                    raise RuntimeError(f"{method}: {answer['error']}")
                return answer["result"]
            self.events.append(answer)

    def js(self, expression):
        answer = self.call("Runtime.evaluate", expression=expression, returnByValue=True,
                           awaitPromise=True)
        if "exceptionDetails" in answer:
            raise RuntimeError(json.dumps(answer["exceptionDetails"])[:2000])
        return answer["result"].get("value")

    def look(self, width, height, theme="light", media=""):
        """Size of the window, and what the page is told of its reader: light, dark, or forced colours."""
        self.call("Emulation.setDeviceMetricsOverride", width=width, height=height,
                  deviceScaleFactor=1, mobile=width < 600)
        self.call("Emulation.setEmulatedMedia", media=media,
                  features=[{"name": "prefers-color-scheme", "value": "light" if theme == "light" else "dark"},
                            {"name": "forced-colors", "value": "active" if theme == "forced" else "none"}])

    def open(self, path, scripts=True):
        self.call("Emulation.setScriptExecutionDisabled", value=not scripts)
        self.events = []
        self.call("Page.navigate", url="file://" + str(path))
        self.wait_for("Page.loadEventFired")
        # Of a full history (50 entries) a browser forgets those that a script has left: back would go astray.
        self.call("Page.resetNavigationHistory")
        if scripts:
            self.js("new Promise((done) => { const wait = () => window.readAfter ? done() :"
                    " setTimeout(wait, 5); wait(); })")

    def wait_for(self, method):
        while not any(e["method"] == method for e in self.events):
            self.events.append(json.loads(self.socket.recv()))

    def complaints(self):
        """What the browser said of the page since it was opened: errors, warnings, exceptions."""
        self.js("0")  # takes in the events that wait
        kinds = ("Log.entryAdded", "Runtime.exceptionThrown", "Runtime.consoleAPICalled",
                 "Page.javascriptDialogOpening")
        return [json.dumps(e)[:500] for e in self.events if e["method"] in kinds]

    def requests(self):
        self.js("0")
        return [e["params"]["request"]["url"] for e in self.events
                if e["method"] == "Network.requestWillBeSent"]

    def click(self, x, y):
        for kind in ("mouseMoved", "mousePressed", "mouseReleased"):
            self.call("Input.dispatchMouseEvent", type=kind, x=x, y=y, button="left", clickCount=1)

    def press(self, key, code):
        for kind in ("keyDown", "keyUp"):
            self.call("Input.dispatchKeyEvent", type=kind, key=key, code=key,
                      windowsVirtualKeyCode=code, **({"text": "\r"} if key == "Enter" and
                                                     kind == "keyDown" else {}))

    def print(self):
        return base64.b64decode(self.call("Page.printToPDF", paperWidth=8.27, paperHeight=11.69)["data"])

    def close(self):
        self.socket.close()
        self.process.kill()
        self.process.wait(20)
        shutil.rmtree(self.profile, ignore_errors=True)
