"""The command `runningfit`, also as `python -m runningfit`."""

from __future__ import annotations


def main() -> None:
    """Run the command line."""
    from runningfit.cli.entry import main as command

    command()


if __name__ == "__main__":
    main()
