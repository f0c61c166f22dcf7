"""Centre lines drawn in a DXF file, repeated in layers.

Lines, arcs, circles, ellipses, polylines with arcs, splines, and blocks made of these are laid; everything else in
a drawing (texts, hatches, dimensions) is left out and said so. The unit is the one the drawing states.
Where it states none, no unit is guessed: a wall read in metres instead of millimetres is a thousand walls.

Source: DXF reference, entities section and header variable $INSUNITS (from memory), as read by ezdxf.
"""

from __future__ import annotations

import logging
from collections import Counter
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING, Final, cast

import numpy as np

from evenbead.errors import Fault, InputRefused
from evenbead.quantities import SMALL_LENGTH, UnitFault, parse
from evenbead.toolpath.chains import chained, in_order, is_closed, without_repeats
from evenbead.toolpath.curves import Stroke
from evenbead.toolpath.entities import stroke_of
from evenbead.toolpath.outline import Outline, repeated

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator

    from ezdxf.document import Drawing
    from ezdxf.entities.dxfentity import DXFEntity
    from ezdxf.entities.insert import Insert

    from evenbead.toolpath.model import Program

# $INSUNITS -> the unit as `quantities` writes it. Astronomical and atomic ones are left out on purpose.
_UNITS: Final = {
    1: "1 in", 2: "1 ft", 3: "1 mi", 4: "1 mm", 5: "1 cm", 6: "1 m", 7: "1 km", 8: "1e-6 in", 9: "0.001 in",
    10: "1 yd", 13: "1 um", 14: "10 cm", 15: "10 m", 16: "100 m",
}  # fmt: skip
_ENDS_MEET = 0.001  # gaps that draughtsmen leave and a nozzle does not see (common practice, no source) [m]
_FLAT = 1e-5  # [m]
_WIDEST = 10_000.0  # [m]
_DEEPEST = 16  # blocks within blocks


def read_drawing(
    path: Path | str,
    *,
    layers: int,
    layer_height: float,
    bead_width: float | None = None,
    chord: float = 0.0001,
    unit: str | None = None,
) -> Program:
    """The centre lines of a DXF file as a program that lays them in layers.

    Parameters
    ----------
    path : path
        DXF file, text or binary. Only the model space is read.
    layers : int
        How often the outline is laid.
    layer_height : float
        The nozzle stands at (k + 1) of these above the base in layer k. [m]
    bead_width : float, optional
        Ends nearer than a twentieth of it are joined; 1 mm without it. [m]
    chord : float
        How far a chord may leave its curve. [m]
    unit : str, optional
        Unit of the drawing, such as "mm", where the drawing states none. One that it states goes first.

    Returns
    -------
    program : Program
        Speeds are NaN: a drawing has none.

    Raises
    ------
    InputRefused
        No DXF file, no unit, nothing to lay, lines that are not level, coordinates that are no numbers.
    """
    document = _document(Path(path))
    source = str(path)
    scale, notes = _unit(document, unit, source=source)
    sheet = _Sheet(source=source, chord=chord / scale)
    with _damage_refused(Path(path)):
        strokes = sheet.strokes(document)
    strokes = [Stroke(points=stroke.points * scale, length=stroke.length * scale) for stroke in strokes]
    _require_level(strokes, source=source, notes=notes)
    for stroke in strokes:
        stroke.points[:, 2] = 0.0
    tolerance = _ENDS_MEET if bead_width is None else bead_width / 20
    single = without_repeats(strokes, tolerance=_FLAT)
    chains = in_order(chained(single, tolerance=tolerance))
    notes += sheet.left_out()
    if len(single) < len(strokes):
        notes.append(f"{_count(len(strokes) - len(single), 'line')} drawn twice on the same place taken once")
    loops = sum(is_closed(chain) for chain in chains)
    notes.append(f"{_count(loops, 'closed loop')} and {_count(len(chains) - loops, 'open line')} in each layer")
    return repeated(_outline(chains), layers=layers, layer_height=layer_height, source=source, notes=tuple(notes))


