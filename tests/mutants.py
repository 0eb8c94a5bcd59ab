"""Plant faults in a copy of the tree, one at a time, and see whether the tests of that module fail.

    python tests/mutants.py --count 400 --seed 11
    python tests/mutants.py --count 40 --only rules/ --list survivors.txt

Run by hand; pytest does not collect it. A fault is a comparison turned or moved by its boundary, + for -, * for /,
min for max, a number changed, an `and` for an `or`, a test negated, a yielded finding or a call left out. Words are
never touched. The parent imports the third-party libraries once and forks, so that a fault costs its tests alone.
"""

from __future__ import annotations

import argparse
import ast
import copy
import os
import random
import re
import shutil
import signal
import sys
import tempfile
import time
import traceback
from collections import Counter
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path

ROOT = Path(__file__).resolve().parents[1]

TESTS: tuple[tuple[str, str], ...] = (
    ("core/tables/fits.py", "cup_bore"),
    ("core/rulebook/", "rulebook rules_table"),
    ("core/tables/fasteners.py", "rules_welds bolt_lengths"),
    ("core/tables/bush_table.py", "keys tables bobbins three_pieces bay_reading"),
    ("core/tables/bush_rows.py", "tables keys three_pieces"),
    ("core/tables/", "tables_bolts tables bolt_lengths"),
    ("model/bend_allowance.py", "fold_allowance fold_tree"),
    ("model/fold", "rules_folds fold_allowance fold_tree shop"),
    ("model/cope", "cope_curve cope_ends cope_wrap wraps tube_bent"),
    ("model/bent_tube.py", "cope_curve cope_ends cope_wrap wraps tube_bent"),
    ("forming/printer_3d.py", "mockups"),
    ("forming/f", "rules_folds fold_allowance fold_tree shop flats"),
    ("forming/wrap.py", "cope_curve cope_wrap wraps"),
    ("forming/cut_rows.py", "figures layout wraps"),
    ("forming/tube", "rules_tubes layout"),
    ("forming/shop.py", "pivot_holes"),
    ("forming/card_", "card rules_card"),
    ("forming/card.py", "card"),
    ("rules/card.py", "rules_card"),
    ("forming/shop_file.py", "rules_shop shop"),
    ("forming/shop.py", "rules_tubes rules_shop shop"),
    ("forming/", "rules_shop shop flats"),
    ("output/three_mf.py", "mockups"),
    ("mockups/stations", "stations stations_files rules_stations"),
    ("mockups/bay.py", "mockup_cmd"),
    ("mockups/", "mockups"),
    ("library/rounds.py", "rules_recipes cup_bore"),
    ("library/mount_rules.py", "rules_recipes"),
    ("rules/holes.py", "rules_holes"),
    ("rules/coating.py", "rules_shop"),
    ("library/stud_shelf.py", "bobbins recipes"),
    ("library/hardware.py", "bobbins three_pieces bay_bolts"),
    ("drawing/stations.py", "stations stations_files"),
    ("drawing/boards.py", "stations_files rules_stations"),
    ("kernel/sections.py", "stations"),
    ("clearance/scan_holes.py", "stations rules_stations"),
    ("kernel/press_room.py", "press_room three_pieces"),
    ("hold/frame", "hold_frame"),
    ("hold/weld_lines.py", "hold_welds"),
    ("hold/stress_ranges.py", "hold_welds"),
    ("hold/", "hold_figures hold_scope hold_welds"),
    ("rules/joints.py", "pieces_join"),
    ("rules/welds.py", "rules_welds rules_holes"),
    ("rules/tubes.py", "rules_tubes layout"),
    ("rules/tubes.py", "rules_tubes rules_recipes layout"),
    ("rules/stock.py", "rules_shop pivot_holes shop"),
    ("rules/", "rules_shop shop flats"),
    ("survey/bolt_lengths.py", "rules_bolts bolt_lengths"),
    ("variants/", "variants variants_kept family_cmd"),
    ("bay/hung/on_bushes.py", "hang_bay hang_keys"),
    ("bay/hung/drive.py", "hang_keys"),
    ("bay/hung/load_cases.py", "hang_keys"),
    ("bay/hung/snubbers.py", "hang_keys"),
    ("bay/expected_on_bushes.py", "hang_keys"),
    ("core/tables/chains.py", "hang_keys"),
    ("hang/drive.py", "hang_drive"),
    ("hang/powertrain.py", "hang_drive"),
    ("hang/vibration.py", "hang_modes"),
    ("hang/response.py", "hang_modes"),
    ("hang/orders.py", "hang_modes"),
    ("hang/scatter.py", "hang_scatter"),
    ("hang/sensitivity.py", "hang_sensitivity"),
    ("hang/set_height.py", "hang_set_height"),
    ("bay/hang_study.py", "hang_study"),
    ("bay/hang_compare.py", "hang_study"),
    ("bay/hang_driveline.py", "hang_study"),
    ("drawing/charts.py", "charts"),
    ("drawing/hang_pictures.py", "hang_pictures"),
    ("hang/travel.py", "hang_scatter"),
    ("hang/findings.py", "rules_hang"),
    ("hang/settle.py", "hang_statics"),
    ("hang/statics.py", "hang_statics"),
    ("hang/cases.py", "hang_statics rules_hang"),
    ("hang/load.py", "hang_statics hang_scatter"),
    ("hang/mount.py", "hang_statics hang_modes hang_scatter"),
    ("hang/", "hang_bush"),
    ("survey/patterns.py", "bolts_cmd bolts_chance"),
    ("survey/chance.py", "bolts_enters bolts_chance bolts_cmd"),
    ("survey/advice.py", "bolts_enters bolts_chance bolts_cmd"),
    ("survey/assembly_fit.py", "bolts_enters bolts_chance"),
    ("survey/minimax.py", "bolts_enters bolts_chance"),
    ("survey/f", "figures measure bosses_weigh"),
    ("survey/work.py", "figures measure bosses_weigh"),
    ("survey/sheets.py", "figures measure bosses_weigh"),
    ("survey/", "bosses_model bosses bosses_suspects bosses_typos bosses_position bosses_weigh measure"),
    ("drawing/nest.py", "figures paper flats"),
    ("drawing/blank.py", "figures paper dxf cut_files recipe_sheets"),
    ("drawing/sheets.py", "figures measure"),
    ("drawing/holes.py", "figures pivot_holes paper"),
    ("drawing/turned.py", "cup_bore paper"),
    ("drawing/wrap", "wraps cope_wrap"),
    ("drawing/bending.py", "figures wraps"),
    ("drawing/", "figures paper recipe_sheets wraps"),
    ("kernel/shared.py", "pieces_join"),
    ("bay/adjust.py", "adjust"),
    ("bay/adjust_rules.py", "rules_bay adjust"),
    ("bay/bolts/bolt_rules.py", "rules_bolts bay_bolts bolts_own_metal"),
    ("bay/bobbin_", "rules_bobbins bobbins"),
    ("bay/report/", "bobbins rules_bolts rules_bay bay_bolts bay_gaps"),
    ("bay/stand/part_links.py", "links"),
    ("bay/stand/bodies.py", "bay_contents bay_reading bay_bolts"),
    ("bay/bolts/own_metal.py", "bolts_own_metal bay_bolts chassis_bolts"),
    ("bay/bolts/bolting.py", "bobbins bolts_own_metal bay_bolts"),
    ("bay/bolts/draw_room.py", "draw_room"),
    ("bay/seats/weld_reach.py", "own_side"),
    ("bay/stand/hands.py", "hands"),
    ("bay/bolts/boss_bolts.py", "rules_bolts bay_bolts"),
    ("bay/stand/hardware.py", "rules_bolts bay_bolts"),
    ("bay/bolts/tool_access.py", "bay_bolts bolts_own_metal"),
    ("bay/clear/scan_rules.py", "rules_bay bay_paths bay_scan bay_scans"),
    ("bay/scan_", "bay_scan"),
    ("bay/clear/paths.py", "bay_paths"),
    ("bay/clear/known.py", "bay_moving_keep_outs bay_own_moves"),
    ("bay/clear/moving_keep_outs.py", "bay_moving_keep_outs bay_own_moves"),
    ("bay/clear/pos_rules.py", "rules_bay bay_moving_keep_outs"),
    ("bay/clear/slack.py", "rules_bay bay_moving_keep_outs bay_own_moves"),
    ("bay/drive", "rules_bay bay_driveline"),
    ("bay/clear/props.py", "rules_bay bay_driveline"),
    ("clearance/torch.py", "torch"),
    ("clearance/torch_tries.py", "torch"),
    ("clearance/parting_planes.py", "torch"),
    ("clearance/weld_corners.py", "torch"),
    ("clearance/shaft_lines.py", "shaft_lines bay_driveline"),
    ("bay/checks.py", "rules_bay bay_gaps"),
    ("bay/stand/misfits.py", "rules_bay recipes_tubes bay_links"),
    ("bay/hung/mount_frames.py", "figures rules_bay bay_reading bay_gaps"),
    ("bay/stand/owners.py", "outputs"),
    ("bay/seats/rules.py", "rules_bay three_pieces bay_seats bay_sleeves"),
    ("bay/seat_", "bay_seats"),
    ("bay/seats/ground.py", "bay_seats"),
    ("bay/stand/gap_rules.py", "rules_bay own_side bay_gaps"),
    ("bay/", "bay_reading bay_gaps bay_cut"),
    ("output/dxf.py", "dxf figures cut_files"),
    ("output/stl.py", "stl_pieces write_files"),
    ("output/flats.py", "rules_shop flats"),
    ("output/", "figures paper cut_files dxf wraps"),
    ("app/cli/fit_view.py", "figures bay_gaps inches tern cli"),
    ("app/cli/inches.py", "inches tern"),
    ("app/preview/vtk_body.py", "figures preview_png"),
    ("app/preview/folding.py", "figures preview_render_mesh preview_png"),
    ("recipes/", "rules_recipes recipes_tubes recipes"),
)
"""Beginning of a module's path in `brackets`, and the tests that must catch a fault in it; first match holds."""

