"""The prover: the rule base read for all possible answers at once."""
