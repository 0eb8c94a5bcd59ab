"""What is typed beside the loads of `brackets hold`, read into its settings, everything wrong at once."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from functools import partial
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from brackets.hold.part_cases import HoldSettings, PressFit


def settings_of(given: Mapping[str, Any], bare: str) -> HoldSettings:
    """The settings as typed on the command line. Raises InputError with everything that is wrong.

    given: the options by name; bare: unit of a length without one, mm or in.
    """
    from brackets.app.cli.on_target import as_options
    from brackets.core.errors import InputError
    from brackets.core.units import force, length, number
    from brackets.hold.factors import Factors
    from brackets.hold.metal import grade_problems
    from brackets.hold.part_cases import HoldSettings

    wrong: list[str] = []

    def read(reader: Callable[[], Any]) -> Any:
        try:
            return reader()
        except InputError as error:
            wrong.extend(error.problems)
            return None

    def size(text: str | None, name: str) -> Any:
        return None if text is None else read(lambda: length(text, bare=bare, name=f"--{name}"))

    if given["counted"] not in ("characteristic", "factored"):
        wrong.append(f"--counted = {given['counted']}, must be characteristic or factored: the loads")
    own = given["own_factor"]
    typed = _pairs(given["gamma"], "gamma", wrong)
    gammas = {name: read(partial(number, text, name="--gamma")) for name, text in typed}
    known = ("m0", "m1", "m2", "m3", "m5", "m6_ser", "aluminium_m1")
    unknown = [name for name in gammas if name not in known]
    wrong += [f"--gamma = {name}, must be one of {', '.join(known)}: partial factor" for name in unknown]
    factors = None
    if not wrong:
        flags = {"own": "own-factor", **{name: f"gamma {name}" for name in known}}
        factors = read(lambda: as_options(lambda: Factors(own=own, **gammas), flags))
    grades = dict(_pairs([text for text in given["grade"] if ":" in text], "grade", wrong))
    plain = [text for text in given["grade"] if ":" not in text]
    if len(plain) > 1:
        wrong.append(f"--grade = {', '.join(plain)}, must be one for all bolts, others as SEAT: CLASS")
    wrong += [f"--{line}" for grade in dict.fromkeys((*plain, *grades.values())) for line in grade_problems(grade)]
    engaged = {seat: size(text, "engaged") for seat, text in _pairs(given["engaged"], "engaged", wrong)}
    press = {seat: read(partial(_press, text, bare)) for seat, text in _pairs(given["press"], "press", wrong)}
    preload = None if given["preload"] is None else read(lambda: force(given["preload"], name="--preload"))
    casting = None if given["casting"] is None else read(lambda: number(given["casting"], name="--casting"))
    onto_t = size(given["onto_t"], "onto-t")
    read_settings = partial(
        HoldSettings,
        factors=factors or Factors(),
        load_factor=given["load_factor"],
        joints=given["joints"],
        held_at=given["held_at"],
        grade=plain[0] if plain else None,
        grades=grades,
        preload=preload,
        engaged=engaged,
        casting=casting,
        press=press,
        onto_metal=given["onto_metal"],
        onto_t=onto_t,
    )
    made = read(lambda: as_options(read_settings, {"load_factor": "load-factor", "joints": "joints"}))
    if wrong:
        raise InputError(*dict.fromkeys(wrong))
    settings: HoldSettings = made
    return settings


def _pairs(texts: Sequence[str], name: str, wrong: list[str]) -> list[tuple[str, str]]:
    found = []
    for text in texts:
        key, colon, value = text.partition(":")
        if not colon or not key.strip() or not value.strip():
            wrong.append(f'--{name} = "{text}", must be NAME: VALUE')
            continue
        found.append((key.strip(), value.strip()))
    return found


def _press(text: str, bare: str) -> PressFit:
    from brackets.core.errors import InputError
    from brackets.core.units import length, number
    from brackets.hold.part_cases import PressFit

    words = text.split()
    if len(words) not in (3, 4):
        raise InputError(f'--press = "{text}", must be least, most and shell_id in mm, and friction if it is known')
    least, most, shell = (length(word, bare=bare, name="--press") for word in words[:3])
    friction = number(words[3], name="--press friction") if len(words) == 4 else None
    return PressFit(least=least, most=most, shell_id=shell, friction=friction)