POOL = (
    "core/tables/bush_table.py", "core/tables/fasteners.py", "core/tables/fits.py", "core/tables/material_rows.py",
    "model/bend_allowance.py", "model/fold_tree.py", "model/cope.py", "model/cope.py",
    "model/bent_tube.py",
    "forming/fold_clash.py", "forming/flat_pattern.py", "forming/wrap.py", "forming/cut_rows.py",
    "forming/tube_walls.py", "forming/shop_file.py", "forming/shop.py",
    "library/mount_rules.py", "library/rounds.py",
    "rules/holes.py", "rules/welds.py", "rules/joints.py", "rules/tubes.py", "rules/tubes.py", "rules/bends.py",
    "rules/blanks.py", "rules/stock.py",
    "survey/bolt_lengths.py", "survey/chance.py", "survey/patterns.py", "survey/solve.py", "survey/suspects.py",
    "survey/position.py", "survey/weigh.py", "survey/hand.py", "survey/model.py", "survey/file_rows.py",
    "survey/facts.py",
    "drawing/nest.py", "drawing/holes.py", "drawing/sheets.py", "drawing/bending.py", "drawing/turned.py",
    "drawing/wraps.py",
    "bay/bolts/bolt_rules.py", "bay/clear/scan_rules.py", "bay/checks.py", "bay/hung/mount_frames.py",
    "bay/clear/pairs.py",
    "bay/seats/rules.py", "bay/seats/contact.py", "bay/bolts/bolting.py", "bay/bolts/own_metal.py",
    "bay/seats/weld_reach.py",
    "bay/stand/hands.py",
    "bay/bolts/bobbin_rules.py", "bay/stand/bobbin_ends.py",
    "bay/report/rows.py", "bay/report/bolt_records.py", "bay/report/rule_rows.py",
    "bay/bolts/boss_bolts.py", "bay/stand/hardware.py", "bay/stand/gap_rules.py",
    "clearance/torch.py", "clearance/torch_tries.py", "clearance/parting_planes.py", "clearance/weld_corners.py",
    "output/dxf.py", "output/facts.py", "output/flats.py", "app/cli/fit_view.py",
)  # fmt: skip
"""Modules of rules, survey and printed figures: where a run without --only plants its faults."""

