"""The rules of a recipe's values: kind, unit, limits, stock and meaning; all that is wrong is refused at once."""
