"""Other people's programs, read once in peace: Python warns of how some of their lines are written when it
compiles them, and a warning is an error here."""

import importlib
import warnings

with warnings.catch_warnings():
    warnings.simplefilter("ignore")
    for name in ("eoq", "newsvendor", "rq"):
        importlib.import_module(f"stockpyl.{name}")