EQUIVALENT: tuple[tuple[str, str, str, str], ...] = (
    ("model/cope.py", "SQUARE_WITHIN =", "SQUARE_WITHIN = 1.1", "how much is rounding"),
    ("drawing/wraps.py", "ASIDE = 60.0", "ASIDE = 6", "no label is tried more than 45 mm from what it names"),
    ("rules/bends.py", "one.angle * two.angle < 0", "one.angle * two.angle <= 0", "no bend turns by 0"),
    ("rules/bends.py", "> shop.brake.force", ">= shop.brake.force", "a force that is met to the last bit"),
    ("bay/bolts/bolt_rules.py", "> NONE", ">= NONE", "met to the last bit of rounding"),
    ("bay/bolts/bolt_rules.py", "< -NONE", "<= -NONE", "met to the last bit of rounding"),
    ("bay/bolts/bolt_rules.py", "> of.ear_t + NONE", ">= of.ear_t + NONE", "met to the last bit of rounding"),
    (
        "bay/stand/hardware.py", "_it.head, -1.0)", "_it.head, -1.1)",
        "a place takes no more than the direction of its axis",
    ),
    ("bay/bolts/own_metal.py", "cap=0.0", "cap=1.0", "how far it looks; what shares metal is found first"),
    ("bay/seats/contact.py", "offs <= allowed", "offs < allowed", "met to the last bit"),
    ("bay/seats/contact.py", "twice > LEVEL", "twice >= LEVEL", "met to the last bit"),
    ("bay/seats/contact.py", "True", "False", "what is zipped is of one length: each has a row for every edge"),
    ("survey/chance.py", "+ errors.mate * other", "- errors.mate * other", "a normal error is as often negative"),
    ("survey/chance.py", ", 1e-12)", ", 1.000000000001)", "all bolts of a pattern within 0.7 mm of each other"),
    ("survey/model.py", "DAMPED =", "DAMPED = 1000001.0", "how long it tries, and not what it finds"),
    (
        "survey/model.py", "weight = 1.0 /", "weight = 2.0 /",
        "both sides of the normal equations are twice as large",
    ),
    ("survey/model.py", "_of >= 0", "_of > 0", "column 0 is the x of the first hole"),
    ("survey/model.py", "(self.d_of, 0)", "(self.d_of, 1)", "what is found where no diameter is, is not used"),
    ("survey/model.py", "size > 1e-09", "size >= 1e-09", "met to the last bit of rounding"),
    ("library/rounds.py", "stock, 6)", "stock, 7)", "rounding is to be hidden, and either does"),
    (
        "model/cope.py", "strict=True", "strict=False",
        "what is zipped is of one length: a height for every line",
    ),
    ("survey/bolt_lengths.py", "> NONE", ">= NONE", "met to the last bit of rounding"),
    ("survey/bolt_lengths.py", ">= -NONE", "> -NONE", "met to the last bit of rounding"),
    ("survey/bolt_lengths.py", "<= NONE", "< NONE", "met to the last bit of rounding"),
    ("rules/welds.py", "STIFFEST_OTHER =", "STIFFEST_OTHER = 200001.0", "no metal lies within 1 MPa of it"),
    ("rules/bends.py", "outline.points(0.5)", "outline.points(0.5", "how finely a round corner is looked at"),
    ("forming/shop_file.py", "((390.0,", "((429.0", "no metal of the table has 390 to 429 MPa"),
    ("rules/stock.py", "<= SAME", "< SAME", "met to the last bit of rounding"),
    ("rules/blanks.py", "continue", "pass", "what is passed over is further apart than is asked"),
    ("rules/blanks.py", "SHARED =", "SHARED = 0.0011", "how much is rounding"),
    ("drawing/nest.py", "(-1.0, 0.0, 0.0)", "(-1.0, 0.0, 1.0)", "up is taken square to the axis, which is z"),
    ("drawing/nest.py", "blank.grain +", "blank.grain -", "a quarter turn either way lays the grain alike"),
    ("rules/tubes.py", "10 * AROUND", "11 * AROUND", "how many points are looked at"),
    ("library/mount_rules.py", "return (0.0, 0.0, 1.0)", "return (0.0, 0.0, ", "a direction: no length"),
    ("forming/tube_walls.py", "square > 1e-12", "square > 1.1", "how much is rounding"),
    ("forming/tube_walls.py", "found > DEPTH", "found >= DEPTH", "met to the last bit of rounding"),
    ("forming/tube_walls.py", "360", "361", "72 steps and a fifth are 72"),
    ("rules/tubes.py", "NEARER =", "NEARER = 5.5", "where more points are looked at"),
    ("rules/tubes.py", "room < ROOM", "room <= ROOM", "points on a wall do not meet a room to the last bit"),
    ("bay/seats/rules.py", "TIGHT = 1e-06", "TIGHT = ", "how much is rounding"),
    ("bay/seats/rules.py", "room < -TIGHT", "room <= -TIGHT", "met to the last bit of rounding"),
    ("model/fold_tree.py", "flange.end) <= JOIN", "flange.end) < JOIN", "met to the last bit of rounding"),
    ("forming/fold_clash.py", "FINE = 0.02", "FINE = 0.022", "how finely it looks, within what is promised"),
    ("forming/fold_clash.py", "best, where = (within,", "best, where = (within,", "told only where one is found"),
    ("forming/fold_clash.py", "LOOKS =", "LOOKS =", "how long it looks, and not what it finds"),
    ("forming/fold_clash.py", "bend.angle > 0", "bend.angle > 1", "a bend of under a degree"),
)
"""Faults that change nothing anybody can see: module, words of the line before and after, and why."""

