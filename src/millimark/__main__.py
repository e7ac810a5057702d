"""``python -m millimark`` is ``millimark``."""

from millimark.cli import main

if __name__ == "__main__":  # worker processes import this file again
    main()
