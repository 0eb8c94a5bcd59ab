"""The command `brackets`, also as `python -m brackets`: signals are heeded before anything is loaded."""

import sys

import brackets.interrupts as interrupts

STOPPED = 130
"""What the command line returns when it was interrupted by whatever signal."""


def main() -> int:
    """Runs the command line of this process and returns its status."""
    interrupts.heed()
    try:
        from brackets.app.cli.app import main as run

        status = run()
        return interrupts.status() if status == STOPPED else status
    except KeyboardInterrupt:
        print("stopped, nothing written", file=sys.stderr)
        return interrupts.status()
    finally:
        interrupts.finished()


if __name__ == "__main__":
    sys.exit(main())
