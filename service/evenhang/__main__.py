"""python -m evenhang."""

from evenhang.cli import main

main()
