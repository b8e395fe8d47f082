"""Run the command line as `python -m leeward`."""

from leeward.cli.main import main

if __name__ == "__main__":
    main()
