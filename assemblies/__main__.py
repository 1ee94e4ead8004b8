"""Where the command begins: endings from outside are looked after before anything large is imported."""

from __future__ import annotations

from parts.process.ending import ends_cleanly

__all__ = ["run"]


def run() -> None:
    """The command `seamwright`."""
    ends_cleanly()
    from assemblies.cli import main

    main()


if __name__ == "__main__":
    run()
