"""Benchmark results -> the table of docs/benchmarks.md, as ratios against stated baselines.

A benchmark group holds one benchmark whose ``extra_info["baseline"]`` says what it is, and
any number of others; every other time is divided by the baseline's, both the
fastest round of one run (what disturbs a round only ever adds to it).
"""

from __future__ import annotations

import json
import re
import sys
from pathlib import Path
from typing import Any

PAGE = Path(__file__).resolve().parent.parent / "docs" / "benchmarks.md"
BEGIN, END = "<!-- ratios: begin -->", "<!-- ratios: end -->"


def table(results: dict[str, Any]) -> str:
    """The Markdown table; groups in alphabetical order."""
    groups: dict[str, list[dict[str, Any]]] = {}
    for one in results["benchmarks"]:
        groups.setdefault(one["group"] or "no group", []).append(one)
    lines = ["| what | baseline | ratio | times |", "|---|---|---|---|"]
    for group, members in sorted(groups.items()):
        baselines = [m for m in members if "baseline" in m["extra_info"]]
        if len(baselines) != 1:
            continue
        (base,) = baselines
        for one in members:
            if one is not base:
                mine, theirs = one["stats"]["min"], base["stats"]["min"]
                what = one["extra_info"].get("what", one["name"])
                what += f" ({group})" if ":" in group else ""
                lines.append(
                    f"| {what} | {base['extra_info']['baseline']} | {mine / theirs:.2g} "
                    f"| {_time(mine)} : {_time(theirs)} |"
                )
    return "\n".join(lines)


def _time(seconds: float) -> str:
    for unit, size in (("s", 1.0), ("ms", 1e-3), ("µs", 1e-6)):
        if seconds >= size:
            return f"{seconds / size:.3g} {unit}"
    return f"{seconds / 1e-9:.3g} ns"


def main() -> None:
    results = json.loads(Path(sys.argv[1]).read_text(encoding="utf-8"))
    made = table(results)
    print(made)
    text = PAGE.read_text(encoding="utf-8")
    new = re.sub(
        f"{BEGIN}.*{END}", lambda _: f"{BEGIN}\n{made}\n{END}", text, count=1, flags=re.DOTALL
    )
    PAGE.write_text(new, encoding="utf-8")


if __name__ == "__main__":
    main()
