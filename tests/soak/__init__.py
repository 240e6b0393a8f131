"""Long trials, run by hand: `python -m tests.soak bad-input | kills --help`. Small samples of them are tests."""
