"""Engine and gearbox mounts as data: recipes, masses, clearance, flats, copes and files from one record.

Everything a script or a recipe needs is a name of this package; what lies below may move. Nothing is loaded until
it is used. mm, degrees, kg.

Here are the names by subject. `help(brackets.lay_out)` shows one of them: what it is, its arguments with their
units, what it raises, and an example, which runs as it stands after `from brackets import *`.
"""

from __future__ import annotations

__version__ = "0.4.0"

# Subject: {module below brackets: its public names, as "theirs=ours" where the module calls it otherwise}. The type
# checker and editors read the same names in __init__.pyi, which tests/face_stub.py writes from this table.
_NAMES = {
    "Recipes": {
        "library.limits": "cures left",
        "library.recipe": "about Recipe recipe recipes",
    },
    "Values of a recipe: their rules, and the record that holds them": {
        "core.schema.bounds": "at_least at_most between",
        "core.schema.checked": "Checked fields follows WORKED_OUT",
        "core.schema.kinds": (
            "by_name choice count deg direction kg lengths masses mm newton number numbers point "
            "points sizes stock text texts yes_no"
        ),
        "core.schema.links": "LINKS",
        "core.schema.reading": "changed from_mapping from_texts stated values",
        "core.schema.rows": "od_wall",
        "core.tables.kinds": "row tube=tube_size",
        "core.tables.stock_rows": "PLATE TUBE WALL",
    },
    "Units and tables": {
        "core.tables.bolt_rows": "Bolt bolt bolts",
        "core.tables.bush_rows": "Bobbin Bush",
        "core.tables.bush_table": "bobbin bobbins bush bushes",
        "core.tables.fasteners": "hole nut spanner washer",
        "core.tables.material_rows": "Material material materials",
        "core.tables.own_rows": "load_rows Tables",
        "core.tables.stock_rows": "nearest_plates nearest_tubes plate_stock tube tubes",
        "core.units": "angle length",
    },
    "Errors and findings": {
        "core.errors": "BadFile BadRecipe InputError KernelFailed OutOfRange",
        "core.finding": "Finding GEOMETRY PRACTICE stopped worst_first",
        "core.rulebook.finding_rule": "advice caution FindingRule stop",
        "library.recipe_rules": "all_rules rules_of",
        "rules.part": "general_findings part_findings shop_findings",
        "rules.tubes": "layout_findings",
    },
    "Parts and what they are made of": {
        "core.place": "HERE Place",
        "core.vectors": "Vec",
        "geometry.curve": "Outline outline",
        "geometry.distance": "offset",
        "geometry.regions": "common cut join",
        "geometry.segments": "Arc Line Point",
        "geometry.shapes": "chamfered circle hexagon polygon rectangle round_hull slot",
        "model.holes": "bolt_circle bolt_hole bolt_holes Hole HoleKind Slot slotted Window",
        "model.moments": "Mass Moments3",
        "model.part": "assembled Part Plane reflected",
        "model.piece": "CustomPiece Piece Seat",
        "model.plate": "Flange Folded Plate Relief TubeSeat Wall",
        "model.tube": "BentTube BushBore Step Tube TubeEnd Turned",
        "model.weld": "Along AtSeat Circle OpeningRim StraightEdge TubeRim Weld",
    },
    "Three-vectors, for placing things": {
        "core.vectors": "add cross degrees_between dot length=norm scale square_to sub unit",
    },
    "Library: what the shipped recipes are made with": {
        "core.tables.fasteners": "engagement",
        "core.tables.fits": "HOLE_CLASSES hole_limits Limits typed_limits",
        "forming.flanges": "Corner",
        "library.corner_ears": "corner_rules CornerSeat on_corner",
        "library.ears": "ear_foot Ears FlatSeat on_flat on_tube Rail",
        "library.faces": "boss_holes edge_for Face opening_ends opening_rules spacers",
        "library.fixings": "end_holes fastened Fixing FIXINGS SLOT_WAYS slotted_holes washer_rules",
        "library.folded_ears": "with_back",
        "library.hardware": "bobbin_end bobbin_rubber bolted bush_inner bush_outer nut_on",
        "library.jig": "jig",
        "library.joggled_ears": "Joggle joggle_rules joggled",
        "library.mount_rules": (
            "BungFollows cup_findings cup_tube cup_tube_problems CupFollows ear_findings "
            "landing_problems name_problems"
        ),
        "library.plates": (
            "base_plate cup_gussets flat_part gusset_outline Lips plate round_holes seat_level "
            "seat_welds seated_outline UNDER"
        ),
        "library.rounds": "bore_findings bung bush_bore centred cup dummy_bush ring tube_cup",
        "library.stud_shelf": "stud_shelf StudShelf",
        "rules.tubes": "socket_findings",
    },
    "Flat patterns, bends and tubes": {
        "forming.cut_rows": "cut_rows",
        "forming.flanges": "joggle lip",
        "forming.flat_pattern": "Blank blank_of",
        "forming.set_up": "set_up SetUp",
        "forming.set_up_dimension": "SetUpDimension",
        "forming.shop": "NO_TOOLS Shop",
        "forming.shop_file": "default=default_shop load=load_shop",
        "forming.tube_layout": "lay_out Layout",
        "forming.tube_run": "Bung Cylinder Mitre PlaneTarget Run",
        "forming.tube_walls": "Rod rod_gap rods",
        "forming.wrap": "wrap",
        "model.bend_allowance": "bend_allowance deduction joggle_web k_of_allowance setback",
        "model.cope": "end_curve",
    },
    "Survey: readings, weighing, and whether the bolts go in": {
        "survey.assembly_fit": "enters",
        "survey.chance": "chance HoleErrors Pull",
        "survey.file": "read=read_readings",
        "survey.readings": "DatumEdge MeasuredHole Reading Survey",
        "survey.solve": "solve",
        "survey.work": "work_out=work_out_readings",
    },
    "Drawings": {
        "drawing.nest": "nest",
        "drawing.record": "Drawing Title",
        "drawing.wraps": "wraps",
    },
    "The powertrain on its bushes, also as `brackets.hang`; mm, N, kg, Hz": {
        "hang.bobbin": "bobbin_stiffness BobbinStiffness",
        "hang.bonded": "bush_stiffness BushStiffness",
        "hang.bush": "bobbin_springs bush_springs BushSprings springs_of_row",
        "hang.cases": "one_missing under_cases",
        "hang.drive": "Drive drive_reactions Grip torque_pulse",
        "hang.findings": "case_findings missing_findings mode_findings",
        "hang.hardness": "rubber_modulus RubberModulus",
        "hang.load": "Load LoadCase road_cases",
        "hang.measured": "Known measured_stiffness",
        "hang.mount": "link Mount Stop",
        "hang.orders": "crank_layout CrankLayout orders",
        "hang.powertrain": "MassLump Powertrain powertrain",
        "hang.response": "transmissibility transmitted",
        "hang.scatter": "reaction_range",
        "hang.sensitivity": "case_slopes mode_slopes worst_figures",
        "hang.set_height": "set_height SetHeight",
        "hang.statics": "NotHeldError Reactions reactions",
        "hang.travel": "movement_bounds MovementBounds",
        "hang.vibration": "Modes modes torque_roll_axis",
    },
    "Whether it holds, by hand, also as `brackets.hold`; N, N mm, mm, MPa": {
        "hold.bolts": "bolt_bearing bolt_combined bolt_punching bolt_shear bolt_slip bolt_tension",
        "hold.check": "Check Refused",
        "hold.factors": "EN_1993 Factors",
        "hold.fillets": "fillet_directional fillet_normal fillet_simplified throat_of",
        "hold.frame": "CLAMPED Frame FrameResult PIN Support",
        "hold.frame_members": "BeamSection flat_section Member round_section",
        "hold.held": "Held",
        "hold.hold_part": "hold_part",
        "hold.load_text": "read_cases",
        "hold.metal": "Bolts bolts_of Metal metal",
        "hold.part_cases": "HoldSettings PartCase PressFit SeatLoad",
        "hold.pins": "ear_edge ear_thickness pin_bearing pin_bending pin_combined pin_contact pin_shear",
        "hold.plates": "block_tearing plate_bending plate_combined plate_tension skin_bearing spreader_bending",
        "hold.press_fit": "cup_hoop press_pressure push_out",
        "hold.stress_ranges": "stress_ranges StressRange",
        "hold.struts": "buckling_reduction crush_tube strut_buckling",
        "hold.t_stubs": "prying_force t_stub",
        "hold.threads": "thread_stripping",
        "hold.tube_joints": "tube_on_tube",
        "hold.tube_walls": "ear_on_tube ear_punching",
        "hold.tubes": "tube_axial tube_bending tube_class tube_combined tube_shear tube_torsion",
        "hold.weld_lines": "WeldArc WeldGroup WeldSegment",
    },
    "Solids and clearance; loading these takes seconds": {
        "clearance.bodies": "Body body",
        "clearance.gap_rows": "survey=gaps",
        "clearance.gaps": "Gap gap",
        "clearance.legs": "swing",
        "clearance.motion": "bush_moves powertrain_moves",
        "clearance.overlaps": "overlap",
        "clearance.paths": "path",
        "clearance.places": "Transform transform",
        "clearance.sweeps": "rock sweep",
        "kernel.mesh": "mesh",
        "kernel.solids": "shape",
    },
    "Bays, and what is written": {
        "app.preview.notebook": "show",
        "bay.file": "read=read_bay",
        "bay.fitting": "Fit fit",
        "bay.hung.on_bushes": "on_bushes OnBushes",
        "bay.schema.record": "Bay",
        "core.marks": "Marks",
        "output.dxf": "write=write_dxf",
        "output.part_files": "Made made write",
        "output.pdf": "write=write_pdf",
        "output.step": "write=write_step",
        "output.stl": "write=write_stl",
        "output.svg": "write=write_svg",
    },
    "Families: many variants of one recipe or of one part of a bay, and its left and right hand": {
        "variants.family": "family",
        "variants.hands": "hands Hands",
        "variants.result": "Row",
        "variants.rows": "Rows",
    },
    "Mock-ups, to check the fit before steel is cut": {
        "forming.printer_3d": "Printer3D",
        "mockups.bay": "mockup_of_bay",
        "mockups.card_part": "card CardMockUp",
        "mockups.files": "write=write_mockup",
        "mockups.printed": "mockup",
        "mockups.printer_test": "printer_test",
        "mockups.record": "MockUp",
        "mockups.stations": "Stations stations",
        "mockups.stations_files": "write=write_stations",
    },
}