HEAVY = (
    "numpy", "scipy.optimize", "scipy.spatial", "scipy.sparse.csgraph", "scipy.stats", "cadquery", "trimesh", "fcl",
    "manifold3d", "ezdxf", "reportlab.pdfgen.canvas", "tomlkit", "typer", "typer.testing", "pypdf", "hypothesis",
    "pytest", "_pytest.assertion.rewrite",
)  # fmt: skip
"""Imported once, in the parent; never `brackets`."""

OPTIONS = (
    "-x", "-q", "-p", "no:cacheprovider", "--no-header", "--tb=line", "-W",
    "ignore::pytest.PytestAssertRewriteWarning",
)  # fmt: skip
"""Of pytest; the warning is of libraries that are already imported."""

LEAST = 30.0
"""Seconds a fault's tests have at least; else four times what they take without a fault."""

AROUND = 40
"""Letters shown before and after what is changed."""

Do = Callable[[], None]


@dataclass(frozen=True)
class Fault:
    """One change to one module: `which` is its number among all that can be made there."""

    module: str
    which: int
    line: int
    before: str
    after: str

    def __str__(self) -> str:
        return f"{self.module}:{self.line}: {self.before}  ->  {self.after}"

    @classmethod
    def seen(cls, module: str, which: int, line: int, before: str, after: str) -> Fault:
        """With the lines cut down to what differs and some words round it."""
        start = len(os.path.commonprefix([before, after]))
        end = len(os.path.commonprefix([before[start:][::-1], after[start:][::-1]]))
        low = max(0, start - AROUND)
        return cls(
            module, which, line, *(text[low : max(start, len(text) - end) + AROUND] for text in (before, after))
        )


