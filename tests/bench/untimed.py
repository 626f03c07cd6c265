"""A plugin for the trade's tests run without the conftest, which imports the whole program: examples are untimed.

`first_failure` looks for one example that fails and leaves it as found: enough for whoever only asks whether one does.
"""

from hypothesis import HealthCheck, Phase, settings

settings.register_profile("untimed", deadline=None, suppress_health_check=[HealthCheck.too_slow])
settings.register_profile(
    "first_failure", settings.get_profile("untimed"), phases=[Phase.explicit, Phase.generate], database=None
)
settings.load_profile("untimed")
