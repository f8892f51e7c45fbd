"""Lets tests import the plain models and made-up workloads that the benchmarks use too."""

import sys
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[1] / "benchmarks"))