_FROM = {
    word.split("=")[-1]: (module, word.split("=")[0])
    for modules in _NAMES.values()
    for module, words in modules.items()
    for word in words.split()
}

__all__ = ["__version__", *_FROM]


def _by_subject() -> str:
    """The public names as the docstring lists them: a line for each module, below its subject."""
    lines = []
    for subject, modules in _NAMES.items():
        lines += ["", f"{subject}:"]
        for words in modules.values():
            lines.append(f"    {', '.join(word.split('=')[-1] for word in words.split())}")
    return "\n".join([*lines, ""])


__doc__ += _by_subject()


def __getattr__(name: str) -> object:
    """Load a public name, or a module of this package, when it is asked for.

    Importing brackets alone loads nothing, not even typing: the command must heed Ctrl-C before anything that takes
    time is loaded. Raises AttributeError for any other name.
    """
    from importlib import import_module

    if name in _FROM:
        module, theirs = _FROM[name]
        found = getattr(import_module(f"{__name__}.{module}"), theirs)
        globals()[name] = found
        return found
    if not name.startswith("_"):
        try:
            return import_module(f"{__name__}.{name}")
        except ModuleNotFoundError as error:
            if error.name != f"{__name__}.{name}":
                raise
    raise AttributeError(f"module {__name__!r} has no attribute {name!r}")


def __dir__() -> list[str]:
    return sorted({*globals(), *__all__})
