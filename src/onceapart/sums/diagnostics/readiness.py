"""Readiness: which monitors have finished, and whether an inspection would take the car so."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import cache

from onceapart.errors import SumError
from onceapart.sums.diagnostics.replies import Reply
from onceapart.sums.diagnostics.tables import read_table
from onceapart.sums.quantity import shorten

ACCEPTED = "accepted"
NOT_COVERED = "not covered"
REJECTED = "rejected"
FAILED = "failed"
VERDICTS = (ACCEPTED, NOT_COVERED, REJECTED, FAILED)
"""Best first. Rejected means put off, untested: come back when more monitors have finished."""


@dataclass(frozen=True)
class Monitor:
    """A self-test of the car that this car has."""

    name: str
    is_continuous: bool
    is_complete: bool
    wants: str
    """What usually lets it finish: common practice."""


@dataclass(frozen=True)
class CarStatus:
    """What the control units say of lamp, codes and monitors."""

    lamp_on: bool
    """Whether the malfunction lamp is commanded on."""
    codes: int
    compression: bool
    monitors: tuple[Monitor, ...]
    """The supported ones only."""

    @property
    def not_ready(self) -> tuple[Monitor, ...]:
        """Supported monitors that have not finished."""
        return tuple(each for each in self.monitors if not each.is_complete)

    @property
    def once_a_drive(self) -> tuple[Monitor, ...]:
        """Supported monitors that run only in certain driving; clearing codes sets all of these back."""
        return tuple(each for each in self.monitors if not each.is_continuous)


def not_ready_count(byte_b: int, byte_c: int, byte_d: int) -> int:
    r"""Supported monitors that have not finished, from bytes B, C and D.

    Parameters
    ----------
    byte_b, byte_c, byte_d : int
        Bytes of the reply to mode 01 PID 01. [-]

    Returns
    -------
    int
        Monitors not ready. [-]

    Notes
    -----
    Ones in ``C & D``, and in ``B & (B >> 4) & 7``. A bit of D whose bit of C is nought does not count.

    Examples
    --------
    >>> not_ready_count(0x07, 0x65, 0x05)
    2

    References
    ----------
    .. [1] SAE J1979, mode 01 PID 01 (layout of B to D from memory).
    """
    for byte in (byte_b, byte_c, byte_d):
        if not 0 <= byte <= 255:
            raise SumError(f"{byte}: not a byte; must be 0 to 255")
    return (byte_c & byte_d).bit_count() + (byte_b & (byte_b >> 4) & 7).bit_count()


def decode_status(reply: Reply) -> CarStatus:
    """Decode one reply to mode 01 PID 01.

    Parameters
    ----------
    reply : Reply
        ``41 01 A B C D``, or the four bytes alone.

    Returns
    -------
    CarStatus
        Lamp, number of codes and monitors.

    Notes
    -----
    Byte A: bit 7 lamp, bits 6 to 0 number of codes. Byte B: bits 0 to 2 supported, 4 to 6 incomplete, bit 3
    compression ignition. Byte C: supported, D: incomplete.

    Examples
    --------
    >>> from onceapart.sums.diagnostics.replies import parse_reply
    >>> status = decode_status(parse_reply("41 01 83 07 65 04"))
    >>> status.lamp_on, status.codes, [each.name for each in status.not_ready]
    (True, 3, ['fuel vapour (EVAP)'])

    References
    ----------
    .. [1] SAE J1979, mode 01 PID 01 (byte A verified in code masks; B to D from memory).
    """
    if len(reply) == 6 and reply[:2] == (0x41, 0x01):
        a, b, c, d = reply[2:]
    elif len(reply) == 4 and reply[0] != 0x41:  # 41 would be 65 codes: rather the reply to something else
        a, b, c, d = reply
    else:
        raise SumError(
            f"{shorten(str(reply))}: must be 41 01 and four bytes, or the four alone; check that it answers "
            "mode 01 PID 01"
        )
    compression = bool(b & 0x08)
    ignition = "compression" if compression else "spark"
    monitors = []
    for row in read_table("monitors"):
        if row["ignition"] not in {"any", ignition}:
            continue
        bit = 1 << int(row["bit"])
        supported, incomplete = (b & bit, b & bit << 4) if row["byte"] == "B" else (c & bit, d & bit)
        if supported:
            monitors.append(Monitor(row["name"], row["continuous"] == "yes", not incomplete, row["wants"]))
    return CarStatus(bool(a & 0x80), a & 0x7F, compression, tuple(monitors))


def combine_statuses(statuses: Sequence[CarStatus]) -> CarStatus:
    """What several control units say together: a monitor is complete if it is so in each that has it."""
    if not statuses:
        raise SumError("no replies: nothing to judge; read mode 01 PID 01")
    found: dict[str, Monitor] = {}
    for each in (monitor for status in statuses for monitor in status.monitors):
        before = found.get(each.name, each)
        complete = before.is_complete and each.is_complete
        found[each.name] = Monitor(each.name, each.is_continuous, complete, each.wants)
    return CarStatus(
        any(each.lamp_on for each in statuses),
        sum(each.codes for each in statuses),
        any(each.compression for each in statuses),
        tuple(found.values()),
    )


def cleared(status: CarStatus) -> CarStatus:
    """The car just after its codes are cleared, or its battery was off: each monitor starts afresh.

    The continuous ones finish within minutes of driving, so they are taken as complete.
    """
    monitors = tuple(
        Monitor(each.name, each.is_continuous, each.is_continuous, each.wants) for each in status.monitors
    )
    return CarStatus(False, 0, status.compression, monitors)


@dataclass(frozen=True)
class ReadinessRule:
    """How many monitors may be unset, for some model years."""

    rules: str
    ignition: str
    from_year: int
    to_year: int
    allowed: int
    only: str
    """The one monitor that may be unset; empty: any."""
    document: str
    place: str
    status: str

    def takes(self, not_ready: Iterable[Monitor]) -> bool:
        """Whether the test goes ahead with these monitors unset."""
        unset = list(not_ready)
        if self.only and any(each.name != self.only for each in unset):
            return False
        return len(unset) <= self.allowed


@cache
def readiness_rules() -> tuple[ReadinessRule, ...]:
    """Every rule shipped."""
    return tuple(
        ReadinessRule(
            row["rules"],
            row["ignition"],
            int(row["from_year"]),
            int(row["to_year"]),
            int(row["allowed"]),
            row["only"],
            row["document"],
            row["place"],
            row["status"],
        )
        for row in read_table("readiness_rules")
    )


def find_rule(rules: str, model_year: int, *, compression: bool) -> ReadinessRule | None:
    """The rule for a car; None if these rules do not test that model year by its plug.

    Parameters
    ----------
    rules : str
        ``us-epa`` or ``us-california``.
    model_year : int
        Model year, not year of building. [year]
    compression : bool
        Whether the engine is a diesel.

    Returns
    -------
    ReadinessRule or None
        The rule.
    """
    names = sorted({each.rules for each in readiness_rules()})
    if rules not in names:
        raise SumError(f"{shorten(rules)}: no such rules; choose from {', '.join(names)}")
    ignition = "compression" if compression else "spark"
    for each in readiness_rules():
        if (
            each.rules == rules
            and each.ignition in {"any", ignition}
            and each.from_year <= model_year <= each.to_year
        ):
            return each
    return None


def judge_readiness(
    status: CarStatus, rule: ReadinessRule | None, *, lamp_works: bool | None = None
) -> tuple[str, list[str]]:
    """What an inspection by plug would say, and why.

    Parameters
    ----------
    status : CarStatus
        What the car says.
    rule : ReadinessRule or None
        The rule for its model year.
    lamp_works : bool, optional
        Whether the lamp lights when the ignition is turned on.

    Returns
    -------
    tuple of str and list of str
        Verdict, and the reasons in words.

    References
    ----------
    .. [1] 40 CFR 85.2207 (lamp and codes) and 85.2222 (supported monitors only).
    """
    if rule is None:
        return NOT_COVERED, ["These rules do not test that model year by its plug; ask the test station."]
    fails = []
    if status.lamp_on and status.codes:
        fails.append("The lamp is commanded on with codes stored: fails (40 CFR 85.2207(c)).")
    elif status.lamp_on:
        fails.append("The lamp is commanded on, oddly with no code counted: read again; taken as a failure.")
    if lamp_works is False and status.lamp_on:
        fails.append("The lamp is commanded on but dark: fails (40 CFR 85.2207(b)).")
    unset = status.not_ready
    allowed = f"{rule.allowed} may be unset" + (f", and only {rule.only}" if rule.only else "")
    years = f"{rule.from_year} on" if rule.to_year >= 2100 else f"{rule.from_year} to {rule.to_year}"
    count = f"{len(unset)} of {len(status.monitors)} monitors not ready; for {years}, {allowed}"
    words = f"{count} ({rule.document}; {rule.status})."
    if fails:
        return FAILED, [*fails, words]
    if not rule.takes(unset):
        return REJECTED, [words, "Rejected is not failed: the test is put off until more have finished."]
    return ACCEPTED, [words]
