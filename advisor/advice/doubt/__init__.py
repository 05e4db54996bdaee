"""What is not known, and what it can still change: nothing here is advice, all of it is tried."""