# ------------------------------------------------------------------------------------------------- the changes

TURNED = {
    ast.Lt: (ast.LtE, ast.GtE), ast.LtE: (ast.Lt, ast.Gt), ast.Gt: (ast.GtE, ast.LtE), ast.GtE: (ast.Gt, ast.Lt),
    ast.Eq: (ast.NotEq,), ast.NotEq: (ast.Eq,), ast.In: (ast.NotIn,), ast.NotIn: (ast.In,),
    ast.Is: (ast.IsNot,), ast.IsNot: (ast.Is,),
}  # fmt: skip
SIGNS = {ast.Add: ast.Sub, ast.Sub: ast.Add, ast.Mult: ast.Div, ast.Div: ast.Mult}
SWAPPED = {"min": "max", "max": "min", "any": "all", "all": "any"}


def changes(tree: ast.Module) -> Iterator[tuple[ast.AST, ast.AST, Do]]:
    """Every change that can be made: where it is, the statement or expression to show, and what makes it."""
    for node, shown in _nodes(tree):
        yield from ((node, shown, do) for do in _changes(node))


def _nodes(tree: ast.AST, shown: ast.AST | None = None) -> Iterator[tuple[ast.AST, ast.AST]]:
    """Nodes that say what the code does: no annotations, decorators, asserts, or lists of names."""
    for field, value in ast.iter_fields(tree):
        if field in ("annotation", "returns", "decorator_list", "format_spec", "type_params"):
            continue
        for child in value if isinstance(value, list) else [value]:
            if not isinstance(child, ast.AST) or isinstance(child, ast.Assert | ast.Import | ast.ImportFrom):
                continue
            if isinstance(child, ast.If) and "TYPE_CHECKING" in ast.unparse(child.test):
                continue
            if isinstance(child, ast.Assign) and ast.unparse(child.targets[0]) == "__all__":
                continue
            simple = isinstance(child, ast.stmt) and not hasattr(child, "body")
            seen = child if simple or (isinstance(child, ast.expr) and not isinstance(shown, ast.stmt)) else shown
            yield child, seen or child
            yield from _nodes(child, seen if simple else None if isinstance(child, ast.stmt) else seen)


