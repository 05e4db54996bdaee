"""What all tests share: random examples are the same on every machine, and never timed."""

from hypothesis import HealthCheck, settings

settings.register_profile(
    "project",
    deadline=None,
    derandomize=True,
    suppress_health_check=[HealthCheck.too_slow],
)
settings.load_profile("project")
