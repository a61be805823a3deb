"""The tests with the lowest releases that are declared: ``python -m tests.lowest [TESTS]``.

Makes a fresh environment with exactly the lower bounds of the dependencies and of the extra
``test``, and runs the tests there (all of them, or those that are named). Exits as they do.
"""

from __future__ import annotations

import json
import os
import re
import subprocess
import sys
import tempfile
import tomllib
import venv
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

ROOT = Path(__file__).resolve().parents[1]
REQUIREMENT = re.compile(r"([A-Za-z0-9][\w.-]*)\s*>=\s*([\w.]+)")
LIST = (
    "import json; from importlib.metadata import distributions as d; "
    "print(json.dumps([(x.metadata['Name'], x.version) for x in d()]))"
)


def plain(name: str) -> str:
    """A package's name as all its spellings have it in common.

    >>> plain("Font_Source.sans-pro")
    'font-source-sans-pro'
    """
    return re.sub(r"[-_.]+", "-", name).lower()


def lower_bounds(project: Mapping[str, Any]) -> dict[str, str]:
    """Names and lowest releases of the dependencies and of the extra ``test``.

    >>> lower_bounds({"dependencies": ["A_b>=1.2"], "optional-dependencies": {"test": ["c >= 3"]}})
    {'a-b': '1.2', 'c': '3'}
    """
    bounds: dict[str, str] = {}
    for text in [*project["dependencies"], *project["optional-dependencies"]["test"]]:
        match = REQUIREMENT.fullmatch(text)
        if match is None or bounds.get(plain(match[1]), match[2]) != match[2]:
            raise SystemExit(f"pyproject.toml: found {text!r}; accepted: one NAME>=RELEASE each")
        bounds[plain(match[1])] = match[2]
    return bounds


def differing(bounds: Mapping[str, str], installed: Mapping[str, str]) -> list[str]:
    """What is not installed in its lowest release (1.2 is 1.2.0).

    >>> differing({"a": "1.2", "b": "3"}, {"a": "1.2.0", "b": "3.1"})
    ['b: declared 3, installed 3.1']
    """
    return [
        f"{name}: declared {low}, installed {installed.get(name, 'nothing')}"
        for name, low in bounds.items()
        if re.sub(r"(\.0)+$", "", installed.get(name, "")) != re.sub(r"(\.0)+$", "", low)
    ]


def main(tests: Sequence[str]) -> int:
    """Make the environment, check it, run the tests; returns the exit code."""
    bounds = lower_bounds(tomllib.loads((ROOT / "pyproject.toml").read_text("utf-8"))["project"])
    environment = {k: v for k, v in os.environ.items() if k != "PYTHONPATH"}
    with tempfile.TemporaryDirectory() as folder:
        pins = Path(folder) / "lowest.txt"
        pins.write_text("".join(f"{n}=={v}\n" for n, v in bounds.items()), "utf-8")
        venv.create(Path(folder) / "venv", with_pip=True)
        python = str(Path(folder) / "venv" / "bin" / "python")

        def run(*args: str, capture: bool = False) -> subprocess.CompletedProcess[str]:
            return subprocess.run(
                [python, *args],
                cwd=ROOT,
                env=environment,
                text=True,
                stdout=subprocess.PIPE if capture else None,
            )

        made = run("-m", "pip", "install", "-q", "-c", str(pins), "-e", ".[test]")
        if made.returncode:
            return made.returncode
        installed = {plain(n): v for n, v in json.loads(run("-c", LIST, capture=True).stdout)}
        if wrong := differing(bounds, installed):
            print("not the lowest releases:", *wrong, sep="\n  ", file=sys.stderr)
            return 1
        print("lowest releases:", ", ".join(f"{n} {v}" for n, v in bounds.items()), flush=True)
        return run("-m", "pytest", "-p", "no:cacheprovider", *tests).returncode


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
