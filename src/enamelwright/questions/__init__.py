"""One file per question the product answers: (input, bench) -> Answer, pure, no formula of its own."""
