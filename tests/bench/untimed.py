"""A plugin for the trade's tests run without the conftest, which imports the whole program: examples are untimed."""

from hypothesis import HealthCheck, settings

settings.register_profile("untimed", deadline=None, suppress_health_check=[HealthCheck.too_slow])
settings.load_profile("untimed")