def _document(path: Path) -> Drawing:
    # Reading DXF is rare and its library slow to load: commands that don't need it must not wait for it.
    from ezdxf.filemanagement import readfile  # noqa: PLC0415

    # What the library finds odd is said here or not at all; it must not write between our lines.
    logging.getLogger("ezdxf").addHandler(logging.NullHandler())
    expected = "expected a drawing in DXF (text or binary)"
    try:
        if path.stat().st_size == 0:
            raise InputRefused.because("the file is empty", expected=expected, file=str(path))
        with _damage_refused(path):
            document = readfile(path)
        document.modelspace()  # a damaged drawing may have none
    except (ValueError, ArithmeticError, LookupError, TypeError, AttributeError, StopIteration) as damage:
        what = "the drawing can't be read as DXF"
        raise InputRefused.because(what, expected="export it again as DXF", file=str(path)) from damage
    except FileNotFoundError as missing:
        raise InputRefused.because("there is no such file", expected=expected, file=str(path)) from missing
    except OSError as refused:
        what = refused.strerror or "this is no DXF file"
        raise InputRefused.because(what, expected=expected, file=str(path)) from refused
    return document


@contextmanager
def _damage_refused(path: Path) -> Iterator[None]:
    """What the library can't make sense of is the drawing's fault."""
    from ezdxf.lldxf.const import DXFError  # noqa: PLC0415

    try:
        yield
    except DXFError as damage:
        what = f"the drawing is damaged or cut short ({damage})"
        raise InputRefused.because(what, expected="export it again as DXF", file=str(path)) from damage


def _unit(document: Drawing, unit: str | None, *, source: str) -> tuple[float, list[str]]:
    """Metres per unit of the drawing, and what there is to say about it."""
    code = int(document.header.get("$INSUNITS", 0))
    if code in _UNITS:
        return parse(_UNITS[code], SMALL_LENGTH), []
    if unit is not None:
        try:
            return parse(f"1 {unit}", SMALL_LENGTH), [f"the drawing states no unit and is read in {unit}"]
        except UnitFault as fault:
            raise InputRefused.because(fault.what, expected=fault.expected, key="drawing.unit") from fault
    what = (
        "the drawing states no unit" if code == 0 else f"the drawing's unit ($INSUNITS {code}) is none that is built in"
    )
    raise InputRefused.because(
        what, expected="set $INSUNITS in the drawing (4 for mm, 1 for in) or drawing.unit in the job", file=source
    )


