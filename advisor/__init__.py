"""crackwright: explained, checkable repair procedures for cracked castings."""

__version__ = "0.1.0"
