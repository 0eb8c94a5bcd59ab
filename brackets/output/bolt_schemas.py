"""Keys of the facts of `fit` that are of bolts: what each is, how it sits and comes out, what gets at its ends."""

from __future__ import annotations

from brackets.output.schema_terms import Schema, each, mm, names, one_of, or_null, point, table, text, value

SIZE = {"size": text("thread of the bolt"), "grip_mm": value("number", "of metal between the washers")}
PART = {"part": text("that it holds")}
END = {"mount": text("of the bobbin"), "side": text("of the bobbin's end"), **PART}
"""Of what stands at an end of a bobbin."""


def bolt() -> Schema:
    """A bolt: what it is, by its kind, then what every bolt has."""
    every, boss = _every(), {**PART, **SIZE, **_depth()}
    return {
        "anyOf": [
            table(about, {"kind": one_of((kind,), f"{kind}: {about}"), **own, **every})
            for kind, about, own in (
                ("mount", "a bolt through a mount", _mount()),
                ("stud", "a nut on a stud", _stud()),
                ("tapped end", "a bolt into a tapped end", {**END, **boss, "typed": _tapped("as typed")}),
                ("boss", "a bolt into a boss", boss),
                ("chassis", "a bolt through the chassis", _chassis()),
            )
        ]
    }


def _mount() -> dict[str, Schema]:
    return {
        **SIZE,
        "ear_mm": value("number", "thickness of the ear by the nut"),
        "nut": or_null(text("kind of nut; null without one")),
        "typed": _through("as typed"),
        "stock": _through("from stock"),
    }


def _stud() -> dict[str, Schema]:
    return {
        **END,
        **SIZE,
        "stud_mm": value("number", "that the stud stands out of its end plate"),
        "nut": text("kind of nut"),
        "washers": value("integer", "number of washers"),
        "out_of_the_nut_mm": value("number", "of thread out of the nut; below 0 the nut is not full"),
    }


def _depth() -> dict[str, Schema]:
    return {
        "depth_mm": value("number", "of usable thread"),
        "engagement_needed_mm": value("number", "least thread that is to be in it"),
        "why": text("source of the engagement"),
        "shortest_mm": value("number", "least length of a bolt under one washer"),
        "longest_mm": value("number", "greatest length of a bolt under one washer"),
        "stock": _tapped("from stock"),
    }


def _chassis() -> dict[str, Schema]:
    layer = {
        "onto": text("keep-out that it passes"),
        "mm": mm("of it along the bolt"),
        "edge_mm": value("number", "from the bolt's middle to the nearest edge; below 0 past it"),
        "hollow": value("boolean", "whether there is room between its walls"),
    }
    return {
        **PART,
        "seat": text("of the part"),
        **SIZE,
        "part_mm": value("number", "of the part's own metal by the head"),
        "layers": each(table("a layer", layer), "what it passes; empty where it goes past"),
        "spreader_mm": value("number", "of the spreader by the nut"),
        "crush_tube_mm": or_null(value("number", "length of the tube round it; null without one")),
        "nut": text("kind of nut"),
        "stock": _through("from stock"),
    }


def _through(about: str) -> Schema:
    return or_null(table(f"how it sits {about}; null where there is none", {
        "length_mm": value("number", "of the bolt"),
        "washers": each(value("integer", "number of"), "under head and nut"),
        "thread_in_ear_mm": value("number", "of its thread where shank is asked"),
        "past_two_threads_mm": value("number", "out of the nut past two threads; below 0 too short"),
        "nut_stopped_short_mm": value("number", "by which the shank reaches past where the nut must come to"),
        "full_thread": value("boolean", "whether it has no shank"),
        "fits": value("boolean", "whether all of that is as it should be"),
    }))  # fmt: skip


def _tapped(about: str) -> Schema:
    return or_null(table(f"how it sits {about}; null where there is none", {
        "length_mm": value("number", "of the bolt"),
        "washers": value("integer", "number of washers"),
        "full_thread": value("boolean", "whether it has no shank"),
        "engaged_mm": value("number", "of its thread in the hole"),
        "off_the_bottom_mm": value("number", "short of the deepest it may go; below 0 too deep"),
    }))  # fmt: skip


def _every() -> dict[str, Schema]:
    in_metal = {
        "what": text("of the bolt: head, washers, shank or nut"),
        "volume_mm3": value("number", "that it shares with the part it holds"),
        "at": point("mm: x, y, z"),
    }
    return {
        "name": text("its name"),
        "drawn": _drawn("drawn out by its head; null where no bolt fits"),
        "drawn_from_the_other_end": _drawn("put in the other way round; null where that is not looked at"),
        "ends": each(_end(), "that a tool must get at"),
        "in_own_metal": each(table("a place", in_metal), "where it lies in the metal of its own part"),
        "unloaded": value("boolean", "whether it is judged with no weight on the bushes"),
        "no_order": names(
            "round of what must be in before one another, first and last the bolt; empty where an order is found"
        ),
    }


def _drawn(about: str) -> Schema:
    return or_null(table(about, {
        "out": value("boolean", "whether it comes out"),
        "length_mm": value("number", "that it must be drawn"),
        "free_mm": value("number", "of that which is free"),
        "meets": or_null(text("what it meets first; null where nothing")),
        "in_the_way": names("everything that stands in its way, near or far"),
        "holds": names("those of them that it holds together"),
    }))  # fmt: skip


def _end() -> Schema:
    socket = {
        "goes_on": value("boolean", "whether nothing stops it"),
        "meets": names("what stops it"),
        "od_mm": value("number", "outside of the socket"),
        "length_mm": value("number", "of the socket"),
        "source": text("of its sizes"),
    }
    spanner = {
        "swings": value("boolean", "whether it swings as far as it must"),
        "from_deg": or_null(value("number", "place of the handle from which it does; null where nowhere")),
        "swing_deg": value("number", "that it must swing"),
        "meets": names("what stops it"),
        "head_mm": value("number", "width over its head"),
        "reach_mm": value("number", "from the bolt to the end of its handle"),
        "source": text("of its sizes"),
    }
    return table("an end", {
        "end": text("which end"),
        "reached": value("boolean", "whether socket or spanner gets at it"),
        "socket": table("tried on it", socket),
        "spanner": table("ring spanner tried on it", spanner),
    })  # fmt: skip
