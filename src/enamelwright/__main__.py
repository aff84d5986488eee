"""Run the command line with ``python -m enamelwright``."""

from enamelwright.cli.main import run

run()
