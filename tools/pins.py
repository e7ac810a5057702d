"""Write requirements/run.txt and requirements/dev.txt from what is installed.

``run.txt`` is the closure of the project's own dependencies, ``dev.txt`` what the extra
``dev`` adds. Only names and versions are written: no hosts, no hashes.
"""

from __future__ import annotations

import re
import tomllib
from importlib.metadata import distribution
from pathlib import Path

from packaging.requirements import Requirement

ROOT = Path(__file__).resolve().parent.parent


def closure(roots: list[str]) -> dict[str, str]:
    """Normalised name -> "Name==version" for the requirements and all that they need."""
    found: dict[str, str] = {}
    waiting = [Requirement(root) for root in roots]
    while waiting:
        requirement = waiting.pop()
        extras = {"", *requirement.extras}
        if requirement.marker and not any(
            requirement.marker.evaluate({"extra": e}) for e in extras
        ):
            continue
        key = re.sub(r"[-_.]+", "-", requirement.name).lower()
        if key in found:
            continue
        installed = distribution(requirement.name)
        found[key] = f"{key}=={installed.version}"
        waiting += [
            needed
            for text in installed.requires or []
            if (needed := Requirement(text)).marker is None
            or any(needed.marker.evaluate({"extra": e}) for e in extras)
        ]
    return found


def main() -> None:
    project = tomllib.loads((ROOT / "pyproject.toml").read_text())["project"]
    run = closure(project["dependencies"])
    dev = closure(project["optional-dependencies"]["dev"])
    for name, head, pins in (
        ("run", "What Millimark needs to run. Written by `make pins`.", run),
        (
            "dev",
            "What contributors need besides run.txt. Written by `make pins`.",
            {key: pin for key, pin in dev.items() if key not in run},
        ),
    ):
        lines = [f"# {head}", *(pins[key] for key in sorted(pins))]
        (ROOT / "requirements" / f"{name}.txt").write_text("\n".join(lines) + "\n")


if __name__ == "__main__":
    main()
