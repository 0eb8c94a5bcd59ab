"""A readings file worked out: holes, set-up, place and weight, as facts, tables and drawings."""

from brackets.measure.facts import boss_rows, facts
from brackets.measure.picture import survey_picture
from brackets.measure.reading import Readings, read
from brackets.measure.sheets import Sheet, sheets
from brackets.measure.work import Boss, Measured, bosses_text, pattern_text, work_out

__all__ = [
    "Boss",
    "Measured",
    "Readings",
    "Sheet",
    "boss_rows",
    "bosses_text",
    "facts",
    "pattern_text",
    "read",
    "sheets",
    "survey_picture",
    "work_out",
]
