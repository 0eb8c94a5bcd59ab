"""brackets hold: whether a part holds under the loads at its seats, checked by hand, clause by clause."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from brackets.app.cli.screen import AsJson, Bare
from brackets.app.cli.trouble import FINE, STOPS

if TYPE_CHECKING:
    from brackets.app.cli.kept_run import Done
    from brackets.app.cli.screen import Typed
    from brackets.hold.part_cases import Counted

Load = Annotated[
    list[str] | None,
    typer.Option("--load", metavar="TEXT", help='"SEAT: fx fy fz [mx my mz] NAME", N, N mm, on the part; repeat.'),
]
Count = Annotated[
    str, typer.Option("--counted", metavar="WORD", help="The loads are characteristic (as they come) or factored.")
]
LoadFactor = Annotated[
    float, typer.Option("--load-factor", metavar="X", help="On characteristic loads where a clause wants factored.")
]
OwnFactor = Annotated[
    float | None, typer.Option("--own-factor", metavar="X", help="Your own factor on yield, a second column.")
]
Gamma = Annotated[
    list[str] | None, typer.Option("--gamma", metavar="TEXT", help='A partial factor, as "m2: 1.25"; repeat.')
]
Grade = Annotated[
    list[str] | None,
    typer.Option("--grade", metavar="CLASS", help='Class of the bolts, "8.8", or "SEAT: 10.9"; repeat.'),
]
Joints = Annotated[
    str, typer.Option("--joints", metavar="WORD", help="Held at several places: rigid or pinned there.")
]
HeldAt = Annotated[
    list[str] | None, typer.Option("--held-at", metavar="SEAT", help="A seat that holds the part; repeat.")
]
Preload = Annotated[str | None, typer.Option("--preload", metavar="N", help="Of every bolt: slip, crush tubes.")]
OntoMetal = Annotated[
    str | None, typer.Option("--onto-metal", metavar="NAME", help="Metal of what the part is welded onto.")
]
OntoT = Annotated[str | None, typer.Option("--onto-t", metavar="MM", help="Its thickness or wall.")]
Casting = Annotated[
    str | None, typer.Option("--casting", metavar="MPA", help="Tensile strength of the casting of the bosses.")
]
Engaged = Annotated[
    list[str] | None, typer.Option("--engaged", metavar="TEXT", help='Thread in the casting, "SEAT: 20"; repeat.')
]
Press = Annotated[
    list[str] | None,
    typer.Option("--press", metavar="TEXT", help='Press fit, "SEAT: least most shell_id [friction]"; repeat.'),
]


def hold(
    words: Annotated[list[str], typer.Argument(metavar="BAY.toml|RECIPE [--NAME VALUE]", hidden=True)],
    load: Load = None,
    counted: Count = "characteristic",
    load_factor: LoadFactor = 1.0,
    own_factor: OwnFactor = None,
    gamma: Gamma = None,
    grade: Grade = None,
    joints: Joints = "rigid",
    held_at: HeldAt = None,
    preload: Preload = None,
    onto_metal: OntoMetal = None,
    onto_t: OntoT = None,
    casting: Casting = None,
    engaged: Engaged = None,
    press: Press = None,
    as_json: AsJson = False,
    bare: Bare = "mm",
) -> int:
    """Whether a part holds: bolts, ears, welds, plates, tubes.

    RECIPE with its values as options, and at least one --load: the force that acts on the part at a seat, as
    "bush: 0 0 2kN bump". Each check has its clause; what no clause covers is refused. Fatigue is not computed.
    Of a BAY.toml all of it is in the file: load cases of the powertrain, led through every part, and [hold].
    """
    from brackets.app.cli.kept_run import kept_run
    from brackets.app.cli.screen import one_word, split
    from brackets.app.inputs import contents, named

    typed = split(words)
    target = one_word(typed, "recipe", 'brackets hold stay --load "bush: 0 0 2kN bump"')
    settings = {
        "counted": counted, "load_factor": load_factor, "own_factor": own_factor, "gamma": tuple(gamma or ()),
        "grade": tuple(grade or ()), "joints": joints, "held_at": tuple(held_at or ()), "preload": preload,
        "onto_metal": onto_metal, "onto_t": onto_t, "casting": casting, "engaged": tuple(engaged or ()),
        "press": tuple(press or ()),
    }  # fmt: skip
    loads = tuple(load or ())
    if target.endswith(".toml"):
        from brackets.app.cli.hold_bay import hold_bay

        return hold_bay(Path(target), given={"load": loads, **typed.texts, **settings}, as_json=as_json)

    def work(_: Path | None) -> Done:
        return _recipe(target, typed, loads, settings, as_json, bare)

    def inputs() -> tuple[tuple[str, str], ...]:
        return contents(named((target, *typed.texts.values()), Path.cwd()))

    return kept_run("hold", work, inputs, tuple(words), loads, tuple(settings.items()), as_json, bare, writes=False)


def _recipe(
    target: str, typed: Typed, loads: tuple[str, ...], given: dict[str, object], as_json: bool, bare: str
) -> Done:
    """What is printed of one recipe, and the status."""
    from brackets.app.cli.hold_settings import settings_of
    from brackets.app.cli.hold_view import held_text
    from brackets.app.cli.make_cmd import read_values
    from brackets.app.cli.on_target import Refusals, as_options
    from brackets.hold.hold_part import hold_part
    from brackets.hold.load_text import read_cases
    from brackets.library.recipe import recipe
    from brackets.output import facts

    opened = recipe(target)
    counted: Counted = "factored" if given["counted"] == "factored" else "characteristic"
    wrong = Refusals()
    settings = wrong.tried(lambda: settings_of(given, bare))
    cases = wrong.tried(lambda: as_options(lambda: read_cases(loads, counted), {"load": "load"}))
    part = wrong.tried(lambda: opened.build(read_values(opened, typed, bare)))
    if part is not None and not loads:
        seats = ", ".join(seat.name for seat in part.seats) or "none: nothing can act on it"
        wrong.problems.append(
            f'--load = nothing, must be given: what acts on it, as "SEAT: 0 0 2kN bump"; its seats: {seats}'
        )
    wrong.refuse()
    assert part is not None
    held = hold_part(part, cases or (), settings)
    text = facts.told(held.record).decode().rstrip("\n") if as_json else held_text(held)
    return text, STOPS if held.exceeds or not held.checks else FINE, None

