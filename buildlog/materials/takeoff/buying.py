"""What must be bought: need of the parts not yet made, less stock, in whole lots that are sold.

For each material the tasks come in the order of the plan. Up to each of them,

* resin, cloth, coatings, fasteners, equipment: gross need less stock, rounded up to the pack;
* sheet and timber: the same, but never less than a layout that works needs. Pieces are laid in
  the order of the plan, first on what is in stock, then on new sheets or lengths; if laying all
  of them at once, largest first, needs fewer, that number stands.

So the number is always enough to cut from, unless a piece is larger than what is sold; those are
named in ``too_big``. It may be one more than the cleverest layout would need.

Part of a sheet in stock is taken to be a strip across the sheet, part of a length to be in one
piece, until offcuts are kept with their sizes. 3 mm for the saw kerf: common practice, no source.
"""

from __future__ import annotations

from collections.abc import Hashable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from itertools import groupby
from math import ceil

from buildlog.units.factors import to_decimal

from .errors import TakeoffError, WrongValue
from .laying import Cutting, lay_out
from .need import Need, allowance_of, need_from, net_amount
from .pieces import blanks_of
from .promise import promise
from .values import Material, Part, StockUnit

__all__ = [
    "KERF_MM",
    "MaterialNeed",
    "Measured",
    "Problem",
    "Takeoff",
    "TaskNeed",
    "measure",
    "take_off",
]

KERF_MM = Decimal(3)


@dataclass(frozen=True, slots=True)
class TaskNeed:
    """What one task needs of one material, in its unit.

    ``promised`` of the gross need is in stock and free for it; ``short`` is the rest. ``to_buy``
    is what has to be ordered because of it, beyond what earlier tasks have ordered. ``covered``:
    nothing is short, and every piece comes out of what is in stock.
    """

    task: Hashable | None
    net: Decimal
    gross: Decimal
    promised: Decimal
    short: Decimal
    to_buy: Decimal
    covered: bool

    def __reduce__(self) -> tuple[type[TaskNeed], tuple[object, ...]]:
        # Thousands of these come out of a cache at once: ten times quicker than by their state.
        return TaskNeed, (
            self.task, self.net, self.gross, self.promised, self.short, self.to_buy, self.covered,
        )  # fmt: skip


@dataclass(frozen=True, slots=True)
class MaterialNeed:
    """What all parts need of one material, in its unit.

    ``by_amount`` is what would be bought by area or length alone; where ``to_buy`` is more, the
    pieces do not come out of that. ``packs`` is ``to_buy`` in the lots that are sold (None where
    any amount is). ``mass_kg`` is of the net need, None if any part's is unknown; ``area_m2``,
    ``length_m`` and ``board_feet`` are net, None where the kind has none. ``too_big`` are keys of
    parts with a piece larger than what is sold: ``to_buy`` cannot be enough for those.
    """

    material: Hashable
    unit: StockUnit
    pieces: int
    net: Decimal
    gross: Decimal
    stock: Decimal
    promised: Decimal
    short: Decimal
    to_buy: Decimal
    by_amount: Decimal
    packs: int | None
    length_m: Decimal | None
    area_m2: Decimal | None
    board_feet: Decimal | None
    mass_kg: Decimal | None
    needs: tuple[Need, ...]
    tasks: tuple[TaskNeed, ...]
    too_big: tuple[Hashable, ...]


@dataclass(frozen=True, slots=True)
class Problem:
    """A part that could not be taken off, and why; it is in no total."""

    part: Hashable
    material: Hashable
    rule: str
    reason: str


@dataclass(frozen=True, slots=True)
class Takeoff:
    """Every material's need, and the parts that could not be reckoned."""

    materials: dict[Hashable, MaterialNeed]
    problems: tuple[Problem, ...]

    def by_task(self) -> dict[Hashable | None, dict[Hashable, TaskNeed]]:
        """Task -> material -> what it needs of it."""
        found: dict[Hashable | None, dict[Hashable, TaskNeed]] = {}
        for need in self.materials.values():
            for row in need.tasks:
                found.setdefault(row.task, {})[need.material] = row
        return found


def take_off(
    materials: Iterable[Material],
    parts: Iterable[Part],
    stock: Mapping[Hashable, Decimal] | None = None,
    order: Sequence[Hashable] = (),
    kerf_mm: Decimal = KERF_MM,
) -> Takeoff:
    """Need, promise and purchase of every material for the parts not yet made.

    Parameters
    ----------
    materials
        With unlike keys. One that no part needs is in the result with noughts.
    parts
        Those not yet made, in any order.
    stock
        Material key -> what is in stock, in its unit. Left out: none.
    order
        Task keys in the order of the plan. Tasks not in it come after, parts without one last.
    kerf_mm
        Lost at each cut of sheet and timber.

    Returns
    -------
    Takeoff
        A part that cannot be reckoned is in ``problems`` and in no total.

    Examples
    --------
    >>> from buildlog.materials.takeoff import Kind
    >>> fir = Material(key="fir", kind=Kind.TIMBER, unit=StockUnit.LENGTH,
    ...     length_mm=Decimal(4000))
    >>> logs = Part(key=1, material="fir", task="T06", count=2, length_mm=Decimal(2550))
    >>> cleats = Part(key=2, material="fir", task="T04", count=6, length_mm=Decimal(900))
    >>> need = take_off([fir], [logs, cleats], {"fir": Decimal(1)}, ["T04", "T06"]).materials["fir"]
    >>> need.net, need.to_buy, [(t.task, t.covered, t.to_buy) for t in need.tasks]
    (Decimal('2.625'), Decimal('2'), [('T04', False, Decimal('1')), ('T06', False, Decimal('1'))])
    """
    return measure(materials, parts).against(stock, order, kerf_mm)


