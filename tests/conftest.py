"""What every test runs under."""

from hypothesis import settings

# A busy machine must not fail a property test for being slow.
settings.register_profile("steady", deadline=None)
settings.load_profile("steady")
