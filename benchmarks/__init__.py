"""How fast Heelball is, each time beside a plain way to the same thing, timed in the same run."""
