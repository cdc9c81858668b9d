"""Where the installed script begins; it loads the rest, and may be stopped while it does."""

from __future__ import annotations


def main() -> None:
    """Run the command line; the entry point of the installed script."""
    try:
        from barmodel_cli.app import main as run
    except KeyboardInterrupt:
        raise SystemExit(130) from None
    run()


if __name__ == "__main__":
    main()
