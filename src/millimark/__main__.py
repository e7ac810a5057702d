"""``python -m millimark`` is ``millimark``."""

from millimark.cli import main

main()