def measure(materials: Iterable[Material], parts: Iterable[Part]) -> Measured:
    """The need of every part, which can then be held against one stock or another.

    The arguments are those of ``take_off``.
    """
    known = {material.key: material for material in materials}
    problems: list[Problem] = []
    taken: dict[Hashable, list[_Taken]] = {key: [] for key in known}
    for part in parts:
        try:
            material = known.get(part.material)
            if material is None:
                raise WrongValue(part.key, f"{part.title}: its material is not in the list.")
            taken[material.key].append(_take(part, material))
        except TakeoffError as error:
            problems.append(Problem(part.key, part.material, error.rule, error.reason))
    return Measured(known, taken, tuple(problems))


@dataclass(frozen=True, slots=True)
class Measured:
    """What parts need of their materials, whatever is in stock. Made by ``measure``."""

    materials: dict[Hashable, Material]
    taken: dict[Hashable, list[_Taken]]
    problems: tuple[Problem, ...]

    def against(
        self,
        stock: Mapping[Hashable, Decimal] | None = None,
        order: Sequence[Hashable] = (),
        kerf_mm: Decimal = KERF_MM,
        only: Iterable[Hashable] | None = None,
    ) -> Takeoff:
        """The takeoff with this stock; ``only`` of the materials of these keys, if given.

        The other arguments are those of ``take_off``.
        """
        place = {task: i for i, task in enumerate(order)}
        in_stock = stock or {}
        needs = {}
        for key in self.materials if only is None else only:
            tasks = _by_task(self.taken[key], place)
            held = in_stock.get(key, Decimal(0))
            needs[key] = _material_need(self.materials[key], tasks, held, kerf_mm)
        return Takeoff(needs, self.problems)


@dataclass(frozen=True, slots=True)
class _Taken:
    part: Part
    need: Need
    net: Fraction
    gross: Fraction
    cutting: Cutting


def _take(part: Part, material: Material) -> _Taken:
    net = net_amount(part, material)
    gross = net * (1 + allowance_of(part, material))
    cutting = Cutting(part.key, part.grain, blanks_of(part, material))
    return _Taken(part, need_from(part, material, net, gross), net, gross, cutting)


def _by_task(rows: list[_Taken], place: Mapping[Hashable, int]) -> list[list[_Taken]]:
    """Rows grouped by task: in plan order, then tasks the plan does not have, then no task."""
    first: dict[Hashable | None, int] = {}
    for row in rows:
        first.setdefault(row.part.task, len(first))

    def rank(row: _Taken) -> tuple[int, int]:
        task = row.part.task
        if task is None:
            return 2, 0
        return (0, place[task]) if task in place else (1, first[task])

    return [list(group) for _, group in groupby(sorted(rows, key=rank), key=rank)]


def _material_need(
    material: Material, tasks: list[list[_Taken]], stock: Decimal, kerf_mm: Decimal
) -> MaterialNeed:
    held = max(Fraction(stock), Fraction(0))
    gross = [sum((row.gross for row in rows), Fraction(0)) for rows in tasks]
    promised = promise(zip(_keys(tasks), gross, strict=True), held)
    laid = lay_out(material, [[row.cutting for row in rows] for rows in tasks], held, kerf_mm)
    rows_out: list[TaskNeed] = []
    bought = total = Fraction(0)
    for rows, own, given, opened, inside in zip(
        tasks, gross, promised, laid.opened, laid.inside, strict=True
    ):
        total += own
        wanted = max(_lots(total - held, material.pack), _lots(Fraction(opened), material.pack))
        rows_out.append(
            TaskNeed(
                task=given.task,
                net=to_decimal(sum((row.net for row in rows), Fraction(0))),
                gross=to_decimal(own),
                promised=to_decimal(given.promised),
                short=to_decimal(given.short),
                to_buy=to_decimal(max(wanted - bought, Fraction(0))),
                covered=given.short == 0 and inside,
            )
        )
        bought = max(bought, wanted)
    needs = tuple(row.need for rows in tasks for row in rows)
    pack = Fraction(material.pack)
    return MaterialNeed(
        material=material.key,
        unit=material.unit,
        pieces=sum(need.pieces for need in needs),
        net=to_decimal(sum((row.net for rows in tasks for row in rows), Fraction(0))),
        gross=to_decimal(total),
        stock=stock,
        promised=to_decimal(sum((p.promised for p in promised), Fraction(0))),
        short=to_decimal(sum((p.short for p in promised), Fraction(0))),
        to_buy=to_decimal(bought),
        by_amount=to_decimal(_lots(total - held, material.pack)),
        packs=int(bought / pack) if pack else None,
        length_m=_total([n.length_m for n in needs if n.length_m is not None]),
        area_m2=_total([n.area_m2 for n in needs if n.area_m2 is not None]),
        board_feet=_total([n.board_feet for n in needs if n.board_feet is not None]),
        mass_kg=_total_if_all([n.mass_kg for n in needs]),
        needs=needs,
        tasks=tuple(rows_out),
        too_big=laid.too_big,
    )


def _keys(tasks: list[list[_Taken]]) -> list[Hashable | None]:
    return [rows[0].part.task for rows in tasks]


def _lots(amount: Fraction, pack: Decimal) -> Fraction:
    """An amount rounded up to whole packs; nothing is bought for less than nought."""
    if amount <= 0:
        return Fraction(0)
    if not pack:
        return amount
    return ceil(amount / Fraction(pack)) * Fraction(pack)


def _total(values: list[Decimal]) -> Decimal | None:
    return sum(values, Decimal(0)) if values else None


def _total_if_all(values: list[Decimal | None]) -> Decimal | None:
    known = [value for value in values if value is not None]
    return _total(known) if len(known) == len(values) else None
