"""Chromium driven through its DevTools protocol over a pipe: no other package is needed."""

from __future__ import annotations

import base64
import contextlib
import fcntl
import json
import os
import select
import shutil
import subprocess
import time
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Any

CHROMIUM = next((p for n in ("chromium", "chromium-browser") if (p := shutil.which(n))), None)
DRAWN = "document.documentElement?.dataset.state === 'drawn'"
"""True in a proof page when all its pictures are there."""


class Browser:
    """A headless browser with one page at a time."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        down_r, down_w = os.pipe()
        up_r, up_w = os.pipe()
        # the browser reads 3 and writes 4; ours must not be these numbers
        child = [fcntl.fcntl(fd, fcntl.F_DUPFD, 20) for fd in (down_r, up_w)]

        def connect() -> None:
            os.dup2(child[0], 3)
            os.dup2(child[1], 4)

        self.write_fd = fcntl.fcntl(down_w, fcntl.F_DUPFD_CLOEXEC, 20)
        self.read_fd = fcntl.fcntl(up_r, fcntl.F_DUPFD_CLOEXEC, 20)
        self.process = subprocess.Popen(
            [
                str(CHROMIUM),
                "--headless=new",
                "--no-sandbox",
                "--remote-debugging-pipe",
                "--disable-gpu",
                "--hide-scrollbars",
                "--force-color-profile=srgb",
                "--no-first-run",
                "--disable-dev-shm-usage",
                "--disable-background-networking",
                f"--user-data-dir={folder / 'profile'}",
                "about:blank",
            ],
            preexec_fn=connect,
            pass_fds=(3, 4),
            stdin=subprocess.DEVNULL,
            stdout=subprocess.DEVNULL,
            stderr=subprocess.DEVNULL,
        )
        for fd in (down_r, down_w, up_r, up_w, *child):
            os.close(fd)
        self.number, self.buffer = 0, b""
        self.events: list[dict[str, Any]] = []
        self.session = ""
        (folder / "saved").mkdir(exist_ok=True)
        self.send(
            "Browser.setDownloadBehavior", behavior="allow", downloadPath=str(folder / "saved")
        )

    def close(self) -> None:
        """End the browser."""
        with contextlib.suppress(OSError, TimeoutError):
            self.send("Browser.close")
        try:
            self.process.wait(10)
        except subprocess.TimeoutExpired:
            self.process.kill()
            self.process.wait()
        os.close(self.write_fd)
        os.close(self.read_fd)

    def send(self, method: str, **params: Any) -> dict[str, Any]:
        """Call a method of the protocol and wait for its answer."""
        self.number += 1
        message: dict[str, Any] = {"id": self.number, "method": method, "params": params}
        if self.session and not method.startswith(("Target.", "Browser.")):
            message["sessionId"] = self.session
        self._write(json.dumps(message).encode() + b"\0")
        end = time.monotonic() + 60
        while True:
            answer = self._next(end)
            if answer.get("id") == self.number:
                if "error" in answer:
                    raise RuntimeError(f"{method}: {answer['error']}")
                result: dict[str, Any] = answer["result"]
                return result
            self.events.append(answer)

    def _write(self, data: bytes) -> None:
        while data:
            data = data[os.write(self.write_fd, data) :]

    def _next(self, end: float) -> dict[str, Any]:
        while b"\0" not in self.buffer:
            ready, _, _ = select.select([self.read_fd], [], [], max(0.0, end - time.monotonic()))
            chunk = os.read(self.read_fd, 1 << 20) if ready else b""
            if not chunk:
                raise TimeoutError("the browser does not answer")
            self.buffer += chunk
        message, self.buffer = self.buffer.split(b"\0", 1)
        found: dict[str, Any] = json.loads(message)
        return found

    def open(
        self, path: Path, width: int = 1280, height: int = 1000, *, ready: str = DRAWN
    ) -> None:
        """A fresh page showing a file, until ``ready`` is true in it."""
        if self.session:
            self.session = ""
            self.send("Target.closeTarget", targetId=self.target)
        self.events.clear()
        self.target = self.send("Target.createTarget", url="about:blank")["targetId"]
        self.session = self.send("Target.attachToTarget", targetId=self.target, flatten=True)[
            "sessionId"
        ]
        for domain in ("Page", "Runtime", "Network", "Log", "DOM"):
            self.send(f"{domain}.enable")
        self.size(width, height)
        self.send("Page.navigate", url=path.as_uri())
        self.until(lambda: self.run("location.href") == path.as_uri(), "the page")
        self.wait(ready)

    def size(self, width: int, height: int, scale: float = 1.0) -> None:
        """Set the window's inner size."""
        self.send(
            "Emulation.setDeviceMetricsOverride",
            width=width,
            height=height,
            deviceScaleFactor=scale,
            mobile=False,
        )

    def run(self, code: str) -> Any:
        """Value of an expression in the page (promises are awaited)."""
        answer = self.send(
            "Runtime.evaluate",
            expression=code,
            awaitPromise=True,
            returnByValue=True,
            userGesture=True,
        )
        if "exceptionDetails" in answer:
            raise RuntimeError(str(answer["exceptionDetails"]))
        return answer["result"].get("value")

    def wait(self, condition: str, seconds: float = 30.0) -> None:
        """Wait until an expression is true in the page."""
        self.until(lambda: bool(self.run(f"!!({condition})")), condition, seconds)

    def until(self, check: Callable[[], bool], what: str, seconds: float = 30.0) -> None:
        end = time.monotonic() + seconds
        while not check():
            if time.monotonic() > end:
                raise TimeoutError(what)
            time.sleep(0.03)

    def settle(self) -> None:
        """Wait until everything is drawn."""
        self.wait(DRAWN)

    def key(self, key: str, code: int = 0, text: str = "", shift: bool = False) -> None:
        """Press and release a key."""
        codes = {"Tab": 9, "Enter": 13, "Escape": 27, " ": 32, "ArrowRight": 39, "ArrowDown": 40}
        common = {
            "key": key,
            "windowsVirtualKeyCode": code or codes.get(key, 0),
            "modifiers": 8 if shift else 0,
        }
        typed = text or {"Enter": "\r", " ": " "}.get(key, "")
        self.send(
            "Input.dispatchKeyEvent",
            type="keyDown" if typed else "rawKeyDown",
            text=typed,
            **common,
        )
        self.send("Input.dispatchKeyEvent", type="keyUp", **common)

    def files(self, selector: str, paths: Sequence[Path]) -> None:
        """Choose files in a file field."""
        root = self.send("DOM.getDocument")["root"]["nodeId"]
        node = self.send("DOM.querySelector", nodeId=root, selector=selector)["nodeId"]
        self.send("DOM.setFileInputFiles", nodeId=node, files=[str(p) for p in paths])

    def picture(self, selector: str = "", full: bool = False) -> bytes:
        """PNG of the window, of the whole page, or of an element."""
        clip = {}
        if selector:
            box = self.run(
                f"(() => {{ const r = document.querySelector({json.dumps(selector)})"
                ".getBoundingClientRect(); return [r.x + scrollX, r.y + scrollY, "
                "r.width, r.height]; })()"
            )
            clip = {
                "clip": {"x": box[0], "y": box[1], "width": box[2], "height": box[3], "scale": 1}
            }
        shot = self.send(
            "Page.captureScreenshot",
            format="png",
            captureBeyondViewport=bool(selector) or full,
            **clip,
        )
        return base64.b64decode(shot["data"])

    def pdf(self, width: float, height: float) -> bytes:
        """The page printed on paper of this size, inches."""
        made = self.send(
            "Page.printToPDF",
            paperWidth=width,
            paperHeight=height,
            printBackground=True,
            preferCSSPageSize=False,
        )
        return base64.b64decode(made["data"])

    def complaints(self) -> list[str]:
        """Errors of the page: exceptions, console errors, violations of its policy."""
        out = []
        for event in self.events:
            method, params = event.get("method", ""), event.get("params", {})
            if method == "Runtime.exceptionThrown":
                out.append(str(params["exceptionDetails"]))
            elif method == "Runtime.consoleAPICalled" and params["type"] in ("error", "assert"):
                out.append(str(params["args"]))
            elif method == "Log.entryAdded" and params["entry"]["level"] in ("error", "warning"):
                out.append(params["entry"]["text"])
        return out

    def requests(self) -> list[str]:
        """Addresses that the page asked for, but its own file and what is inside it."""
        asked = [
            e["params"]["request"]["url"]
            for e in self.events
            if e.get("method") == "Network.requestWillBeSent"
        ]
        return [u for u in asked if not u.startswith(("file:", "data:", "blob:"))]
