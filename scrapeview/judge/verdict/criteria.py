"""What a verdict is made of: criteria with their figures, zones of a face, and the outcome."""

from dataclasses import dataclass
from typing import Literal

from scrapeview.bearing import Interval

Outcome = Literal["done", "nearly", "keep scraping", "print again"]
Stands = Literal["clears", "open", "falls short", "cannot tell"]
"""clears: the bound, not the mean, is beyond the target. open: the target lies within the bounds,
or something is still missing. falls short: plainly. cannot tell: this print cannot judge it."""

RISK = 0.05
"""Stated risk of calling a face done whose figure is not beyond its target."""


@dataclass(frozen=True, kw_only=True)
class Criterion:
    """One thing a face is judged by.

    Parameters
    ----------
    name : str
        Name of the value of `Target` it is judged against, or "photograph", "count", "print",
        "target".
    zone : str
        "" the whole face, else the zone's name.
    figure : float
        NaN where there is none.
    unit : str
        "1/in2", "%" or "mm", "" where it has none.
    interval : Interval or None
        Both one-sided bounds at the risk; None where the figure has none.
    target : float or None
    at_least : bool
        Whether more is better.
    margin : float
        By how much the bound that counts is beyond the target, in the figure's unit; negative where
        it is not, NaN where nothing is compared.
    stands : Stands
    why : str
        One of a few codes the sentences are made from, "" where figure and target say it all.
    """

    name: str
    zone: str = ""
    figure: float
    unit: str
    interval: Interval | None
    target: float | None
    at_least: bool
    margin: float
    stands: Stands
    why: str = ""


@dataclass(frozen=True, kw_only=True)
class Zone:
    """Figures of one part of a face.

    Parameters
    ----------
    name : str
        "region 1", "left end", "middle" ...
    kind : str
        Zones of one kind are weighed against each other: "regions", "ends", "sides", "middle".
    area_mm2 : float
    points : int
    points_per_square_inch, contact_percent : float
    ppsi_interval, contact_interval : Interval
        Both one-sided bounds at the risk.
    """

    name: str
    kind: str
    area_mm2: float
    points: int
    points_per_square_inch: float
    contact_percent: float
    ppsi_interval: Interval
    contact_interval: Interval


@dataclass(frozen=True, kw_only=True)
class Balance:
    """Two zones against each other.

    Parameters
    ----------
    kind : str
        "rail to rail", "end to end", "left to right", "centre against ends".
    first, second : str
        Names of the zones.
    figure : str
        "points" or "contact".
    difference_percent : float
        First less second, of the mean of both.
    interval : Interval
        Both one-sided bounds at the risk.
    allowed_percent : float or None
    stands : Stands
    """

    kind: str
    first: str
    second: str
    figure: Literal["points", "contact"]
    difference_percent: float
    interval: Interval
    allowed_percent: float | None
    stands: Stands


@dataclass(frozen=True, kw_only=True)
class Verdict:
    """Whether a face is done.

    Parameters
    ----------
    outcome : Outcome
    decided_by : tuple of Criterion
        The criteria the outcome rests on, the weightiest first; empty where it is done.
    criteria : tuple of Criterion
    zones : tuple of Zone
    balances : tuple of Balance
    pass_number : int
        Of the print that was judged.
    compared_with : int or None
        Pass of the print it was compared with.
    risk : float
    """

    outcome: Outcome
    decided_by: tuple[Criterion, ...]
    criteria: tuple[Criterion, ...]
    zones: tuple[Zone, ...]
    balances: tuple[Balance, ...]
    pass_number: int
    compared_with: int | None
    risk: float = RISK
