"""Forms that keep an exhibition: its facts, its state, its dates."""
