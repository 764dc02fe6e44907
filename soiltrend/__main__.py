"""``python -m soiltrend`` is the same as ``soiltrend``."""

from soiltrend.cli import main

if __name__ == "__main__":
    main()
