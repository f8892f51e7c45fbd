"""The exact search. The only room that imports a solver.

``best_plan`` is the way in. The workload is reduced (``planning.reduce``), each stint's possible contents
are listed as patterns (``planning.patterns``), a linear program chooses among them (``master``, on ``frame``
and the modules of rows), the patterns worth having are found by pricing all of them (``price_out``), cuts
raise its bound (``cuts``, ``fits``), and a search tree makes its choices whole (``tree``), one figure of the
aim after the other (``aims``). In large workshops, purchases and work first take turns (``sides``), with
stints that are alike put together (``slots``).
"""

from onceapart.planning.solve.aims import USUAL_WORK, best_plan

__all__ = ["USUAL_WORK", "best_plan"]
