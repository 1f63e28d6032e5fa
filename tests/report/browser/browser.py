# SPDX-License-Identifier: Apache-2.0
"""A headless Chromium, driven over the WebDriver protocol (W3C) by chromedriver on the loopback interface."""
import base64
import json
import os
import re
import subprocess
import tempfile
import urllib.error
import urllib.request

CHROMIUM_OPTIONS = [
    "--headless=new", "--no-sandbox", "--disable-gpu", "--disable-dev-shm-usage", "--no-first-run",
    "--disable-background-networking", "--disable-component-update", "--disable-sync", "--disable-extensions",
    "--no-default-browser-check", "--hide-scrollbars"]

ELEMENT = "element-6066-11e4-a52e-4f735466cecf"  # the protocol's key for an element


class Browser:
    """One window. `phone`: 390 x 844 with a touch screen, else `width` x `height`."""

    def __init__(self, chromium, chromedriver, phone=False, width=1280, height=900):
        self.folder = tempfile.TemporaryDirectory(prefix="pivotfix-browser-")
        self.driver = subprocess.Popen([chromedriver, "--port=0"], stdout=subprocess.PIPE,
                                       stderr=subprocess.STDOUT, text=True)
        self.address = f"http://127.0.0.1:{self._port()}"
        options = {"binary": chromium,
                   "args": CHROMIUM_OPTIONS + [f"--window-size={width},{height}",
                                               "--user-data-dir=" + self.folder.name]}
        if phone:
            options["mobileEmulation"] = {"deviceMetrics": {"width": 390, "height": 844, "pixelRatio": 2,
                                                            "touch": True}}
        wanted = {"browserName": "chrome", "goog:chromeOptions": options,
                  "goog:loggingPrefs": {"browser": "ALL"}}
        answer = self._request("POST", "/session", {"capabilities": {"alwaysMatch": wanted}})
        self.session = "/session/" + answer["sessionId"]

    def _port(self):
        for line in self.driver.stdout:
            found = re.search(r"started successfully on port (\d+)", line)
            if found:
                return int(found.group(1))
        raise RuntimeError("chromedriver does not start")

    def _request(self, method, path, body=None):
        data = None if body is None else json.dumps(body).encode()
        request = urllib.request.Request(self.address + path, data=data, method=method,
                                         headers={"Content-Type": "application/json"})
        opener = urllib.request.build_opener(urllib.request.ProxyHandler({}))
        try:
            with opener.open(request, timeout=180) as answer:
                return json.load(answer)["value"]
        except urllib.error.HTTPError as error:
            raise RuntimeError(json.load(error)["value"]["message"]) from None

    def __enter__(self):
        return self

    def __exit__(self, *_):
        try:
            self._request("DELETE", self.session)
        finally:
            self.driver.terminate()
            self.driver.wait()
            self.folder.cleanup()

    def open(self, file):
        self._request("POST", self.session + "/url", {"url": "file://" + os.path.abspath(file)})

    def run(self, script, *arguments):
        """The value that the body of a JavaScript function returns."""
        return self._request("POST", self.session + "/execute/sync", {"script": script, "args": list(arguments)})

    def keys(self, selector, text):
        element = self._request("POST", self.session + "/element", {"using": "css selector", "value": selector})
        self._request("POST", f"{self.session}/element/{element[ELEMENT]}/value", {"text": text})

    def click(self, selector):
        element = self._request("POST", self.session + "/element", {"using": "css selector", "value": selector})
        self._request("POST", f"{self.session}/element/{element[ELEMENT]}/click", {})

    def drag(self, selector, right, down):
        """With the mouse, from the middle of what `selector` finds."""
        element = self._request("POST", self.session + "/element", {"using": "css selector", "value": selector})
        move = {"type": "pointerMove", "duration": 50}
        steps = [dict(move, origin=element, x=0, y=0), {"type": "pointerDown", "button": 0},
                 dict(move, origin="pointer", x=right, y=down), {"type": "pointerUp", "button": 0}]
        self._request("POST", self.session + "/actions",
                      {"actions": [{"type": "pointer", "id": "mouse", "parameters": {"pointerType": "mouse"},
                                    "actions": steps}]})

    def complaints(self):
        """What the console was told since the last call, warnings and errors only."""
        entries = self._request("POST", self.session + "/se/log", {"type": "browser"})
        return [entry["message"] for entry in entries if entry["level"] in ("WARNING", "SEVERE")]

    def screenshot(self, file, clip=None, scale=1.0):
        """A JPEG of the whole page, or of the part `clip` (left, top, width, height in CSS pixels) of it."""
        if clip is None:
            clip = [0, 0] + self.run("return [document.documentElement.scrollWidth, "
                                     "document.documentElement.scrollHeight]")
        area = dict(zip(("x", "y", "width", "height"), clip), scale=scale)
        answer = self._request("POST", self.session + "/goog/cdp/execute", {
            "cmd": "Page.captureScreenshot",
            "params": {"format": "jpeg", "quality": 72, "captureBeyondViewport": True, "clip": area}})
        with open(file, "wb") as out:
            out.write(base64.b64decode(answer["data"]))


def print_to_pdf(chromium, page, pdf):
    """The page as Chromium prints it: without a driver, whose patience ends after ten seconds."""
    with tempfile.TemporaryDirectory(prefix="pivotfix-browser-") as folder:
        subprocess.run([chromium, *CHROMIUM_OPTIONS, "--user-data-dir=" + folder, "--no-pdf-header-footer",
                        "--print-to-pdf=" + os.path.abspath(pdf), "file://" + os.path.abspath(page)],
                       check=True, capture_output=True, timeout=300)