def _changes(node: ast.AST) -> Iterator[Do]:
    match node:
        case ast.Compare():
            for i, op in enumerate(node.ops):
                for new in TURNED[type(op)]:
                    yield lambda i=i, new=new: node.ops.__setitem__(i, new())  # type: ignore[misc]
        case ast.BinOp() if type(node.op) in SIGNS and not _words(node):
            yield lambda: setattr(node, "op", SIGNS[type(node.op)]())
        case ast.AugAssign() if type(node.op) in SIGNS:
            yield lambda: setattr(node, "op", SIGNS[type(node.op)]())
        case ast.BoolOp():
            yield lambda: setattr(node, "op", ast.And() if isinstance(node.op, ast.Or) else ast.Or())
        case ast.UnaryOp(op=ast.USub() | ast.Not()):
            yield lambda: _become(node, ast.IfExp(ast.Constant(True), node.operand, node.operand))
        case ast.If() | ast.IfExp() | ast.While():
            yield lambda: setattr(node, "test", ast.UnaryOp(ast.Not(), node.test))
        case ast.Call(func=ast.Name(id=name)) if name in SWAPPED:
            yield lambda: setattr(node.func, "id", SWAPPED[name])
        case ast.Constant(value=bool()):
            yield lambda: setattr(node, "value", not node.value)
        case ast.Constant(value=int() | float()):
            for new in (node.value * 1.1, node.value + 1, 0):
                if new != node.value and not (isinstance(node.value, int) and isinstance(new, float)):
                    yield lambda new=new: setattr(node, "value", new)  # type: ignore[misc]
        case ast.Expr(value=ast.Yield() | ast.YieldFrom() | ast.Call()):
            yield lambda: setattr(node, "value", _nothing(node.value))
        case ast.Continue() | ast.Raise():
            yield lambda: _become(node, ast.Pass())


def _nothing(value: ast.expr) -> ast.expr:
    """In place of a yield: one of nothing, so that what yields stays a generator."""
    empty = ast.YieldFrom(ast.Tuple([], ast.Load()))
    return empty if isinstance(value, ast.Yield | ast.YieldFrom) else ast.Constant(None)


def _become(node: ast.AST, other: ast.AST) -> None:
    """Makes `node` into `other` where it stands."""
    if isinstance(other, ast.IfExp):  # the operand without its sign
        other = other.body
    node.__class__ = other.__class__
    node._fields = other._fields  # type: ignore[misc]
    node.__dict__.update(other.__dict__)


def _words(node: ast.BinOp) -> bool:
    """Whether text is joined."""
    return any(
        isinstance(s, ast.JoinedStr) or (isinstance(s, ast.Constant) and isinstance(s.value, str))
        for s in ast.walk(node)
    )


def count_of(module: str, root: Path) -> int:
    """How many faults can be planted in a module."""
    return sum(1 for _ in changes(ast.parse((root / module).read_text("utf-8"))))


def fault_of(module: str, which: int, root: Path) -> Fault:
    """One of them, with the words before and after."""
    tree = ast.parse((root / module).read_text("utf-8"))
    node, shown, do = _nth(tree, which)
    before = _line(shown)
    do()
    return Fault.seen(module, which, getattr(node, "lineno", 0), before, _line(shown))


def _nth(tree: ast.Module, which: int) -> tuple[ast.AST, ast.AST, Do]:
    return next(change for n, change in enumerate(changes(tree)) if n == which)


def _line(shown: ast.AST) -> str:
    shown = copy.copy(shown)
    if isinstance(shown, ast.If | ast.For | ast.While):
        shown.body, shown.orelse = [ast.Expr(ast.Constant(...))], []
    return re.sub(r"\s+", " ", ast.unparse(ast.fix_missing_locations(shown)))


