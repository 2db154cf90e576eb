"""Spoiled scans in a table: each class, how many were tried, and how many tapes were wrong without a word.

Run with the tests' packages: `.venv/bin/python -m scripts.bench_spoils sixth_curvy specks,ground`; without words all
classes of all sample dolls, which takes half an hour.
"""

from __future__ import annotations

import sys
from collections import Counter
from pathlib import Path


def main(words: list[str]) -> None:
    """Read all spoiled scans, a line each that is wrong, and the table."""
    sys.path.insert(0, str(Path(__file__).resolve().parent.parent / "tests"))
    from spoiled import HEIGHTS, spoiled, verdict
    from spoils import CLASSES

    names = words[0].split(",") if words else list(HEIGHTS)
    kinds = words[1].split(",") if len(words) > 1 else list(CLASSES)
    table: dict[str, Counter[str]] = {kind: Counter() for kind in kinds}
    for kind in kinds:
        for name in names:
            for scan in spoiled(name, kind):
                found = verdict(name, scan)
                table[kind][found.kind] += 1
                if found.kind == "wrong":
                    print(f"{kind}, {name}, {scan.what}: {found.why}", flush=True)
    print(f"{'class':14} {'tried':>6} {'wrong':>6} {'doubted':>8} {'refused':>8} {'right':>6}")
    for kind, count in table.items():
        row = (count[each] for each in ("wrong", "doubted", "refused", "right"))
        print(f"{kind:14} {sum(count.values()):6} {{:6}} {{:8}} {{:8}} {{:6}}".format(*row))


if __name__ == "__main__":
    main(sys.argv[1:])
