"""The desktop: the only place that knows Qt."""
