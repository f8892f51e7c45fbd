"""Reading is quick, and drags nothing in that it has no need of."""

from __future__ import annotations

import subprocess
import sys
import time

from onceapart.workshop import Offer, parse_workshop, write_workshop


def test_a_large_file_is_read_and_checked_in_under_a_second() -> None:
    head = "format: onceapart-workshop/1\nname: Large\ncurrency: EUR\nhour_worth: 12.00\n"
    sellers = "".join(f"  - {{id: s{i}, name: S, delivery: 3.50, days: {i}}}\n" for i in range(20))
    offers = "".join(
        f"  - {{id: o{i}, seller: s{i % 20}, "
        f"parts: {{wren/part-{i % 90}: 1, wren/part-{i % 7}x: 2}}, price: {i}.90}}\n"
        for i in range(1300)
    )
    text = f"{head}sellers:\n{sellers}offers:\n{offers}"
    assert len(text) > 95_000  # as much text as eighty jobs with nine hundred offers are
    start = time.process_time()
    workshop = parse_workshop(text)
    assert time.process_time() - start < 1.0
    assert workshop.offers[1299] == Offer(
        id="o1299", seller="s19", parts={"wren/part-39": 1, "wren/part-4x": 2}, price=129990
    )
    start = time.process_time()
    write_workshop(workshop)
    assert time.process_time() - start < 0.5


def test_reading_imports_neither_screens_nor_solvers() -> None:
    code = "import sys, onceapart.workshop; print(*{name.split('.')[0] for name in sys.modules})"
    run = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert {"onceapart", "pydantic", "ruamel"} <= set(run.stdout.split())
    assert not {"rich", "typer", "numpy", "scipy", "highspy", "matplotlib", "pint", "django"} & set(
        run.stdout.split()
    )