def planted(fault: Fault, root: Path) -> str:
    """The module's source with the fault in it."""
    tree = ast.parse((root / fault.module).read_text("utf-8"))
    _nth(tree, fault.which)[2]()
    return ast.unparse(ast.fix_missing_locations(tree))


def tests_of(module: str) -> tuple[str, ...]:
    """The test files that are there of those a module is mapped to."""
    short = module.removeprefix("brackets/")
    names = next((names for begin, names in TESTS if short.startswith(begin)), None)
    if names is None:
        sys.exit(f"{module}: no tests are mapped to it")
    there = tuple(f"tests/test_{name}.py" for name in names.split() if (ROOT / f"tests/test_{name}.py").exists())
    return there or sys.exit(f"{module}: none of its tests are there: {names}")


# --------------------------------------------------------------------------------------------------- the running


def child(tree: Path, tests: tuple[str, ...], out: Path, *, write: bool) -> int:
    """Process id of pytest on `tests` in `tree`; what it prints goes to `out`."""
    pid = os.fork()
    if pid:
        return pid
    os.setsid()
    signal.signal(signal.SIGTERM, signal.SIG_DFL)
    os.chdir(tree)
    os.environ["PYTHONPATH"] = str(tree)
    os.environ["PYTHONDONTWRITEBYTECODE"] = "1"
    with out.open("w") as file:
        os.dup2(file.fileno(), 1)
        os.dup2(file.fileno(), 2)
    sys.dont_write_bytecode = not write
    sys.path[:] = [str(tree), *(p for p in sys.path if p not in ("", str(ROOT), str(ROOT / "tests")))]
    import hypothesis
    import pytest

    hypothesis.settings.register_profile(
        "planted", derandomize=True, max_examples=25, database=None, deadline=None
    )
    hypothesis.settings.load_profile("planted")
    code = 4
    try:
        code = int(pytest.main([*OPTIONS, *tests]))
    except BaseException:
        traceback.print_exc()
    finally:
        sys.stdout.flush()
        sys.stderr.flush()
        os._exit(code)


def wait(pid: int, limit: float) -> tuple[str, float]:
    """What became of the tests, and how many seconds they took."""
    start, done = time.monotonic(), 0
    try:
        while time.monotonic() - start < limit:
            done, status = os.waitpid(pid, os.WNOHANG)
            if done:
                code = os.waitstatus_to_exitcode(status)
                return "survived" if code == 0 else "broken" if code > 3 else "caught", time.monotonic() - start
            time.sleep(0.02)
        return "too slow", time.monotonic() - start
    finally:
        if not done:
            os.killpg(pid, signal.SIGKILL)
            os.waitpid(pid, 0)


def copied(into: Path) -> Path:
    """The tree without what is made from it."""
    away = shutil.ignore_patterns(".git", ".venv", "__pycache__", "out", ".mypy_cache", ".ruff_cache", "*.pyc")
    return Path(shutil.copytree(ROOT, into / "tree", ignore=away))


class Runner:
    """Plants faults in one copy of the tree, and knows how long each set of tests takes without any."""

    def __init__(self, home: Path) -> None:
        self.home, self.tree = home, copied(home)
        self.plain: dict[tuple[str, ...], float] = {}

    def limit(self, tests: tuple[str, ...]) -> float:
        """Seconds the tests may take; they must pass without a fault."""
        if tests not in self.plain:
            out = self.home / "plain.txt"
            what, took = wait(child(self.tree, tests, out, write=True), 1200.0)
            if what != "survived":
                sys.exit(f"without any fault: {what}: {' '.join(tests)}\n{out.read_text()[-3000:]}")
            self.plain[tests] = took
        return max(LEAST, 4 * self.plain[tests])

    def run(self, fault: Fault) -> tuple[str, float, str]:
        """caught, survived, too slow; seconds; the test that failed."""
        tests, path, out = tests_of(fault.module), self.tree / fault.module, self.home / "out.txt"
        limit = self.limit(tests)
        text = path.read_text("utf-8")
        for stale in path.parent.glob(f"__pycache__/{path.stem}.*.pyc"):
            stale.unlink()
        try:
            path.write_text(planted(fault, self.tree), "utf-8")
            what, took = wait(child(self.tree, tests, out, write=False), limit)
        finally:
            path.write_text(text, "utf-8")
        by = re.search(r"^(?:FAILED|ERROR) (\S+)", out.read_text("utf-8", "replace"), re.M)
        return what, took, by[1] if by else ""


