"""What holds for all tests."""

from hypothesis import settings

# How long an example takes says nothing on a machine that others use, too; `tests/bench` measures time.
settings.register_profile("unhurried", deadline=None)
settings.load_profile("unhurried")