@dataclass(slots=True, kw_only=True)
class _Sheet:
    """The model space of a drawing while it is read."""

    source: str
    chord: float
    faults: list[Fault] = field(default_factory=list)
    others: Counter[str] = field(default_factory=Counter)
    hidden: int = 0
    empty: int = 0

    def strokes(self, document: Drawing) -> list[Stroke]:
        """All lines of the model space, or every reason why not."""
        hidden = {layer.dxf.name.casefold() for layer in document.layers if layer.is_off() or layer.is_frozen()}
        strokes = list(self._read(document.modelspace(), hidden_layers=hidden))
        if not self.faults and not strokes:
            what = "the drawing's model space has nothing to lay"
            if self.others or self.hidden or self.empty:
                what += f" ({'; '.join(self.left_out())})"
            expected = "expected lines, arcs, circles, ellipses, polylines, splines, or blocks of them"
            self.faults.append(Fault(what=what, expected=expected, file=self.source))
        if self.faults:
            raise InputRefused(self.faults)
        return strokes

    def left_out(self) -> list[str]:
        """Sentences on what was not taken."""
        sentences = []
        if self.others:
            kinds = ", ".join(f"{number} {kind}" for kind, number in sorted(self.others.items()))
            sentences.append(f"left out, as only lines are laid: {kinds}")
        if self.hidden:
            sentences.append(f"{_count(self.hidden, 'entity', 'entities')} on hidden layers of the drawing left out")
        if self.empty:
            sentences.append(f"{_count(self.empty, 'line')} without length left out")
        return sentences

    def _read(self, entities: Iterable[DXFEntity], *, hidden_layers: set[str], depth: int = 0) -> Iterator[Stroke]:
        for entity in entities:
            # An unknown kind of entity has no attributes, not even a layer.
            layer = entity.dxf.layer if entity.dxf.hasattr("layer") else "0"
            if layer.casefold() in hidden_layers or (entity.dxf.hasattr("invisible") and entity.dxf.invisible):
                self.hidden += 1
            elif entity.dxftype() != "INSERT":
                yield from self._checked(entity)
            elif depth >= _DEEPEST:
                self._fault(entity, "a block holds blocks that hold blocks without end", "break the circle")
            else:
                for content in _contents(cast("Insert", entity)):
                    yield from self._read(content, hidden_layers=hidden_layers, depth=depth + 1)

    def _checked(self, entity: DXFEntity) -> Iterator[Stroke]:
        kind = entity.dxftype()
        try:
            # What is no number shows in the result, where it is refused.
            with np.errstate(all="ignore"):
                stroke = stroke_of(entity, chord=self.chord)
        except (TypeError, AttributeError):  # the library gives None for a place that is missing
            self._fault(entity, f"the {kind} lacks a coordinate", "draw it again or leave it out")
            return
        except (ValueError, ArithmeticError, IndexError) as damage:
            self._fault(entity, f"the {kind} can't be followed ({damage})", "draw it again or leave it out")
            return
        if stroke is None:
            self.others[kind] += 1
        elif not np.isfinite(stroke.points).all() or not np.isfinite(stroke.length).all():
            self._fault(entity, f"the {kind} has coordinates that are no numbers", "expected finite numbers")
        elif not stroke.length.sum() > 0:
            self.empty += 1
        else:
            yield _without_stops(stroke)

    def _fault(self, entity: DXFEntity, what: str, expected: str) -> None:
        # What a block draws has no handle of its own.
        key = f"handle {entity.dxf.handle}" if entity.dxf.handle else f"layer {entity.dxf.layer}"
        self.faults.append(Fault(what=what, expected=expected, file=self.source, key=key))


def _contents(insert: Insert) -> Iterator[Iterable[DXFEntity]]:
    """What each copy of an inserted block draws."""
    for copy in insert.multi_insert() if insert.mcount > 1 else (insert,):
        yield copy.virtual_entities()


def _without_stops(stroke: Stroke) -> Stroke:
    """A stroke without repeated corners."""
    moves = stroke.length > 0
    return Stroke(points=stroke.points[np.concatenate(([True], moves))], length=stroke.length[moves])


def _require_level(strokes: list[Stroke], *, source: str, notes: list[str]) -> None:
    everything = np.vstack([stroke.points for stroke in strokes])
    low, high = everything.min(axis=0), everything.max(axis=0)
    if (high - low).max() > _WIDEST:
        raise InputRefused.because(
            f"the drawing is {(high - low).max() / 1000:.4g} km across", expected="check its unit", file=source
        )
    if high[2] - low[2] > _FLAT:
        raise InputRefused.because(
            f"the drawing is not level: its lines lie between z = {low[2]:.4g} m and {high[2]:.4g} m",
            expected="expected centre lines of one layer, all at one height",
            file=source,
        )
    if abs(low[2]) > _FLAT:
        notes.append(f"the drawing lies at z = {low[2]:.4g} m; layers are counted from a base at zero")


def _outline(chains: list[Stroke]) -> Outline:
    points = np.vstack([chain.points for chain in chains])
    begins = np.cumsum([0] + [len(chain.points) for chain in chains[:-1]])
    prints = np.ones(len(points), bool)
    prints[begins] = False
    length = np.zeros(len(points))
    length[prints] = np.concatenate([chain.length for chain in chains])
    between = begins[1:]
    length[between] = np.linalg.norm(points[between] - points[between - 1], axis=1)
    return Outline(
        x=points[:, 0],
        y=points[:, 1],
        length=length,
        speed=np.full(len(points), np.nan),
        prints=prints,
        line=np.zeros(len(points), np.int32),
    )


def _count(number: int, one: str, many: str = "") -> str:
    return f"1 {one}" if number == 1 else f"{number} {many or one + 's'}"
