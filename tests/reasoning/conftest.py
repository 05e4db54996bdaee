"""Helpers of these tests stand beside them and are imported by their plain names."""

from __future__ import annotations

import sys
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parent))
