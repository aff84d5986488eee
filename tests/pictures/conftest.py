"""Let the tests of this folder share the hand-made plans of the cards."""

import sys
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1] / "cards"))
