"""How the powertrain of a bay hangs: its mass, the frames of its mounts, bushes, load cases, how far it moves."""
