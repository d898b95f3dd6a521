"""``python -m ringtrue`` is ``ringtrue``."""

from ringtrue.cli import main

if __name__ == "__main__":
    main()
