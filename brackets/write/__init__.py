"""Files from a record, one module a format, each with `write(thing, path)`; equal input gives equal bytes."""
