"""Why the drive cuts out: causes simulated from the build, weighed against what was seen."""
