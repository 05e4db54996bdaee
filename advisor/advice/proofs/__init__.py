"""What holds for every case: proofs over all combinations of answers, with counterexamples."""
