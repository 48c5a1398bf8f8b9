"""One definition of light, L*a*b* and profiles, for all that measures, draws or prints."""