def share(faults: list[Fault], numbers: range, report: Path) -> None:
    """Runs the faults of these numbers and writes a line for each."""
    with tempfile.TemporaryDirectory(prefix="planted-") as home:
        runner = Runner(Path(home))
        with report.open("a", buffering=1) as file:
            for n in numbers:
                what, took, by = runner.run(faults[n])
                file.write(f"{n}\t{what}\t{took:.1f}\t{by}\n")
                print(f"{n + 1}/{len(faults)} {what} {took:.1f} s  {faults[n]}  {by}", flush=True)


def no_fault(fault: Fault) -> str:
    """Why a fault changes nothing, or ""."""
    return next(
        (
            why
            for module, before, after, why in EQUIVALENT
            if fault.module.endswith(module) and before in fault.before and after in fault.after
        ),
        "",
    )


def told(faults: list[Fault], rows: list[list[str]], listed: Path | None) -> bool:
    """Prints the sums; the survivors with the reason of those that are equivalent. Whether 90 % were caught."""
    became = {int(n): what for n, what, _, _ in rows}
    for n, fault in enumerate(faults):
        if became.get(n) == "survived" and no_fault(fault):
            became[n] = "equivalent"
    count = Counter(became.values())
    lines = []
    for n, fault in enumerate(faults):
        if became.get(n) != "caught":
            lines.append(f"{became.get(n)}: {fault}" + (f"  [{no_fault(fault)}]" if no_fault(fault) else ""))
    print("\n".join(lines))
    counted = len(became) - count["equivalent"]
    caught = count["caught"] + count["too slow"]
    print(f"\n{len(became)} faults: {dict(count)}; caught {caught} of {counted}, {caught / max(counted, 1):.1%}")
    print(f"{sum(float(took) for _, _, took, _ in rows):.0f} s of tests")
    if listed is not None:
        listed.write_text("\n".join(lines) + "\n", "utf-8")
    return caught >= 0.9 * counted


def main() -> int:
    ask = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    ask.add_argument("--count", type=int, default=400, help="faults to plant")
    ask.add_argument("--seed", type=int, default=11)
    ask.add_argument("--only", action="append", default=[], metavar="MODULE", help="beginning of a path")
    ask.add_argument("--jobs", type=int, default=1, help="processes at a time")
    ask.add_argument("--list", type=Path, metavar="FILE", help="write what was not caught there")
    ask.add_argument("--dry", action="store_true", help="only print the faults")
    typed = ask.parse_args()
    pool = [f"brackets/{m}" for m in POOL if (ROOT / "brackets" / m).exists()]
    if typed.only:
        every = [str(p.relative_to(ROOT)) for p in sorted((ROOT / "brackets").rglob("*.py"))]
        pool = [m for m in every if any(m.removeprefix("brackets/").startswith(o) for o in typed.only)]
    spots = [(module, which) for module in pool for which in range(count_of(module, ROOT))]
    picked = sorted(random.Random(typed.seed).sample(spots, min(typed.count, len(spots))))
    chosen = [fault_of(module, which, ROOT) for module, which in picked]
    print(f"{len(spots)} faults can be planted in {len(pool)} modules; {len(chosen)} are", flush=True)
    if typed.dry:
        print("\n".join(map(str, chosen)))
        return 0
    signal.signal(signal.SIGTERM, lambda *_: sys.exit("stopped"))
    for name in HEAVY:
        __import__(name)
    with tempfile.TemporaryDirectory(prefix="planted-") as home:
        reports = [Path(home) / f"{part}.tsv" for part in range(typed.jobs)]
        parts = []
        for part, report in enumerate(reports):
            report.touch()
            # neighbours in one part: they have the same tests, which are run once without a fault
            numbers = range(len(chosen) * part // typed.jobs, len(chosen) * (part + 1) // typed.jobs)
            if typed.jobs == 1:
                share(chosen, numbers, report)
                continue
            pid = os.fork()
            if not pid:
                share(chosen, numbers, report)
                os._exit(0)
            parts.append(pid)
        for pid in parts:
            os.waitpid(pid, 0)
        rows = [line.split("\t") for report in reports for line in report.read_text().splitlines()]
    return 0 if told(chosen, rows, typed.list) else 1


if __name__ == "__main__":
    sys.exit(main())
